// Every form in which a coordinate system is stated, through the library's own reader, against PROJ.
// In: codes; out: a table, form by form; exit code 1 when a form gives a result beyond 1 mm.
// Terms: form = EPSG code, WKT 1 (GDAL, ESRI), WKT 2 (2019, 2015), PROJJSON as `projinfo` writes them;
// bare = the same text without codes, so that its numbers alone must find the system.

import { readFileSync, writeFileSync } from 'node:fs';
import { availableParallelism } from 'node:os';
import { cs2cs, inParallel, run } from './crs-compiled.mjs';

const LIMIT_M = 0.001;
const LIMIT_BACK_M = 0.0001;
const WORLD = 600;
const FORMS = ['WKT1:GDAL', 'WKT1:ESRI', 'WKT2:2019', 'WKT2:2015', 'PROJJSON'];
const HEADING = /^(WKT1:GDAL|WKT1:ESRI|WKT2:2019|WKT2:2015|PROJJSON)(?: string)?:$/;

/** The texts of a system by form; a form PROJ can't write is missing. */
async function textsOf(code) {
  const output = await run('projinfo', [`EPSG:${code}`, '--single-line', '-o', FORMS.join(',')]);
  const texts = new Map();
  let form;
  for (const line of output.split('\n')) {
    const match = HEADING.exec(line);
    if (match) {
      form = match[1];
      continue;
    }
    if (form === undefined || line === '' || line.startsWith('Error')) continue;
    texts.set(form, (texts.get(form) ?? '') + line);
  }
  return texts;
}

function bared(text) {
  if (!text.startsWith('{')) return text.replace(/,(AUTHORITY|ID)\[[^\]]*\]/g, '');
  return JSON.stringify(JSON.parse(text), (key, value) => (key === 'id' || key === 'ids' ? undefined : value));
}

export async function checkTexts({ load, epsg, isUs, write }) {
  const { rows, datumRow, unfold } = await load('crs-table');
  const { transformFor } = await load('transform');
  const { crsFromWkt } = await load('wkt');
  const { findCrs } = await load('find');

  // US: what the registry's area says, living systems, as PROJ lists them.
  const us = Object.entries(epsg)
    .filter(
      ([code, row]) => row.kind === 'CRS-PROJCRS' && row.deprecated !== true && isUs(code) && Number(code) < 100000,
    )
    .map(([code]) => Number(code));
  const others = [...rows().values()].filter((r) => r.conversion >= 0 && !isUs(r.code));
  const world = others.filter(
    (_, i) => Math.floor((i * WORLD) / others.length) !== Math.floor(((i - 1) * WORLD) / others.length),
  );
  const groups = [
    { name: 'US', codes: us },
    { name: 'world, sampled', codes: world.map((r) => r.code) },
  ];
  const table = [];
  const bad = [];
  for (const group of groups) {
    const tally = new Map(
      ['EPSG code', ...FORMS.flatMap((f) => [f, `${f}, bare`])].map((f) => [
        f,
        { ok: 0, refused: 0, wrong: 0, none: 0, worst: 0, back: 0 },
      ]),
    );
    await inParallel(group.codes, availableParallelism() + 1, async (code) => {
      const row = rows().get(code);
      const texts = await textsOf(code);
      if (texts.size === 0) return; // not known to this PROJ
      const name = (reason) => `EPSG:${code} ${epsg[code]?.name ?? ''} (${reason})`;
      const base = row === undefined ? undefined : datumRow(row.datum);
      const crs = row === undefined ? undefined : unfold(row);
      const truth = crs === undefined ? undefined : await control(crs, base, code);
      if (truth !== undefined && truth.points === 0) return;
      const judge = (form, make) => {
        const t = tally.get(form);
        let found;
        try {
          found = make();
        } catch (error) {
          t.refused++;
          if (process.argv.includes('--verbose')) console.log(name(`${form}: ${error.message}`));
          return;
        }
        if (truth === undefined) {
          t.wrong++;
          bad.push(name(`${form}: no truth to hold it against, but read as ${found.code}`));
          return;
        }
        const { there, back } = compare(found, truth);
        t.worst = Math.max(t.worst, there);
        t.back = Math.max(t.back, back);
        if (there <= LIMIT_M && back <= LIMIT_BACK_M) t.ok++;
        else {
          t.wrong++;
          bad.push(name(`${form}: ${there} m, back ${back} m, as ${found.code}`));
        }
      };
      judge('EPSG code', () => findCrs(`EPSG:${code}`));
      for (const form of FORMS) {
        const text = texts.get(form);
        if (text === undefined) {
          tally.get(form).none++;
          tally.get(`${form}, bare`).none++;
          continue;
        }
        judge(form, () => crsFromWkt(text, 'x'));
        judge(`${form}, bare`, () => crsFromWkt(bared(text), 'x'));
      }
    });
    table.push({ ...group, tally });
  }

  /** Points of the area of use with PROJ's grid coordinates. */
  async function control(crs, base, code) {
    const [w, s, e, n] = crs.areaOfUse ?? [-100, -50, 100, 50];
    const span = e >= w ? e - w : e + 360 - w;
    const lonLat = new Float64Array(18);
    for (let i = 0; i < 9; i++) {
      lonLat[2 * i] = ((w + span * (0.2 + 0.3 * (i % 3)) + 540) % 360) - 180;
      lonLat[2 * i + 1] = s + (n - s) * (0.2 + 0.3 * Math.floor(i / 3));
    }
    const own = lonLat.slice();
    transformFor({
      ...crs,
      kind: 'geographic',
      proj: `+proj=longlat ${base.ellipsoid}${base.pm ? ` +pm=${base.pm}` : ''}`,
    }).fromLonLat(own);
    const lines = Array.from({ length: 9 }, (_, i) => `${own[2 * i + 1]} ${own[2 * i]}`);
    const grid = (await cs2cs(`EPSG:${base.code}`, `EPSG:${code}`, lines)).map((line) => line.split(/\s+/).map(Number));
    const points = grid.filter(([a, b]) => Number.isFinite(a) && Number.isFinite(b)).length;
    return { lonLat, grid, points, perUnit: crs.metresPerUnit };
  }

  /** Largest miss in metres on the way to the grid (axes in either order), and on the way there and back. */
  function compare(found, truth) {
    const same = transformFor({ ...found, proj: found.proj.replace(/ \+towgs84=\S+/, '') });
    const xy = truth.lonLat.slice();
    same.fromLonLat(xy);
    const home = xy.slice();
    same.toLonLat(home);
    let there = 0;
    let back = 0;
    truth.grid.forEach(([a, b], i) => {
      if (!Number.isFinite(a) || !Number.isFinite(b)) return;
      const [x, y] = [xy[2 * i], xy[2 * i + 1]];
      const miss = Math.min(Math.hypot(x - a, y - b), Math.hypot(x - b, y - a)) * truth.perUnit;
      there = Number.isNaN(miss) ? Number.POSITIVE_INFINITY : Math.max(there, miss);
    });
    same.fromLonLat(home);
    for (let i = 0; i < 18; i += 2) {
      const miss = Math.hypot(home[i] - xy[i], home[i + 1] - xy[i + 1]) * truth.perUnit;
      if (Number.isFinite(xy[i])) back = Number.isNaN(miss) ? Number.POSITIVE_INFINITY : Math.max(back, miss);
    }
    return { there, back };
  }

  const lines = [
    '| systems | stated as | within 1 mm | wrong | refused | not written by PROJ | worst (mm) | there and back (mm) |',
    '|---|---|---|---|---|---|---|---|',
  ];
  for (const { name, tally } of table)
    for (const [form, t] of tally)
      lines.push(
        `| ${name} | ${form} | ${t.ok} | ${t.wrong} | ${t.refused} | ${t.none} | ${(t.worst * 1000).toPrecision(2)} | ${(t.back * 1000).toPrecision(2)} |`,
      );
  console.log(lines.join('\n'));
  for (const line of bad.slice(0, 60)) console.log(line);
  if (write) {
    const file = new URL('../../docs/coordinates.md', import.meta.url);
    const text = readFileSync(file, 'utf8');
    const between = /(<!-- table of check-crs-table --texts -->\n)[\s\S]*?(<!-- end -->)/;
    writeFileSync(
      file,
      text.replace(between, (_, a, b) => `${a}${lines.join('\n')}\n${b}`),
    );
  }
  return bad.length > 0 ? 1 : 0;
}
