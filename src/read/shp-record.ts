// One record of a .shp. In: its bytes and the file's shape type; out: whether it holds a shape, and its Z and M.
// Terms: record = one shape; ordinates = the arrays of Z and M that follow the positions; code = number of a shape type.
// (ESRI Shapefile Technical Description, July 1998.)

import { int32le } from './source.js';

export type ShapeFamily = 'point' | 'polyline' | 'polygon' | 'multipoint';

export interface ShapeType {
  readonly family: ShapeFamily;
  readonly z: boolean;
  readonly m: boolean;
}

/** Shape code -> family and whether Z and M may follow (1x: Z and M; 2x: M only). */
export const SHAPE_TYPES: Readonly<Record<number, ShapeType>> = {
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

export interface RecordState {
  readonly state: 'shape' | 'null' | 'broken';
  readonly problem: string; // '' unless broken
}

const SHAPE: RecordState = { state: 'shape', problem: '' };
const NULL: RecordState = { state: 'null', problem: '' };
const broken = (problem: string): RecordState => ({ state: 'broken', problem });

/** Looks at a record's content before it is parsed, so that one bad record can't stop the others. */
export function inspect(content: Uint8Array, code: number): RecordState {
  const length = content.length;
  const type = length < 4 ? 0 : int32le(content, 0);
  if (type === 0) return NULL;
  if (type !== code) return broken(`it is of shape type ${type} in a file of type ${code}`);
  const shape = SHAPE_TYPES[code];
  if (shape === undefined) return NULL;
  if (shape.family === 'point') return length < (shape.z ? 28 : 20) ? broken('it is too short') : SHAPE;
  const parted = shape.family !== 'multipoint';
  if (length < (parted ? 44 : 40)) return broken('it is too short');
  const parts = parted ? int32le(content, 36) : 0;
  const points = int32le(content, parted ? 40 : 36);
  if (parts < 0 || points < 0) return broken(`it states ${parts} parts and ${points} points`);
  const needed = (parted ? 44 + 4 * parts : 40) + points * 16 + (shape.z ? 16 + 8 * points : 0);
  if (needed > length) return broken(`its ${points} points need ${needed} bytes, it has ${length}`);
  if (points === 0 || (parted && parts === 0)) return NULL;
  for (let i = 0, last = 0; i < parts; i++) {
    const start = int32le(content, 44 + 4 * i);
    if (i === 0 ? start !== 0 : start < last || start > points) {
      return broken(`part ${i + 1} starts at point ${start} of ${points}`);
    }
    last = start;
  }
  return SHAPE;
}

/** Z and M of a record's vertices, by vertex number within the record; NaN where absent. */
export interface Ordinates {
  z(vertex: number): number;
  m(vertex: number): number;
}

const NEITHER: Ordinates = { z: () => Number.NaN, m: () => Number.NaN };
/** Values below -1e38 mean "no data" (Technical Description, p. 2). */
const NO_DATA = -1e38;

/** The ordinates of a record whose content lies in `view` from `at` on. */
export function ordinatesOf(view: DataView, at: number, length: number, shape: ShapeType): Ordinates {
  if (!shape.z && !shape.m) return NEITHER;
  let points = 1;
  let zAt = at + 20;
  let mAt = zAt + (shape.z ? 8 : 0);
  if (shape.family !== 'point') {
    const parted = shape.family !== 'multipoint';
    points = view.getInt32(at + (parted ? 40 : 36), true);
    const block = at + (parted ? 44 + 4 * view.getInt32(at + 36, true) : 40) + 16 * points;
    zAt = block + 16; // behind the range
    mAt = block + (shape.z ? 16 + 8 * points : 0) + 16;
  }
  const hasM = shape.m && mAt + 8 * points <= at + length; // M is optional; only the length shows it
  const value = (place: number): number => {
    const v = view.getFloat64(place, true);
    return v > NO_DATA && Number.isFinite(v) ? v : Number.NaN;
  };
  return {
    z: (vertex) => (shape.z ? value(zAt + 8 * vertex) : Number.NaN),
    m: (vertex) => (hasM ? value(mAt + 8 * vertex) : Number.NaN),
  };
}
