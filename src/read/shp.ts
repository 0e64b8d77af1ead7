// Main file of a shapefile (.shp) -> its records. In: bytes of .shp and .shx; out: where each record lies and whether
// it can be read; then shapes in blocks, parsed by shpjs. (ESRI Shapefile Technical Description, July 1998.)
// Terms: record = one shape; word = two bytes; ordinates = the arrays of Z and M that follow the positions.

import { parseShp } from 'shpjs';
import { InputError } from '../findings.js';

/** Shape families and the plain code that shpjs reads their positions by. Polygons are read as their raw rings. */
const FAMILIES = { point: 1, polyline: 3, polygon: 3, multipoint: 8 } as const;
export type ShapeFamily = keyof typeof FAMILIES;

/** Shape code -> family and whether Z and M may follow (1x: Z and M; 2x: M only). */
const SHAPES: Readonly<Record<number, { family: ShapeFamily; z: boolean; m: boolean }>> = {
  1: { family: 'point', z: false, m: false },
  3: { family: 'polyline', z: false, m: false },
  5: { family: 'polygon', z: false, m: false },
  8: { family: 'multipoint', z: false, m: false },
  11: { family: 'point', z: true, m: true },
  13: { family: 'polyline', z: true, m: true },
  15: { family: 'polygon', z: true, m: true },
  18: { family: 'multipoint', z: true, m: true },
  21: { family: 'point', z: false, m: true },
  23: { family: 'polyline', z: false, m: true },
  25: { family: 'polygon', z: false, m: true },
  28: { family: 'multipoint', z: false, m: true },
};

/** One record: where its content lies, or why it has no shape. */
export interface ShpRecord {
  readonly at: number; // of the content, behind the record header
  readonly length: number; // of the content, bytes
  readonly state: 'shape' | 'null' | 'broken';
  readonly problem: string; // '' unless broken
}

export interface ShpFile {
  readonly view: DataView;
  readonly family: ShapeFamily;
  readonly z: boolean;
  readonly m: boolean;
  readonly records: readonly ShpRecord[];
  /** The .shx was left aside because it disagrees with the .shp. */
  readonly indexIgnored: boolean;
}

/**
 * Opens a .shp and finds its records.
 *
 * @throws InputError `shp-broken` (no shapefile), `shp-type` (a shape family that is not read), `shp-truncated`
 */
export function openShp(shp: Uint8Array, shx: Uint8Array | undefined, layer: string): ShpFile {
  const view = new DataView(shp.buffer, shp.byteOffset, shp.byteLength);
  if (shp.length < 100) throw truncated(layer, `it has ${shp.length} bytes, its header alone has 100`);
  if (view.getInt32(0) !== 9994) {
    throw new InputError('shp-broken', `${layer} is no shapefile: its first number is not 9994`, {
      layer,
      cure: 'give the .shp itself, or export the layer again',
    });
  }
  const stated = view.getInt32(24) * 2;
  if (stated > shp.length) throw truncated(layer, `its header says ${stated} bytes, it has ${shp.length}`);
  const code = view.getInt32(32, true);
  const shape = code === 0 ? { family: 'point' as const, z: false, m: false } : SHAPES[code];
  if (shape === undefined) {
    throw new InputError('shp-type', `${layer} holds shapes of type ${code}, which are not read`, {
      layer,
      cure: 'export it as points, lines or polygons (multipatch: as polygons)',
    });
  }
  const indexed = shx === undefined ? undefined : indexedStarts(view, shx, layer);
  const starts = indexed ?? sequentialStarts(view, stated, layer);
  const records = starts.map((at) => inspect(view, at + 8, view.getInt32(at + 4) * 2, code));
  return { view, ...shape, records, indexIgnored: shx !== undefined && indexed === undefined };
}

function truncated(layer: string, detail: string): InputError {
  return new InputError('shp-truncated', `${layer} is cut off: ${detail}`, {
    layer,
    cure: 'copy, download or export the .shp again: records are missing',
  });
}

/** Record starts as the index has them; undefined when the index does not match the records it points at. */
function indexedStarts(view: DataView, shx: Uint8Array, layer: string): number[] | undefined {
  const index = new DataView(shx.buffer, shx.byteOffset, shx.byteLength);
  if (shx.length < 100 || (shx.length - 100) % 8 !== 0 || index.getInt32(0) !== 9994) return undefined;
  const starts: number[] = [];
  for (let at = 100; at < shx.length; at += 8) {
    const start = index.getInt32(at) * 2;
    const length = index.getInt32(at + 4) * 2;
    if (start < 100 || length < 0) return undefined;
    if (start + 8 + length > view.byteLength) {
      throw truncated(
        layer,
        `its index (.shx) lists ${(shx.length - 100) / 8} records, number ${starts.length + 1} lies beyond its end`,
      );
    }
    if (view.getInt32(start + 4) * 2 !== length) return undefined;
    starts.push(start);
  }
  return starts;
}

/**
 * Record starts found by going from one to the next. Some writers leave the header's length too small, so records
 * that number on behind it are taken as well; what is no such record there ends the walk.
 */
function sequentialStarts(view: DataView, stated: number, layer: string): number[] {
  const starts: number[] = [];
  for (let at = 100; at < view.byteLength; ) {
    const length = at + 8 <= view.byteLength ? view.getInt32(at + 4) * 2 : -1;
    const complete = length >= 0 && at + 8 + length <= view.byteLength;
    if (at >= stated && !(complete && view.getInt32(at) === starts.length + 1)) break;
    if (!complete) throw truncated(layer, `record ${starts.length + 1} is not complete`);
    starts.push(at);
    at += 8 + length;
  }
  return starts;
}

/** Looks at a record before it is parsed, so that one bad record can't stop the others. */
function inspect(view: DataView, at: number, length: number, code: number): ShpRecord {
  const is = (state: ShpRecord['state'], problem = ''): ShpRecord => ({ at, length, state, problem });
  const type = length < 4 ? 0 : view.getInt32(at, true);
  if (type === 0) return is('null');
  if (type !== code) return is('broken', `it is of shape type ${type} in a file of type ${code}`);
  const shape = SHAPES[code];
  if (shape === undefined) return is('null');
  if (shape.family === 'point') return length < (shape.z ? 28 : 20) ? is('broken', 'it is too short') : is('shape');
  const parted = shape.family !== 'multipoint';
  if (length < (parted ? 44 : 40)) return is('broken', 'it is too short');
  const parts = parted ? view.getInt32(at + 36, true) : 0;
  const points = view.getInt32(at + (parted ? 40 : 36), true);
  if (parts < 0 || points < 0) return is('broken', `it counts ${parts} parts and ${points} points`);
  const needed = (parted ? 44 + 4 * parts : 40) + points * 16 + (shape.z ? 16 + 8 * points : 0);
  if (needed > length) return is('broken', `its ${points} points need ${needed} bytes, it has ${length}`);
  if (points === 0 || (parted && parts === 0)) return is('null');
  for (let i = 0, last = 0; i < parts; i++) {
    const start = view.getInt32(at + 44 + 4 * i, true);
    if (i === 0 ? start !== 0 : start < last || start > points)
      return is('broken', `part ${i + 1} starts at point ${start} of ${points}`);
    last = start;
  }
  return is('shape');
}

/** How many bytes of records are handed over at a time: memory stays small whatever the file's size. */
const BLOCK_BYTES = 1 << 20;

/** Shapes with their record numbers; polygons as lists of raw rings. */
export function* shapes(file: ShpFile): Generator<{ index: number; geometry: import('geojson').Geometry | null }> {
  const { records, view } = file;
  for (let next = 0; next < records.length; ) {
    const block: number[] = [];
    let size = 100;
    for (; next < records.length && (block.length === 0 || size < BLOCK_BYTES); next++) {
      const record = records[next] as ShpRecord;
      if (record.state !== 'shape') continue;
      block.push(next);
      size += 8 + record.length;
    }
    if (block.length === 0) return;
    const bytes = new Uint8Array(size);
    const out = new DataView(bytes.buffer);
    out.setInt32(32, FAMILIES[file.family], true);
    let at = 100;
    for (const index of block) {
      const record = records[index] as ShpRecord;
      bytes.set(new Uint8Array(view.buffer, view.byteOffset + record.at - 8, record.length + 8), at);
      at += record.length + 8;
    }
    const parsed = parseShp(out);
    for (let i = 0; i < block.length; i++) yield { index: block[i] as number, geometry: parsed[i] ?? null };
  }
}

/** Values below -1e38 mean "no data" (Technical Description, p. 2). */
const NO_DATA = -1e38;

/** Reads the Z and M of a record's vertices, by vertex number within the record; NaN where absent. */
export function ordinatesOf(
  file: ShpFile,
  record: ShpRecord,
): { z(vertex: number): number; m(vertex: number): number } {
  const { view, family } = file;
  let points = 1;
  let zAt = record.at + 20;
  let mAt = zAt + (file.z ? 8 : 0);
  if (family !== 'point') {
    const parted = family !== 'multipoint';
    points = view.getInt32(record.at + (parted ? 40 : 36), true);
    const block = record.at + (parted ? 44 + 4 * view.getInt32(record.at + 36, true) : 40) + 16 * points;
    zAt = block + 16; // behind the range
    mAt = block + (file.z ? 16 + 8 * points : 0) + 16;
  }
  const hasM = file.m && mAt + 8 * points <= record.at + record.length; // M is optional, told by the length alone
  const value = (at: number): number => {
    const v = view.getFloat64(at, true);
    return v > NO_DATA && Number.isFinite(v) ? v : Number.NaN;
  };
  return {
    z: (vertex) => (file.z ? value(zAt + 8 * vertex) : Number.NaN),
    m: (vertex) => (hasM ? value(mAt + 8 * vertex) : Number.NaN),
  };
}
