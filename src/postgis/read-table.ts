// A table of PostGIS -> Layer. In: its name, the database, perhaps a box; out: its rows as features, every other column an own
// property as the server writes it in JSON. Terms: EWKB = the geometry's bytes with its SRID, all 64 bits of every coordinate;
// cursor = the server keeps the result and hands out some rows at a time. Nothing is changed: the transaction is read-only.

import { createHash } from 'node:crypto';
import type { CrsStatement, Layer } from '../model/index.js';
import { finding, InputError, LayerBuilder } from '../model/index.js';
import { type Box, boxesMeet, readWkb } from '../read/index.js';
import { quotedName } from '../text/index.js';
import { type Database, type Row, type Session, withSession } from './database.js';
import { type FoundTable, findTable, parseName } from './find-table.js';

export interface ReadTableOptions {
  readonly database?: Database | undefined;
  /** Rows whose box meets this one: west, south, east, north in the table's own coordinates. By its spatial index. */
  readonly bbox?: Box | undefined;
  /** Where the table states no system (SRID 0), one that the caller knows: then that is not an error. */
  readonly crs?: string | undefined;
  /** What the layer is called; default: schema.table. */
  readonly name?: string | undefined;
  /** Called with the rows read, and about how many there are; an exception from it stops the reading. */
  readonly progress?: ((done: number, total: number) => void) | undefined;
}

/** Rows asked for at a time. */
const BATCH = 2000;

/**
 * Reads a table, a view or a foreign table in the order of its primary key.
 *
 * @param table `survey.trees`, or with the geometry column `survey.trees.geom`; `postgis:` in front is allowed
 * @returns the layer in the table's own coordinates; `crs` is its SRID's; `sha256` that of one line a row: EWKB in
 *   hexadecimal, a tab, the properties as JSON
 * @throws InputError of `withSession` and `findTable`; `table-srid` (SRID 0, or several)
 * @example
 * const trees = await readTable('survey.trees', { database: 'postgres://gis@localhost/town' });
 */
export async function readTable(table: string, options: ReadTableOptions = {}): Promise<Layer> {
  const asked = parseName(table);
  return withSession(options.database, 'READ ONLY', aboutOf(asked), async (session) => {
    const found = await findTable(session, asked);
    return readRows(session, found, options);
  });
}

function aboutOf({ schema, table }: ReturnType<typeof parseName>): string {
  return schema === null ? table : `${schema}.${table}`;
}

/** Rows of a table whose box meets this one; of `null` those without a place: no geometry, or an empty one. */
export type TablePart = Box | null;

/**
 * Several parts of one table, from one snapshot of it: what is written to the table meanwhile is in all of them or in none.
 *
 * @throws InputError as `readTable`
 */
export async function readTableParts(
  table: string,
  parts: readonly TablePart[],
  options: Omit<ReadTableOptions, 'bbox'>,
): Promise<readonly Layer[]> {
  const asked = parseName(table);
  return withSession(options.database, 'READ ONLY', aboutOf(asked), async (session) => {
    const found = await findTable(session, asked);
    const layers: Layer[] = [];
    for (const part of parts) layers.push(await readRows(session, found, options, part));
    return layers;
  });
}

/**
 * The hash that `readTable` gives a whole table, without taking its rows in.
 *
 * @throws InputError as `readTable`
 */
export async function hashOfTable(table: string, database: Database | undefined): Promise<string> {
  const asked = parseName(table);
  return withSession(database, 'READ ONLY', aboutOf(asked), async (session) => {
    const hash = createHash('sha256');
    for await (const row of rowsOf(session, await findTable(session, asked), undefined)) hash.update(lineOf(row));
    return hash.digest('hex');
  });
}

/** A row as it is hashed. */
function lineOf([hex = null, json = null]: Row): string {
  return `${hex ?? ''}\t${json ?? '{}'}\n`;
}

async function readRows(
  session: Session,
  found: FoundTable,
  options: ReadTableOptions,
  part: TablePart | undefined = options.bbox,
): Promise<Layer> {
  const { progress } = options;
  const bbox = part ?? undefined;
  const into = new LayerBuilder(options.name ?? found.name, 'postgis');
  for (const { name } of found.properties) into.field(name);
  const isSpaced = found.properties.some(({ isPlain }) => !isPlain);
  const hash = createHash('sha256');
  const srids = new Set<number>(found.srid === 0 ? [] : [found.srid]);
  const path = `column ${quotedName(found.column)}`;
  const encoder = new TextEncoder();
  let read = 0;
  for await (const row of rowsOf(session, found, part)) {
    const [hex = null, json] = row;
    if (++read % BATCH === 0) progress?.(read, Math.max(read, found.rows));
    if (hex === null) {
      into.begin('none');
      const message = 'the row has no geometry';
      const place = { layer: into.name, feature: into.count, path };
      into.findings.push(finding('geometry-null', place, message, 'give it one, or delete it'));
    } else {
      const bytes = Buffer.from(hex, 'hex');
      if (found.srid === 0) srids.add(sridOf(bytes));
      readWkb(bytes, 0, into, path);
    }
    // The index knows boxes with 32 bits only, rounded outwards. What has no vertices (a broken shape) is kept.
    const box = bbox === undefined ? null : into.openBox();
    if (bbox !== undefined && box !== null && !boxesMeet(box, bbox)) {
      into.restart();
      continue;
    }
    hash.update(lineOf(row));
    const own = encoder.encode(json ?? '{}');
    into.endBytes(own, 0, own.length, isSpaced);
  }
  progress?.(read, read);
  if (bbox !== undefined) {
    const message = `only rows that meet the box ${bbox.join(', ')} were read: ${into.count}`;
    into.findings.push(finding('outside-box', { layer: into.name }, message, 'leave the box (--bbox) out to read all'));
  }
  const crs = await crsOf(session, found, srids, options.crs !== undefined);
  return into.finish({ crs, sha256: hash.digest('hex') });
}

/** Rows as they come; while some are read, the server prepares the next. */
async function* rowsOf(session: Session, found: FoundTable, part: TablePart | undefined): AsyncGenerator<Row> {
  await declare(session, found, part);
  const fetch = (): Promise<readonly Row[]> => {
    const rows = session.rows(`FETCH ${BATCH} FROM rows_of_table`);
    rows.catch(() => undefined); // the caller that awaits it gets the error
    return rows;
  };
  let next = fetch();
  for (let rows = await next; rows.length > 0; rows = await next) {
    next = fetch();
    yield* rows;
  }
  await session.rows('CLOSE rows_of_table');
}

async function declare(session: Session, found: FoundTable, part: TablePart | undefined): Promise<void> {
  // JSON gets all digits of times and numbers, whatever the settings of the server and the user; the whole result is
  // wanted, so it is planned for that.
  await session.rows(
    `SELECT set_config(name, value, true) FROM (VALUES ('timezone', 'UTC'), ('datestyle', 'ISO, YMD'),
       ('intervalstyle', 'iso_8601'), ('extra_float_digits', '3'), ('bytea_output', 'hex'), ('cursor_tuple_fraction', '1')) AS own(name, value)`,
  );
  await session.rows(`DECLARE rows_of_table NO SCROLL CURSOR FOR ${selectOf(found, part)}`);
}

/** The rows of a table as SQL; exported for the test that looks at its plan. */
export function selectOf(found: FoundTable, part: TablePart | undefined): string {
  const { home, properties, isGeography } = found;
  const column = `t.${quotedName(found.column)}`;
  const geometry = isGeography ? `${column}::${home}.geometry` : column;
  const list = properties.map(({ name }) => `t.${quotedName(name)}`).join(', ');
  const json = list === '' ? "'{}'" : `(SELECT pg_catalog.row_to_json(own.*) FROM (SELECT ${list}) AS own)`;
  const near = part === undefined ? '' : whereOf(part, column, found);
  const hex = `pg_catalog.encode(${home}.ST_AsEWKB(${geometry}), 'hex')`;
  return `SELECT ${hex}, ${json} FROM ${found.from} AS t${near} ORDER BY ${found.order}`;
}

function whereOf(part: TablePart, column: string, { home, isGeography }: FoundTable): string {
  if (part === null)
    return ` WHERE ${column} IS NULL OR ${home}.ST_IsEmpty(${column}${isGeography ? `::${home}.geometry` : ''})`;
  // A box on the sphere is not a box of coordinates: geographies are all read, and those outside left out after.
  if (isGeography || !part.every(Number.isFinite)) return '';
  return ` WHERE ${column} OPERATOR(${home}.&&) ${home}.ST_MakeEnvelope(${part.join(', ')})`;
}

/** The SRID in a geometry's bytes; 0 for none. */
function sridOf(bytes: Buffer): number {
  if (bytes.length < 9) return 0;
  const isLittle = bytes[0] === 1;
  const type = isLittle ? bytes.readUInt32LE(1) : bytes.readUInt32BE(1);
  if ((type & 0x2000_0000) === 0) return 0;
  return isLittle ? bytes.readInt32LE(5) : bytes.readInt32BE(5);
}

/** What the database says about the SRID: authority and code where that is EPSG, else the definition as WKT. */
async function crsOf(
  session: Session,
  { name, column, home }: FoundTable,
  srids: ReadonlySet<number>,
  isKnown: boolean,
): Promise<CrsStatement | null> {
  const [srid, second] = srids;
  const place = { layer: name, path: column };
  if (second !== undefined) {
    const message = `${name}: column ${column} mixes coordinate systems (SRID ${[...srids].join(', ')})`;
    const cure = `convert them to one: UPDATE ... SET ${column} = ST_Transform(${column}, SRID)`;
    throw new InputError('table-srid', message, { ...place, cure });
  }
  if (srid === undefined) return null; // no geometry at all
  if (srid === 0) {
    if (isKnown) return null;
    throw new InputError('table-srid', `${name}: column ${column} has SRID 0: its coordinate system is not stated`, {
      ...place,
      cure: `state it with SELECT UpdateGeometrySRID(...), or give it for this run, such as --crs EPSG:2913`,
    });
  }
  const [row] = await session.rows(`SELECT auth_name, auth_srid, srtext FROM ${home}.spatial_ref_sys WHERE srid = $1`, [
    srid,
  ]);
  const [authority, code, text] = row ?? [];
  if (/^epsg$/i.test(authority ?? '')) return { from: 'file', text: `EPSG:${code}` };
  return (text ?? '').trim() === '' ? null : { from: 'file', text: text! };
}
