// Compares the shipped coordinate system table, through the library's own code, with PROJ's `cs2cs`.
// In: build/crs (npm run build), Debian's PROJ; out: a table of results, exit 1 when a system misses 1 mm.
// Terms: there = base geographic system to grid; back = grid to base; both on one datum, so no shift comes in.
//
//   node scripts/check-crs-table.mjs          every US system and a tenth of the rest
//   node scripts/check-crs-table.mjs --all    every system PROJ knows
//   node scripts/check-crs-table.mjs --texts  every US system and 600 of the rest, from the texts PROJ writes of them
//                                             (--write puts the table of results into docs/coordinates.md)

import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { availableParallelism } from 'node:os';
import { compiled, cs2cs, inParallel } from './lib/crs-compiled.mjs';

const LIMIT_M = 0.001;
const LIMIT_BACK_M = 0.003;
const load = compiled();
const { rows, unfold, datumRow } = await load('crs-table');
const { transformFor } = await load('transform');
const epsg = JSON.parse(readFileSync(createRequire(import.meta.url).resolve('epsg-index/all.json'), 'utf8'));

const isUs = (code) =>
  /United States|\bUSA\b/.test(epsg[code]?.area ?? '') || /^NAD(27|83)/.test(epsg[code]?.name ?? '');
const all = process.argv.includes('--all');
const jobs = [...rows().values()].filter((r, i) => r.conversion >= 0 && (all || isUs(r.code) || i % 10 === 0));
const results = [];

async function check(row) {
  const crs = unfold(row);
  const same = transformFor({ ...crs, proj: crs.proj.replace(/ \+towgs84=\S+/, '') });
  const base = datumRow(row.datum);
  const pm = transformFor({
    ...crs,
    kind: 'geographic',
    proj: `+proj=longlat ${base.ellipsoid}${base.pm ? ` +pm=${base.pm}` : ''}`,
  });
  const [w, s, e, n] = crs.areaOfUse ?? [-170, -80, 170, 80];
  const span = e >= w ? e - w : e + 360 - w;
  const lonLat = new Float64Array(50);
  for (let i = 0; i < 25; i++) {
    lonLat[2 * i] = ((w + (span * ((i % 5) + 0.5)) / 5 + 540) % 360) - 180;
    lonLat[2 * i + 1] = s + ((n - s) * (Math.floor(i / 5) + 0.5)) / 5;
  }
  const own = lonLat.slice();
  pm.fromLonLat(own); // to the base's own meridian
  const lines = Array.from({ length: 25 }, (_, i) => `${own[2 * i + 1]} ${own[2 * i]}`);
  const grid = lonLat.slice();
  same.fromLonLat(grid);
  const back = grid.slice();
  same.toLonLat(back);
  const text = await cs2cs(`EPSG:${base.code}`, `EPSG:${row.code}`, lines);
  let there = 0;
  let home = 0;
  let points = 0;
  for (const [i, line] of text.entries()) {
    const [a, b] = line.split(/\s+/).map(Number);
    if (!Number.isFinite(a) || !Number.isFinite(b)) continue;
    const x = grid[2 * i];
    const y = grid[2 * i + 1];
    there = Math.max(there, Math.min(Math.hypot(x - a, y - b), Math.hypot(x - b, y - a)) * crs.metresPerUnit);
    const lat = lonLat[2 * i + 1];
    const dLon = ((back[2 * i] - lonLat[2 * i] + 540) % 360) - 180;
    home = Math.max(
      home,
      Math.hypot(dLon * 111320 * Math.cos((lat * Math.PI) / 180), (back[2 * i + 1] - lat) * 110600),
    );
    points++;
  }
  results.push({ code: row.code, crs, us: isUs(row.code), there, home, points });
}
if (process.argv.includes('--texts')) {
  const { checkTexts } = await import('./lib/crs-texts.mjs');
  process.exit(await checkTexts({ load, epsg, isUs, write: process.argv.includes('--write') }));
}
await inParallel(jobs, availableParallelism() + 1, check);

const groups = new Map();
for (const r of results) {
  const where = r.us ? 'US' : 'world';
  const key = `${where}, ${r.crs.unit}, ${/\+proj=(\w+)/.exec(r.crs.proj)[1]}`;
  const g = groups.get(key) ?? { systems: 0, compared: 0, points: 0, there: 0, home: 0 };
  g.systems++;
  if (r.points > 0) g.compared++;
  g.points += r.points;
  g.there = Math.max(g.there, r.there);
  g.home = Math.max(g.home, r.home);
  groups.set(key, g);
}
console.log('group                          systems compared   points   there (mm)    back (mm)');
for (const [key, g] of [...groups].sort(([a], [b]) => a.localeCompare(b)))
  console.log(
    `${key.padEnd(30)} ${String(g.systems).padStart(7)} ${String(g.compared).padStart(8)} ${String(g.points).padStart(8)} ${(g.there * 1000).toExponential(2).padStart(12)} ${(g.home * 1000).toExponential(2).padStart(12)}`,
  );
const bad = results.filter((r) => !(r.there <= LIMIT_M) || !(r.home <= LIMIT_BACK_M));
const none = results.filter((r) => r.points === 0);
console.log(
  `${results.length} systems, ${none.length} unknown to this PROJ (compared as WKT when the table was built), ${bad.length} beyond ${LIMIT_M * 1000} mm`,
);
for (const r of bad) console.log(`  EPSG:${r.code} ${r.crs.name}: there ${r.there} m, back ${r.home} m`);
process.exitCode = bad.length > 0 ? 1 : 0;
