// Files that a person drops or chooses -> layers. In: File objects; out: sources with their bytes, hash and layer.
// Terms: source = one layer's files as given; part = a file of a loose shapefile. Nothing leaves the browser.

import { InputError, type Layer, readLayerAsync, type WorksKind } from '../../src/index.js';

export interface Source {
  readonly name: string;
  readonly bytes: Uint8Array;
  readonly layer: Layer;
  /** What works are that do not say it themselves. */
  readonly kind?: WorksKind;
}

/** The parts of a shapefile in the order in which they are hashed, on the command line too. */
const PARTS = ['shp', 'dbf', 'shx', 'prj', 'cpg'] as const;
type Part = (typeof PARTS)[number];

/** Reads what was dropped: each file is a layer, but the parts of a shapefile are one. */
export async function readFiles(files: readonly File[]): Promise<Source[]> {
  const parts = new Map<string, Map<Part, File>>();
  const plain: File[] = [];
  for (const file of files) {
    const dot = file.name.lastIndexOf('.');
    const ending = file.name.slice(dot + 1).toLowerCase();
    const part = PARTS.find((one) => one === ending);
    if (part === undefined) plain.push(file);
    else {
      const stem = file.name.slice(0, dot);
      parts.set(stem, (parts.get(stem) ?? new Map()).set(part, file));
    }
  }
  return Promise.all([...plain.map(readOne), ...[...parts].map(([stem, own]) => readLoose(stem, own))]);
}

async function readOne(file: File): Promise<Source> {
  const bytes = await bytesOf(file);
  return sourceOf(file.name, bytes);
}

/** The first bytes of a FlatGeobuf file: its reader is large, and loaded when one comes. */
const FLATGEOBUF = [0x66, 0x67, 0x62, 0x03, 0x66, 0x67, 0x62];

/** Bytes -> source, by the reader that the command line uses. */
export async function sourceOf(name: string, bytes: Uint8Array): Promise<Source> {
  const sha256 = await hashOf(bytes);
  const isFlatGeobuf = FLATGEOBUF.every((byte, i) => bytes[i] === byte);
  const read = isFlatGeobuf ? (await import('../../src/node/flatgeobuf.js')).readFlatGeobuf : readLayerAsync;
  return { name, bytes, layer: await read(bytes, { name, sha256 }) };
}

async function readLoose(stem: string, files: ReadonlyMap<Part, File>): Promise<Source> {
  const name = files.get('shp')?.name;
  if (name === undefined) {
    throw new InputError('file-kind', `${stem}: the .shp is missing`, {
      layer: stem,
      cure: `drop ${stem}.shp together with ${[...files.values()].map((file) => file.name).join(', ')}`,
    });
  }
  const bytes = new Map<Part, Uint8Array>();
  for (const part of PARTS) {
    const file = files.get(part);
    if (file !== undefined) bytes.set(part, await bytesOf(file));
  }
  const whole = joined([...bytes.values()]);
  const given = Object.fromEntries(bytes) as { shp: Uint8Array };
  const { layerOf } = await import('./shapefile.js');
  return { name, bytes: whole, layer: layerOf(given, { name, sha256: await hashOf(whole) }) };
}

async function bytesOf(file: File): Promise<Uint8Array> {
  return new Uint8Array(await file.arrayBuffer());
}

function joined(all: readonly Uint8Array[]): Uint8Array {
  const out = new Uint8Array(all.reduce((sum, one) => sum + one.length, 0));
  let at = 0;
  for (const one of all) {
    out.set(one, at);
    at += one.length;
  }
  return out;
}

async function hashOf(bytes: Uint8Array): Promise<string> {
  const digest = await crypto.subtle.digest('SHA-256', bytes as Uint8Array<ArrayBuffer>);
  return [...new Uint8Array(digest)].map((byte) => byte.toString(16).padStart(2, '0')).join('');
}
