// Builds src/crs/tables/all.ts, the table of coordinate reference systems that ships with the library.
// In: the dev dependency epsg-index (names, areas, PROJ strings), Debian's PROJ (`cs2cs`, `cct`, `projinfo`, and its
//     proj.db: deprecated codes, datum operations with their accuracy, other names of datums).
// Out: one vetted definition per code. Terms: vetted = proj4 and PROJ agree within 1 mm, there and back, on a grid of
//     points over the area of use; a code that is not is left out and its reason kept, so that asking for it says why.
//
//   apt-get install proj-bin proj-data && npm ci && node scripts/build-crs-table.mjs
//   ... --keep-vetted   takes the verdicts of the table that is there (minutes instead of an hour)
//   ... --check         the same, and compares with the table that is there instead of writing: exit 1 where it differs

import { spawn, spawnSync } from 'node:child_process';
import { readFileSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { availableParallelism } from 'node:os';
import proj4 from 'proj4';
import { inParallel } from './lib/crs-compiled.mjs';
import { chosenWay, width } from './lib/datum-choice.mjs';
import { residuals } from './lib/datum-residuals.mjs';
import { epsgOperations } from './lib/epsg-operations.mjs';
import { projDb } from './lib/proj-db.mjs';
import { vettedIn } from './lib/vetted.mjs';

const OUT = new URL('../src/crs/tables/all.ts', import.meta.url);
const LIMIT_M = 0.001; // largest difference from PROJ, metres
const LIMIT_BACK_M = 0.003; // largest miss of proj4's own way back, metres (equal-area systems over a continent)
const RAD = Math.PI / 180;

const projDatabase = projDb();
if (projDatabase === null) throw new Error('no PROJ database: install proj-data or set PROJ_DB');
const { sql, versions } = projDatabase;
const INDEX_VERSION = JSON.parse(
  readFileSync(createRequire(import.meta.url).resolve('epsg-index/package.json'), 'utf8'),
).version;
const epsg = JSON.parse(readFileSync(createRequire(import.meta.url).resolve('epsg-index/all.json'), 'utf8'));

// ------------------------------------------------------------------ what PROJ's database knows
const known = new Map(
  sql(`select code, deprecated from projected_crs where auth_name = 'EPSG'
       union select code, deprecated from geodetic_crs where auth_name = 'EPSG' and type like 'geographic%'`).map(
    (r) => [String(r.code), r.deprecated],
  ),
);
const geodeticNames = new Map(); // geographic code -> names of its datum, simplified
for (const r of sql(`select g.code, d.name as datum, a.alt_name as alias, ga.alt_name as gcs from geodetic_crs g
    join geodetic_datum d on d.auth_name = g.datum_auth_name and d.code = g.datum_code
    left join alias_name a on a.table_name = 'geodetic_datum' and a.auth_name = d.auth_name and a.code = d.code and a.source = 'ESRI'
    left join alias_name ga on ga.table_name = 'geodetic_crs' and ga.auth_name = 'EPSG' and ga.code = g.code and ga.source = 'ESRI'
    where g.auth_name = 'EPSG' and g.type like 'geographic%'`)) {
  const names = geodeticNames.get(String(r.code)) ?? new Set();
  for (const n of [r.datum, r.alias, r.gcs]) if (n) names.add(simple(n));
  geodeticNames.set(String(r.code), names);
}
function simple(name) {
  return name
    .toLowerCase()
    .replace(/^(d|gcs)_/, '')
    .replace(/[^a-z0-9]/g, '');
}

const operations = epsgOperations(sql);
const datumOf = new Map(
  sql("select code, datum_code as datum from geodetic_crs where auth_name = 'EPSG'").map((r) => [
    String(r.code),
    String(r.datum),
  ]),
);

// ------------------------------------------------------------------ PROJ strings
const PARAMS = /\+(\w+)(?:=(\S+))?/g;
const DROP = new Set([
  'no_defs',
  'type',
  'towgs84',
  'nadgrids',
  'wktext',
  'datum',
  'ellps',
  'a',
  'b',
  'rf',
  'R',
  'f',
  'pm',
  'axis',
  'units',
  'to_meter',
]);
const DATUM_ELLIPSOID = {
  WGS84: 'WGS84',
  NAD83: 'GRS80',
  NAD27: 'clrk66',
  OSGB36: 'airy',
  GGRS87: 'GRS80',
  potsdam: 'bessel',
  carthage: 'clrk80ign',
  hermannskogel: 'bessel',
  ire65: 'mod_airy',
  nzgd49: 'intl',
};
const METRES = {
  m: 1,
  ft: 0.3048,
  'us-ft': 1200 / 3937,
  km: 1000,
  link: 0.201168,
  yd: 0.9144,
  ch: 20.1168,
  'ind-yd': 0.91439523,
  'ind-ft': 0.30479841,
};

function split(text) {
  const p = new Map();
  for (const [, key, value] of text.matchAll(PARAMS)) if (!p.has(key)) p.set(key, value ?? '');
  return p;
}

// Ellipsoids that proj4 knows under another name, or not at all, are written out: proj4 would take WGS 84 in silence.
const ELLIPSOIDS = new Map(
  spawnSync('proj', ['-le'], { encoding: 'utf8' })
    .stdout.split('\n')
    .map((l) => /^\s*(\S+) a=(\S+)\s+(rf|b)=(\S+)/.exec(l))
    .filter(Boolean)
    .map(([, name, a, kind, value]) => {
      const p = new proj4.Proj(`+proj=longlat +ellps=${name}`);
      const b = kind === 'b' ? Number(value) : Number(a) * (1 - 1 / Number(value));
      const same = Math.abs(p.a - a) < 1e-6 && Math.abs(p.b - b) < 1e-5;
      return [name, same ? `+ellps=${name}` : `+a=${a} +${kind}=${value}`];
    }),
);

/** { ellipsoid, pm, shift } from a PROJ string: everything that belongs to the datum. */
function datumPart(p) {
  let ellipsoid;
  if (p.has('a'))
    ellipsoid = `+a=${p.get('a')} ${p.has('rf') ? `+rf=${p.get('rf')}` : `+b=${p.get('b') ?? p.get('a')}`}`;
  else if (p.has('R')) ellipsoid = `+a=${p.get('R')} +b=${p.get('R')}`;
  else if (p.has('ellps')) ellipsoid = ELLIPSOIDS.get(p.get('ellps')) ?? `+ellps=${p.get('ellps')}`;
  else ellipsoid = `+ellps=${DATUM_ELLIPSOID[p.get('datum')] ?? 'WGS84'}`;
  const shift = p.get('towgs84')?.split(',').map(Number);
  return {
    ellipsoid,
    pm: p.get('pm') ?? '',
    shift: shift?.some((x) => x !== 0) ? shift : null,
    shiftStated: shift !== undefined,
  };
}

/** The projection part, every default written out, and the unit. */
function projectionPart(p) {
  const out = new Map(p);
  if (out.get('proj') === 'utm') {
    const zone = Number(out.get('zone'));
    const south = out.has('south');
    out.clear();
    for (const [k, v] of [
      ['proj', 'tmerc'],
      ['lat_0', 0],
      ['lon_0', zone * 6 - 183],
      ['k', 0.9996],
      ['x_0', 500000],
      ['y_0', south ? 10000000 : 0],
    ])
      out.set(k, String(v));
  }
  const unit = p.has('to_meter') ? Number(p.get('to_meter')) : METRES[p.get('units') ?? 'm'];
  for (const k of DROP) out.delete(k);
  if (!out.has('x_0')) out.set('x_0', '0'); // left out, proj4 gives NaN for eight projections
  if (!out.has('y_0')) out.set('y_0', '0');
  if (out.get('proj') === 'tmerc' && !out.has('k')) out.set('k', out.get('k_0') ?? '1');
  if (out.has('k') && out.has('k_0')) out.delete('k_0');
  return { params: out, unit };
}

// ------------------------------------------------------------------ candidates
const candidates = [];
const refused = new Map(); // code -> reason
const isEsri = (x) => /AUTHORITY\["ESRI","\w+"\]\]$/.test(x.wkt ?? '');
const areaOf = (bbox) => (bbox ? [bbox[1], bbox[2], bbox[3], bbox[0]].map((v) => Number(v)) : null); // epsg-index: n, w, s, e

const geographic = new Map(); // code -> { name, unit, ... }
for (const x of Object.values(epsg)) {
  if (x.kind !== 'CRS-GEOGCRS' && x.kind !== 'CRS-GEOG3DCRS') continue;
  if (isEsri(x) || (x.kind === 'CRS-GEOG3DCRS' && !known.has(x.code))) continue;
  geographic.set(x.code, {
    code: x.code,
    name: x.name,
    proj: x.proj4,
    wkt: x.wkt,
    area: areaOf(x.bbox),
    accuracy: x.accuracy,
    unit: x.unit ?? '',
  });
}
const is3d = new Set(
  sql(`select code from geodetic_crs where auth_name = 'EPSG' and type = 'geographic 3D'`).map((r) => String(r.code)),
);
const baseOf = new Map(
  sql(`select code, geodetic_crs_code as base from projected_crs where auth_name = 'EPSG'`).map((r) => [
    String(r.code),
    String(r.base),
  ]),
);
const baseFromWkt = (wkt) => {
  const codes = [...(wkt ?? '').matchAll(/AUTHORITY\["EPSG","?(\d+)"?\]/g)].map((m) => m[1]);
  return codes.findLast((c) => geographic.has(c));
};
const areasFromDb = new Map(
  sql(`select u.object_table_name as t, u.object_code as code, e.west_lon as w, e.south_lat as s, e.east_lon as e, e.north_lat as n
    from usage u join extent e on e.auth_name = u.extent_auth_name and e.code = u.extent_code
    where u.object_auth_name = 'EPSG' and u.object_table_name in ('projected_crs', 'geodetic_crs')`).map((r) => [
    String(r.code),
    [r.w, r.s, r.e, r.n],
  ]),
);
const nameFromDb = new Map(
  sql(
    `select code, name from projected_crs where auth_name = 'EPSG' union select code, name from geodetic_crs where auth_name = 'EPSG'`,
  ).map((r) => [String(r.code), r.name]),
);

const belgian = new Set(
  // PROJ leaves it out as well, so that comparing the two would not show it
  sql(`select p.code from projected_crs p join conversion_table c on c.auth_name = p.conversion_auth_name and c.code = p.conversion_code
    where p.auth_name = 'EPSG' and c.method_code = '9803'`).map((r) => String(r.code)),
);

function projString(code) {
  const run = spawnSync('projinfo', [`EPSG:${code}`, '-o', 'PROJ', '-q', '--single-line'], { encoding: 'utf8' });
  return run.status === 0 ? run.stdout.trim() : null;
}
for (const [code, deprecated] of known) {
  if (deprecated && !is3d.has(code) && !baseOf.has(code) && !geographic.has(code))
    geographic.set(code, {
      code,
      name: nameFromDb.get(code),
      proj: projString(code),
      wkt: null,
      area: areasFromDb.get(code),
      accuracy: null,
      unit: 'degree',
      deprecated: true,
    });
}
for (const g of geographic.values()) candidates.push({ ...g, kind: 'g', base: g.code });
for (const x of Object.values(epsg)) {
  if (x.kind !== 'CRS-PROJCRS' || isEsri(x)) continue;
  candidates.push({
    code: x.code,
    name: x.name,
    kind: 'p',
    proj: x.proj4 ?? (known.has(x.code) ? projString(x.code) : null),
    wkt: x.wkt,
    area: areaOf(x.bbox),
    accuracy: x.accuracy,
    base: baseOf.get(x.code) ?? baseFromWkt(x.wkt),
  });
}
const have = new Set(candidates.map((c) => c.code));
for (const [code] of baseOf)
  if (!have.has(code))
    candidates.push({
      code,
      name: nameFromDb.get(code),
      kind: 'p',
      proj: projString(code),
      wkt: null,
      area: areasFromDb.get(code),
      accuracy: null,
      base: baseOf.get(code),
      deprecated: known.get(code) === 1,
    });
for (const c of candidates) {
  if (known.get(c.code) === 1) c.deprecated = true;
  if (!c.area?.every(Number.isFinite)) c.area = null;
}

// ------------------------------------------------------------------ datum operation of a candidate
function operationOf(c) {
  const datumName = geographic.get(c.base)?.name ?? '';
  const datum = datumOf.get(c.base);
  return chosenWay({ name: c.name, datumName, area: c.area }, datum === undefined ? [] : operations.waysOf(datum));
}

// ------------------------------------------------------------------ vetting against PROJ
function cs2cs(from, to, lines) {
  return new Promise((done) => {
    const run = spawn('cs2cs', ['-f', '%.9f', from, to], { stdio: ['pipe', 'pipe', 'pipe'] });
    let out = '';
    let err = '';
    run.stdout.on('data', (d) => (out += d));
    run.stderr.on('data', (d) => (err += d));
    run.stdin.on('error', () => {});
    run.on('close', () => done({ out: out.trim().split('\n'), err }));
    run.stdin.end(`${lines.join('\n')}\n`);
  });
}

function pointsIn(area) {
  const [w, s, e, n] = area ?? [-170, -80, 170, 80];
  const points = [];
  for (const [steps, dx, dy] of [
    [4, 0.37, 0.43], // off the meridians and parallels where errors cancel
    [5, 0.5, 0.5], // the grid that check-crs-table.mjs uses
  ])
    for (let i = 0; i < steps; i++)
      for (let j = 0; j < steps; j++) {
        let lon = w + (width(w, e) * (i + dx)) / steps;
        if (lon > 180) lon -= 360;
        points.push([lon, s + ((n - s) * (j + dy)) / steps]);
      }
  return points;
}

/** Largest difference in metres between proj4 (our string) and PROJ (the code), or a reason why it can't be told. */
async function vet(c, ours) {
  let p;
  try {
    p = new proj4.Proj(ours.proj);
  } catch (error) {
    return { reason: `proj4 does not know it (${String(error.message ?? error).slice(0, 60)})` };
  }
  const pm = p.from_greenwich ? p.from_greenwich / RAD : 0;
  const points = pointsIn(c.area).map(([lon, lat]) => [lon - pm, lat]);
  const inDb = known.has(c.code) && known.has(c.base);
  const strip = (wkt) => wkt.replace(/,TOWGS84\[[^\]]*\]/g, '').replace(/,EXTENSION\[[^\]]*\]/g, '');
  const trials = inDb
    ? [[`EPSG:${c.base}`, `EPSG:${c.code}`, ([x, y]) => `${y} ${x}`]] // cs2cs takes degrees even where the base is in grads
    : c.wkt
      ? [
          [
            strip(
              /GEOGCS\[.*?PRIMEM\[.*?UNIT\[.*?\](?:,AXIS\[[^\]]*\])*(?:,AUTHORITY\[[^\]]*\])?\]/s.exec(c.wkt)?.[0] ??
                '',
            ),
            strip(c.wkt),
            ([x, y]) => `${x} ${y}`,
          ],
        ]
      : [];
  if (trials.length === 0) return { reason: 'PROJ here does not know it' };
  const [from, to, line] = trials[0];
  const { out, err } = await cs2cs(from, to, points.map(line));
  if (out.length !== points.length) return { reason: `cs2cs: ${err.trim().split('\n').pop()?.slice(0, 80)}` };
  let worst = 0;
  let worstBack = 0;
  let n = 0;
  for (const [i, [lon, lat]] of points.entries()) {
    const [a, b] = out[i].split(/\s+/).map(Number);
    if (!Number.isFinite(a) || !Number.isFinite(b)) continue;
    let x;
    let y;
    try {
      const q = p.forward({ x: lon * RAD, y: lat * RAD });
      x = q.x / ours.unit;
      y = q.y / ours.unit;
      const back = p.inverse({ x: q.x, y: q.y });
      worstBack = Math.max(
        worstBack,
        Math.hypot((back.x / RAD - lon) * 111320 * Math.cos(lat * RAD), (back.y / RAD - lat) * 110600),
      );
      if (!Number.isFinite(back.x) || !Number.isFinite(back.y)) worstBack = Infinity;
    } catch (error) {
      return { reason: `proj4 fails (${String(error.message ?? error).slice(0, 50)})` };
    }
    if (!Number.isFinite(x) || !Number.isFinite(y)) return { reason: 'proj4 gives no number' };
    worst = Math.max(worst, Math.min(Math.hypot(x - a, y - b), Math.hypot(x - b, y - a)) * ours.unit);
    n++;
  }
  if (n < 4) return { reason: 'PROJ gives no number over its area of use' };
  if (worst > LIMIT_M)
    return {
      reason: `proj4 differs from PROJ by ${worst < 1 ? `${(worst * 1000).toFixed(0)} mm` : `${Math.round(worst)} m`}`,
    };
  if (worstBack > LIMIT_BACK_M) return { reason: `proj4 does not come back (${worstBack.toPrecision(2)} m)` };
  return { worst, worstBack };
}

// ------------------------------------------------------------------ run
const CHECK = process.argv.includes('--check');
const verdicts = CHECK || process.argv.includes('--keep-vetted') ? vettedIn(readFileSync(OUT, 'utf8')) : null;
function verdictKept(code) {
  if (verdicts.kept.has(code)) return { worst: Number.NaN, worstBack: Number.NaN };
  return { reason: verdicts.refused.get(code) ?? 'not held against PROJ: make the whole table again' };
}

const rows = [];
let done = 0;
async function take(c) {
  if (!c.proj) return refused.set(c.code, ['no PROJ string exists for it', c.name]);
  if (belgian.has(c.code))
    return refused.set(c.code, ['proj4 leaves out the constant of its method (EPSG:9803)', c.name]);
  const p = split(c.proj);
  if (p.has('axis')) return refused.set(c.code, ['its axes point west and south', c.name]);
  const part = datumPart(p);
  const op = operationOf(c);
  const datum = {
    geo: c.base,
    name: geographic.get(c.base)?.name ?? c.name.split(' / ')[0],
    ellipsoid: part.ellipsoid,
    pm: part.pm,
    shift: op.shift ? op.shift.join(',') : '',
    operation: op.name,
    accuracy: op.accuracy,
    names: [
      ...new Set([
        ...(geodeticNames.get(c.base) ?? []),
        ...[...(geographic.get(c.base)?.wkt ?? '').matchAll(/(?:GEOGCS|DATUM)\["([^"]*)"/g)].map((m) => simple(m[1])),
      ]),
    ].sort(),
  };
  const tail = `${part.ellipsoid}${part.pm ? ` +pm=${part.pm}` : ''}`;
  if (c.kind === 'g') {
    if (/grad|gon/i.test(c.unit)) return refused.set(c.code, ['its unit is the grad', c.name]);
    rows.push({ ...c, datum });
    return;
  }
  const { params, unit } = projectionPart(p);
  if (!Number.isFinite(unit)) return refused.set(c.code, ['its unit is not known to proj4', c.name]);
  const proj = `${[...params].map(([k, v]) => (v === '' ? `+${k}` : `+${k}=${v}`)).join(' ')} ${tail}`;
  const verdict = verdicts === null ? await vet(c, { proj, unit }) : verdictKept(c.code);
  if (verdict.reason) return refused.set(c.code, [verdict.reason, c.name]);
  rows.push({ ...c, datum, params, unit, ...verdict });
}
await inParallel(candidates, availableParallelism() + 1, async (c) => {
  await take(c);
  if (++done % 500 === 0) console.error(`${done} of ${candidates.length}`);
});
rows.sort((a, b) => Number(a.code) - Number(b.code));
await stateNoLessThanResiduals(rows);

// ------------------------------------------------------------------ accuracy against PROJ's own best operation
/** Raises the accuracy of each system to its residual in the middle of its area, in full 0.1 m. */
async function stateNoLessThanResiduals(all) {
  const systems = all.map(({ code, area, datum: d }) => ({ code, area, ...d, known: known.has(d.geo) }));
  const raised = new Set();
  const found = await residuals(systems, versions.proj);
  for (const { code, datum } of all) {
    const miss = found.get(code)?.residualM ?? 0;
    const residual = Math.ceil(miss * 10 - 0.01) / 10; // a millimetre is no reason
    if (datum.accuracy === null || datum.accuracy >= residual) continue;
    raised.add(`${datum.geo} ${datum.name}: ${datum.operation}: ${datum.accuracy} m becomes ${residual} m (${code})`);
    datum.accuracy = residual;
  }
  console.log(`accuracy raised to the residual:\n  ${[...raised].sort().join('\n  ')}`);
}

// ------------------------------------------------------------------ write
const intern = () => {
  const index = new Map();
  return {
    list: index,
    of(text) {
      if (!index.has(text)) index.set(text, index.size);
      return index.get(text);
    },
  };
};
const datums = intern();
const areas = intern();
const templates = intern();
const conversions = intern();
const n36 = (n) => n.toString(36);
const num = (v) => String(v).replace(/^(-?)0\./, '$1.');
const unitName = (u) => (u === 1 ? 'm' : u === 0.3048 ? 'f' : Math.abs(u - 1200 / 3937) < 1e-12 ? 'u' : String(u));
const lines = [];
let last = 0;
for (const r of rows) {
  const d = r.datum;
  const datumIndex = datums.of(
    [
      d.geo,
      d.name,
      d.ellipsoid.replaceAll('+', ''),
      d.pm,
      d.shift,
      d.operation,
      d.accuracy ?? '',
      d.names.join(' '),
    ].join('|'),
  );
  const areaIndex = r.area ? areas.of(r.area.map((v) => Number(v.toFixed(2))).join(' ')) : '';
  let conversion = '';
  if (r.kind === 'p') {
    const keys = [...r.params.keys()].filter((k) => k !== 'proj');
    const prefix = `${d.name} / `;
    const name = r.name.startsWith(prefix) ? `~${r.name.slice(prefix.length)}` : r.name;
    const t = templates.of([r.params.get('proj'), ...keys].join(' '));
    conversion = n36(
      conversions.of([name, unitName(r.unit), n36(t), keys.map((k) => num(r.params.get(k))).join(' ')].join('|')),
    );
  }
  const flag = r.deprecated ? '!' : '';
  lines.push(
    `${n36(Number(r.code) - last)},${n36(datumIndex)},${areaIndex === '' ? '' : n36(areaIndex)},${conversion}${flag}`,
  );
  last = Number(r.code);
}
const reasons = intern();
const left = [...refused]
  .sort((a, b) => Number(a[0]) - Number(b[0]))
  .map(([code, [reason, name]]) => `${code}|${name}|${n36(reasons.of(reason))}`);
const body = (name, doc, list) =>
  `/** ${doc} */\nexport const ${name}: string = \`${list.join('\n').replaceAll('\\', '\\\\').replaceAll('`', '\\`').replaceAll('$', '\\$')}\`;\n`;
const text = `// GENERATED by scripts/build-crs-table.mjs; do not edit. In: nothing; out: the table that crs-table.ts unfolds.
// Made from epsg-index ${INDEX_VERSION} (definitions as published by the EPSG registry) and PROJ ${versions.proj} (EPSG ${versions.epsg});
// every row was compared with PROJ there and back over its area of use: within ${LIMIT_M * 1000} mm, ${LIMIT_BACK_M * 1000} mm on the way back. Rows that were not stand in REFUSED.
// EPSG Dataset: (c) IOGP, used under its terms of use; entries here are unfolded into PROJ strings, i.e. modified.

${body('TEMPLATES', 'Projection and the names of its parameters, in the order of their values.', [...templates.list.keys()])}
${body('DATUMS', 'Geographic code|name|ellipsoid|prime meridian|shift to WGS 84|operation|accuracy in metres|other names.', [...datums.list.keys()])}
${body('AREAS', 'West, south, east, north in degrees.', [...areas.list.keys()])}
${body('CONVERSIONS', 'Name (~ = after the datum name)|unit (m, f = foot, u = US survey foot, else metres)|template|values.', [...conversions.list.keys()])}
${body('ROWS', 'Step from the code before,datum,area,conversion (none = geographic), ! = deprecated; numbers in base 36.', lines)}
${body('REFUSED', 'Code|name|reason: systems that proj4 does not compute right, and others that cannot be used.', left)}
${body('REASONS', 'Why a system is refused.', [...reasons.list.keys()])}`;
if (CHECK) {
  const there = readFileSync(OUT, 'utf8');
  const made = (t) => /^\/\/ Made from .*;$/m.exec(t)?.[0];
  const same = there === text;
  const word = same ? 'is' : 'differs from';
  if (made(there) !== made(text))
    console.log(`another PROJ or index than those the table was made from:\n${made(there)}`);
  console.log(`src/crs/tables/all.ts ${word} what this script makes`);
  process.exit(same ? 0 : 1);
}
writeFileSync(OUT, text);
const projected = rows.filter((r) => r.kind === 'p');
console.log(
  `candidates ${candidates.length}, kept ${rows.length} (projected ${projected.length}, deprecated ${rows.filter((r) => r.deprecated).length}), refused ${refused.size}`,
);
console.log(
  `worst forward ${Math.max(...projected.map((r) => r.worst))} m, back ${Math.max(...projected.map((r) => r.worstBack))} m`,
);
console.log(
  `size ${text.length} bytes; datums ${datums.list.size}, areas ${areas.list.size}, conversions ${conversions.list.size}, templates ${templates.list.size}`,
);
const why = {};
for (const [, [reason]] of refused)
  why[reason.replace(/[\d.]+(e[-+]?\d+)?/g, 'N')] = (why[reason.replace(/[\d.]+(e[-+]?\d+)?/g, 'N')] ?? 0) + 1;
console.log(why);
console.log(`datum shift unknown: ${rows.filter((r) => r.datum.accuracy === null).length}`);
