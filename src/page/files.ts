// Files that a person drops or chooses -> layers. In: File objects; out: sources with their bytes, hash and layer.
// Terms: source = one layer's files as given; part = a file of a loose shapefile; reader = code that is loaded when the first
// file of its kind comes. Nothing leaves the browser.

import { mixesLayers } from '../check/index.js';
import { InputError, type Layer, type LayerRole, type ReadOptions, readLayerAsync, type WorksKind } from '../core.js';
import type { FormatName } from '../model/index.js';
import type { Unpacked } from '../read/archive.js';
import { tellFormat } from '../read/index.js';

export interface Source {
  readonly name: string;
  readonly bytes: Uint8Array;
  readonly layer: Layer;
  /** What works are that do not say it themselves. */
  readonly kind?: WorksKind;
  /** Of a file that holds several layers: their names. */
  readonly layers?: readonly string[];
  /** The one that was chosen of them. */
  readonly picked?: string;
  /** Works: layers of the file that were chosen, each with its kind. A drawing is one source with all of them. */
  readonly layerKinds?: LayerKinds;
  /** The kind is the layer's own, not the one for all works that say none. */
  readonly ownKind?: true;
}

export type LayerKinds = Readonly<Record<string, WorksKind>>;

/** What stays with a source whose features have changed. */
export function kindOf(source: Source | null): Pick<Source, 'kind' | 'ownKind'> {
  const { kind, ownKind } = source ?? {};
  return { ...(kind === undefined ? {} : { kind }), ...(ownKind === undefined ? {} : { ownKind }) };
}

/** A name for a file of this source alone: several layers of one file share the file's. */
export function ownName({ name, picked, ownKind }: Source): string {
  if (picked === undefined || ownKind === undefined) return name;
  const dot = name.lastIndexOf('.');
  const layer = picked.replace(/^.*[\\/]/, '').replaceAll(/[^\p{L}\p{N}_.-]+/gu, '-');
  return dot < 1 ? `${name}-${layer}` : `${name.slice(0, dot)}-${layer}${name.slice(dot)}`;
}

/** A file of several layers of which none is chosen yet. */
export class SeveralLayers extends Error {
  readonly file: string;
  readonly names: readonly string[];

  constructor(file: string, names: readonly string[]) {
    super(`${file} holds ${names.length} layers: ${names.join(', ')}`);
    this.file = file;
    this.names = names;
  }
}

/** The parts of a shapefile in the order in which they are hashed, on the command line too. */
const PARTS = ['shp', 'dbf', 'shx', 'prj', 'cpg'] as const;
type Part = (typeof PARTS)[number];

/**
 * Reads what was dropped: each file is a layer, but the parts of a shapefile are one.
 *
 * @param layer which of several layers, table or sheet by name
 * @throws SeveralLayers, InputError
 */
export async function readFiles(files: readonly File[], layer?: string, role?: LayerRole): Promise<Source[]> {
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
  return Promise.all([
    ...plain.map((file) => readOne(file, layer, role)),
    ...[...parts].map(([stem, own]) => readLoose(stem, own)),
  ]);
}

async function readOne(file: File, layer: string | undefined, role: LayerRole | undefined): Promise<Source> {
  return sourceOf(file.name, await bytesOf(file), layer, role);
}

interface Opened {
  /** Of a file that may hold several layers. */
  readonly names?: readonly string[];
  /** Undefined where there are several and none is chosen. */
  readonly layer: Layer | undefined;
}

/** Formats that the core leaves to others: each brings a package along. */
const READERS: Readonly<Partial<Record<FormatName, (bytes: Uint8Array, options: ReadOptions) => Promise<Opened>>>> = {
  flatgeobuf: async (bytes, options) => {
    const { readFlatGeobuf } = await import('../node/read/flatgeobuf.js');
    return { layer: await readFlatGeobuf(bytes, options) };
  },
  geopackage: async (bytes, options) => (await import('./geopackage.js')).openGeoPackage(bytes, options),
  xlsx: async (bytes, options) => (await import('./xlsx.js')).openWorkbook(bytes, options),
};

/** Bytes -> source, by the reader that the command line uses. */
export async function sourceOf(
  name: string,
  bytes: Uint8Array,
  picked?: string,
  role?: LayerRole,
  layerKinds?: LayerKinds,
): Promise<Source> {
  const options = {
    name,
    sha256: await hashOf(bytes),
    ...(picked === undefined ? {} : { layer: picked }),
    ...(role === undefined ? {} : { role }),
    ...(layerKinds === undefined ? {} : { layerKinds }),
  };
  const { layer, names = [] } = await opened(bytes, options).catch((error: unknown): Opened => {
    // A zip of several files, or groups of which one has to be named.
    if (picked !== undefined || !(error instanceof InputError) || error.choices.length < 2) throw error;
    if (!error.code.endsWith('-several')) throw error;
    return { layer: undefined, names: error.choices };
  });
  if (layer === undefined) throw new SeveralLayers(name, names);
  return {
    name,
    bytes,
    layer,
    ...(names.length > 1 ? { layers: names } : {}),
    ...(names.length > 1 && picked !== undefined ? { picked } : {}),
    ...(layerKinds === undefined ? {} : { layerKinds, ownKind: true }),
  };
}

async function opened(bytes: Uint8Array, options: ReadOptions): Promise<Opened> {
  const reader = readerOf(bytes, options.name);
  if (reader !== undefined) return reader(bytes, options);
  // A zip may hold a file for one of our readers: the core would refuse that one.
  if (isZip(bytes)) {
    const { unpack } = await import('../read/archive.js');
    // A name that no file of the zip has may be that of a layer within one.
    const only = (): Promise<Unpacked> => unpack(bytes, options.name);
    const { name, parts } = await (options.layer === undefined
      ? only()
      : unpack(bytes, options.name, options.layer).catch(only));
    const [content = new Uint8Array()] = parts.values();
    const inner = parts.has('shp') ? undefined : readerOf(content, name);
    if (inner !== undefined) return inner(content, options);
  }
  return openedWhole(bytes, options);
}

/** Folders and drawing layers that differ are chosen from, as tables and sheets are. */
async function openedWhole(bytes: Uint8Array, options: ReadOptions): Promise<Opened> {
  const layer = await readLayerAsync(bytes, options);
  if (options.layer === undefined) {
    const names = layer.contents?.map((one) => one.name) ?? [];
    return { names, layer: options.layerKinds === undefined && mixesLayers(layer) ? undefined : layer };
  }
  // The list stays on offer when one of them is chosen.
  const { layer: _, ...whole } = options;
  const names = await readLayerAsync(bytes, whole).then(
    (all) => all.contents?.map((one) => one.name) ?? [],
    (error: unknown) => (error instanceof InputError ? error.choices : []),
  );
  return { names, layer };
}

/** Undefined where nothing tells the format: the core words what is wrong. */
function readerOf(bytes: Uint8Array, name: string): (typeof READERS)[FormatName] {
  try {
    return READERS[tellFormat(bytes, name)];
  } catch {
    return undefined;
  }
}

function isZip(bytes: Uint8Array): boolean {
  return bytes[0] === 0x50 && bytes[1] === 0x4b && bytes[2] === 3 && bytes[3] === 4;
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
