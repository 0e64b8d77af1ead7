// Records of tiles -> tables, for a database. In: the features of a role as text, the fields that the whole job has; out: a
// table as the write stage makes it: the same values, types and shapes, read from the features that tiles wrote.
// Terms: see write/features.ts.

import {
  cast,
  type FeatureRecord,
  type Field,
  type OutGeometry,
  type Role,
  type RoleTable,
  type Value,
} from '../../write/index.js';

/** The fields of a role, settled by the split: a field's type is that of all rows. */
export interface RoleFields {
  readonly role: Role;
  readonly fields: readonly Field[];
}

type Geometry =
  | { readonly type: 'Point'; readonly coordinates: Position }
  | { readonly type: 'MultiPoint' | 'LineString'; readonly coordinates: readonly Position[] }
  | { readonly type: 'MultiLineString' | 'Polygon'; readonly coordinates: readonly (readonly Position[])[] }
  | { readonly type: 'MultiPolygon'; readonly coordinates: readonly (readonly (readonly Position[])[])[] };
type Position = readonly number[];

interface Feature {
  readonly id: string | number;
  readonly geometry: Geometry | null;
  readonly properties: Readonly<Record<string, unknown>>;
}

/** A table whose features are read one by one, from first to last each time it is gone through. */
export function tableOfRecords({ role, fields }: RoleFields, records: () => Iterable<Uint8Array>): RoleTable {
  function* features(): Generator<FeatureRecord> {
    for (const bytes of records()) {
      const text = Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength).toString('utf8');
      const feature = JSON.parse(text) as Feature;
      yield {
        id: feature.id,
        geometry: feature.geometry === null ? null : shapeOf(feature.geometry),
        values: fields.map((field, i) => cellOf(field, i, feature, text, role)),
      };
    }
  }
  return {
    role,
    fields,
    features,
    *rows() {
      for (const { values } of features()) yield values;
    },
  };
}

/** The field that tables have for the id beside the properties (see write/fields.ts). */
const ID_FIELD = /^(source_)*feature_id$/;

function cellOf({ name, type, own }: Field, i: number, feature: Feature, text: string, role: Role): Value {
  const { id, properties } = feature;
  const isThere = Object.hasOwn(properties, name);
  if (!own) return isThere ? (properties[name] as Value) : null;
  if (i === 0 && !isThere && ID_FIELD.test(name)) {
    // Features that had none were given one of ours.
    return typeof id === 'string' && id.startsWith(`${role}:`) ? null : cast(id, type);
  }
  const value = isThere ? properties[name] : undefined;
  const isLong = type === 'integer' && typeof value === 'number' && !Number.isSafeInteger(value);
  return cast(isLong ? exact(text, name, value) : value, type);
}

/** Whole numbers beyond 2^53, which JSON.parse rounds, by their digits. */
function exact(text: string, name: string, rounded: number): number | bigint {
  const key = `${JSON.stringify(name)}:`;
  const digits = /^\s*(-?\d+)/.exec(text.slice(text.lastIndexOf(key) + key.length))?.[1];
  return digits === undefined ? rounded : BigInt(digits);
}

function shapeOf(geometry: Geometry): OutGeometry {
  switch (geometry.type) {
    case 'Point':
      return { type: 'Point', parts: [[flat([geometry.coordinates])]] };
    case 'MultiPoint':
      return { type: 'MultiPoint', parts: geometry.coordinates.map((point) => [flat([point])]) };
    case 'LineString':
      return { type: 'LineString', parts: [[flat(geometry.coordinates)]] };
    case 'MultiLineString':
      return { type: 'MultiLineString', parts: geometry.coordinates.map((line) => [flat(line)]) };
    case 'Polygon':
      return { type: 'Polygon', parts: [geometry.coordinates.map(flat)] };
    case 'MultiPolygon':
      return { type: 'MultiPolygon', parts: geometry.coordinates.map((rings) => rings.map(flat)) };
  }
}

function flat(positions: readonly Position[]): Float64Array {
  return Float64Array.from(positions.flat());
}
