// GeoPackage -> Layer, in Node. In: a path or bytes, and which table; out: its features, read-only.
// Terms: see read/geopackage.ts, which asks the database that is opened here.
// better-sqlite3 is an optional peer, loaded when the first GeoPackage is read.

import { Buffer } from 'node:buffer';
import { open, readFile, stat } from 'node:fs/promises';
import type Sqlite from 'better-sqlite3';
import type { Layer } from '../../model/index.js';
import {
  brokenGeoPackage,
  peer,
  type Query,
  readFeatureTable,
  type TableReadOptions,
  withoutWriteAhead,
} from '../../read/index.js';

/** Pages held while a box is read: its rows are spread over the file, and on a network each page takes time. */
const CACHE_KIB = 64 * 1024;

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
export async function readGeoPackage(source: string | Uint8Array, options: TableReadOptions): Promise<Layer> {
  const module = await peer('better-sqlite3', 'GeoPackage', options.name, () => import('better-sqlite3'));
  let db: Sqlite.Database | undefined;
  try {
    db = await openReadOnly(module.default, source);
    return readFeatureTable(queryOf(db), options);
  } catch (error) {
    if (!(error instanceof module.default.SqliteError)) throw error;
    throw brokenGeoPackage(options.name, error.message);
  } finally {
    db?.close();
  }
}

/** What a GeoPackage that `assess` wrote says of how it was made; undefined for any other. */
export async function readGeoPackageProvenance(source: string, name: string): Promise<unknown> {
  const module = await peer('better-sqlite3', 'GeoPackage', name, () => import('better-sqlite3'));
  let db: Sqlite.Database | undefined;
  try {
    db = await openReadOnly(module.default, source);
    const found = db.prepare("SELECT json FROM rootberth WHERE name = 'provenance'").get() as { json?: unknown };
    return typeof found?.json === 'string' ? JSON.parse(found.json) : undefined;
  } catch (error) {
    if (error instanceof module.default.SqliteError || error instanceof SyntaxError) return undefined; // no such table
    throw error;
  } finally {
    db?.close();
  }
}

function queryOf(db: Sqlite.Database): Query {
  return (sql, ...values) =>
    db
      .prepare(sql)
      .safeIntegers(true)
      .iterate(...values) as IterableIterator<Record<string, unknown>>;
}

async function openReadOnly(Database: typeof Sqlite, source: string | Uint8Array): Promise<Sqlite.Database> {
  if (typeof source === 'string' && !(await isQuietWal(source))) {
    const db = new Database(source, { readonly: true, fileMustExist: true });
    db.pragma(`cache_size = -${CACHE_KIB}`);
    return db;
  }
  const bytes = Buffer.from(typeof source === 'string' ? await readFile(source) : source); // a copy: it is changed
  return new Database(withoutWriteAhead(bytes));
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
