// Main file of a shapefile (.shp) -> its records. In: sources of .shp and .shx; out: where each record starts; then
// shapes in blocks, parsed by shpjs. (ESRI Shapefile Technical Description, July 1998.)
// Terms: record = one shape; word = two bytes; start = place of a record's header in the file.

import { parseShp } from 'shpjs';
import { FloatColumn } from '../geometry/index.js';
import { InputError } from '../model/index.js';
import { inspect, type Ordinates, ordinatesOf, SHAPE_TYPES, type ShapeFamily, type ShapeType } from './shp-record.js';
import { salvagedStarts } from './shp-salvage.js';
import { type ByteSource, int32, int32le } from './source.js';

/** The plain code that shpjs reads the positions of a family by. Polygons are read as their raw rings. */
const FAMILIES: Readonly<Record<ShapeFamily, number>> = { point: 1, polyline: 3, polygon: 3, multipoint: 8 };

/** Start of a record that is known to have existed and is lost. */
export const LOST: number = -1;

export interface ShpFile extends ShapeType {
  readonly source: ByteSource;
  readonly code: number;
  /** Place of each record's header, LOST where there is none (salvage only). */
  readonly starts: Float64Array;
  /** How the parts disagree, in words; empty when they agree. */
  readonly disagreements: readonly string[];
  /**
   * The file was cut off or damaged and was read up to the damage; `countKnown`: the original number of records is known.
   */
  readonly salvaged: { readonly countKnown: boolean } | null;
}

export interface ShpOptions {
  readonly layer: string;
  /** Records of the .dbf, when there is one. */
  readonly rows?: number | undefined;
  readonly salvage?: boolean | undefined;
}

/**
 * Opens a .shp and finds its records.
 *
 * @throws InputError `shp-broken` (no shapefile), `shp-type` (a shape family that is not read), `shp-truncated`
 *   (cut off; with `salvage` only when the header itself is)
 */
export function openShp(source: ByteSource, shx: ByteSource | undefined, options: ShpOptions): ShpFile {
  const { layer } = options;
  const head = source.at(0, 100).slice();
  if (head.length < 100) throw truncated(layer, `it has ${head.length} bytes, its header alone has 100`);
  if (int32(head, 0) !== 9994) {
    throw new InputError('shp-broken', `${layer} is not a shapefile: its first number is not 9994`, {
      layer,
      cure: 'give the .shp itself, or export the layer again',
    });
  }
  const code = int32le(head, 32);
  const shape = code === 0 ? { family: 'point' as const, z: false, m: false } : SHAPE_TYPES[code];
  if (shape === undefined) {
    throw new InputError('shp-type', `${layer} holds shapes of type ${code}, which are not read`, {
      layer,
      cure: 'export it as points, lines or polygons (multipatch: as polygons)',
    });
  }
  const stated = int32(head, 24) * 2;
  try {
    const found = soundStarts(source, shx, stated, options);
    const counts = [options.rows, shx === undefined ? undefined : Math.floor((shx.size - 100) / 8)];
    // With --salvage: a walk that ends in order, but with a number of records that neither other source has, went wrong.
    const doubted = options.salvage === true && counts.every((n) => n !== undefined && n !== found.starts.length);
    if (!doubted) return { source, code, ...shape, ...found, salvaged: null };
  } catch (error) {
    if (options.salvage !== true || !(error instanceof InputError)) throw error;
  }
  const { starts, countKnown } = salvagedStarts(source, shx, code, rowsBelieved(options.rows, stated));
  return { source, code, ...shape, starts, disagreements: [], salvaged: { countKnown } };
}

/** A count in a damaged table's header may be anything; it is trusted when the .shp had room for that many. */
function rowsBelieved(rows: number | undefined, stated: number): number {
  return rows !== undefined && rows <= (stated - 100) / 12 ? rows : 0;
}

function truncated(layer: string, detail: string): InputError {
  return new InputError('shp-truncated', `${layer} is cut off or damaged: ${detail}`, {
    layer,
    cure: 'copy, download or export the .shp again: records are missing; --salvage reads what is left',
  });
}

/** The starts by index or by going from one record to the next, and how the two differ. */
function soundStarts(
  source: ByteSource,
  shx: ByteSource | undefined,
  stated: number,
  options: ShpOptions,
): { starts: Float64Array; disagreements: string[] } {
  const { layer } = options;
  if (stated > source.size) throw truncated(layer, `its header says ${stated} bytes, it has ${source.size}`);
  const indexed = shx === undefined ? undefined : indexedStarts(source, shx, layer);
  if (indexed !== undefined && indexed.end >= stated) {
    return { starts: indexed.starts, disagreements: shortHeader(stated, indexed.end, indexed.starts.length) };
  }
  if (indexed !== undefined) {
    // The index leaves bytes unused. Edited files keep shapes that are no longer used; the table shows which ones are.
    const all = walked(() => sequentialStarts(source, stated, layer));
    const listed = indexed.starts.length;
    if (all === undefined || all.starts.length <= listed) return { starts: indexed.starts, disagreements: [] };
    const both = `the .shx lists ${listed} records, the .shp holds ${all.starts.length}`;
    return options.rows === listed
      ? { starts: indexed.starts, disagreements: [`${both}; the .dbf has ${listed} too, so those listed were read`] }
      : { starts: all.starts, disagreements: [`${both}; all ${all.starts.length} were read`] };
  }
  const { starts, end } = sequentialStarts(source, stated, layer);
  const disagreements = shx === undefined ? [] : ['the .shx does not match the .shp; the shapes were read without it'];
  return { starts, disagreements: [...disagreements, ...shortHeader(stated, end, starts.length)] };
}

function shortHeader(stated: number, end: number, count: number): string[] {
  if (end <= stated) return [];
  return [`the header of the .shp counts ${stated} bytes, its records reach to ${end}; all ${count} records were read`];
}

function walked<T>(walk: () => T): T | undefined {
  try {
    return walk();
  } catch {
    return undefined;
  }
}

/** Record starts as the index has them; undefined when the index does not match the records it points at. */
function indexedStarts(
  source: ByteSource,
  shx: ByteSource,
  layer: string,
): { starts: Float64Array; end: number } | undefined {
  if (shx.size < 100 || (shx.size - 100) % 8 !== 0 || int32(shx.at(0, 4), 0) !== 9994) return undefined;
  const count = (shx.size - 100) / 8;
  const starts = new Float64Array(count);
  let end = 100;
  for (let i = 0; i < count; i++) {
    const entry = shx.at(100 + 8 * i, 8);
    const start = int32(entry, 0) * 2;
    const length = int32(entry, 4) * 2;
    if (start < 100 || length < 0) return undefined;
    if (start + 8 + length > source.size) {
      throw truncated(layer, `its index (.shx) lists ${count} records, number ${i + 1} lies beyond its end`);
    }
    if (int32(source.at(start, 8), 4) * 2 !== length) return undefined;
    starts[i] = start;
    end = Math.max(end, start + 8 + length);
  }
  return { starts, end };
}

/**
 * Record starts found by going from one to the next. Some writers leave the header's length too small, so records
 * with the next numbers after it are read as well; anything else there ends the walk.
 */
function sequentialStarts(source: ByteSource, stated: number, layer: string): { starts: Float64Array; end: number } {
  const starts = new FloatColumn();
  let at = 100;
  while (at < source.size) {
    const head = source.at(at, 8);
    const length = head.length === 8 ? int32(head, 4) * 2 : -1;
    const complete = length >= 0 && at + 8 + length <= source.size;
    if (at >= stated && !(complete && int32(head, 0) === starts.length + 1)) break;
    if (!complete) throw truncated(layer, `record ${starts.length + 1} is not complete`);
    starts.push(at);
    at += 8 + length;
  }
  return { starts: starts.take(), end: at };
}

/** How many bytes of records are handed over at a time: memory stays small whatever the file's size. */
const BLOCK_BYTES = 1 << 20;

/** One record as parsed; its ordinates are valid until the next is asked for. */
export interface ShpShape {
  readonly index: number;
  readonly state: 'shape' | 'null' | 'broken' | 'lost';
  readonly problem: string;
  readonly geometry: import('geojson').Geometry | null;
  readonly ordinates: Ordinates | null;
}

interface Pending {
  readonly index: number;
  readonly state: ShpShape['state'];
  readonly problem: string;
  readonly content: Uint8Array | null;
}

/** Every record, in order; polygons as lists of raw rings. */
export function* shapes(file: ShpFile): Generator<ShpShape> {
  for (let next = 0; next < file.starts.length; ) {
    const block: Pending[] = [];
    let size = 100;
    for (; next < file.starts.length && size < BLOCK_BYTES && block.length < 65_536; next++) {
      const record = recordAt(file, next);
      if (record.content !== null) size += 8 + record.content.length;
      block.push(record);
    }
    yield* parsed(file, block, size);
  }
}

function recordAt(file: ShpFile, index: number): Pending {
  const start = file.starts[index]!;
  if (start === LOST) return { index, state: 'lost', problem: '', content: null };
  const length = int32(file.source.at(start, 8), 4) * 2;
  const content = file.source.at(start + 8, length);
  const { state, problem } = inspect(content, file.code);
  return { index, state, problem, content: state === 'shape' ? content.slice() : null };
}

function* parsed(file: ShpFile, block: readonly Pending[], size: number): Generator<ShpShape> {
  const bytes = new Uint8Array(size);
  const view = new DataView(bytes.buffer);
  view.setInt32(32, FAMILIES[file.family], true);
  const places: number[] = [];
  let at = 100;
  for (const { content } of block) {
    places.push(at + 8);
    if (content === null) continue;
    view.setInt32(at + 4, content.length / 2);
    bytes.set(content, at + 8);
    at += 8 + content.length;
  }
  const geometries = at === 100 ? [] : parseShp(view);
  let shape = 0;
  for (let i = 0; i < block.length; i++) {
    const { index, state, problem, content } = block[i]!;
    const geometry = content === null ? null : (geometries[shape++] ?? null);
    const ordinates = content === null ? null : ordinatesOf(view, places[i]!, content.length, file);
    yield { index, state, problem, geometry, ordinates };
  }
}
