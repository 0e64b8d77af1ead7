// Every datum of the shipped table against PROJ, in the middle of the area of use of each of its systems.
// In: build/crs (npm run build), PROJ; out: a table, exit 1 where the method differs from PROJ's by more than 1 cm, or
// an accuracy is stated that is smaller than the residual. Terms: method = our +towgs84 against PROJ with the same EPSG
// operations, one after the other; residual = our place against that of PROJ's best operation without a grid there.
// Costs a question to PROJ for each datum and middle that differ: a quarter of an hour, seconds from the cache folder.
//
//   node scripts/check-datums.mjs            the whole table
//   node scripts/check-datums.mjs --write    and puts the result into docs/coordinates.md

import { availableParallelism } from 'node:os';
import { compiled, inParallel, run } from './lib/crs-compiled.mjs';
import { residuals } from './lib/datum-residuals.mjs';
import { writeTable } from './lib/docs-table.mjs';
import { projDb } from './lib/proj-db.mjs';
import { apart, middleOf, projPlaces } from './lib/proj-ways.mjs';

const METHOD_M = 0.01; // a turn of 14" taken as a small angle is 7 mm; all other ways are within 3 mm
const database = projDb();
if (database === null) {
  console.log('skipped: there is no PROJ here (apt-get install proj-bin proj-data)');
  process.exit(0);
}
const load = compiled();
const { rows, datumRow, unfold } = await load('crs-table');
const { transformFor } = await load('transform');
const known = new Set(
  database.sql("select code from geodetic_crs where auth_name = 'EPSG'").map(({ code }) => Number(code)),
);

const systems = [...rows().values()].map((row) => {
  const d = datumRow(row.datum);
  const area = unfold(row).areaOfUse;
  return { ...d, code: row.code, geo: d.code, known: known.has(d.code), area, row: d };
});
const found = await residuals(systems, database.versions.proj);

/** The steps of an operation as PROJ writes them; null where a text names none. */
async function pipelinesOf({ operation, ellipsoid }) {
  const codes = [...operation.matchAll(/\(EPSG:(\d+)\)/g)].map(([, code]) => code);
  const texts = [];
  for (const code of codes) {
    const text = (
      await run('projinfo', ['-k', 'operation', `EPSG:${code}`, '-o', 'PROJ', '-q', '--single-line'])
    ).trim();
    const bare = /^\+proj=(helmert|molobadekas)/.test(text); // between geocentric axes: from and to degrees round it
    const degrees = (way) => `+step +proj=unitconvert +xy_in=${way[0]} +xy_out=${way[1]}`;
    const round = [
      `+proj=pipeline +step +proj=axisswap +order=2,1 ${degrees(['deg', 'rad'])} +step +proj=cart ${ellipsoid}`,
      `+step ${text} +step +inv +proj=cart +ellps=WGS84 ${degrees(['rad', 'deg'])} +step +proj=axisswap +order=2,1`,
    ];
    texts.push(bare ? round.join(' ') : text);
  }
  return texts.length === 0 || texts.includes('') ? null : texts;
}

/** Metres between our shift and PROJ with the same operations; null where PROJ can't be asked. */
async function methodM(d, middle) {
  const pipelines = await pipelinesOf(d);
  if (pipelines === null) return null;
  const pm = d.pm === '' ? '' : ` +pm=${d.pm}`;
  const crs = { kind: 'geographic', proj: `+proj=longlat ${d.ellipsoid}${pm} +towgs84=${d.shift} +no_defs`, datum: d };
  const own = Float64Array.from(middle);
  transformFor(crs).fromLonLat(own);
  let place = [...own];
  for (const pipeline of pipelines) [place] = await projPlaces(pipeline, [place]);
  return apart(place, middle);
}

const datums = new Map(); // geographic code -> what is said of it
const bad = [];
let nulls = 0;
for (const { row: d, code, area } of systems) {
  const residual = found.get(code);
  const one = datums.get(d.name) ?? { code: d.code, ways: new Map(), places: 0, residualM: 0, stated: [] };
  datums.set(d.name, one);
  if (residual !== undefined) {
    one.places++;
    one.residualM = Math.max(one.residualM, residual.residualM);
    if (d.accuracyM !== null && residual.residualM > d.accuracyM + 0.001)
      bad.push(
        `EPSG:${code} ${d.name}: ${d.accuracyM} m is stated, the residual is ${residual.residualM.toFixed(2)} m`,
      );
  }
  if (!one.stated.includes(d.accuracyM)) one.stated.push(d.accuracyM);
  if (d.shift !== '' && area !== null && !one.ways.has(d.shift)) one.ways.set(d.shift, { d, area });
}
const ways = [...datums.values()].flatMap((one) => [...one.ways.values()].map((way) => ({ ...way, one })));
await inParallel(ways, availableParallelism() + 1, async ({ d, area, one }) => {
  const miss = known.has(d.code) ? await methodM(d, middleOf(area)) : null;
  if (miss === null) return;
  one.methodM = Math.max(one.methodM ?? 0, miss);
  if (miss > METHOD_M) bad.push(`EPSG:${d.code} ${d.name}: ${miss.toFixed(4)} m from PROJ with ${d.operation}`);
});

const metres = (v) => (v < 0.001 ? '0' : v < 10 ? v.toFixed(2) : v.toFixed(0));
const lines = [
  '| datum | EPSG | ways | same operation (mm) | stated (m) | places | worst residual (m) |',
  '|---|---|---|---|---|---|---|',
];
let shifted = 0;
let alike = 0;
for (const [name, one] of [...datums].sort(([a], [b]) => (a < b ? -1 : 1))) {
  if (one.ways.size === 0 && one.residualM < 0.001) {
    nulls++;
    continue;
  }
  shifted++;
  if (one.residualM < 0.01) alike++;
  const stated = one.stated.map((m) => (m === null ? 'not known' : String(m))).join(', ');
  const method = one.methodM === undefined ? '-' : (one.methodM * 1000).toFixed(2);
  const residual = one.places === 0 ? '-' : metres(one.residualM);
  lines.push(`| ${name} | ${one.code} | ${one.ways.size} | ${method} | ${stated} | ${one.places} | ${residual} |`);
}
console.log(lines.join('\n'));
console.log(
  `${shifted} datums with a shift or a residual, ${alike} of them within 1 cm of PROJ's best; ${nulls} taken as WGS 84, as by PROJ`,
);
for (const line of bad) console.log(line);
if (process.argv.includes('--write')) writeTable('check-datums', lines);
process.exitCode = bad.length > 0 ? 1 : 0;
