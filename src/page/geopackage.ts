// GeoPackage -> Layer in a browser: loaded when the first one comes. In: its bytes; out: one feature table, and the names of
// all. Terms: engine = SQLite as WebAssembly (sql.js), a file of this page; see src/read/geopackage.ts, which the command line
// uses too.

import initSqlJs, { type Statement } from 'sql.js/dist/sql-wasm-browser.js';
import engineUrl from 'sql.js/dist/sql-wasm-browser.wasm?url';
import { InputError, type Layer, type ReadOptions } from '../core.js';
import {
  brokenGeoPackage,
  featureTableNames,
  type Query,
  readFeatureTable,
  withoutWriteAhead,
} from '../read/geopackage.js';

let engine: ReturnType<typeof initSqlJs> | undefined;

async function start(): ReturnType<typeof initSqlJs> {
  const wasmBinary = await (await fetch(engineUrl)).arrayBuffer();
  return initSqlJs({ wasmBinary });
}

/** What a file holds; `read` reads one table, and the database is closed after it. */
export async function openGeoPackage(
  bytes: Uint8Array,
  options: ReadOptions,
): Promise<{ readonly names: readonly string[]; readonly layer: Layer | undefined }> {
  engine ??= start();
  const { Database } = await engine;
  // What the engine throws are plain errors: everything else here is ours.
  try {
    const db = new Database(withoutWriteAhead(bytes.slice()));
    try {
      const query = queryOf((sql) => db.prepare(sql));
      const names = featureTableNames(query, options.name);
      const open = names.length > 1 && options.layer === undefined;
      return { names, layer: open ? undefined : readFeatureTable(query, options) };
    } finally {
      db.close();
    }
  } catch (error) {
    if (error instanceof InputError) throw error;
    throw brokenGeoPackage(options.name, error instanceof Error ? error.message : String(error));
  }
}

function queryOf(prepare: (sql: string) => Statement): Query {
  return function* rows(sql, ...values) {
    const statement = prepare(sql);
    try {
      statement.bind(values);
      while (statement.step()) yield statement.getAsObject(null, { useBigInt: true });
    } finally {
      statement.free();
    }
  };
}
