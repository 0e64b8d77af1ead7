// Assessment -> tables of PostGIS, one per role, and one with what was done. In: an assessment, a name; out: SCHEMA.NAME_tree,
// SCHEMA.NAME_zone and so on. One transaction: readers see the old tables or the new ones, never a part.
// Terms: staging = a table of another name that takes the old one's place at the end; ours = a table whose comment begins with
// our name: no other is ever replaced. Columns are those of every other format, typed, with a row number `fid` as key.

import { randomBytes } from 'node:crypto';
import type { Assessment, Crs } from '../model/index.js';
import { type Finding, InputError, VERSION } from '../model/index.js';
import { quotedName } from '../text/index.js';
import {
  type OutGeometry,
  type Plan,
  promoted,
  provenance,
  ROLES,
  type RoleTable,
  tablesOf,
  wkb,
} from '../write/index.js';
import { type Database, type Session, withSession } from './database.js';
import { homeOf, parseName } from './find-table.js';
import { columnsOf, TYPES } from './out-columns.js';

/** What to write and where. */
export interface TableWriting {
  readonly database?: Database | undefined;
  readonly plan: Plan;
  /** EPSG code of the output's coordinates, 4326 for lon/lat; null: it has none. */
  readonly epsg: number | null;
  readonly crs: Crs | null;
  /** false: figures only, without a geometry column. */
  readonly geometry?: boolean | undefined;
}

interface Target {
  readonly schema: string;
  readonly name: string; // of the result; its tables add the role
}

/** Rows sent at a time: as many as fit, at most. */
const BATCH_ROWS = 500;
const BATCH_CHARACTERS = 4 << 20;
const OURS = 'rootberth ';

/**
 * Writes the tables of an assessment in place of those of an earlier run under the same name.
 *
 * @param into `SCHEMA.NAME`, with or without `postgis:`; NAME alone goes to the user's own schema (public, mostly)
 * @returns the tables' names, and the findings of drawing
 * @throws InputError of `withSession`; `table-name` (usage), `schema-missing`, `table-not-ours`, `table-in-use`, `srid-missing`
 */
export async function writeTables(
  into: string,
  assessment: Assessment,
  writing: TableWriting,
): Promise<{ readonly files: readonly string[]; readonly findings: readonly Finding[] }> {
  return putTables(into, writing, () => {
    const { tables, findings } = tablesOf(assessment, writing.plan);
    return { tables, findings, job: provenance(assessment, writing.plan) };
  });
}

/** Tables of a result, from wherever they come. */
export interface MadeTables {
  readonly tables: readonly RoleTable[];
  /** Asked for when the tables have been gone through. */
  readonly findings: () => readonly Finding[];
  /** The JSON of `NAME_job`, in pieces. */
  readonly job: Iterable<string>;
}

/** Writes tables as `writeTables` does; `make` is called after the place for them has been checked. */
export async function putTables(
  into: string,
  writing: Omit<TableWriting, 'plan'>,
  make: () => MadeTables,
): Promise<{ readonly files: readonly string[]; readonly findings: readonly Finding[] }> {
  const name = parseName(into);
  if (name.column !== null) throw tooLong(into);
  return withSession(writing.database, 'READ WRITE', into, async (session) => {
    const target = await targetOf(session, name.schema, name.table);
    const home = await homeOf(session, into);
    const srid = await sridOf(session, home, writing);
    await oldTables(session, target); // a table that is not ours is reported before anything is drawn
    const { tables, findings, job } = make();
    const staged = new Map<string, string>();
    for (const table of tables) {
      const staging = await fill(session, target, table, { home, srid, geometry: writing.geometry !== false });
      staged.set(nameOf(target, table.role), staging);
    }
    staged.set(nameOf(target, 'job'), await fillJob(session, target, [...job].join('')));
    await swap(session, target, staged);
    return { files: [...staged.keys()].map((table) => `${target.schema}.${table}`), findings: findings() };
  });
}

/**
 * Whether the result could be written, as far as can be known before anything is measured.
 *
 * @throws InputError as `writeTables`
 */
export async function checkTables(into: string, database: Database | undefined): Promise<void> {
  const name = parseName(into);
  if (name.column !== null) throw tooLong(into);
  await withSession(database, 'READ WRITE', into, async (session) => {
    const target = await targetOf(session, name.schema, name.table);
    await homeOf(session, into);
    await oldTables(session, target);
  });
}

function nameOf({ name }: Target, role: string): string {
  return `${name}_${role}`;
}

function tooLong(into: string): InputError {
  return new InputError('table-name', `${JSON.stringify(into)} names a column, but a result is written as tables`, {
    cure: 'write postgis:SCHEMA.NAME; the tables are called NAME_tree, NAME_zone and so on',
    usage: true,
  });
}

async function targetOf(session: Session, schema: string | null, name: string): Promise<Target> {
  const [found] = await session.rows(
    `SELECT nspname, has_schema_privilege(oid, 'CREATE') FROM pg_namespace
     WHERE nspname = coalesce($1, current_schema()) OR (nspname = lower($1) AND nspname <> $1) ORDER BY nspname = $1 DESC`,
    [schema],
  );
  const [own, mayCreate] = found ?? [];
  if (own === undefined || own === null) {
    throw new InputError(
      'schema-missing',
      `there is no schema ${schema === null ? 'of the user’s' : quotedName(schema)}`,
      {
        layer: name,
        cure: 'make it (CREATE SCHEMA), or name another',
      },
    );
  }
  if (mayCreate === 'f') {
    throw new InputError(
      'table-permission',
      `the user has no permission to make tables in the schema ${quotedName(own)}`,
      {
        layer: name,
        cure: 'have its owner GRANT CREATE on it, or write to a schema of your own',
      },
    );
  }
  // The longest name is NAME_existing; PostgreSQL cuts names at 63 bytes silently.
  if (Buffer.byteLength(name) <= 54) return { schema: own, name };
  throw new InputError('table-name', `the name ${name} is too long`, { cure: 'use at most 54 bytes', usage: true });
}

async function sridOf(
  session: Session,
  home: string,
  { epsg, crs }: Pick<TableWriting, 'epsg' | 'crs'>,
): Promise<number> {
  if (crs?.kind === 'local') return 0; // a site's own system: no place on the earth
  const [row] = await session.rows(
    `SELECT srid FROM ${home}.spatial_ref_sys WHERE upper(auth_name) = 'EPSG' AND auth_srid = $1`,
    [epsg],
  );
  if (row !== undefined) return Number(row[0]);
  throw new InputError('srid-missing', `the database does not know the system ${crs?.code ?? `EPSG:${epsg}`}`, {
    cure: 'write another with --out-crs, or have it added to spatial_ref_sys',
  });
}

interface Filling {
  readonly home: string;
  readonly srid: number;
  readonly geometry: boolean;
}

/** Fills a table of another name, with its key and its index; returns that name. */
async function fill(session: Session, { schema, name }: Target, table: RoleTable, filling: Filling): Promise<string> {
  const { home, srid, geometry } = filling;
  const mark = randomBytes(6).toString('hex');
  const staging = `rootberth_${mark}`;
  const at = `${quotedName(schema)}.${quotedName(staging)}`;
  const { columns, renamed } = columnsOf(table);
  const own = columns.map(({ column, type }) => `${quotedName(column)} ${TYPES[type]}`);
  const shape = geometry ? [`geom ${home}.geometry(Geometry, ${srid})`] : [];
  await session.rows(`CREATE TABLE ${at} (${['fid bigint NOT NULL', ...shape, ...own].join(', ')})`);
  const insert = insertInto(
    at,
    columns.map(({ type }) => TYPES[type]),
    filling,
  );
  const types = new Set<string>();
  let batch = emptyBatch(columns.length);
  let fid = 0;
  for (const record of table.features()) {
    const form = record.geometry === null || !geometry ? null : shapeOf(record.geometry);
    if (form !== null) types.add(form.type);
    const hex = form === null ? null : Buffer.from(wkb(form)).toString('hex');
    batch.add(++fid, hex, record.values);
    if (batch.rows >= BATCH_ROWS || batch.characters >= BATCH_CHARACTERS) {
      await session.rows(insert, batch.parameters(geometry));
      batch = emptyBatch(columns.length);
    }
  }
  if (batch.rows > 0) await session.rows(insert, batch.parameters(geometry));
  const [only] = types;
  if (only !== undefined && types.size === 1) {
    await session.rows(`ALTER TABLE ${at} ALTER COLUMN geom TYPE ${home}.geometry(${only}, ${srid})`);
  }
  const fitted = name.slice(0, 20).replace(/[^\w]/g, '_');
  await session.rows(`ALTER TABLE ${at} ADD CONSTRAINT "${fitted}_${table.role}_key_${mark}" PRIMARY KEY (fid)`);
  if (geometry) await session.rows(`CREATE INDEX "${fitted}_${table.role}_geom_${mark}" ON ${at} USING gist (geom)`);
  for (const [column, full] of renamed) {
    await session.rows(`COMMENT ON COLUMN ${at}.${quotedName(column)} IS ${text(`called ${full} in the source`)}`);
  }
  await session.rows(`COMMENT ON TABLE ${at} IS ${text(`${OURS}${VERSION}: role ${table.role} of ${name}`)}`);
  await session.rows(`ANALYZE ${at}`);
  return staging;
}

/** Polygons and multipolygons in one column would be of no one type: all become multi. */
function shapeOf(geometry: OutGeometry): OutGeometry {
  return geometry.type.endsWith('Polygon') ? promoted(geometry) : geometry;
}

/** One statement a batch: each column comes as an array. */
function insertInto(at: string, types: readonly string[], { home, srid, geometry }: Filling): string {
  const all = ['bigint', ...(geometry ? ['text'] : []), ...types];
  const arrays = all.map((type, i) => `$${i + 1}::${type}[]`).join(', ');
  const names = all.map((_, i) => `c${i}`);
  const shaped = geometry ? `${home}.ST_GeomFromWKB(pg_catalog.decode(c1, 'hex'), ${srid})` : 'c1';
  const list = names.map((name, i) => (i === 1 ? shaped : name)).join(', ');
  return `INSERT INTO ${at} SELECT ${list} FROM unnest(${arrays}) AS own(${names.join(', ')})`;
}

interface Batch {
  rows: number;
  characters: number;
  add(fid: number, hex: string | null, values: readonly unknown[]): void;
  parameters(geometry: boolean): unknown[];
}

function emptyBatch(width: number): Batch {
  const fids: number[] = [];
  const shapes: (string | null)[] = [];
  const columns: unknown[][] = Array.from({ length: width }, () => []);
  return {
    rows: 0,
    characters: 0,
    add(fid, hex, values) {
      fids.push(fid);
      shapes.push(hex);
      values.forEach((value, i) => {
        // A text of PostgreSQL can hold every character but this one.
        const kept = typeof value === 'string' ? value.replaceAll('\0', '\uFFFD') : value;
        columns[i]!.push(kept);
        if (typeof kept === 'string') this.characters += kept.length;
      });
      this.rows++;
      this.characters += hex?.length ?? 0;
    },
    parameters: (geometry) => [fids, ...(geometry ? [shapes] : []), ...columns],
  };
}

async function fillJob(session: Session, { schema, name }: Target, json: string): Promise<string> {
  const staging = `rootberth_${randomBytes(6).toString('hex')}`;
  const at = `${quotedName(schema)}.${quotedName(staging)}`;
  await session.rows(`CREATE TABLE ${at} (made timestamptz NOT NULL DEFAULT now(), rootberth json NOT NULL)`);
  await session.rows(`INSERT INTO ${at} (rootberth) VALUES ($1::json)`, [json]);
  await session.rows(
    `COMMENT ON TABLE ${at} IS ${text(`${OURS}${VERSION}: rule, inputs, counts and findings of ${name}`)}`,
  );
  return staging;
}

interface OldTable {
  readonly name: string;
  readonly grants: readonly string[]; // GRANT statements without the table's name: [rights, who]
}

/** The tables an earlier run left under this name, with what others were allowed to do with them. */
async function oldTables(session: Session, { schema, name }: Target): Promise<readonly OldTable[]> {
  const names = [...ROLES, 'job'].map((role) => nameOf({ schema, name }, role));
  const found = await session.rows(
    `SELECT c.relname, c.relkind, obj_description(c.oid, 'pg_class'), (
       SELECT json_agg(json_build_array(a.privilege_type, CASE a.grantee WHEN 0 THEN 'PUBLIC' ELSE quote_ident(r.rolname) END,
         a.is_grantable)) FROM aclexplode(c.relacl) a LEFT JOIN pg_roles r ON r.oid = a.grantee
       WHERE a.grantee <> c.relowner)
     FROM pg_class c JOIN pg_namespace n ON n.oid = c.relnamespace WHERE n.nspname = $1 AND c.relname = ANY($2)`,
    [schema, names],
  );
  return found.map(([table, kind, comment, grants]) => {
    if (kind !== 'r' || comment?.startsWith(OURS) !== true) {
      const message = `${schema}.${table} exists already and was not made by rootberth: it is not replaced`;
      throw new InputError('table-not-ours', message, {
        layer: table ?? '',
        cure: 'write under another name, or rename or drop that table',
      });
    }
    const list = JSON.parse(grants ?? '[]') as [right: string, who: string, passOn: boolean][];
    return {
      name: table ?? '',
      grants: list.map(([right, who, passOn]) => `${right} ON @ TO ${who}${passOn ? ' WITH GRANT OPTION' : ''}`),
    };
  });
}

/** Old tables go, new ones take their names and their grants: at the end, so that readers wait only for this. */
async function swap(session: Session, target: Target, staged: ReadonlyMap<string, string>): Promise<void> {
  const { schema, name } = target;
  // Two runs under one name: the second waits here and replaces what the first has written.
  await session.rows('SELECT pg_advisory_xact_lock(hashtextextended($1, 20))', [`${OURS}${schema}.${name}`]);
  const old = await oldTables(session, target);
  for (const table of old) await session.rows(`DROP TABLE ${quotedName(schema)}.${quotedName(table.name)}`);
  for (const [table, staging] of staged) {
    await session.rows(`ALTER TABLE ${quotedName(schema)}.${quotedName(staging)} RENAME TO ${quotedName(table)}`);
    const grants = old.find((one) => one.name === table)?.grants ?? [];
    for (const grant of grants) {
      await session.rows(`GRANT ${grant.replace('@', () => `${quotedName(schema)}.${quotedName(table)}`)}`);
    }
  }
}

/** A text literal of SQL, for places where no value can be bound. */
function text(value: string): string {
  const plain = value.replaceAll('\0', '\uFFFD');
  return `E'${plain.replaceAll('\\', '\\\\').replaceAll("'", "''")}'`;
}
