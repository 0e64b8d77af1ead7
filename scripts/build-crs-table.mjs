// Builds src/crs/tables/all.ts, the table of coordinate reference systems that ships with the library.
// In: the dev dependency epsg-index (names, areas, PROJ strings), Debian's PROJ (`cs2cs`, `projinfo`, and its proj.db
//     through `sqlite3`: deprecated codes, datum operations with their accuracy, other names of datums).
// Out: one vetted definition per code. Terms: vetted = proj4 and PROJ agree within 1 mm, there and back, on a grid of
//     points over the area of use; a code that is not is left out and its reason kept, so that asking for it says why.
//
//   apt-get install proj-bin proj-data sqlite3 && npm ci && node scripts/build-crs-table.mjs

import { spawn, spawnSync } from 'node:child_process';
import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { availableParallelism } from 'node:os';
import proj4 from 'proj4';

const PROJ_DB = process.env.PROJ_DB ?? '/usr/share/proj/proj.db';
const OUT = new URL('../src/crs/tables/all.ts', import.meta.url);
const LIMIT_M = 0.001; // largest difference from PROJ, metres
const LIMIT_BACK_M = 0.003; // largest miss of proj4's own way back, metres (equal-area systems over a continent)
const RAD = Math.PI / 180;

if (!existsSync(PROJ_DB)) throw new Error(`no PROJ database at ${PROJ_DB}: install proj-data or set PROJ_DB`);
const sql = (query) => {
  const run = spawnSync('sqlite3', ['-json', PROJ_DB, query], { encoding: 'utf8', maxBuffer: 1 << 28 });
  if (run.status !== 0) throw new Error(`sqlite3: ${run.error ?? run.stderr}`);
  return run.stdout === '' ? [] : JSON.parse(run.stdout);
};
const epsg = JSON.parse(readFileSync(createRequire(import.meta.url).resolve('epsg-index/all.json'), 'utf8'));

// ------------------------------------------------------------------ what PROJ's database knows
const projMeta = Object.fromEntries(sql('select key, value from metadata').map((r) => [r.key, r.value]));
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

// Seven-parameter operations to WGS 84, with the extent each is for.
const operations =
  sql(`select h.code, h.name, h.source_crs_code as source, h.accuracy, h.tx, h.ty, h.tz, h.rx, h.ry, h.rz,
    h.scale_difference as ds, h.method_code as method, u1.conv_factor as tu, u2.conv_factor as ru, u3.conv_factor as su,
    e.south_lat as s, e.north_lat as n, e.west_lon as w, e.east_lon as e, e.description as place
  from helmert_transformation_table h
  join usage us on us.object_table_name = 'helmert_transformation' and us.object_auth_name = 'EPSG' and us.object_code = h.code
  join extent e on e.auth_name = us.extent_auth_name and e.code = us.extent_code
  left join unit_of_measure u1 on u1.auth_name = h.translation_uom_auth_name and u1.code = h.translation_uom_code
  left join unit_of_measure u2 on u2.auth_name = h.rotation_uom_auth_name and u2.code = h.rotation_uom_code
  left join unit_of_measure u3 on u3.auth_name = h.scale_difference_uom_auth_name and u3.code = h.scale_difference_uom_code
  where h.auth_name = 'EPSG' and h.target_crs_code = '4326' and h.deprecated = 0
    and h.method_code in ('9603', '9606', '9607') and h.accuracy is not null and h.accuracy < 999`);

// ------------------------------------------------------------------ areas (west, south, east, north)
function width(w, e) {
  return e >= w ? e - w : e + 360 - w;
}
/** Share of area a that lies in area b; both may span the antimeridian. */
function covered(a, b) {
  const aw = width(a[0], a[2]);
  const bw = width(b[0], b[2]);
  let shared = 0;
  for (const turn of [-360, 0, 360]) {
    const from = Math.max(a[0], b[0] + turn);
    const to = Math.min(a[0] + aw, b[0] + turn + bw);
    shared = Math.max(shared, to - from);
  }
  const tall = Math.min(a[3], b[3]) - Math.max(a[1], b[1]);
  if (shared < 0 || tall < 0) return 0;
  return (aw > 0 ? shared / aw : 1) * (a[3] > a[1] ? tall / (a[3] - a[1]) : 1);
}

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
const sameDatum2d = new Map(
  sql(`select a.code as c3, min(b.code) as c2 from geodetic_crs a join geodetic_crs b on a.datum_code = b.datum_code and a.datum_auth_name = b.datum_auth_name
   where a.auth_name = 'EPSG' and b.auth_name = 'EPSG' and a.type = 'geographic 3D' and b.type = 'geographic 2D' and b.deprecated = 0 group by a.code`).map(
    (r) => [String(r.c3), String(r.c2)],
  ),
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
const FAMILY_ZERO =
  /^(NAD83|ETRS|GDA2020|ITRF|IGS|RGF93|RGFG95|WGS 84|SIRGAS|JGD2011|JGD2000|CGCS2000|NZGD2000|China Geodetic|REGVEN|MAGNA|POSGAR 2007)/;
function operationOf(c) {
  const base = geographic.get(c.base);
  const greenwich = [c.base, sameDatum2d.get(c.base)].filter(Boolean);
  const name = base?.name ?? '';
  const part = datumPart(split(c.proj ?? ''));
  if (/^WGS 84( \(3D\))?$/.test(name)) return { name: 'none needed', shift: null, accuracy: 0 };
  if (/^GDA94/.test(name))
    return {
      name: 'taken as WGS 84 (EPSG:1150; GDA2020 lies about 1.8 m to the north-east)',
      shift: null,
      accuracy: 1.8,
    };
  const mine = operations.filter((o) => greenwich.includes(String(o.source)));
  // A null operation first: members of one family (NAD83, HARN, 2011 ...) then stay together.
  const zero = mine.find((o) => o.tx === 0 && o.ty === 0 && o.tz === 0 && !o.rx && !o.ry && !o.rz && !o.ds);
  if (zero) return { name: `taken as WGS 84 (EPSG:${zero.code})`, shift: null, accuracy: zero.accuracy };
  if (FAMILY_ZERO.test(name))
    return { name: 'taken as WGS 84', shift: null, accuracy: name.startsWith('NAD83') ? 2 : 1 };
  const area = c.area ?? [-180, -90, 180, 90];
  const offshore = (text) => /offshore|\bOCS\b/i.test(text) && !/onshore/i.test(text);
  const ranked = mine
    .filter((o) => !offshore(o.place) || /offshore/i.test(c.name))
    .map((o) => ({ o, share: Math.round(covered(area, [o.w, o.s, o.e, o.n]) * 20) / 20 }))
    .sort((a, b) => b.share - a.share || a.o.accuracy - b.o.accuracy || Number(b.o.code) - Number(a.o.code));
  const best = ranked[0];
  if (best && best.share > 0) {
    const { o } = best;
    const turn = o.method === '9607' || o.method === 9607 ? -1 : 1; // coordinate frame: rotations the other way round
    const arcsec = (v) => (v ?? 0) * ((o.ru ?? 0) / (RAD / 3600)) * turn;
    const clean = (v) => Number(v.toPrecision(12));
    const shift = [
      o.tx * o.tu,
      o.ty * o.tu,
      o.tz * o.tu,
      arcsec(o.rx),
      arcsec(o.ry),
      arcsec(o.rz),
      (o.ds ?? 0) * ((o.su ?? 0) / 1e-6),
    ].map(clean);
    return {
      name: `${o.name} (EPSG:${o.code})`,
      shift: shift.slice(3).every((v) => v === 0) ? shift.slice(0, 3) : shift,
      accuracy: best.share < 0.5 ? null : o.accuracy,
    };
  }
  if (part.shift) {
    const s = part.shift.slice(3).every((v) => v === 0) ? part.shift.slice(0, 3) : part.shift;
    return {
      name: `shift of the EPSG index for ${c.name.includes('/') ? name : c.name}`,
      shift: s,
      accuracy: c.accuracy,
    };
  }
  return { name: 'unknown: taken as WGS 84', shift: null, accuracy: null };
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
    ],
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
  const verdict = await vet(c, { proj, unit });
  if (verdict.reason) return refused.set(c.code, [verdict.reason, c.name]);
  rows.push({ ...c, datum, params, unit, ...verdict });
}
const queue = [...candidates];
await Promise.all(
  Array.from({ length: availableParallelism() + 1 }, async () => {
    for (let c = queue.pop(); c; c = queue.pop()) {
      await take(c);
      if (++done % 500 === 0) console.error(`${done} of ${candidates.length}`);
    }
  }),
);
rows.sort((a, b) => Number(a.code) - Number(b.code));

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
// Made from epsg-index 2.0.0 (definitions as published by the EPSG registry) and PROJ ${projMeta['PROJ.VERSION']} (EPSG ${projMeta['EPSG.VERSION']});
// every row was compared with PROJ there and back over its area of use: within ${LIMIT_M * 1000} mm, ${LIMIT_BACK_M * 1000} mm on the way back. Rows that were not stand in REFUSED.
// EPSG Dataset: (c) IOGP, used under its terms of use; entries here are unfolded into PROJ strings, i.e. modified.

${body('TEMPLATES', 'Projection and the names of its parameters, in the order of their values.', [...templates.list.keys()])}
${body('DATUMS', 'Geographic code|name|ellipsoid|prime meridian|shift to WGS 84|operation|accuracy in metres|other names.', [...datums.list.keys()])}
${body('AREAS', 'West, south, east, north in degrees.', [...areas.list.keys()])}
${body('CONVERSIONS', 'Name (~ = after the datum name)|unit (m, f = foot, u = US survey foot, else metres)|template|values.', [...conversions.list.keys()])}
${body('ROWS', 'Step from the code before,datum,area,conversion (none = geographic), ! = deprecated; numbers in base 36.', lines)}
${body('REFUSED', 'Code|name|reason: systems that proj4 does not compute right, and others that cannot be used.', left)}
${body('REASONS', 'Why a system is refused.', [...reasons.list.keys()])}`;
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
