// Several tables -> one. In: the tables of the roles; out: one table with every field of theirs, null where a role has none.
// Terms: for formats with one table per file; `rb_role` distinguishes the rows. Types that differ become text.

import type { Field, FieldType, RoleTable, Value } from '../../write/index.js';

/** A table of several roles: `role` is not the role of a single one. */
export type UnionTable = Pick<RoleTable, 'fields' | 'features'>;

/** One table stays itself. */
export function unionOf(tables: readonly RoleTable[]): UnionTable {
  const [first] = tables;
  if (tables.length === 1 && first !== undefined) return first;
  const byName = new Map<string, Field>();
  for (const field of tables.flatMap((table) => table.fields)) {
    const known = byName.get(field.name);
    byName.set(field.name, known === undefined ? field : { ...known, type: common(known.type, field.type) });
  }
  const fields = [...byName.values()];
  return {
    fields,
    *features() {
      for (const table of tables) {
        const at = fields.map((field) => table.fields.findIndex((own) => own.name === field.name));
        for (const { id, geometry, values } of table.features()) {
          const row = at.map((i, k): Value => (i < 0 ? null : as(values[i] ?? null, fields[k]?.type ?? 'text')));
          yield { id, geometry, values: row };
        }
      }
    },
  };
}

function common(a: FieldType, b: FieldType): FieldType {
  if (a === b) return a;
  const numbers = (t: FieldType): boolean => t === 'integer' || t === 'real';
  return numbers(a) && numbers(b) ? 'real' : 'text';
}

function as(value: Value, type: FieldType): Value {
  if (value === null || type !== 'text') return typeof value === 'bigint' && type === 'real' ? Number(value) : value;
  return typeof value === 'string' ? value : String(value);
}
