// The layers of one tile. In: a manifest, the tile's plan; out: for each input its rows as a Layer, with what the whole
// layer states. Terms: see manifest.ts. What is read is checked against the plan's hash: a changed file is never used.

import { createHash } from 'node:crypto';
import { type FileHandle, open } from 'node:fs/promises';
import { basename, dirname } from 'node:path';
import type { Layer } from '../../model/index.js';
import { InputError } from '../../model/index.js';
import type { Database } from '../../postgis/index.js';
import { readLayer as readBytes } from '../../read/index.js';
import { fromRuns, partOf, withFacts } from '../../tiles/index.js';
import { type FileReadOptions, readBox, readLayer } from '../read/files.js';
import { type Manifest, type ManifestInput, placedIn, type TileInput, type TilePlan } from './manifest.js';
import { hashOfRows } from './row-hash.js';

/** Reads all layers of a tile, in the order of the manifest's inputs. */
export async function tileLayers(
  manifestPath: string,
  manifest: Manifest,
  plan: TilePlan,
  database: Database | undefined,
): Promise<readonly Layer[]> {
  const layers: Layer[] = [];
  const place = placedIn(dirname(manifestPath));
  const { read, crs, crsFor } = manifest.job;
  for (const [i, input] of manifest.inputs.entries()) {
    const part = plan.inputs[i]!;
    const within = input.layer === undefined ? {} : { layer: input.layer };
    const options = { database, crs: crsFor?.[input.role] ?? crs, ...read?.[input.role], ...within };
    layers.push(await partLayer(place(input.path), input, part, options));
  }
  return layers;
}

/** One input's rows. */
export async function partLayer(
  path: string,
  input: Pick<ManifestInput, 'role' | 'facts' | 'read' | 'head' | 'sha256'>,
  part: TileInput,
  options: FileReadOptions,
): Promise<Layer> {
  const rows = fromRuns(part.rows);
  const layer = await READERS[input.read](path, input, part, options, rows);
  if (layer.count !== rows.length) throw changed(input.facts.name);
  return withFacts(layer, input.facts, { rows, keys: part.keys ?? [] });
}

type PartReader = (
  path: string,
  input: Pick<ManifestInput, 'role' | 'facts' | 'head' | 'sha256'>,
  part: TileInput,
  options: FileReadOptions,
  rows: Uint32Array,
) => Promise<Layer>;

const READERS: Readonly<Record<ManifestInput['read'], PartReader>> = {
  ranges: async (path, { facts, head }, part, { layer: _1, zip: _2, database: _3, crs: _4, ...options }) => {
    const pieces = await bytesOf(path, part, facts.name);
    const { format, name } = facts;
    if (pieces.length === 0) return emptyOf(facts);
    const text =
      format === 'geojson'
        ? joined(pieces, '{"type":"FeatureCollection","features":[', ',', ']}')
        : joined(pieces, head ?? '', '\n', '\n');
    return readBytes(text, { ...options, name, format });
  },
  box: async (path, { facts }, part, options, rows) => {
    if (rows.length === 0) return emptyOf(facts);
    const boxes = part.boxes ?? [];
    const parts: Layer[] = [];
    for (const { box } of boxes) {
      if (box === null) throw changed(facts.name); // rows without a place: such files are read whole
      parts.push(
        await readBox(path, facts.format as 'geopackage' | 'flatgeobuf', { ...options, bbox: box, name: facts.name }),
      );
    }
    return picked(parts, part, rows, facts.name);
  },
  table: async (path, { facts }, part, options, rows) => {
    if (rows.length === 0) return emptyOf(facts);
    const { readTableParts } = await import('../../postgis/index.js');
    const boxes = (part.boxes ?? []).map(({ box }) => box);
    const { database, crs } = options;
    const parts = await readTableParts(path, boxes, { database, crs, name: facts.name });
    return picked(parts, part, rows, facts.name);
  },
  whole: async (path, { facts, role, sha256 }, _part, options, rows) => {
    const layer = await readLayer(path, { ...options, name: basename(path), role });
    if (layer.sha256 !== sha256) throw changed(facts.name);
    return partOf(layer, rows);
  },
};

/** Rows of several layers that were read by boxes, by their numbers in the file; checked against what they were at the split. */
function picked(parts: readonly Layer[], { boxes = [], sha256 }: TileInput, rows: Uint32Array, name: string): Layer {
  const placeOf = new Map<number, number>();
  boxes.forEach(({ found: runs }, i) => {
    const found = fromRuns(runs);
    const before = parts.slice(0, i).reduce((sum, { count }) => sum + count, 0);
    if (parts[i]?.count !== found.length) throw changed(name);
    found.forEach((row, at) => void placeOf.set(row, before + at));
  });
  const all = parts.length === 1 ? parts[0]! : chained(parts);
  const layer = partOf(
    all,
    Uint32Array.from(rows, (row) => placeOf.get(row)!),
  );
  if (hashOfRows(layer) !== sha256) throw changed(name);
  return layer;
}

/** Layers of the same file one after another. */
function chained(parts: readonly Layer[]): Layer {
  const [first] = parts as readonly [Layer];
  const starts: number[] = [];
  let count = 0;
  for (const part of parts) {
    starts.push(count);
    count += part.count;
  }
  const at = (feature: number): readonly [Layer, number] => {
    let p = parts.length - 1;
    while (starts[p]! > feature) p--;
    return [parts[p]!, feature - starts[p]!];
  };
  const joinedColumn = (pick: (part: Layer) => Float64Array | null): Float64Array | null => {
    if (parts.every((part) => pick(part) === null)) return null;
    const columns = parts.map((part) => pick(part) ?? new Float64Array(part.geometry.xy.length / 2).fill(Number.NaN));
    return Float64Array.from(columns.flatMap((column) => [...column]));
  };
  const offsets = (pick: (part: Layer) => Uint32Array): Uint32Array => {
    const out: number[] = [0];
    for (const part of parts) {
      const base = out.at(-1)!;
      for (const value of pick(part).subarray(1)) out.push(base + value);
    }
    return Uint32Array.from(out);
  };
  return {
    ...first,
    count,
    findings: [],
    geometry: {
      kind: Uint8Array.from(parts.flatMap((part) => [...part.geometry.kind])),
      partStart: offsets((part) => part.geometry.partStart),
      ringStart: offsets((part) => part.geometry.ringStart),
      vertexStart: offsets((part) => part.geometry.vertexStart),
      xy: joinedColumn((part) => part.geometry.xy) ?? new Float64Array(),
      z: joinedColumn((part) => part.geometry.z),
      m: joinedColumn((part) => part.geometry.m),
    },
    id: (feature) => call(at(feature), (layer, row) => layer.id(row)),
    properties: (feature) => call(at(feature), (layer, row) => layer.properties(row)),
    value: (feature, field) => call(at(feature), (layer, row) => layer.value(row, field)),
    propertyBytes: (feature) => call(at(feature), (layer, row) => layer.propertyBytes(row)),
  };
}

function call<T>([layer, row]: readonly [Layer, number], use: (layer: Layer, row: number) => T): T {
  return use(layer, row);
}

/** A layer without rows, for example when no works are near the tile. */
function emptyOf(facts: ManifestInput['facts']): Layer {
  const { name, format, fields, crs, sha256 } = facts;
  const start = new Uint32Array(1);
  return {
    name,
    format,
    count: 0,
    geometry: {
      kind: new Uint8Array(),
      partStart: start,
      ringStart: start,
      vertexStart: start,
      xy: new Float64Array(),
      z: null,
      m: null,
    },
    crs,
    fields,
    findings: [],
    sha256,
    id: () => undefined,
    properties: () => ({}),
    value: () => undefined,
    propertyBytes: () => null,
  };
}

/** The bytes of a tile's ranges, checked against their hash. */
async function bytesOf(path: string, { ranges = [], sha256 }: TileInput, name: string): Promise<readonly Uint8Array[]> {
  if (ranges.length === 0) return [];
  const file = await open(path, 'r').catch(() => null);
  if (file === null) {
    throw new InputError('file-missing', `${name} does not exist`, {
      layer: name,
      cure: 'tiles read the files that were split: share their folder with every machine',
    });
  }
  try {
    const pieces: Uint8Array[] = [];
    const hash = createHash('sha256');
    for (let i = 0; i < ranges.length; i += 2) {
      const bytes = await readAt(file, ranges[i]!, ranges[i + 1]!, name);
      hash.update(bytes);
      pieces.push(bytes);
    }
    if (hash.digest('hex') !== sha256) throw changed(name);
    return pieces;
  } finally {
    await file.close();
  }
}

async function readAt(file: FileHandle, offset: number, length: number, name: string): Promise<Uint8Array> {
  const bytes = new Uint8Array(length);
  for (let at = 0; at < length; ) {
    const { bytesRead } = await file.read(bytes, at, length - at, offset + at);
    if (bytesRead === 0) throw changed(name);
    at += bytesRead;
  }
  return bytes;
}

function joined(pieces: readonly Uint8Array[], before: string, between: string, after: string): Uint8Array {
  const encoder = new TextEncoder();
  const [head, mark, tail] = [before, between, after].map((text) => encoder.encode(text)) as [
    Uint8Array,
    Uint8Array,
    Uint8Array,
  ];
  const length = pieces.reduce((sum, piece) => sum + piece.length + mark.length, head.length + tail.length);
  const out = new Uint8Array(length - (pieces.length > 0 ? mark.length : 0));
  out.set(head);
  let at = head.length;
  pieces.forEach((piece, i) => {
    if (i > 0) {
      out.set(mark, at);
      at += mark.length;
    }
    out.set(piece, at);
    at += piece.length;
  });
  out.set(tail, at);
  return out;
}

export function changed(name: string): InputError {
  return new InputError('input-changed', `${name} has changed since the job was split`, {
    layer: name,
    cure: 'restore the old content, or split the job again; while a table is being edited, split a copy of it',
  });
}
