// Shapefiles as they should not be, each in a zip, some loose. In: nothing; out: cases: name, bytes, role, options.
// Terms: parts = .shp .shx .dbf .prj .cpg; patch = bytes overwritten in one part. Layout: ESRI Technical Description 1998.
import { writeShapefile, zipShapefile } from '../lib/shapefile-writer.mjs';

const PRJ =
  'PROJCS["NAD_1983_HARN_StatePlane_Oregon_North_FIPS_3601_Feet_Intl",GEOGCS["GCS_North_American_1983_HARN",DATUM["D_North_American_1983_HARN",SPHEROID["GRS_1980",6378137.0,298.257222101]],PRIMEM["Greenwich",0.0],UNIT["Degree",0.0174532925199433]],PROJECTION["Lambert_Conformal_Conic"],PARAMETER["False_Easting",8202099.737532808],PARAMETER["False_Northing",0.0],PARAMETER["Central_Meridian",-120.5],PARAMETER["Standard_Parallel_1",44.33333333333334],PARAMETER["Standard_Parallel_2",46.0],PARAMETER["Latitude_Of_Origin",43.66666666666666],UNIT["Foot",0.3048]]';
const FIELDS = [
  { name: 'TAG', type: /** @type {const} */ ('C'), length: 8 },
  { name: 'DBH_IN', type: /** @type {const} */ ('N'), length: 8, decimals: 1 },
  { name: 'SEEN', type: /** @type {const} */ ('D'), length: 8 },
  { name: 'PROTECTED', type: /** @type {const} */ ('L'), length: 1 },
];
const [E, N] = [7639984, 680142];
const square = (/** @type {number} */ x, /** @type {number} */ s) => [
  [E + x, N],
  [E + x + s, N],
  [E + x + s, N + s],
  [E + x, N + s],
  [E + x, N],
];

/** Three sound trees. @param {object} [more] */
export function treeParts(more = {}) {
  const features = [0, 9, 18].map((x, i) => ({
    geometry: { type: 'Point', coordinates: [E + x, N + x] },
    properties: { TAG: `T${i}`, DBH_IN: 10 + i, SEEN: '2026-03-01', PROTECTED: true },
  }));
  return writeShapefile({ type: 'point', fields: FIELDS, features, prj: PRJ, cpg: 'UTF-8', ...more });
}

/** Two sound areas of works. @param {object} [more] */
export function worksParts(more = {}) {
  const features = [0, 20].map((x) => ({
    geometry: { type: 'Polygon', coordinates: [square(x, 9), [...square(x + 2, 3)].reverse()] },
    properties: { KIND: 'building' },
  }));
  const fields = [{ name: 'KIND', type: /** @type {const} */ ('C'), length: 10 }];
  return writeShapefile({ type: 'polygon', fields, features, prj: PRJ, cpg: 'UTF-8', ...more });
}

/** @typedef {ReturnType<typeof writeShapefile>} Parts */

export function shapefileCases() {
  return [...headers(), ...cuts(), ...records(), ...tables(), ...systems(), ...loose()];
}

/** @param {string} name @param {Partial<Parts>} parts @param {object} [more] */
const zipped = (name, parts, more = {}) => ({
  name: `${name}.zip`,
  data: zipShapefile('layer', /** @type {Parts} */ (parts)),
  ...more,
});

/** @param {Parts} parts @param {'shp' | 'shx' | 'dbf'} part @param {(view: DataView, bytes: Uint8Array) => void} change @returns {Parts} */
function patched(parts, part, change) {
  const bytes = /** @type {Uint8Array} */ (parts[part]).slice();
  change(new DataView(bytes.buffer), bytes);
  return { ...parts, [part]: bytes };
}

/** @param {Parts} parts @param {string[]} names */
function without(parts, ...names) {
  return Object.fromEntries(Object.entries(parts).filter(([name]) => !names.includes(name)));
}

function headers() {
  const t = treeParts();
  const header = (/** @type {string} */ name, /** @type {(view: DataView) => void} */ change) =>
    zipped(`header-${name}`, patched(t, 'shp', change));
  return [
    zipped('sound-points', t),
    zipped('sound-areas', worksParts(), { role: 'works' }),
    header('magic', (v) => v.setInt32(0, 1234)),
    header('length-short', (v) => v.setInt32(24, 50)),
    header('length-long', (v) => v.setInt32(24, 9999)),
    header('length-negative', (v) => v.setInt32(24, -1)),
    header('type-zero', (v) => v.setInt32(32, 0, true)),
    header('type-multipatch', (v) => v.setInt32(32, 31, true)),
    header('type-unknown', (v) => v.setInt32(32, 99, true)),
    header('type-negative', (v) => v.setInt32(32, -1, true)),
    header('type-other', (v) => v.setInt32(32, 5, true)),
    header('box-nan', (v) => v.setFloat64(36, Number.NaN, true)),
    zipped(
      'index-wrong-start',
      patched(t, 'shx', (v) => v.setInt32(108, 2)),
    ),
    zipped(
      'index-beyond-end',
      patched(t, 'shx', (v) => v.setInt32(108, 99999)),
    ),
    zipped(
      'index-wrong-length',
      patched(t, 'shx', (v) => v.setInt32(112, 4)),
    ),
    zipped(
      'index-negative',
      patched(t, 'shx', (v) => v.setInt32(108, -5)),
    ),
    zipped(
      'index-magic',
      patched(t, 'shx', (v) => v.setInt32(0, 1)),
    ),
    zipped('index-fewer', { ...t, shx: /** @type {Uint8Array} */ (t.shx).slice(0, -8) }),
    zipped('index-odd', { ...t, shx: /** @type {Uint8Array} */ (t.shx).slice(0, -3) }),
    zipped('index-empty', { ...t, shx: new Uint8Array() }),
    zipped('no-records', writeShapefile({ type: 'point', fields: FIELDS, features: [], prj: PRJ })),
  ];
}

function cuts() {
  const t = treeParts();
  const cases = [];
  for (const length of [0, 3, 50, 99, 100, 104, 112, 127, 128, 130, 170]) {
    cases.push(zipped(`shp-cut-${length}`, { ...t, shp: t.shp.slice(0, length) }));
    cases.push(
      zipped(
        `shp-cut-${length}-salvage`,
        { ...t, shp: t.shp.slice(0, length) },
        { options: { read: { salvage: true } } },
      ),
    );
  }
  const dbf = /** @type {Uint8Array} */ (t.dbf);
  for (const length of [0, 10, 32, 60, 150, 161, 170, 200, dbf.length - 4]) {
    cases.push(zipped(`dbf-cut-${length}`, { ...t, dbf: dbf.slice(0, length) }));
    cases.push(
      zipped(
        `dbf-cut-${length}-salvage`,
        { ...t, dbf: dbf.slice(0, length) },
        { options: { read: { salvage: true } } },
      ),
    );
  }
  const w = worksParts();
  for (const length of [140, 330, 500]) {
    cases.push(zipped(`areas-cut-${length}`, { ...w, shp: w.shp.slice(0, length) }, { role: 'works' }));
    cases.push(
      zipped(
        `areas-cut-${length}-salvage`,
        { ...w, shp: w.shp.slice(0, length) },
        { role: 'works', options: { read: { salvage: true } } },
      ),
    );
  }
  return cases;
}

function records() {
  const t = treeParts();
  const w = worksParts();
  const first = 108; // content of record 1
  const point = (/** @type {string} */ name, /** @type {(view: DataView) => void} */ change) =>
    zipped(`record-${name}`, patched(t, 'shp', change));
  const area = (/** @type {string} */ name, /** @type {(view: DataView) => void} */ change) =>
    zipped(`area-${name}`, patched(w, 'shp', change), { role: 'works' });
  const geometry = (/** @type {unknown} */ g) => ({ geometry: g, properties: { TAG: 'x', DBH_IN: 9 } });
  return [
    point('null-shape', (v) => v.setInt32(first, 0, true)),
    point('other-type', (v) => v.setInt32(first, 3, true)),
    point('x-nan', (v) => v.setFloat64(first + 4, Number.NaN, true)),
    point('x-infinite', (v) => v.setFloat64(first + 4, Number.POSITIVE_INFINITY, true)),
    point('x-no-data', (v) => v.setFloat64(first + 4, -1e39, true)),
    point('x-denormal', (v) => v.setFloat64(first + 4, 5e-324, true)),
    point('number-wrong', (v) => v.setInt32(100, 7)),
    point('length-zero', (v) => v.setInt32(104, 0)),
    point('length-negative', (v) => v.setInt32(104, -4)),
    point('length-huge', (v) => v.setInt32(104, 0x3fffffff)),
    zipped(
      'record-length-huge-no-index',
      without(
        patched(t, 'shp', (v) => v.setInt32(104, 0x3fffffff)),
        'shx',
      ),
    ),
    zipped(
      'record-length-huge-salvage',
      patched(t, 'shp', (v) => v.setInt32(104, 0x3fffffff)),
      { options: { read: { salvage: true } } },
    ),
    area('parts-negative', (v) => v.setInt32(first + 36, -1, true)),
    area('parts-huge', (v) => v.setInt32(first + 36, 0x7fffffff, true)),
    area('parts-zero', (v) => v.setInt32(first + 36, 0, true)),
    area('points-negative', (v) => v.setInt32(first + 40, -1, true)),
    area('points-huge', (v) => v.setInt32(first + 40, 0x7fffffff, true)),
    area('points-zero', (v) => v.setInt32(first + 40, 0, true)),
    area('points-fewer', (v) => v.setInt32(first + 40, 7, true)),
    area('part-start-beyond', (v) => v.setInt32(first + 48, 99, true)),
    area('part-start-back', (v) => v.setInt32(first + 44, 3, true)),
    area('part-start-same', (v) => v.setInt32(first + 48, 0, true)),
    area('corner-nan', (v) => v.setFloat64(first + 52, Number.NaN, true)),
    zipped('points-null-shapes', treeParts({ features: [geometry(null), geometry(null)] })),
    zipped('points-z', treeParts({ z: true, features: [geometry({ type: 'Point', coordinates: [E, N, 312.5] })] })),
    zipped(
      'points-zm',
      treeParts({ z: true, m: true, features: [geometry({ type: 'Point', coordinates: [E, N, 312.5, 4] })] }),
    ),
    zipped('points-m', treeParts({ m: true, features: [geometry({ type: 'Point', coordinates: [E, N, 0, 4] })] })),
    zipped(
      'multipoint-trees',
      treeParts({
        type: 'multipoint',
        features: [
          geometry({
            type: 'MultiPoint',
            coordinates: [
              [E, N],
              [E + 5, N],
            ],
          }),
        ],
      }),
    ),
    zipped(
      'lines-as-trees',
      treeParts({
        type: 'polyline',
        features: [
          geometry({
            type: 'LineString',
            coordinates: [
              [E, N],
              [E + 5, N],
            ],
          }),
        ],
      }),
    ),
    zipped('area-holes-reversed', worksParts({ keepRings: true }), { role: 'works' }),
    zipped(
      'area-hole-alone',
      worksParts({
        keepRings: true,
        features: [{ geometry: { type: 'Polygon', coordinates: [[...square(0, 9)].reverse(), square(50, 3)] } }],
      }),
      { role: 'works' },
    ),
    zipped(
      'area-bow-tie',
      worksParts({
        keepRings: true,
        features: [
          {
            geometry: {
              type: 'Polygon',
              coordinates: [
                [
                  [E, N],
                  [E + 9, N + 9],
                  [E + 9, N],
                  [E, N + 9],
                  [E, N],
                ],
              ],
            },
          },
        ],
      }),
      { role: 'works' },
    ),
    zipped(
      'area-two-corners',
      worksParts({
        keepRings: true,
        features: [
          {
            geometry: {
              type: 'Polygon',
              coordinates: [
                [
                  [E, N],
                  [E + 9, N + 9],
                ],
              ],
            },
          },
        ],
      }),
      { role: 'works' },
    ),
    zipped(
      'area-open',
      worksParts({
        keepRings: true,
        features: [{ geometry: { type: 'Polygon', coordinates: [square(0, 9).slice(0, 4)] } }],
      }),
      { role: 'works' },
    ),
  ];
}

function tables() {
  const t = treeParts();
  const dbf = (
    /** @type {string} */ name,
    /** @type {(view: DataView, bytes: Uint8Array) => void} */ change,
    /** @type {object} */ more = {},
  ) => zipped(`dbf-${name}`, patched(t, 'dbf', change), more);
  const cell = (/** @type {string} */ name, /** @type {object} */ properties) =>
    zipped(
      `cell-${name}`,
      treeParts({
        features: [{ geometry: { type: 'Point', coordinates: [E, N] }, properties: { DBH_IN: 12, ...properties } }],
      }),
    );
  const text = (/** @type {string} */ name, /** @type {object} */ more, /** @type {string[]} */ ...drop) =>
    zipped(
      `text-${name}`,
      without(
        treeParts({
          features: [
            { geometry: { type: 'Point', coordinates: [E, N] }, properties: { DBH_IN: 12, TAG: 'Ch\u00eane' } },
          ],
          ...more,
        }),
        ...drop,
      ),
    );
  return [
    zipped('dbf-missing', without(t, 'dbf')),
    zipped('dbf-fewer', { ...t, dbf: treeParts({ features: [] }).dbf }),
    zipped('dbf-more', { ...treeParts({ features: [] }), dbf: t.dbf }),
    zipped('dbf-no-fields', treeParts({ fields: [] })),
    dbf('count-zero', (v) => v.setUint32(4, 0, true)),
    dbf('count-huge', (v) => v.setUint32(4, 0xffffffff, true)),
    dbf('count-huge-salvage', (v) => v.setUint32(4, 0xffffffff, true), { options: { read: { salvage: true } } }),
    dbf('header-zero', (v) => v.setUint16(8, 0, true)),
    dbf('header-huge', (v) => v.setUint16(8, 0xffff, true)),
    dbf('record-zero', (v) => v.setUint16(10, 0, true)),
    dbf('record-short', (v) => v.setUint16(10, 5, true)),
    dbf('version', (_, b) => b.fill(0x8b, 0, 1)),
    dbf('field-type', (_, b) => b.fill(0x51, 32 + 11, 33 + 11)),
    dbf('field-type-memo', (_, b) => b.fill(0x4d, 32 + 11, 33 + 11)),
    dbf('field-length-zero', (_, b) => b.fill(0, 32 + 16, 33 + 16)),
    dbf('field-length-huge', (_, b) => b.fill(255, 64 + 16, 65 + 16)),
    dbf('field-name-blank', (_, b) => b.fill(0, 32, 43)),
    dbf('field-name-high', (_, b) => b.fill(0xff, 32, 40)),
    dbf('no-terminator', (_, b) => b.fill(0x20, 32 + 128, 33 + 128)),
    dbf('deleted', (_, b) => b.fill(0x2a, 161, 162)),
    dbf('flag-odd', (_, b) => b.fill(0x7e, 161, 162)),
    dbf('nul-cells', (_, b) => b.fill(0, 162, 180)),
    dbf('high-cells', (_, b) => b.fill(0xff, 162, 180)),
    dbf('no-end-mark', (_, b) => b.fill(0x20, b.length - 1)),
    cell('number-blank', { DBH_IN: null }),
    cell('number-zero', { DBH_IN: 0 }),
    cell('number-words', { DBH_IN: 'about 9' }),
    cell('number-stars', { DBH_IN: '********' }),
    cell('number-comma', { DBH_IN: '12,5' }),
    cell('number-exponent', { DBH_IN: '1.2e1' }),
    cell('number-overflow', { DBH_IN: '9e999' }),
    cell('number-nan', { DBH_IN: 'NaN' }),
    cell('number-negative', { DBH_IN: -4 }),
    cell('date-blank', { SEEN: null }),
    cell('date-zeros', { SEEN: '00000000' }),
    cell('date-words', { SEEN: 'May 2026' }),
    cell('date-impossible', { SEEN: '20261399' }),
    cell('logical-odd', { PROTECTED: 'x' }),
    cell('logical-blank', { PROTECTED: null }),
    text('utf-8', {}),
    text('no-cpg-utf-8', {}, 'cpg'),
    text('no-cpg-latin-1', { cpg: 'windows-1252' }, 'cpg'),
    text('cpg-wrong', { cpg: 'windows-1252' }),
    text('cpg-unknown', { cpg: 'klingon' }),
    text('cpg-blank', { cpg: ' ' }),
    text('language-byte', { cpg: 'windows-1252', language: 0x57 }, 'cpg'),
    text('language-dos', { cpg: 'windows-1252', language: 2 }, 'cpg'),
    zipped(
      'text-cpg-lies',
      patched(treeParts({ cpg: 'UTF-8' }), 'dbf', (_, b) => b.fill(0xe9, 162, 164)),
    ),
    zipped(
      'number-18-digits',
      treeParts({
        fields: [...FIELDS, { name: 'APN', type: 'N', length: 18 }],
        features: [
          { geometry: { type: 'Point', coordinates: [E, N] }, properties: { DBH_IN: 12, APN: '123456789012345678' } },
        ],
      }),
    ),
  ];
}

function systems() {
  const t = treeParts();
  const prj = (/** @type {string} */ name, /** @type {string} */ text, /** @type {object} */ more = {}) =>
    zipped(`prj-${name}`, { ...t, prj: new TextEncoder().encode(text) }, more);
  const none = { options: { crs: null } };
  return [
    zipped('prj-missing', without(t, 'prj'), none),
    prj('blank', '  \n', none),
    prj('garbage', 'this is no projection', none),
    prj('cut', PRJ.slice(0, 200), none),
    prj('bracket-open', PRJ.slice(0, -1), none),
    prj('bom', `\ufeff${PRJ}`),
    prj('lower-case', PRJ.toLowerCase()),
    prj('newlines', PRJ.replaceAll(',', ',\n  ')),
    prj('nul-behind', `${PRJ}\0\0`),
    prj('number-words', PRJ.replace('8202099.737532808', 'east'), none),
    prj('unit-unknown', PRJ.replace('UNIT["Foot",0.3048]', 'UNIT["Cubit",0]'), none),
    prj('projection-unknown', PRJ.replace('Lambert_Conformal_Conic', 'Gnomonic_Potato'), none),
    prj('no-datum', PRJ.replace(/DATUM\[.*?\]\],/, ''), none),
    prj('geographic', /GEOGCS\[.*?\]\],PRIMEM\[.*?\],UNIT\[.*?\]\]/.exec(PRJ)?.[0] ?? '', none),
    prj('local', 'LOCAL_CS["site grid",UNIT["Foot",0.3048]]', none),
    prj('json', '{"type":"ProjectedCRS"}', none),
    prj('nested-deep', `${'PROJCS["x",'.repeat(3000)}`, none),
    prj('html', '<html>not found</html>', none),
  ];
}

function loose() {
  const t = treeParts();
  const { shp, ...companions } = /** @type {Record<string, Uint8Array>} */ (t);
  const { dbf: _, ...bare } = companions;
  return [
    { name: 'loose-sound.shp', data: shp, companions },
    { name: 'loose-no-table.shp', data: shp, companions: bare },
    { name: 'loose-alone.shp', data: shp },
    { name: 'loose-cut.shp', data: shp.slice(0, 150), companions },
    { name: 'loose-cut-salvage.shp', data: shp.slice(0, 150), companions, options: { read: { salvage: true } } },
    { name: 'loose-empty.shp', data: new Uint8Array(), companions },
    { name: 'loose-is-zip.shp', data: zipShapefile('layer', t) },
    { name: 'loose-is-text.shp', data: 'this is a shapefile, they said\n'.repeat(9) },
    { name: 'table-alone.dbf', data: /** @type {Uint8Array} */ (t.dbf) },
    { name: 'index-alone.shx', data: /** @type {Uint8Array} */ (t.shx) },
    { name: 'system-alone.prj', data: PRJ },
  ];
}
