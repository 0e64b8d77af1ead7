// The inputs of a job, as the manifest lists them. In: a job's paths and the layers read from them; out: per input how tiles
// read it, and per tile and input which rows, where they stand and what they are called.
// Terms: see manifest.ts.

import { createHash } from 'node:crypto';
import { open } from 'node:fs/promises';
import { joinedRanges, type LayerFacts, runsOf } from '../../split.js';
import type { Layer, LayerRole, Names } from '../../types.js';
import { type FileReadOptions, hashOfInput } from '../files.js';
import { type Located, locate } from './locate.js';
import type { ManifestInput, TileBox, TileInput } from './manifest.js';
import { partLayer } from './tile-layers.js';

/** One input while a job is split. */
export interface SplitInput {
  readonly role: LayerRole;
  readonly path: string;
  readonly layer: Layer;
  readonly options: FileReadOptions;
  /** What a row of it is called in the whole job; null where the layer names none. */
  readonly keyOf: ((row: number) => string) | null;
  readonly located: Located;
  readonly sha256: string;
}

export async function inputOf(
  role: LayerRole,
  path: string,
  layer: Layer,
  options: FileReadOptions,
  keyOf: SplitInput['keyOf'],
): Promise<SplitInput> {
  const sha256 = layer.sha256 ?? (await hashOfInput(path));
  return { role, path, layer, options, keyOf, sha256, located: await locate(path, layer, options) };
}

/** Keys of a table's rows from `base` on. */
export function keysFrom(keys: Names, base: number): (row: number) => string {
  return (row) => keys.at(base + row) ?? '';
}

export function factsOf(layer: Layer): LayerFacts {
  const { name, format, count, fields, crs, unit = null, geometry, sha256 } = layer;
  return { name, format, count, fields, crs, unit, hasZ: geometry.z !== null, sha256 };
}

/** The input as the manifest has it; `path` as seen from the manifest's folder. */
export function manifestInput(input: SplitInput, path: string): ManifestInput {
  const { role, layer, located, sha256 } = input;
  const head = located.read === 'ranges' ? located.head : undefined;
  return {
    role,
    path,
    sha256,
    rows: layer.count,
    read: located.read,
    facts: factsOf(layer),
    ...(head === undefined ? {} : { head }),
  };
}

/** A tile's part of an input; `apart` are rows far from the others, which get boxes of their own. */
export async function tileInput(input: SplitInput, rows: Uint32Array, apart: ReadonlySet<number>): Promise<TileInput> {
  const { located, keyOf } = input;
  const base = { rows: runsOf(rows), keys: keyOf === null ? null : Array.from(rows, keyOf) };
  if (located.read === 'whole') return base;
  if (located.read === 'box') return { ...base, boxes: boxesFor(input.layer, rows, apart) };
  const ranges = joinedRanges(rows, located.ranges.start, located.ranges.end);
  return { ...base, ranges, sha256: await hashOfRanges(input.path, ranges) };
}

/** Whether a part reads as the whole does: tried on one tile, before a format's promise is relied upon. */
export async function readsAlike(input: SplitInput, part: TileInput, rows: Uint32Array): Promise<boolean> {
  if (input.located.read === 'whole') return true;
  const { layer: whole } = input;
  try {
    const read = await partLayer(input.path, manifestInput(input, input.path), part, input.options);
    return rows.every((row, i) => sameRow(whole, row, read, i));
  } catch {
    return false;
  }
}

function sameRow(whole: Layer, row: number, part: Layer, i: number): boolean {
  return (
    whole.id(row) === part.id(i) &&
    whole.geometry.kind[row] === part.geometry.kind[i] &&
    JSON.stringify(whole.properties(row)) === JSON.stringify(part.properties(i)) &&
    JSON.stringify(verticesOf(whole, row)) === JSON.stringify(verticesOf(part, i))
  );
}

function verticesOf({ geometry: g }: Layer, row: number): number[] {
  const at = (r: number): number => g.vertexStart[g.ringStart[g.partStart[r] as number] as number] as number;
  return [...g.xy.subarray(at(row) * 2, at(row + 1) * 2)];
}

/** The boxes a tile asks an indexed file for, with all rows that meet each. */
function boxesFor(layer: Layer, rows: Uint32Array, apart: ReadonlySet<number>): TileBox[] {
  const groups = [
    rows.filter((row) => !apart.has(row)),
    ...[...rows].filter((row) => apart.has(row)).map((row) => [row]),
  ];
  return groups
    .filter((group) => group.length > 0)
    .map((group) => {
      const box: [number, number, number, number] = [Infinity, Infinity, -Infinity, -Infinity];
      for (const row of group) {
        const own = nativeBox(layer, row);
        for (const side of [0, 1] as const) {
          box[side] = Math.min(box[side], own[side]);
          box[(side + 2) as 2 | 3] = Math.max(box[(side + 2) as 2 | 3], own[(side + 2) as 2 | 3]);
        }
      }
      const found: number[] = [];
      for (let row = 0; row < layer.count; row++) {
        const [w, s, e, n] = nativeBox(layer, row);
        if (w <= box[2] && e >= box[0] && s <= box[3] && n >= box[1]) found.push(row);
      }
      return { box, found: runsOf(found) };
    });
}

function nativeBox(layer: Layer, row: number): [number, number, number, number] {
  const box: [number, number, number, number] = [Infinity, Infinity, -Infinity, -Infinity];
  const xy = verticesOf(layer, row);
  for (let i = 0; i < xy.length; i += 2) {
    const [x, y] = [xy[i] as number, xy[i + 1] as number];
    box[0] = Math.min(box[0], x);
    box[1] = Math.min(box[1], y);
    box[2] = Math.max(box[2], x);
    box[3] = Math.max(box[3], y);
  }
  return box;
}

async function hashOfRanges(path: string, ranges: readonly number[]): Promise<string> {
  const hash = createHash('sha256');
  if (ranges.length === 0) return hash.digest('hex');
  const file = await open(path, 'r');
  try {
    for (let i = 0; i < ranges.length; i += 2) {
      const bytes = new Uint8Array(ranges[i + 1] as number);
      await file.read(bytes, 0, bytes.length, ranges[i] as number);
      hash.update(bytes);
    }
  } finally {
    await file.close();
  }
  return hash.digest('hex');
}
