// Own properties of layers -> fields of a table. In: the layers of one role and our prefix; out: names, types, and the
// values of each row. Terms: own = as read; clash = an own name that begins with our prefix (see own.ts): the same new
// name is given here. A table has one type per field where a source may mix them: the narrowest that holds all values;
// "12.50" among numbers is the number 12.5.

import type { Layer, Properties } from '../model/index.js';
import { jsonText } from './json.js';

/** A value of a table; structures come as JSON text, NaN and the infinities as null. */
export type Value = string | number | bigint | boolean | null;

export type FieldType = 'text' | 'integer' | 'real' | 'boolean';

export interface Field {
  readonly name: string;
  readonly type: FieldType;
  /** A property of the source; false: one of ours. */
  readonly own: boolean;
}

export interface OwnFields {
  readonly fields: readonly Field[];
  values(layer: number, row: number): Value[];
}

/** Looks through every row once. A field that is blank in all rows is text. */
export function ownFields(layers: readonly Layer[], prefix: string, ours: readonly string[]): OwnFields {
  const names = [...new Set(layers.flatMap((layer) => layer.fields))];
  const types = names.map((): Seen => null);
  let idType: Seen = null;
  for (const layer of layers) {
    for (let row = 0; row < layer.count; row++) {
      const properties = layer.properties(row);
      names.forEach((name, i) => {
        types[i] = widened(types[i] ?? null, own(properties, name));
      });
      const id = layer.id(row);
      if (id !== undefined) idType = widened(idType, id);
    }
  }
  const taken = new Set([...ours, ...names]);
  const fields = names.map(
    (name, i): Field => ({ name: freeName(name, prefix, taken), type: settled(types[i] ?? null), own: true }),
  );
  // The id a feature has beside its properties (GeoJSON) would be lost in a table; it gets a field of its own.
  const idField =
    idType === null ? null : { name: unused('feature_id', taken), type: settled(idType as Seen), own: true };
  const all = idField === null ? fields : [idField, ...fields];
  return {
    fields: all,
    values(layer, row) {
      const source = layers[layer];
      if (source === undefined) return all.map(() => null);
      const properties = source.properties(row);
      const values = names.map((name, i) => cast(own(properties, name), fields[i]?.type ?? 'text'));
      return idField === null ? values : [cast(source.id(row), idField.type), ...values];
    },
  };
}

function own(properties: Properties, name: string): unknown {
  return Object.hasOwn(properties, name) ? properties[name] : undefined;
}

/** As own.ts renames: `source_` in front of what begins with our prefix, until the name is free. */
function freeName(name: string, prefix: string, taken: Set<string>): string {
  return name.startsWith(prefix) ? unused(`source_${name}`, taken) : name;
}

function unused(name: string, taken: Set<string>): string {
  let free = name;
  while (taken.has(free)) free = `source_${free}`;
  taken.add(free);
  return free;
}

const INT64 = 2n ** 63n;

/** What was seen of a field so far: `decimal` is text such as "12.50", which is a number where numbers stand beside it. */
type Seen = FieldType | 'decimal' | null;

const DECIMAL = /^-?(0|[1-9]\d*)(\.\d+)?$/; // "007" is a code, not a number

function settled(seen: Seen): FieldType {
  return seen === null || seen === 'decimal' ? 'text' : seen;
}

function seenAs(value: unknown): Seen {
  switch (typeof value) {
    case 'boolean':
      return 'boolean';
    case 'number':
      return Number.isFinite(value)
        ? Number.isSafeInteger(value) && !Object.is(value, -0)
          ? 'integer'
          : 'real'
        : null;
    case 'bigint':
      return value < INT64 && value >= -INT64 ? 'integer' : 'text';
    case 'string':
      return value.length <= 15 && DECIMAL.test(value) ? 'decimal' : 'text';
    default:
      return value === null || typeof value !== 'object' ? null : 'text';
  }
}

function widened(seen: Seen, value: unknown): Seen {
  if (seen === 'text') return seen;
  const next = seenAs(value);
  if (next === null || next === seen) return seen;
  if (seen === null) return next;
  return seen === 'boolean' || next === 'boolean' || next === 'text' ? 'text' : 'real';
}

/** A property as a value of its field's type. */
export function cast(value: unknown, type: FieldType): Value {
  if (typeof value === 'string') return type === 'real' ? Number(value) : value;
  if (typeof value === 'number') return Number.isFinite(value) ? (type === 'text' ? String(value) : value) : null;
  if (typeof value === 'bigint') return type === 'integer' ? value : type === 'real' ? Number(value) : value.toString();
  if (typeof value === 'boolean') return type === 'text' ? String(value) : value;
  return value === null || typeof value !== 'object' ? null : jsonText(value);
}
