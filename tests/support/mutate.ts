// Sound files and ways to spoil them. In: a number; out: the file that it stands for, the same every time.
// Terms: spoil = change bytes (any format) or structure (values of a JSON tree, cells of a table, numbers of a header);
// nasty = values that programs trip over.

import { readFileSync } from 'node:fs';
import type { Role } from './one-file.js';
import { mulberry32 } from './random.js';
import { type TestShapefile, writeShapefile, writeZip } from './shapefile.js';

export interface Spoilt {
  readonly name: string;
  readonly bytes: Uint8Array;
  readonly role: Role;
  readonly read: Readonly<Record<string, unknown>>;
  readonly how: string;
}

class Dice {
  readonly next: () => number;
  constructor(seed: number) {
    this.next = mulberry32(seed);
  }
  below(n: number): number {
    return Math.floor(this.next() * n);
  }
  of<T>(list: readonly T[]): T {
    return list[this.below(list.length)]!;
  }
}

// ---------------------------------------------------------------- sound files

const at = (dx: number, dy: number): number[] => [-122.5 + dx / 1e4, 45.5 + dy / 1e4];
const ring = (x: number, y: number, s: number): number[][] => [
  at(x, y),
  at(x + s, y),
  at(x + s, y + s),
  at(x, y + s),
  at(x, y),
];
const feature = (type: string, coordinates: unknown, properties: object, id?: unknown): object => ({
  type: 'Feature',
  ...(id === undefined ? {} : { id }),
  geometry: { type, coordinates },
  properties,
});
const trees = [0, 2, 5].map((x, i) =>
  feature('Point', at(x, x), { tag: `T${i}`, dbh_in: 12 + 7 * i, species: 'Quercus garryana', crown_radius_ft: 14 }, i),
);
const works = [
  feature('Polygon', [ring(0.5, 0.5, 2), [...ring(1, 1, 0.5)].reverse()], { kind: 'building', height_ft: 20 }, 'W1'),
  feature('LineString', [at(-1, -1), at(3, 4)], { kind: 'trench', width_ft: 2, depth_ft: 3 }),
  feature('MultiPolygon', [[ring(4, 4, 1)], [ring(6, 4, 1)]], { kind: 'paving', depth_in: 8, no_dig: 'yes' }),
];
const collection = (features: readonly object[]): object => ({ type: 'FeatureCollection', features });
const CSV = `id,easting,northing,tag,dbh_in,girth_in,crown_radius_ft,surveyed,remarks
T1,7639984.090,680142.921,1201,17.1,,17.6,2026-03-03,"fork, ""old"""
T2,7639990.5,680150.25,1202,,88,22.2,2026-03-03,
T3,7640001.25,680160,1203,28,,25,,leans
`;
const shapefile = (input: Partial<TestShapefile>): Record<string, Uint8Array> =>
  writeShapefile({
    type: 'point',
    z: true,
    m: true,
    fields: [
      { name: 'TAG', type: 'C', length: 8 },
      { name: 'DBH_IN', type: 'N', length: 8, decimals: 1 },
      { name: 'SEEN', type: 'D', length: 8 },
    ],
    features: [0, 9, 18].map((x, i) => ({
      geometry: { type: 'Point', coordinates: [7639984 + x, 680142 + x, 100 + i, i] },
      properties: { TAG: `T${i}`, DBH_IN: 10 + i, SEEN: '2026-03-01' },
    })),
    cpg: 'UTF-8',
    ...input,
  }) as unknown as Record<string, Uint8Array>;
const square = (x: number, s: number): number[][] =>
  [
    [0, 0],
    [s, 0],
    [s, s],
    [0, s],
    [0, 0],
  ].map(([dx = 0, dy = 0]) => [7639984 + x + dx, 680142 + dy, 5, 1]);
const areas = shapefile({
  type: 'polygon',
  fields: [{ name: 'KIND', type: 'C', length: 10 }],
  features: [0, 20].map((x) => ({
    geometry: { type: 'Polygon', coordinates: [square(x, 9), [...square(x + 2, 3)].reverse()] },
    properties: { KIND: 'building' },
  })),
});
const points = shapefile({});
const KML = `<?xml version="1.0" encoding="UTF-8"?><kml xmlns="http://www.opengis.net/kml/2.2"><Document><Folder><name>Trees</name>
${[0, 3].map((x) => `<Placemark><name>T${x}</name><ExtendedData><Data name="dbh_in"><value>20</value></Data></ExtendedData><Point><coordinates>${at(x, x).join(',')},10</coordinates></Point></Placemark>`).join('\n')}
</Folder></Document></kml>`;
const POINTS = '1,680142.921,7639984.090,312.1,OAK 24"\n2,680150.25,7639990.5,311,FIR 12\n3,680160,7640001,310,EP\n';
const LANDXML = `<?xml version="1.0"?><LandXML xmlns="http://www.landxml.org/schema/LandXML-1.2" version="1.2"><Units><Imperial linearUnit="foot"/></Units><CgPoints>
<CgPoint name="1" code="OAK" desc="OAK 24">680142.921 7639984.090 312.1</CgPoint><CgPoint name="2" desc="FIR 12">680150.25 7639990.5</CgPoint></CgPoints></LandXML>`;
const DXF = ['0', 'SECTION', '2', 'ENTITIES']
  .concat(['0', 'LWPOLYLINE', '8', 'HOUSE', '90', '4', '70', '1'])
  .concat(
    square(0, 9)
      .slice(0, 4)
      .flatMap(([x, y], i) => ['10', String(x), '20', String(y), '42', i === 1 ? '0.4' : '0']),
  )
  .concat([
    '0',
    'POINT',
    '8',
    'TREES',
    '10',
    '7639984',
    '20',
    '680142',
    '0',
    'CIRCLE',
    '8',
    'HOUSE',
    '10',
    '7639990',
    '20',
    '680150',
    '40',
    '3',
  ])
  .concat(['0', 'ENDSEC', '0', 'EOF'])
  .join('\n');

type Kind = (dice: Dice) => Omit<Spoilt, 'how'> & { how?: string };
const text = (value: string): Uint8Array => new TextEncoder().encode(value);

/** Formats, each as often as it stands here. */
const KINDS: readonly Kind[] = [
  (d) => ({ name: 'trees.geojson', role: 'trees', read: {}, ...json(collection(trees), d) }),
  (d) => ({ name: 'works.geojson', role: 'works', read: {}, ...json(collection(works), d) }),
  (d) => ({ name: 'lots.geojson', role: 'lots', read: {}, ...json(collection(works), d) }),
  (d) => ({ name: 'trees.ndjson', role: 'trees', read: {}, ...lines(trees, d) }),
  (d) => ({ name: 'trees.csv', role: 'trees', read: {}, ...table(CSV, d) }),
  (d) => ({ name: 'points.zip', role: 'trees', ...zipped(points, d) }),
  (d) => ({ name: 'areas.zip', role: 'works', ...zipped(areas, d) }),
  (d) => ({ name: 'trees.kml', role: 'trees', read: {}, bytes: bytewise(text(KML), d) }),
  (d) => ({
    name: 'points.txt',
    role: 'trees',
    read: { columns: [...'PNEZD'], codes: { OAK: 'Quercus', FIR: 'Abies' } },
    bytes: table(POINTS, d).bytes,
  }),
  (d) => ({
    name: 'points.xml',
    role: 'trees',
    read: { codes: { OAK: 'Quercus', FIR: 'Abies' } },
    bytes: bytewise(text(LANDXML), d),
  }),
  (d) => ({
    name: 'plan.dxf',
    role: 'works',
    read: { layerKinds: { HOUSE: 'building' } },
    bytes: table(DXF, d, '\n').bytes,
  }),
];

/** The file of a number. */
export function spoilt(seed: number): Spoilt {
  const dice = new Dice(seed);
  const kind = KINDS[seed % KINDS.length]!;
  return { how: `seed ${seed}`, ...kind(dice) };
}

// ---------------------------------------------------------------- ways to spoil

const TOKENS = [
  'NaN',
  'null',
  '[',
  '{',
  '}',
  ']',
  '"',
  ',',
  ':',
  '\\',
  '\n',
  '\0',
  '1e999',
  '-',
  'e',
  '.',
  '\u001e',
  '<',
  '&',
  ';',
  '\t',
  '\ufeff',
].map(text);

/** Overwrites, cuts, doubles, drops, moves bytes or puts tokens in; one to four times. */
function bytewise(bytes: Uint8Array, dice: Dice): Uint8Array {
  let out = bytes;
  for (let n = 1 + dice.below(4); n > 0; n--) {
    const i = dice.below(out.length + 1);
    const length = dice.below(24);
    const [before, behind] = [out.subarray(0, i), out.subarray(i)];
    const ways: readonly (() => Uint8Array[])[] = [
      () => [before, Uint8Array.of(dice.below(256)), behind.subarray(1)],
      () => [before, Uint8Array.of((behind[0] ?? 0) ^ (1 << dice.below(8))), behind.subarray(1)],
      () => [before, dice.of(TOKENS), behind],
      () => [before, dice.of(TOKENS), behind.subarray(1)],
      () => [before, behind.subarray(length)],
      () => [before, behind.subarray(0, length), behind],
      () => [behind, before],
      () => [before],
    ];
    out = joined(dice.of(dice.below(6) === 0 ? ways : ways.slice(0, 6))());
  }
  return out;
}

function joined(pieces: readonly Uint8Array[]): Uint8Array {
  const out = new Uint8Array(pieces.reduce((sum, p) => sum + p.length, 0));
  let i = 0;
  for (const piece of pieces) {
    out.set(piece, i);
    i += piece.length;
  }
  return out;
}

const NASTY: readonly unknown[] = [
  null,
  true,
  false,
  0,
  -0,
  -1,
  1e308,
  -1e308,
  5e-324,
  2 ** 53,
  91,
  181,
  7639984.09,
  '',
  ' ',
  'NaN',
  'Infinity',
  '24"',
  '1,234',
  '12;9',
  '__proto__',
  'Point',
  'Polygon',
  'FeatureCollection',
  'keep',
  'trench',
  [],
  [[]],
  [[[]]],
  {},
  { type: 'Point' },
  [0, 0],
  [1e300, 1e300],
  [-122.5, 45.5],
  ['a', 'b'],
  [null, null],
  '\ud800',
  '\u0000',
  'x'.repeat(300),
];
const KEYS = [
  'type',
  'geometry',
  'coordinates',
  'properties',
  'features',
  'id',
  'crs',
  'dbh_in',
  'stems_in',
  'girth_cm',
  'kind',
  'width_ft',
  'depth_ft',
  'zone_radius_m',
  'crown_n_m',
  '__proto__',
  'toString',
  '',
];

function json(root: object, dice: Dice): { bytes: Uint8Array } {
  if (dice.below(2) === 0) return { bytes: bytewise(text(JSON.stringify(root)), dice) };
  return { bytes: text(JSON.stringify(restructured(root, dice))) };
}

function lines(features: readonly object[], dice: Dice): { bytes: Uint8Array } {
  const list = features.map((f) => JSON.stringify(dice.below(2) === 0 ? f : restructured(f, dice)));
  const mark = dice.of(['\n', '\r\n', '\n\u001e', '\n\n']);
  const whole = text(list.join(mark));
  return { bytes: dice.below(2) === 0 ? whole : bytewise(whole, dice) };
}

function put(into: Record<string, unknown>, key: string, value: unknown): void {
  into[key] = value;
}

/** Changes one to three places of a JSON tree: replaces, deletes, wraps, doubles, moves. */
function restructured(root: object, dice: Dice): unknown {
  const copy: unknown = JSON.parse(JSON.stringify(root));
  for (let n = 1 + dice.below(3); n > 0; n--) {
    const places: { readonly parent: Record<string, unknown>; readonly key: string }[] = [];
    const walk = (node: unknown): void => {
      if (typeof node !== 'object' || node === null) return;
      for (const key of Object.keys(node)) {
        places.push({ parent: node as Record<string, unknown>, key });
        walk((node as Record<string, unknown>)[key]);
      }
    };
    walk(copy);
    if (places.length === 0) return copy;
    const { parent, key } = dice.of(places);
    const other = dice.of(places);
    const ways: readonly (() => void)[] = [
      () => put(parent, key, dice.of(NASTY)),
      () => put(parent, key, dice.of(NASTY)),
      () => (Array.isArray(parent) ? void parent.splice(Number(key), 1) : void delete parent[key]),
      () => put(parent, key, [parent[key]]),
      () => put(parent, key, JSON.parse(JSON.stringify(other.parent[other.key] ?? null))),
      () => (Array.isArray(parent) ? void parent.push(parent[Number(key)]) : put(parent, dice.of(KEYS), parent[key])),
      () => (Array.isArray(parent) ? void parent.reverse() : put(parent, dice.of(KEYS), dice.of(NASTY))),
    ];
    dice.of(ways)();
  }
  return copy;
}

const CELLS = [
  '',
  ' ',
  '"',
  '""',
  'NaN',
  '1e400',
  '-1',
  '0',
  '24"',
  '1,5',
  '=1+1',
  'x'.repeat(200),
  '\ufeff',
  '\0',
  'easting',
  '7639984.09',
  '-122.5',
  '999999999999',
  '0x10',
  '\u2212',
];

/** Changes cells, rows and marks of a table. */
function table(whole: string, dice: Dice, mark: string = ','): { bytes: Uint8Array } {
  if (dice.below(3) === 0) return { bytes: bytewise(text(whole), dice) };
  const rows = whole.split('\n').map((row) => (mark === '\n' ? [row] : row.split(mark)));
  for (let n = 1 + dice.below(4); n > 0 && rows.length > 0; n--) {
    const r = dice.below(rows.length);
    const cells = rows[r]!;
    const c = dice.below(cells.length);
    const ways: readonly (() => void)[] = [
      () => void cells.splice(c, 1, dice.of(CELLS)),
      () => void cells.splice(c, 1, dice.of(CELLS)),
      () => void cells.splice(c, 1),
      () => void cells.splice(c, 0, dice.of(CELLS)),
      () => void rows.splice(r, 1),
      () => void rows.splice(r, 0, cells.slice()),
      () => void rows.splice(r, 0, []),
      () => void cells.reverse(),
    ];
    dice.of(ways)();
  }
  const glue = mark === '\n' ? '\n' : dice.of([mark, mark, mark, ';', '\t']);
  return { bytes: text(rows.map((cells) => cells.join(glue)).join(dice.of(['\n', '\n', '\r\n', '\r']))) };
}

const INTS = [0, 1, -1, 2, 5, 0x7fffffff, -0x80000000, 0xffff, 99, 1e6];

/** Spoils the parts and packs them whole, so that damage gets past the check sums; or spoils the zip. */
function zipped(parts: Record<string, Uint8Array>, dice: Dice): { bytes: Uint8Array; read: object } {
  const chosen = { ...parts };
  const read = dice.below(2) === 0 ? {} : { salvage: true };
  const pack = (): Uint8Array =>
    writeZip(
      Object.entries(chosen).map(([ending, bytes]) => ({
        name: `layer.${ending}`,
        bytes,
        deflate: dice.below(2) === 0,
      })),
    );
  if (dice.below(5) === 0) return { bytes: bytewise(pack(), dice), read };
  for (let n = 1 + dice.below(2); n > 0; n--) {
    const ending = dice.of(Object.keys(chosen));
    const bytes = chosen[ending]!;
    const how = dice.below(6);
    if (how === 0 && ending !== 'shp') delete chosen[ending];
    else if (how < 3 || bytes.length < 16) chosen[ending] = bytewise(bytes, dice);
    else {
      const out = bytes.slice();
      const view = new DataView(out.buffer);
      const i = 4 * dice.below(Math.floor((out.length - 8) / 4));
      if (dice.below(4) === 0) view.setFloat64(i, dice.of([Number.NaN, Infinity, -1e39, 1e300, 0]), true);
      else view.setInt32(i, dice.of(INTS), dice.below(2) === 0);
      chosen[ending] = out;
    }
  }
  return { bytes: pack(), read };
}

/** The demo's own survey, spoilt bytewise: a file of real size. */
export function spoiltDemo(seed: number): Spoilt {
  const dice = new Dice(seed);
  const name = dice.of(['survey.csv', 'survey.zip', 'works.geojson']);
  const bytes = new Uint8Array(readFileSync(new URL(`../../data/demo/${name}`, import.meta.url)));
  const role = name === 'works.geojson' ? 'works' : 'trees';
  return { name, bytes: bytewise(bytes, dice), role, read: { salvage: true }, how: `demo seed ${seed}` };
}
