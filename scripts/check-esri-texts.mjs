// Every system of the table in Esri's spelling, as PROJ's projinfo prints it, read back by the library's own reader.
// In: build/crs (npm run build), PROJ; out: how many come back as themselves, as a system with the same numbers
// that is said so, or as another; exit 1 where one comes back as another. Terms: text = `projinfo -o WKT1_ESRI`, without a
// code: its name and its numbers are all there is. Costs a process for each system, unless its text is in the cache folder.
//
//   node scripts/check-esri-texts.mjs            the whole table
//   node scripts/check-esri-texts.mjs --write    and puts the result into docs/coordinates.md

import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { availableParallelism } from 'node:os';
import { compiled, inParallel, run } from './lib/crs-compiled.mjs';
import { writeTable } from './lib/docs-table.mjs';
import { projDb } from './lib/proj-db.mjs';

const database = projDb();
if (database === null) {
  console.log('skipped: there is no PROJ here (apt-get install proj-bin proj-data)');
  process.exit(0);
}
const load = compiled();
const { rows, unfold } = await load('crs-table');
const { readCrs } = await load('wkt');
const CACHE = new URL(`../node_modules/.cache/esri-texts-${database.versions.proj}.json`, import.meta.url);
const texts = new Map(existsSync(CACHE) ? JSON.parse(readFileSync(CACHE, 'utf8')) : []);
const codes = [...rows().keys()];
const known = new Set(
  database
    .sql(
      `select code from crs_view where auth_name = 'EPSG' and type in ('projected', 'geographic 2D', 'geographic 3D')`,
    )
    .map(({ code }) => Number(code)),
);
await inParallel(
  codes.filter((code) => known.has(code) && !texts.has(code)),
  availableParallelism() + 1,
  async (code) => {
    texts.set(code, (await run('projinfo', [`EPSG:${code}`, '-q', '-o', 'WKT1_ESRI', '--single-line'])).trim());
  },
);
writeFileSync(CACHE, JSON.stringify([...texts]));

const GROUPS = ['projected', 'geographic', 'deprecated'];
const tally = new Map(GROUPS.map((group) => [group, { texts: 0, same: 0, equal: 0, other: 0, refused: 0, none: 0 }]));
const wrong = [];
for (const code of codes) {
  const crs = unfold(rows().get(code));
  const t = tally.get(rows().get(code).deprecated ? 'deprecated' : crs.kind);
  const text = texts.get(code) ?? '';
  if (text === '') {
    t.none++;
    continue;
  }
  t.texts++;
  let read;
  try {
    read = readCrs(text, 'x');
  } catch (error) {
    t.refused++;
    wrong.push(`EPSG:${code} (${crs.name}): refused: ${error.message}`);
    continue;
  }
  const isEqual = read.crs.proj === crs.proj || sameNumbers(read.crs, crs);
  if (read.crs.code === crs.code) t.same++;
  else if (isEqual && (crs.kind === 'geographic' || rows().get(code).deprecated || read.equals !== '')) t.equal++;
  else {
    t.other++;
    wrong.push(
      `EPSG:${code} (${crs.name}): read as ${read.crs.code} (${read.crs.name})${isEqual ? ', of the same numbers' : ''}`,
    );
  }
}

/** The same but for the way to WGS 84, which belongs to the place: systems of one datum may have different ones. */
function sameNumbers(a, b) {
  const bare = ({ proj }) => proj.replace(/ \+towgs84=\S+/, '');
  return bare(a) === bare(b);
}

const lines = [
  '| systems | texts | read as itself | as one with the same numbers | as another | refused | not written by PROJ |',
  '|---|---|---|---|---|---|---|',
  ...[...tally].map(
    ([group, t]) => `| ${group} | ${t.texts} | ${t.same} | ${t.equal} | ${t.other} | ${t.refused} | ${t.none} |`,
  ),
];
console.log(lines.join('\n'));
for (const line of wrong) console.log(line);
if (process.argv.includes('--write')) writeTable('check-esri-texts', lines);
process.exitCode = [...tally.values()].some((t) => t.other > 0) ? 1 : 0;
