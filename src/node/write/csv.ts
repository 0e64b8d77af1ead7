// Assessment -> CSV: a flat table of trees with every property, lon/lat and native easting/northing; other roles with
// their geometry as WKT. In: a path and what to write; out: a file (RFC 4180, UTF-8). Terms: native = the survey's own system.
// Full figures, unlike the schedule, which is made to be read.

import { type Finding, given, InputError, isShown } from '../../model/index.js';
import { inert, quoted, type RoleTable, type Value, wkt } from '../../write/index.js';
import { columnNames, type OutputFormat, systemOf, tablesFor, type Writing } from './format.js';
import { writePieces } from './write-file.js';

export const csv: OutputFormat = {
  extensions: ['csv'],
  title: 'CSV, one row per tree',
  sidecar: true,
  roles: ['tree'],
  check: ({ plan }) => {
    if (plan.roles.length === 1) return;
    throw new InputError('format-one-role', 'a CSV holds one role', {
      cure: 'name one with --roles, or end --out with / for one file per role',
      usage: true,
    });
  },
  pieces: (writing) => csvPieces(writing),
  write: (path, writing) => writePieces(path, csvPieces(writing)),
};

type Extra = readonly [name: string, value: (row: number) => Value];

function* csvPieces(writing: Writing): Generator<string, readonly Finding[], undefined> {
  const tables = tablesFor(writing);
  const [table] = tables.tables;
  if (table !== undefined) yield* rowsOf(writing, table);
  return tables.findings();
}

/** The rows of one role. */
function* rowsOf(writing: Writing, table: RoleTable): Generator<string, void, undefined> {
  const { plan } = writing;
  const extras = table.role === 'tree' ? positions(writing) : [];
  const system = systemOf(plan);
  // A tree's position has its own columns; WKT is added only where the geometry is more than a point.
  const apart = table.role !== 'tree' || system !== null || writing.assessment.trees.some((tree) => tree.lon === null);
  const geometry: readonly string[] = apart ? [`${plan.prefix}wkt`, `${plan.prefix}wkt_crs`] : [];
  const names = columnNames(table, [...extras.map(([name]) => name), ...geometry]);
  yield line([...names, ...extras.map(([name]) => name), ...geometry]);
  const code = system?.code ?? 'OGC:CRS84';
  const rows = table.role === 'tree' ? shownRows(writing) : null;
  let at = 0;
  for (const { values, geometry: shape } of table.features()) {
    const text = shape === null || !apart ? '' : wkt(shape);
    const last = apart ? [text, text === '' ? '' : code] : [];
    yield line([...values, ...extras.map(([, value]) => value(rows === null ? at : rows[at]!)), ...last]);
    at++;
  }
}

/** Rows of the survey that are written; null: each in its place. */
function shownRows({ assessment }: Writing): readonly number[] | null {
  if (assessment.shown === undefined) return null;
  return Array.from({ length: assessment.job.trees.count }, (_, row) => row).filter((row) => isShown(assessment, row));
}

/** Longitude and latitude, then the surveyor's own coordinates with their unit in the name and their system beside. */
function positions({ assessment, plan }: Writing): Extra[] {
  const { trees, treeTransform } = assessment.job;
  const at = (row: number, k: 0 | 1): number | null => given(trees.xy[row * 2 + k]);
  const lonLat: Extra[] = [
    [`${plan.prefix}lon`, (row) => rounded(assessment.trees[row]?.lon ?? null, 1e9)],
    [`${plan.prefix}lat`, (row) => rounded(assessment.trees[row]?.lat ?? null, 1e9)],
  ];
  const crs = treeTransform?.crs;
  if (crs === undefined || crs.kind === 'geographic') return lonLat;
  const unit = crs.unit === 'other' ? 'native' : crs.unit;
  return [
    ...lonLat,
    [`${plan.prefix}easting_${unit}`, (row) => at(row, 0)],
    [`${plan.prefix}northing_${unit}`, (row) => at(row, 1)],
    [`${plan.prefix}native_crs`, () => crs.code],
  ];
}

function rounded(value: number | null, per: number): number | null {
  return value === null ? null : Math.round(value * per) / per + 0;
}

function line(values: readonly Value[]): string {
  return `${values.map((value) => quoted(typeof value === 'string' ? inert(value) : String(value ?? ''))).join(',')}\r\n`;
}
