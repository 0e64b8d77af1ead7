// GeoPackage -> Layer, whichever engine opens the database. In: a way to ask it, and which table; out: its features.
// Terms: feature table = a table with a geometry column, listed in gpkg_geometry_columns (OGC 12-128r18, clause 2.1.5);
// query = a question in SQL to the open database.

import type { CrsStatement, Layer } from '../model/index.js';
import { finding, InputError, LayerBuilder } from '../model/index.js';
import { quotedName } from '../text/index.js';
import { base64 } from './base64.js';
import { type Box, boxesMeet, outsideBox } from './box.js';
import { layerCure } from './layer-cure.js';
import type { ReadOptions } from './options.js';
import { readWkb } from './wkb.js';

/** Rows of a statement, as they come: integers as bigint, blobs as bytes, nothing as null. */
export type Query = (
  sql: string,
  ...values: readonly (string | number)[]
) => Iterable<Readonly<Record<string, unknown>>>;

interface FeatureTable {
  readonly name: string;
  readonly column: string;
  readonly srsId: number;
}

/** `isPart`: nobody asks how many features lie outside the box; counting them reads the whole table. */
export type TableReadOptions = ReadOptions & { readonly isPart?: boolean };

/**
 * Reads one feature table, in order of its primary key, which stays a property.
 *
 * @param options `bbox` keeps the features whose box meets it, found by the table's R-tree where it has one
 * @throws InputError `gpkg-broken`, `gpkg-empty` (no feature table), `layer-several` (lists them), `layer-missing`
 */
export function readFeatureTable(query: Query, options: TableReadOptions): Layer {
  const table = choose(query, featureTables(query, options.name), options);
  const into = new LayerBuilder(options.name, 'geopackage');
  const info = [...query(`PRAGMA table_info(${quotedName(table.name)})`)];
  const key = info.find((column) => column.pk === 1n)?.name as string | undefined;
  const booleans = new Set(info.filter(({ type }) => /^bool/i.test(String(type))).map(({ name }) => String(name)));
  const path = `column "${table.column}"`;
  const order = key === undefined ? '' : ` ORDER BY ${quotedName(key)}`;
  const { bbox } = options;
  const near = bbox === undefined || key === undefined ? '' : nearBox(query, table, key, bbox);
  for (const row of query(`SELECT * FROM ${quotedName(table.name)}${near}${order}`)) {
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
  if (bbox !== undefined && options.isPart !== true) {
    const all = Number(first(query(`SELECT count(*) AS n FROM ${quotedName(table.name)}`))?.n);
    into.findings.push(...outsideBox(options.name, bbox, into.count, all));
  }
  return into.finish({ crs: crsOf(query, table.srsId), sha256: options.sha256 ?? null });
}

/**
 * The names of the feature tables, in the order in which the file lists them.
 *
 * @throws InputError `gpkg-broken`, `gpkg-empty`
 */
export function featureTableNames(query: Query, file: string): readonly string[] {
  return featureTables(query, file).map(({ name }) => name);
}

/** An engine's error about a file that it can't read, as one of ours. */
export function brokenGeoPackage(file: string, why: string): InputError {
  return new InputError('gpkg-broken', `${file} can't be read: ${why}`, {
    layer: file,
    cure: 'copy or download it again; close any other program that has it open',
  });
}

/**
 * The bytes of a database as an engine can open them in memory, where none can be in write-ahead mode: the pages are the
 * same (SQLite file format, 1.3). The two bytes that state the mode are changed in place.
 */
export function withoutWriteAhead<T extends Uint8Array>(bytes: T): T {
  if (bytes[18] === 2) bytes[18] = 1;
  if (bytes[19] === 2) bytes[19] = 1;
  return bytes;
}

function featureTables(query: Query, file: string): readonly FeatureTable[] {
  if (first(query("SELECT 1 AS there FROM sqlite_master WHERE name = 'gpkg_geometry_columns'")) === undefined) {
    throw new InputError('gpkg-broken', `${file} is a database, but not a GeoPackage`, {
      layer: file,
      cure: 'export the layer as GeoPackage or GeoJSON',
    });
  }
  const rows = [
    ...query(
      'SELECT table_name AS name, column_name AS "column", srs_id AS srsId FROM gpkg_geometry_columns ORDER BY rowid',
    ),
  ];
  if (rows.length > 0) {
    return rows.map((row) => ({ name: String(row.name), column: String(row.column), srsId: Number(row.srsId) }));
  }
  throw new InputError('gpkg-empty', `${file} holds no feature table`, {
    layer: file,
    cure: 'it may hold pictures (tiles) only: ask for the points and lines',
  });
}

function choose(query: Query, tables: readonly FeatureTable[], options: ReadOptions): FeatureTable {
  const choices = tables.map((table) => table.name);
  const where = { layer: options.name, cure: layerCure(choices, options.role), choices };
  if (options.layer === undefined) {
    if (tables.length === 1) return tables[0]!;
    const held = tables.map((table) => `${table.name} (${heldIn(query, table)})`).join(', ');
    throw new InputError('layer-several', `${options.name} holds ${tables.length} layers: ${held}`, where);
  }
  const wanted = options.layer;
  const found =
    tables.find((table) => table.name === wanted) ??
    tables.find((table) => table.name.toLowerCase() === wanted.toLowerCase());
  if (found !== undefined) return found;
  throw new InputError('layer-missing', `${options.name} holds no layer called ${JSON.stringify(wanted)}`, where);
}

/** How many features a table has, and the shape it states for them: `12 point`. */
function heldIn(query: Query, { name, column }: FeatureTable): string {
  const count = Number(first(query(`SELECT count(*) AS n FROM ${quotedName(name)}`))?.n);
  const row = first(
    query(
      'SELECT geometry_type_name AS shape FROM gpkg_geometry_columns WHERE table_name = ? AND column_name = ?',
      name,
      column,
    ),
  );
  return `${count} ${String(row?.shape ?? 'geometry').toLowerCase()}`;
}

/**
 * What narrows a query to the rows near a box: the table's R-tree where it has one (OGC 12-128r18, annex F.3), whose
 * boxes are those of the geometries rounded outwards; '' where there is none.
 */
function nearBox(query: Query, table: FeatureTable, key: string, box: Box): string {
  const index = `rtree_${table.name}_${table.column}`;
  const there = first(query('SELECT 1 AS there FROM sqlite_master WHERE lower(name) = lower(?)', index));
  if (there === undefined || !box.every(Number.isFinite)) return '';
  const [west, south, east, north] = box;
  return ` WHERE ${quotedName(key)} IN (SELECT id FROM ${quotedName(index)} WHERE maxx >= ${west} AND minx <= ${east} AND maxy >= ${south} AND miny <= ${north})`;
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
  return value instanceof Uint8Array ? base64(value) : value;
}

/** Organization and code where it is EPSG, else the definition as WKT; 0 and -1 stand for "not known". */
function crsOf(query: Query, srsId: number): CrsStatement | null {
  if (srsId === 0 || srsId === -1) return null;
  const row = first(
    query(
      'SELECT organization AS org, organization_coordsys_id AS code, definition FROM gpkg_spatial_ref_sys WHERE srs_id = ?',
      srsId,
    ),
  );
  if (row === undefined) return null;
  if (/^epsg$/i.test(String(row.org))) return { from: 'file', text: `EPSG:${row.code}` };
  const text = String(row.definition ?? '').trim();
  return text === '' || /^undefined$/i.test(text) ? null : { from: 'file', text };
}

function first(rows: Iterable<Readonly<Record<string, unknown>>>): Readonly<Record<string, unknown>> | undefined {
  for (const row of rows) return row;
  return undefined;
}

/** Bytes of the envelope by its code: none, xy, xyz, xym, xyzm. */
const ENVELOPE_BYTES: readonly number[] = [0, 32, 48, 48, 64];

/** Reads one blob; a blob that is not a geometry leaves a broken feature and a finding. */
function readGeoPackageBlob(blob: Uint8Array, into: LayerBuilder, path: string): void {
  const cure = 'export the layer again from the program it comes from';
  if (blob.length < 8 || blob[0] !== 0x47 || blob[1] !== 0x50) {
    into.begin('broken');
    into.abandon(path, 'the geometry is not a GeoPackage geometry', cure);
    return;
  }
  const flags = blob[3]!;
  const envelope = ENVELOPE_BYTES[(flags >> 1) & 7];
  if (envelope === undefined || (flags & 0x20) !== 0) {
    into.begin('broken');
    const message = envelope === undefined ? 'the geometry has a broken header' : 'the geometry is of an extended type';
    into.abandon(path, message, cure);
    return;
  }
  into.begin('broken');
  readWkb(blob, 8 + envelope, into, path);
}
