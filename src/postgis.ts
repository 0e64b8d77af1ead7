// Public entry of `rootberth/postgis`: trees and works from tables of a PostGIS database, results into tables. Node only; needs
// the package pg beside it. In and out: see each function. Terms: table = SCHEMA.TABLE, a view or a foreign table too.

import './node/crs.js';

import type { Assessment } from './model/index.js';
import { type AssessFilesOptions, assessFiles } from './node/index.js';
import { type WriteOptions, type Written, writeAssessment } from './node/write/index.js';
import { isTable } from './postgis/index.js';

export type { Database, DatabaseParts } from './postgis/index.js';
export { type ReadTableOptions, readTable } from './postgis/index.js';

/** Options of `writeTables`. */
export type TableOptions = Omit<WriteOptions, 'format'>;

/**
 * Reads the tables and assesses every tree, as `assessFiles` does with files: the same options, figures and findings. Each
 * layer is a table `SCHEMA.TABLE`; tables and files may be mixed when tables are written `postgis:SCHEMA.TABLE` and handed to
 * `assessFiles` instead.
 *
 * @throws InputError of `assessFiles` and `readTable`
 * @example
 * const database = 'postgres://gis@localhost/town';
 * const assessment = await assessTables({ database, trees: 'survey.trees', works: ['plan.works'], dbhUnit: 'in' });
 * await writeTables('result.assessed', assessment, { database, outCrs: 'EPSG:2913' });
 */
export async function assessTables(job: AssessFilesOptions): Promise<Assessment> {
  const table = <T extends string | undefined>(name: T): T => (name === undefined ? name : (named(name) as T));
  return assessFiles({
    ...job,
    trees: table(job.trees),
    works: job.works?.map((works) =>
      typeof works === 'string' ? table(works) : { ...works, path: table(works.path) },
    ),
    lots: table(job.lots),
    existing: job.existing?.map(table),
    zones: table(job.zones),
    crowns: table(job.crowns),
  });
}

/**
 * Writes an assessment into tables: `SCHEMA.NAME_tree` with one row per tree, `SCHEMA.NAME_zone` and so on, one per role, and
 * `SCHEMA.NAME_job` with rule, inputs, counts and findings. Those of an earlier run under that name are replaced in one
 * transaction, with the rights granted on them; a table of another's is never replaced.
 *
 * @returns the names of the tables, and what drawing had to say
 * @throws InputError `table-not-ours`, `table-in-use`, `schema-missing`, `srid-missing`, and those of `readTable` on the database
 * @example
 * await writeTables('result.assessed', assessment, { database, roles: ['tree'], geometry: false });
 */
export async function writeTables(into: string, assessment: Assessment, options: TableOptions = {}): Promise<Written> {
  return writeAssessment(named(into), assessment, options);
}

function named(table: string): string {
  return isTable(table) ? table : `postgis:${table}`;
}
