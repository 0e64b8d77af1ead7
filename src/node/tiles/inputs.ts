// The inputs of a job, as the manifest lists them. In: a job's paths and the layers read from them; out: per input how tiles
// read it, and per tile and input which rows, where they stand and what they are called.
// Terms: see manifest.ts.

import { createHash } from 'node:crypto';
import { open } from 'node:fs/promises';
import { BoxIndex } from '../../geometry/index.js';
import type { Layer, LayerRole, Names } from '../../model/index.js';
import { firstVertex } from '../../model/index.js';
import { joinedRanges, type LayerFacts, runsOf } from '../../tiles/index.js';
import { type FileReadOptions, hashOfInput } from '../read/files.js';
import { type Located, locate } from './locate.js';
import type { ManifestInput, TileBox, TileInput } from './manifest.js';
import { hashOfRows } from './row-hash.js';
import { partLayer } from './tile-layers.js';

/** One input while a job is split. */
export interface SplitInput {
  readonly role: LayerRole;
  readonly path: string;
  readonly layer: Layer;
  readonly options: FileReadOptions;
  /** Which of the file's layers, where a job takes several of them. */
  readonly within?: string | undefined;
  /** The name of each row in the whole job; null where the layer names no rows. */
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
  within?: string,
): Promise<SplitInput> {
  const sha256 = layer.sha256 ?? (await hashOfInput(path, options.database));
  const own = within === undefined ? options : { ...options, layer: within };
  return { role, path, layer, options: own, within, keyOf, sha256, located: await locate(path, layer, own) };
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
  const { role, layer, located, sha256, within } = input;
  const head = located.read === 'ranges' ? located.head : undefined;
  return {
    role,
    path,
    ...(within === undefined ? {} : { layer: within }),
    sha256,
    rows: layer.count,
    read: located.read,
    facts: factsOf(layer),
    ...(head === undefined ? {} : { head }),
  };
}

/** A tile's part of an input; `apart` are rows far from the others, which get their own boxes. */
export async function tileInput(input: SplitInput, rows: Uint32Array, apart: ReadonlySet<number>): Promise<TileInput> {
  const { located, keyOf } = input;
  const base = { rows: runsOf(rows), keys: keyOf === null ? null : Array.from(rows, keyOf) };
  if (located.read === 'whole') return base;
  if (located.read !== 'ranges') {
    return { ...base, boxes: boxesFor(input.layer, rows, apart), sha256: hashOfRows(input.layer, rows) };
  }
  const ranges = joinedRanges(rows, located.ranges.start, located.ranges.end);
  return { ...base, ranges, sha256: await hashOfRanges(input.path, ranges) };
}

/** Whether a part reads as the whole does: tried on one tile, before relying on the format. */
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
  return [...g.xy.subarray(firstVertex(g, row) * 2, firstVertex(g, row + 1) * 2)];
}

/** The boxes a tile asks an indexed file or a table for, with all rows that meet each. */
function boxesFor(layer: Layer, rows: Uint32Array, apart: ReadonlySet<number>): TileBox[] {
  const { boxes, placed, placeless, index } = nativeBoxes(layer);
  const hasPlace = (row: number): boolean => !Number.isNaN(boxes[row * 4]!);
  const groups = [
    [...rows].filter((row) => hasPlace(row) && !apart.has(row)),
    ...[...rows].filter((row) => hasPlace(row) && apart.has(row)).map((row) => [row]),
  ];
  const asked = groups
    .filter((group) => group.length > 0)
    .map((group): TileBox => {
      const box = smallestBox(boxes, group);
      const n = index.search(...box);
      const found = Uint32Array.from(index.found.subarray(0, n), (i) => placed[i]!).sort();
      return { box, found: runsOf(found) };
    });
  return rows.every(hasPlace) ? asked : [...asked, { box: null, found: runsOf(placeless) }];
}

/** The smallest box that meets those of all rows: a road that leads far away does not draw it out. */
function smallestBox(boxes: Float64Array, rows: readonly number[]): [number, number, number, number] {
  const edges: [number, number, number, number] = [Infinity, Infinity, -Infinity, -Infinity];
  for (const row of rows) {
    edges[0] = Math.min(edges[0], boxes[row * 4 + 2]!); // the least of their eastern edges
    edges[1] = Math.min(edges[1], boxes[row * 4 + 3]!);
    edges[2] = Math.max(edges[2], boxes[row * 4]!);
    edges[3] = Math.max(edges[3], boxes[row * 4 + 1]!);
  }
  const [west, south, east, north] = edges; // where all share some ground, one place of it
  // Edges that only just touch must not depend on the rounding of an index.
  const hair = Math.max(...edges.map(Math.abs)) * HAIR;
  return [Math.min(west, east) - hair, Math.min(south, north) - hair, east + hair, north + hair];
}

/** A billionth of a coordinate: millimetres, or a centimetre of degrees. */
const HAIR = 1e-9;

interface NativeBoxes {
  readonly boxes: Float64Array; // 4 per row, in the file's own coordinates; NaN of a row without a place
  readonly placed: Uint32Array; // rows
  readonly placeless: Uint32Array;
  readonly index: BoxIndex; // of the placed ones
}

const known = new WeakMap<Layer, NativeBoxes>();

/** Boxes of all rows, made once a layer. */
function nativeBoxes(layer: Layer): NativeBoxes {
  const made = known.get(layer);
  if (made !== undefined) return made;
  const { geometry: g, count } = layer;
  const boxes = new Float64Array(count * 4).fill(Number.NaN);
  const placed: number[] = [];
  const placeless: number[] = [];
  for (let row = 0; row < count; row++) {
    const isPlaced = firstVertex(g, row) < firstVertex(g, row + 1);
    (isPlaced ? placed : placeless).push(row);
    if (!isPlaced) continue;
    let [west, south, east, north] = [Infinity, Infinity, -Infinity, -Infinity];
    for (let v = firstVertex(g, row); v < firstVertex(g, row + 1); v++) {
      const [x, y] = [g.xy[v * 2]!, g.xy[v * 2 + 1]!];
      [west, east] = [Math.min(west, x), Math.max(east, x)];
      [south, north] = [Math.min(south, y), Math.max(north, y)];
    }
    boxes.set([west, south, east, north], row * 4);
  }
  const index = new BoxIndex(placeless.length === 0 ? boxes : boxes.filter((value) => !Number.isNaN(value)));
  const fresh = { boxes, placed: Uint32Array.from(placed), placeless: Uint32Array.from(placeless), index };
  known.set(layer, fresh);
  return fresh;
}

async function hashOfRanges(path: string, ranges: readonly number[]): Promise<string> {
  const hash = createHash('sha256');
  if (ranges.length === 0) return hash.digest('hex');
  const file = await open(path, 'r');
  try {
    for (let i = 0; i < ranges.length; i += 2) {
      const bytes = new Uint8Array(ranges[i + 1]!);
      await file.read(bytes, 0, bytes.length, ranges[i]!);
      hash.update(bytes);
    }
  } finally {
    await file.close();
  }
  return hash.digest('hex');
}
