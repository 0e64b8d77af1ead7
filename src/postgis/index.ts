// The front of postgis/: what other rooms may import of it. In and out: see each name’s own file.

export type { Database, DatabaseParts } from './database.js';
export { isTable } from './find-table.js';
export { hashOfTable, type ReadTableOptions, readTable, readTableParts } from './read-table.js';
export { checkTables, putTables, writeTables } from './write-tables.js';
