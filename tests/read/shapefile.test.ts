// Shapefile -> Layer: shapes, ring grouping, tables, encodings, damage.
// Layout of the test files: ESRI Shapefile Technical Description, July 1998, written by scripts/lib/shapefile-writer.mjs.

import { describe, expect, it } from 'vitest';
import { InputError } from '../../src/model/findings.js';
import type { Layer } from '../../src/model/index.js';
import { readLayer, readLayerAsync } from '../../src/read/index.js';
import { readShapefile, type ShapefileParts } from '../../src/read/shapefile.js';
import { codesOf, coordinatesOf, kindOf, partsOf } from '../support/layers.js';
import { type TestField, type TestShapefile, writeShapefile } from '../support/shapefile.js';

const NAME = 'trees.shp';
const ID: TestField[] = [{ name: 'ID', type: 'C', length: 8 }];
const read = (parts: ShapefileParts): Layer => readShapefile(parts, { name: NAME });
const write = (input: Partial<TestShapefile> & Pick<TestShapefile, 'type' | 'features'>): ShapefileParts =>
  writeShapefile({ fields: ID, ...input });
const refusal = (act: () => unknown): InputError => {
  try {
    act();
  } catch (error) {
    if (error instanceof InputError) return error;
    throw error;
  }
  throw new Error('nothing was refused');
};
/** Square, anticlockwise as GeoJSON has it; the writer turns shells round. */
const square = (x: number, y: number, side: number): number[][] => [
  [x, y],
  [x + side, y],
  [x + side, y + side],
  [x, y + side],
  [x, y],
];
const turned = (ring: number[][]): number[][] => [...ring].reverse();

describe('shapes', () => {
  it('reads points with heights and measures in native coordinates', () => {
    const point = (c: number[]) => ({ geometry: { type: 'Point', coordinates: c }, properties: { ID: 'a' } });
    const layer = read(
      write({ type: 'point', z: true, m: true, features: [point([7650000.25, 680000.5, 312.5, 7]), point([1, 2, 0])] }),
    );
    expect(coordinatesOf(layer, 0)).toEqual([7650000.25, 680000.5, 312.5]);
    expect([...(layer.geometry.m ?? [])]).toEqual([7, Number.NaN]);
    expect([...(layer.geometry.z ?? [])]).toEqual([312.5, 0]);
    expect(layer.findings).toEqual([]);
    const flat = read(write({ type: 'point', features: [point([1, 2])] }));
    expect([flat.geometry.z, flat.geometry.m]).toEqual([null, null]);
    const measured = read(write({ type: 'point', m: true, features: [point([1, 2, 0, 5])] }));
    expect([measured.geometry.z, ...(measured.geometry.m ?? [])]).toEqual([null, 5]);
  });

  it('reads lines, multi-lines and multi-points', () => {
    const a = [
      [0, 0, 1],
      [5, 5, 2],
    ];
    const b = [
      [6, 6, 3],
      [7, 8, 4],
      [9, 9, 5],
    ];
    const lines = read(
      write({
        type: 'polyline',
        z: true,
        features: [
          { geometry: { type: 'LineString', coordinates: a } },
          { geometry: { type: 'MultiLineString', coordinates: [a, b] } },
        ],
      }),
    );
    expect([kindOf(lines, 0), kindOf(lines, 1)]).toEqual(['line', 'multiline']);
    expect([coordinatesOf(lines, 0), coordinatesOf(lines, 1)]).toEqual([a, [a, b]]);
    const points = read(
      write({
        type: 'multipoint',
        z: true,
        m: true,
        features: [
          {
            geometry: {
              type: 'MultiPoint',
              coordinates: [
                [1, 2, 3, 4],
                [5, 6, 7, 8],
              ],
            },
          },
          { geometry: { type: 'MultiPoint', coordinates: [[1, 2, 3, 9]] } },
        ],
      }),
    );
    expect([kindOf(points, 0), kindOf(points, 1)]).toEqual(['multipoint', 'multipoint']);
    expect(coordinatesOf(points, 0)).toEqual([
      [1, 2, 3],
      [5, 6, 7],
    ]);
    expect([...(points.geometry.m ?? [])]).toEqual([4, 8, 9]);
  });

  it('keeps null shapes with their properties', () => {
    const layer = read(
      write({
        type: 'point',
        features: [
          { geometry: null, properties: { ID: 'n' } },
          { geometry: { type: 'Point', coordinates: [1, 2] }, properties: { ID: 'p' } },
        ],
      }),
    );
    expect([kindOf(layer, 0), kindOf(layer, 1)]).toEqual(['none', 'point']);
    expect(layer.findings).toMatchObject([{ code: 'geometry-null', feature: 0, path: 'record 1' }]);
    expect([layer.properties(0), layer.properties(1)]).toEqual([{ ID: 'n' }, { ID: 'p' }]);
  });

  it('reads more records than one block holds', () => {
    const features = Array.from({ length: 3000 }, (_, i) => ({
      geometry: {
        type: 'Polygon',
        coordinates: [Array.from({ length: 40 }, (_, k) => [i + Math.cos(-k), Math.sin(-k)])],
      },
      properties: { ID: `p${i}` },
    }));
    const layer = read(write({ type: 'polygon', features, keepRings: true }));
    expect(layer.count).toBe(3000);
    for (const i of [0, 1499, 2999]) {
      expect(coordinatesOf(layer, i)).toEqual(features[i]?.geometry.coordinates);
      expect(layer.properties(i)).toEqual({ ID: `p${i}` });
    }
  });

  it('takes the .prj as it stands, and leaves it open when there is none', () => {
    const features = [{ geometry: { type: 'Point', coordinates: [1, 2] } }];
    expect(read(write({ type: 'point', features, prj: 'PROJCS["X"]\n' })).crs).toEqual({
      from: 'prj',
      text: 'PROJCS["X"]',
    });
    expect(read(write({ type: 'point', features })).crs).toBeNull();
    expect(read(write({ type: 'point', features, prj: ' ' })).crs).toBeNull();
  });

  it('reads a .shp alone, when its reader has been loaded', async () => {
    const { shp } = write({
      type: 'point',
      features: [{ geometry: { type: 'Point', coordinates: [1, 2] }, properties: { ID: 'x' } }],
    });
    expect(refusal(() => readLayer(shp, { name: 'noending' })).cure).toContain('readLayerAsync');
    const layer = await readLayerAsync(shp, { name: 'noending' });
    expect([layer.format, layer.count, layer.properties(0), codesOf(layer)]).toEqual([
      'shapefile',
      1,
      {},
      ['record-count'],
    ]);
  });
});

describe('rings of a polygon', () => {
  const group = (rings: number[][][]): number[][][][] =>
    partsOf(
      read(
        write({ type: 'polygon', keepRings: true, features: [{ geometry: { type: 'Polygon', coordinates: rings } }] }),
      ),
      0,
    );
  const shell = (x: number, y: number, side: number): number[][] => turned(square(x, y, side));
  const hole = square;

  it('gives each hole to its shell, whatever the order', () => {
    const [a, b] = [shell(0, 0, 10), shell(20, 0, 10)];
    const [inA, inB] = [hole(1, 1, 2), hole(21, 1, 2)];
    expect(group([a, inA, b, inB])).toEqual([
      [a, inA],
      [b, inB],
    ]);
    expect(group([inB, a, b, inA])).toEqual([
      [a, inA],
      [b, inB],
    ]);
  });

  it('gives a hole to the smallest shell round it: an island in a hole with a hole of its own', () => {
    const [outer, lake, island, pond] = [shell(0, 0, 100), hole(10, 10, 80), shell(20, 20, 60), hole(40, 40, 10)];
    expect(group([outer, lake, island, pond])).toEqual([
      [outer, lake],
      [island, pond],
    ]);
  });

  it('does not go by bounding boxes: a hole beside the shell whose box encloses it', () => {
    const c = turned([
      [0, 0],
      [10, 0],
      [10, 1],
      [1, 1],
      [1, 9],
      [10, 9],
      [10, 10],
      [0, 10],
      [0, 0],
    ]); // a C, open to the right
    const big = shell(-50, -50, 200);
    const inBig = hole(4, 4, 2); // inside the box of the C, not in the C
    expect(group([c, big, inBig])).toEqual([[c], [big, inBig]]);
  });

  it('takes a hole that touches its shell', () => {
    const outer = shell(0, 0, 10);
    const touching = [
      [0, 5],
      [3, 4],
      [3, 6],
      [0, 5],
    ];
    expect(group([outer, touching])).toEqual([[outer, touching]]);
  });

  it('understands a writer that had the sense reversed', () => {
    const [outer, inner] = [square(0, 0, 10), turned(square(2, 2, 3))];
    expect(group([outer, inner])).toEqual([[outer, inner]]);
    expect(group([outer])).toEqual([[outer]]);
  });

  it('keeps a hole that lies in no shell, with a finding', () => {
    const rings = [shell(0, 0, 10), hole(1, 1, 2), hole(50, 50, 3)];
    const layer = read(
      write({ type: 'polygon', keepRings: true, features: [{ geometry: { type: 'Polygon', coordinates: rings } }] }),
    );
    expect(partsOf(layer, 0)).toEqual([[rings[0], rings[1]], [rings[2]]]);
    expect(layer.findings).toMatchObject([{ code: 'hole-outside', feature: 0, path: 'record 1, ring 3' }]);
  });

  it('agrees far from the origin (2,000,000 ft)', () => {
    const far = (r: number[][]): number[][] => r.map(([x = 0, y = 0]) => [x + 2_000_000.25, y + 2_000_000.25]);
    const [a, b, inB] = [far(shell(0, 0, 10)), far(shell(20, 0, 0.5)), far(hole(20.1, 0.1, 0.01))];
    expect(group([a, b, inB])).toEqual([[a], [b, inB]]);
  });

  it('keeps Z and M with their vertices when rings change places', () => {
    const withZ = (ring: number[][], z: number): number[][] =>
      ring.map(([x = 0, y = 0], i) => [x, y, z + i, 1000 + z + i]);
    const rings = [withZ(hole(21, 1, 2), 10), withZ(shell(0, 0, 10), 20), withZ(shell(20, 0, 10), 30)];
    const layer = read(
      write({
        type: 'polygon',
        z: true,
        m: true,
        keepRings: true,
        features: [{ geometry: { type: 'Polygon', coordinates: rings } }],
      }),
    );
    const xyz = rings.map((r) => r.map((p) => p.slice(0, 3)));
    expect(partsOf(layer, 0)).toEqual([[xyz[1]], [xyz[2], xyz[0]]]);
    expect([...(layer.geometry.m ?? [])]).toEqual([...(layer.geometry.z ?? [])].map((z) => z + 1000));
  });
});

describe('table', () => {
  const fields: TestField[] = [
    { name: 'TAG', type: 'C', length: 12 },
    { name: 'DBH', type: 'N', length: 8, decimals: 1 },
    { name: 'HT', type: 'F', length: 8 },
    { name: 'SEEN', type: 'D', length: 8 },
    { name: 'KEEP', type: 'L', length: 1 },
  ];
  const rows = (list: Record<string, unknown>[], more: Partial<TestShapefile> = {}): Layer =>
    read(
      writeShapefile({
        type: 'point',
        fields,
        features: list.map((properties) => ({ geometry: { type: 'Point', coordinates: [1, 2] }, properties })),
        ...more,
      }),
    );

  it('reads values as written', () => {
    const row = { TAG: '0012', DBH: 18.5, HT: 42, SEEN: '2024-03-01', KEEP: true };
    const layer = rows([row, { ...row, DBH: 0, HT: -3, KEEP: false }]);
    expect([layer.properties(0), layer.properties(1)]).toEqual([row, { ...row, DBH: 0, HT: -3, KEEP: false }]);
    expect(layer.fields).toEqual(['TAG', 'DBH', 'HT', 'SEEN', 'KEEP']);
    expect(layer.findings).toEqual([]);
  });

  it('tells blank, zero and unreadable apart', () => {
    const layer = rows([
      {},
      { DBH: 0, SEEN: '00000000', KEEP: '?' },
      { DBH: 'about 9', HT: '********', SEEN: 'may', KEEP: 'x' },
    ]);
    expect(layer.properties(0)).toEqual({ TAG: null, DBH: null, HT: null, SEEN: null, KEEP: null });
    expect(layer.properties(1)).toEqual({ TAG: null, DBH: 0, HT: null, SEEN: null, KEEP: null });
    expect(layer.properties(2)).toEqual({ TAG: null, DBH: null, HT: null, SEEN: 'may', KEEP: null });
    expect(layer.findings).toMatchObject([
      {
        code: 'number-unreadable',
        feature: 2,
        path: 'record 3, field "DBH"',
        message: expect.stringContaining('about 9'),
      },
      { code: 'number-unreadable', feature: 2, path: 'record 3, field "HT"' },
      { code: 'value-unknown', feature: 2, path: 'record 3, field "SEEN"' },
      { code: 'value-unknown', feature: 2, path: 'record 3, field "KEEP"' },
    ]);
  });

  it('keeps every digit of a long whole number', () => {
    const long: TestField[] = [{ name: 'APN', type: 'N', length: 20 }];
    const layer = read(
      writeShapefile({
        type: 'point',
        fields: long,
        features: [{ geometry: null, properties: { APN: '12345678901234567891' } }],
      }),
    );
    expect(layer.properties(0)).toEqual({ APN: '12345678901234567891' });
  });

  it.each([
    ['UTF-8', {}, []],
    ['ISO-8859-1', {}, []],
    ['ANSI 1252', {}, []],
    ['88591', {}, []],
    ['windows-1252', { cpg: undefined, language: 87 }, []],
    ['UTF-8', { cpg: undefined }, ['encoding-assumed']],
    ['windows-1252', { cpg: undefined }, ['encoding-assumed']],
  ])('decodes text written as %s, options %j', (cpg, change, codes) => {
    const parts = {
      ...writeShapefile({
        type: 'point',
        fields,
        cpg,
        language: 0,
        features: [{ geometry: { type: 'Point', coordinates: [1, 2] }, properties: { TAG: 'Ch\u00eane' } }],
      }),
    };
    if ('cpg' in change) delete (parts as { cpg?: Uint8Array }).cpg;
    if ('language' in change && parts.dbf !== undefined) parts.dbf[29] = change.language;
    const layer = read(parts);
    expect([layer.properties(0).TAG, codesOf(layer)]).toEqual(['Ch\u00eane', codes]);
  });

  it('decodes DOS code pages, which TextDecoder does not know', () => {
    const parts = writeShapefile({
      type: 'point',
      fields: ID,
      features: [{ geometry: null, properties: { ID: 'Ch\u0088ne' } }],
      cpg: 'ISO-8859-1',
    });
    // 0x88 is e with circumflex in code pages 437 and 850 (IBM code page charts).
    const cpg = (text: string): ShapefileParts => ({ ...parts, cpg: new TextEncoder().encode(text) });
    expect(read(cpg('OEM 850')).properties(0)).toEqual({ ID: 'Ch\u00eane' });
    expect(read(cpg('437')).properties(0)).toEqual({ ID: 'Ch\u00eane' });
  });

  it('keeps records that are marked as deleted, and fields of the same name', () => {
    const parts = writeShapefile({
      type: 'point',
      fields: [...ID, ...ID],
      features: [{ geometry: null, properties: { ID: 'a' } }],
    });
    if (parts.dbf !== undefined) parts.dbf[32 + 64 + 1] = 0x2a;
    const layer = read(parts);
    expect([layer.properties(0), codesOf(layer)]).toEqual([
      { ID: 'a', ID_2: 'a' },
      ['geometry-null', 'record-deleted'],
    ]);
  });

  it('says that the .dbf is missing', () => {
    const { dbf: _, ...parts } = write({
      type: 'point',
      features: [{ geometry: { type: 'Point', coordinates: [1, 2] } }],
    });
    const layer = read(parts);
    expect([layer.count, layer.properties(0)]).toEqual([1, {}]);
    expect(layer.findings).toMatchObject([
      { code: 'record-count', feature: null, message: expect.stringContaining('.dbf') },
    ]);
  });

  it('keeps what only one of .shp and .dbf has', () => {
    const many = write({
      type: 'point',
      features: [1, 2, 3].map((i) => ({
        geometry: { type: 'Point', coordinates: [i, i] },
        properties: { ID: `r${i}` },
      })),
    });
    const few = write({
      type: 'point',
      features: [{ geometry: { type: 'Point', coordinates: [9, 9] }, properties: { ID: 'f1' } }],
    });
    const shapesOnly = read({ ...many, dbf: few.dbf as Uint8Array });
    expect([0, 1, 2].map((i) => [kindOf(shapesOnly, i), shapesOnly.properties(i)])).toEqual([
      ['point', { ID: 'f1' }],
      ['point', {}],
      ['point', {}],
    ]);
    const rowsOnly = read({ ...few, dbf: many.dbf as Uint8Array });
    expect([0, 1, 2].map((i) => [kindOf(rowsOnly, i), rowsOnly.properties(i).ID])).toEqual([
      ['point', 'r1'],
      ['none', 'r2'],
      ['none', 'r3'],
    ]);
    expect([codesOf(shapesOnly), codesOf(rowsOnly)]).toEqual([
      ['record-count'],
      ['record-count', 'geometry-null', 'geometry-null'],
    ]);
  });
});

describe('damage', () => {
  const sound = (): ShapefileParts => {
    const parts = write({
      type: 'polygon',
      features: [0, 20, 40].map((x) => ({
        geometry: { type: 'Polygon', coordinates: [square(x, 0, 5)] },
        properties: { ID: `p${x}` },
      })),
    });
    return { ...parts, shp: parts.shp.slice(), shx: parts.shx?.slice() as Uint8Array };
  };
  const first = 108; // content of record 1
  const patched = (offset: number, value: number): ShapefileParts => {
    const parts = sound();
    new DataView(parts.shp.buffer).setInt32(offset, value, true);
    return parts;
  };

  it('refuses a .shp that is cut off, at any place', () => {
    const { shp, shx, dbf } = sound();
    for (let length = 1; length < shp.length; length += 7) {
      const cut = shp.slice(0, length);
      if (length >= 4) expect(refusal(() => read({ shp: cut })).code).toBe('shp-truncated');
      const parts = { shp: cut, shx: shx as Uint8Array, dbf: dbf as Uint8Array };
      expect(refusal(() => read(parts)).code).toBe('shp-truncated');
      if (length >= 28) new DataView(cut.buffer).setInt32(24, Math.floor(length / 2)); // the header mended to hide it
      expect(refusal(() => read(parts)).code).toBe('shp-truncated');
    }
  });

  it('refuses a .dbf that is cut off, and one that is not a table', () => {
    const parts = sound();
    const dbf = parts.dbf as Uint8Array;
    expect(refusal(() => read({ ...parts, dbf: dbf.slice(0, -3) })).code).toBe('dbf-truncated');
    expect(refusal(() => read({ ...parts, dbf: dbf.slice(0, 20) })).code).toBe('dbf-truncated');
    expect(refusal(() => read({ ...parts, dbf: new Uint8Array(200) })).code).toBe('dbf-broken');
  });

  it('refuses what is not a shapefile, and shape types that are not read', () => {
    expect(refusal(() => read({ shp: new Uint8Array(200) })).code).toBe('shp-broken');
    expect(refusal(() => read(patched(32, 31))).code).toBe('shp-type');
  });

  it.each([
    ['points beyond the record', first + 40, 1e6, /need/],
    ['negative count', first + 36, -1, /-1 parts/],
    ['another shape type', first, 1, /type 1/],
    ['a part that starts beyond the points', first + 44, 99, /part 1/],
  ])('keeps a broken record and its neighbours: %s', (_, offset, value, message) => {
    const layer = read(patched(offset, value));
    expect([0, 1, 2].map((i) => kindOf(layer, i))).toEqual(['broken', 'polygon', 'polygon']);
    expect(layer.findings).toMatchObject([
      { code: 'geometry-broken', feature: 0, path: 'record 1', message: expect.stringMatching(message) },
    ]);
    expect(layer.properties(0)).toEqual({ ID: 'p0' });
    expect(coordinatesOf(layer, 1)).toEqual([turned(square(20, 0, 5))]);
  });

  it('keeps a record with a coordinate that is not a number', () => {
    const parts = sound();
    new DataView(parts.shp.buffer).setFloat64(first + 48 + 16, Number.NaN, true);
    const layer = read(parts);
    expect([kindOf(layer, 0), layer.findings[0]?.path]).toEqual(['broken', 'record 1, point 2']);
    expect(coordinatesOf(layer, 2)).toEqual([turned(square(40, 0, 5))]);
  });

  it('reads without an index that does not match', () => {
    const parts = sound();
    new DataView((parts.shx as Uint8Array).buffer).setInt32(112, 2);
    const layer = read(parts);
    expect([layer.count, codesOf(layer)]).toEqual([3, ['record-count']]);
  });

  it('reads records behind a header that counts too few bytes', () => {
    const { shx: _, ...parts } = sound();
    new DataView(parts.shp.buffer).setInt32(24, 50);
    expect(read(parts).count).toBe(3);
  });
});
