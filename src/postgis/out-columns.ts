// Fields of a table -> columns of PostgreSQL. In: a role's table; out: names that fit, unlike in any case, with types, and which
// of them had to change. Terms: fit = at most 63 bytes; longer names would be cut silently.

import type { FieldType, RoleTable } from '../write/index.js';

export const TYPES: Readonly<Record<FieldType, string>> = {
  text: 'text',
  integer: 'bigint',
  real: 'double precision',
  boolean: 'boolean',
};

const MOST_BYTES = 63;

/** Names the table needs itself, and those of the server's own columns. */
const RESERVED = ['fid', 'geom', 'tableoid', 'ctid', 'xmin', 'xmax', 'cmin', 'cmax', 'oid'];

export interface OutColumns {
  readonly columns: readonly { readonly column: string; readonly type: FieldType }[];
  /** Column -> the field's full name. */
  readonly renamed: ReadonlyMap<string, string>;
}

/** A name that is taken or too long gets a number at its end. */
export function columnsOf({ fields }: Pick<RoleTable, 'fields'>): OutColumns {
  const taken = new Set(RESERVED);
  const renamed = new Map<string, string>();
  const columns = fields.map(({ name, type }) => {
    const plain = name.replaceAll('\0', '\uFFFD');
    let column = plain === '' ? 'field' : cut(plain, MOST_BYTES);
    for (let n = 2; taken.has(column.toLowerCase()); n++) {
      const end = `_${n}`;
      column = cut(plain, MOST_BYTES - end.length) + end;
    }
    taken.add(column.toLowerCase());
    if (column !== name) renamed.set(column, name);
    return { column, type };
  });
  return { columns, renamed };
}

/** The first characters that fit into so many bytes, none of them halved. */
function cut(text: string, bytes: number): string {
  let kept = '';
  let size = 0;
  for (const character of text) {
    size += Buffer.byteLength(character);
    if (size > bytes) break;
    kept += character;
  }
  return kept;
}
