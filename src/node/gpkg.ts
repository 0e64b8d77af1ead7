// GeoPackage -> Layer. In: a path or bytes, and which table; out: its features, read-only.
// Terms: feature table = a table with a geometry column, listed in gpkg_geometry_columns (OGC 12-128r18, clause 2.1.5).
// better-sqlite3 is an optional peer, loaded when the first GeoPackage is read.

import { Buffer } from 'node:buffer';
import { open, readFile, stat } from 'node:fs/promises';
import type Sqlite from 'better-sqlite3';
import { finding, InputError } from '../findings.js';
import { LayerBuilder } from '../layer.js';
import { type ReadOptions, readGeoPackageBlob } from '../read.js';
import type { CrsStatement, Layer } from '../types.js';
import { type Box, boxesMeet, outsideBox } from './box.js';
import { peer } from './peer.js';

interface FeatureTable {
  readonly name: string;
  readonly column: string;
  readonly srsId: number;
}

/**
 * Reads one feature table, in order of its primary key, which stays a property.
 *
 * @param source a path, or the whole file's bytes
 * @param options `bbox` keeps the features whose box meets it, found by the table's R-tree where it has one
 * @throws InputError `peer-missing`, `gpkg-broken`, `gpkg-empty` (no feature table), `layer-several` (lists them),
 *   `layer-missing`
 * @example
 * const layer = await readGeoPackage('survey.gpkg', { name: 'survey.gpkg', layer: 'trees' });
 */
export async function readGeoPackage(source: string | Uint8Array, options: ReadOptions): Promise<Layer> {
  const module = await peer('better-sqlite3', 'GeoPackage', options.name, () => import('better-sqlite3'));
  let db: Sqlite.Database | undefined;
  try {
    db = await openReadOnly(module.default, source);
    const table = choose(featureTables(db, options.name), options);
    return readTable(db, table, options);
  } catch (error) {
    if (!(error instanceof module.default.SqliteError)) throw error;
    throw new InputError('gpkg-broken', `${options.name} can't be read: ${error.message}`, {
      layer: options.name,
      cure: 'copy or download it again; close any other program that has it open',
    });
  } finally {
    db?.close();
  }
}

async function openReadOnly(Database: typeof Sqlite, source: string | Uint8Array): Promise<Sqlite.Database> {
  if (typeof source === 'string' && !(await isQuietWal(source))) {
    return new Database(source, { readonly: true, fileMustExist: true });
  }
  const bytes = Buffer.from(typeof source === 'string' ? await readFile(source) : source); // a copy: it is changed
  // A database in memory can't be in write-ahead mode; its pages are the same (SQLite file format, 1.3).
  if (bytes[18] === 2) bytes[18] = 1;
  if (bytes[19] === 2) bytes[19] = 1;
  return new Database(bytes);
}

/**
 * A database in write-ahead mode without pending writes: opening it in place would leave files beside it, even
 * read-only, so it is read into memory. With pending writes (a -wal file that is not empty) it has to be opened in place.
 */
async function isQuietWal(path: string): Promise<boolean> {
  const file = await open(path, 'r');
  const head = new Uint8Array(20);
  try {
    await file.read(head, 0, 20, 0);
  } finally {
    await file.close();
  }
  if (head[18] !== 2) return false;
  const pending = await stat(`${path}-wal`).catch(() => undefined);
  return pending === undefined || pending.size === 0;
}

function featureTables(db: Sqlite.Database, name: string): readonly FeatureTable[] {
  const known = db.prepare("SELECT 1 FROM sqlite_master WHERE name = 'gpkg_geometry_columns'").get();
  if (known === undefined) {
    throw new InputError('gpkg-broken', `${name} is a database, but no GeoPackage`, {
      layer: name,
      cure: 'export the layer as GeoPackage or GeoJSON',
    });
  }
  const rows = db
    .prepare(
      'SELECT table_name AS name, column_name AS "column", srs_id AS srsId FROM gpkg_geometry_columns ORDER BY rowid',
    )
    .all() as FeatureTable[];
  if (rows.length > 0) return rows;
  throw new InputError('gpkg-empty', `${name} holds no feature table`, {
    layer: name,
    cure: 'it may hold pictures (tiles) only: ask for the points and lines',
  });
}

function choose(tables: readonly FeatureTable[], options: ReadOptions): FeatureTable {
  const names = tables.map((table) => table.name).join(', ');
  const where = { layer: options.name, cure: `choose one with --layer: ${names}` };
  if (options.layer === undefined) {
    if (tables.length === 1) return tables[0] as FeatureTable;
    throw new InputError('layer-several', `${options.name} holds ${tables.length} layers: ${names}`, where);
  }
  const wanted = options.layer;
  const found =
    tables.find((table) => table.name === wanted) ??
    tables.find((table) => table.name.toLowerCase() === wanted.toLowerCase());
  if (found !== undefined) return found;
  throw new InputError('layer-missing', `${options.name} holds no layer called ${JSON.stringify(wanted)}`, where);
}

function readTable(db: Sqlite.Database, table: FeatureTable, options: ReadOptions): Layer {
  const into = new LayerBuilder(options.name, 'geopackage');
  const info = db.pragma(`table_info(${quoted(table.name)})`) as { name: string; type: string; pk: number }[];
  const key = info.find((column) => column.pk === 1)?.name;
  const booleans = new Set(info.filter((column) => /^bool/i.test(column.type)).map((column) => column.name));
  const path = `column "${table.column}"`;
  const order = key === undefined ? '' : ` ORDER BY ${quoted(key)}`;
  const { bbox } = options;
  const near = bbox === undefined || key === undefined ? '' : nearBox(db, table, key, bbox);
  const rows = db
    .prepare(`SELECT * FROM ${quoted(table.name)}${near}${order}`)
    .safeIntegers(true)
    .iterate();
  for (const row of rows as IterableIterator<Record<string, unknown>>) {
    const geometry = row[table.column];
    if (bbox !== undefined && (geometry === null || geometry === undefined)) continue;
    const told = into.findings.length;
    if (geometry instanceof Uint8Array) readGeoPackageBlob(geometry, into, path);
    else noGeometry(geometry, into, path);
    // By the geometry itself: envelopes in front of it are optional and not always right. A damaged one is kept.
    const damaged = into.findings[told]?.code === 'geometry-broken';
    if (bbox !== undefined && !damaged && !boxesMeet(into.openBox(), bbox)) {
      into.restart();
      into.findings.length = told;
      continue;
    }
    const properties: Record<string, unknown> = {};
    for (const [name, value] of Object.entries(row)) {
      if (name !== table.column && name !== '__proto__') properties[name] = plain(value, booleans.has(name));
    }
    into.end(properties);
  }
  if (bbox !== undefined) {
    const all = db.prepare(`SELECT count(*) AS n FROM ${quoted(table.name)}`).get() as { n: number };
    into.findings.push(...outsideBox(options.name, bbox, into.count, all.n));
  }
  return into.finish({ crs: crsOf(db, table.srsId), sha256: options.sha256 ?? null });
}

/**
 * What narrows a query to the rows near a box: the table's R-tree where it has one (OGC 12-128r18, annex F.3), whose
 * boxes are those of the geometries rounded outwards; '' where there is none.
 */
function nearBox(db: Sqlite.Database, table: FeatureTable, key: string, box: Box): string {
  const index = `rtree_${table.name}_${table.column}`;
  const there = db.prepare('SELECT 1 FROM sqlite_master WHERE lower(name) = lower(?)').get(index);
  if (there === undefined || !box.every(Number.isFinite)) return '';
  const [west, south, east, north] = box;
  return ` WHERE ${quoted(key)} IN (SELECT id FROM ${quoted(index)} WHERE maxx >= ${west} AND minx <= ${east} AND maxy >= ${south} AND miny <= ${north})`;
}

function noGeometry(value: unknown, into: LayerBuilder, path: string): void {
  if (value !== null && value !== undefined) {
    into.begin('broken');
    into.abandon(path, 'the geometry column holds no geometry', 'give the feature its geometry again');
    return;
  }
  into.begin('none');
  into.findings.push(
    finding(
      'geometry-null',
      { layer: into.name, feature: into.count, path },
      'the feature has no geometry',
      'give it one, or delete it',
    ),
  );
}

/** A value as JSON can hold it: large integers as text, so that no digit is lost; blobs in base 64. */
function plain(value: unknown, boolean: boolean): unknown {
  if (typeof value === 'bigint') {
    if (boolean) return value !== 0n;
    return value >= Number.MIN_SAFE_INTEGER && value <= Number.MAX_SAFE_INTEGER ? Number(value) : String(value);
  }
  return value instanceof Uint8Array ? Buffer.from(value).toString('base64') : value;
}

/** Organization and code where it is EPSG, else the definition as WKT; 0 and -1 stand for "not known". */
function crsOf(db: Sqlite.Database, srsId: number): CrsStatement | null {
  if (srsId === 0 || srsId === -1) return null;
  const row = db
    .prepare(
      'SELECT organization AS org, organization_coordsys_id AS code, definition FROM gpkg_spatial_ref_sys WHERE srs_id = ?',
    )
    .get(srsId) as { org: string; code: number; definition: string } | undefined;
  if (row === undefined) return null;
  if (/^epsg$/i.test(row.org)) return { from: 'file', text: `EPSG:${row.code}` };
  const text = row.definition.trim();
  return text === '' || /^undefined$/i.test(text) ? null : { from: 'file', text };
}

function quoted(name: string): string {
  return `"${name.replaceAll('"', '""')}"`;
}
