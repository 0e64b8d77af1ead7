// PROJ's database as rows. In: the SQLite file that comes with PROJ; out: a function that runs a query, and its versions.
// Terms: PROJ_DB = another place of the file, by environment. Costs what SQLite costs: all of it is read in a second.

import { existsSync } from 'node:fs';
import Database from 'better-sqlite3';

const PATH = process.env.PROJ_DB ?? '/usr/share/proj/proj.db';

/** `{ sql, versions }`, or null where there is no PROJ database. */
export function projDb() {
  if (!existsSync(PATH)) return null;
  const db = new Database(PATH, { readonly: true, fileMustExist: true });
  const sql = (query) => db.prepare(query).all();
  const metadata = new Map(sql('select key, value from metadata').map((row) => [row.key, row.value]));
  return { sql, versions: { proj: metadata.get('PROJ.VERSION'), epsg: metadata.get('EPSG.VERSION') } };
}
