// A table by its name. In: SCHEMA.TABLE or SCHEMA.TABLE.COLUMN as SQL writes names; out: what the catalogue knows about it.
// Terms: geometry column = one of PostGIS's types; order = by what its rows come in the same order each time; home = the schema
// that PostGIS lives in. Names from outside go to the server as values, names from the catalogue into SQL in quotes.

import { InputError } from '../model/index.js';
import { quotedName } from '../text/index.js';
import type { Row, Session } from './database.js';

export interface TableName {
  readonly schema: string | null;
  readonly table: string;
  readonly column: string | null;
}

export interface FoundTable {
  readonly name: string; // schema.table, for people
  readonly from: string; // the same for SQL
  readonly home: string; // "public", for SQL
  readonly column: string; // of the geometry
  readonly isGeography: boolean;
  readonly srid: number; // as the column is declared; 0: its rows decide
  readonly properties: readonly { readonly name: string; readonly isPlain: boolean }[];
  readonly order: string; // for SQL
  readonly rows: number; // about so many; 0: not known
}

const PREFIX = /^postgis:/i;

/** Whether a path names a table: `postgis:survey.trees`. */
export function isTable(path: string): boolean {
  return PREFIX.test(path);
}

/**
 * Takes a name apart. Parts that hold dots, quotes or spaces at their ends stand in double quotes, quotes in them doubled.
 *
 * @throws InputError `table-name` (usage)
 * @example
 * parseName('postgis:survey."Trees.2026"'); // { schema: 'survey', table: 'Trees.2026', column: null }
 */
export function parseName(text: string): TableName {
  const rest = text.replace(PREFIX, '');
  const part = /^(?:"((?:[^"]|"")+)"|([^."]+))(?:\.|$)/;
  const parts: string[] = [];
  let at = 0;
  while (at < rest.length) {
    const match = part.exec(rest.slice(at));
    if (match === null) break;
    parts.push(match[1]?.replaceAll('""', '"') ?? match[2]!);
    at += match[0].length;
  }
  const [first, second, third] = parts;
  if (first === undefined || at < rest.length || rest.endsWith('.') || parts.length > 3 || rest.includes('\0')) {
    throw new InputError('table-name', `${JSON.stringify(text)} names no table`, {
      cure: 'write postgis:SCHEMA.TABLE, or postgis:SCHEMA.TABLE.COLUMN; put parts with dots or quotes in double quotes',
      usage: true,
    });
  }
  if (second === undefined) return { schema: null, table: first, column: null };
  return { schema: first, table: second, column: third ?? null };
}

/** The schema PostGIS is installed in, quoted. */
export async function homeOf(session: Session, about: string): Promise<string> {
  const [row] = await session.rows(
    "SELECT n.nspname FROM pg_extension e JOIN pg_namespace n ON n.oid = e.extnamespace WHERE e.extname = 'postgis'",
  );
  if (row !== undefined) return quotedName(row[0]!);
  throw new InputError('postgis-missing', `${about}: the database has no PostGIS`, {
    layer: about,
    cure: 'ask its owner to run CREATE EXTENSION postgis, and check that this is the right database',
  });
}

/**
 * Looks a table, view or foreign table up: its name as written first, then in any case.
 *
 * @throws InputError `postgis-missing`, `table-missing`, `table-several`, `geometry-column-missing`,
 *   `geometry-column-several`
 */
export async function findTable(session: Session, asked: TableName): Promise<FoundTable> {
  const about = asked.schema === null ? asked.table : `${asked.schema}.${asked.table}`;
  const home = await homeOf(session, about);
  const [oid, schema, table, kind, rows] = await relationOf(session, asked, about);
  const name = `${schema}.${table}`;
  const columns = await session.rows(
    `SELECT a.attname, t.typname, a.atttypmod, t.typcategory
     FROM pg_attribute a JOIN pg_type t ON t.oid = a.atttypid
     WHERE a.attrelid = $1 AND a.attnum > 0 AND NOT a.attisdropped ORDER BY a.attnum`,
    [oid],
  );
  const [column = '', type, typmod] = geometryOf(columns, asked.column, name);
  const [srid] = await session.rows(`SELECT ${home}.postgis_typmod_srid($1::int)`, [typmod]);
  const isGeography = type === 'geography';
  return {
    name,
    from: `${quotedName(schema ?? '')}.${quotedName(table ?? '')}`,
    home,
    column: column ?? '',
    isGeography,
    srid: isGeography && typmod === '-1' ? 4326 : Number(srid?.[0] ?? 0),
    properties: columns
      .filter(([own]) => own !== column)
      .map(([own, , , category]) => ({ name: own ?? '', isPlain: 'NSBDTE'.includes(category ?? '') })),
    order: await orderOf(session, oid ?? '', kind ?? ''),
    rows: Math.max(0, Number(rows)),
  };
}

async function relationOf(session: Session, { schema, table }: TableName, about: string): Promise<Row> {
  const found = await session.rows(
    `SELECT c.oid, n.nspname, c.relname, c.relkind, c.reltuples
     FROM pg_class c JOIN pg_namespace n ON n.oid = c.relnamespace
     WHERE c.relkind IN ('r', 'p', 'v', 'm', 'f') AND lower(c.relname) = lower($1)
       AND CASE WHEN $2::text IS NULL THEN pg_table_is_visible(c.oid) ELSE lower(n.nspname) = lower($2) END
     ORDER BY 2, 3`,
    [table, schema],
  );
  const exact = found.find(([, inSchema, name]) => name === table && (schema === null || inSchema === schema));
  const chosen = exact ?? (found.length === 1 ? found[0] : undefined);
  if (chosen !== undefined) return chosen;
  const names = found.map(([, inSchema, name]) => `${quotedName(inSchema ?? '')}.${quotedName(name ?? '')}`).join(', ');
  if (names !== '') {
    throw new InputError('table-several', `${about} may be any of ${names}`, {
      layer: about,
      cure: 'write schema and table exactly as they are, in double quotes',
    });
  }
  const others = await session.rows(
    `SELECT DISTINCT n.nspname || '.' || c.relname FROM pg_attribute a JOIN pg_type t ON t.oid = a.atttypid
       JOIN pg_class c ON c.oid = a.attrelid JOIN pg_namespace n ON n.oid = c.relnamespace
     WHERE t.typname IN ('geometry', 'geography') AND c.relkind IN ('r', 'p', 'v', 'm', 'f') AND NOT a.attisdropped
     ORDER BY 1 LIMIT 12`,
  );
  const list = others.map(([name]) => name).join(', ');
  throw new InputError('table-missing', `there is no table or view called ${about}`, {
    layer: about,
    cure: list === '' ? 'check the name and the database' : `check the name; with geometry there are: ${list}`,
  });
}

function geometryOf(columns: readonly Row[], asked: string | null, name: string): Row {
  const found = columns.filter(([, type]) => type === 'geometry' || type === 'geography');
  const list = found.map(([column]) => column).join(', ');
  const one = asked === null ? found : found.filter(([column]) => column === asked);
  const [only] = one;
  if (only !== undefined && one.length === 1) return only;
  if (found.length === 0) {
    throw new InputError('geometry-column-missing', `${name} has no geometry column`, {
      layer: name,
      cure: 'give it one (ALTER TABLE ... ADD COLUMN geom geometry(Point, SRID)), or name another table or a view',
    });
  }
  if (asked !== null) {
    throw new InputError('geometry-column-missing', `${name} has no geometry column called ${JSON.stringify(asked)}`, {
      layer: name,
      path: asked,
      cure: `its geometry columns are: ${list}`,
    });
  }
  throw new InputError('geometry-column-several', `${name} has ${found.length} geometry columns: ${list}`, {
    layer: name,
    cure: `name one: postgis:${name}.${found[0]?.[0]}`,
  });
}

/** By the primary key; without one, by where the rows are stored; for a view, by the whole content of a row. */
async function orderOf(session: Session, oid: string, kind: string): Promise<string> {
  const key = await session.rows(
    `SELECT a.attname FROM pg_index i CROSS JOIN unnest(i.indkey) WITH ORDINALITY k(attnum, n)
       JOIN pg_attribute a ON a.attrelid = i.indrelid AND a.attnum = k.attnum
     WHERE i.indrelid = $1 AND i.indisprimary ORDER BY k.n`,
    [oid],
  );
  if (key.length > 0) return key.map(([column]) => `t.${quotedName(column ?? '')}`).join(', ');
  return kind === 'v' || kind === 'f' ? 't::text COLLATE "C"' : 't.tableoid, t.ctid';
}
