// Damaged shapefiles and zips: refused by name, and with `salvage` read as far as they go, a finding per lost record.

import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { InputError } from '../../src/model/findings.js';
import type { Layer } from '../../src/model/index.js';
import { readLayer } from '../../src/node/read/files.js';
import { readZip } from '../../src/node/read/index.js';
import { blockSource } from '../../src/read/index.js';
import { readShapefile, type ShapefileParts } from '../../src/read/shapefile.js';
import { codesOf, coordinatesOf, kindOf } from '../support/layers.js';
import { writeShapefile, writeZip, zipShapefile } from '../support/shapefile.js';

type Bytes = { -readonly [K in keyof ShapefileParts]-?: Uint8Array };
const COUNT = 12;
const sound = (): Bytes =>
  writeShapefile({
    type: 'point',
    fields: [
      { name: 'ID', type: 'C', length: 8 },
      { name: 'DBH_IN', type: 'N', length: 6, decimals: 1 },
    ],
    features: Array.from({ length: COUNT }, (_, i) => ({
      geometry: { type: 'Point', coordinates: [7650000 + i, 680000] },
      properties: { ID: `T${i}`, DBH_IN: 10 + i },
    })),
    prj: 'PROJCS["X"]',
    cpg: 'UTF-8',
  }) as Bytes;
const read = (parts: ShapefileParts, salvage = true): Layer => readShapefile(parts, { name: 'trees.shp', salvage });
const lostRecords = (layer: Layer): (number | null)[] =>
  layer.findings.filter((f) => f.code === 'record-lost').map((f) => f.feature);
const kinds = (layer: Layer): string => Array.from({ length: layer.count }, (_, i) => kindOf(layer, i)[0]).join('');
const refused = async (act: () => unknown): Promise<string> => {
  try {
    await act();
  } catch (error) {
    if (error instanceof InputError) return `${error.code}: ${error.cure}`;
    throw error;
  }
  throw new Error('nothing was refused');
};
const RECORD = 28; // a point with its header

describe('a .shp that is cut off', () => {
  const cut = (records: number): Bytes => ({ ...sound(), shp: sound().shp.slice(0, 100 + RECORD * records + 10) });

  it('is refused by name, and the cure names the option', async () => {
    expect(await refused(() => read(cut(5), false))).toMatch(/^shp-truncated: .*--salvage/);
  });

  it('keeps every record that the index counts; each that is lost has a finding and its properties', () => {
    const layer = read(cut(5));
    expect([layer.count, kinds(layer)]).toEqual([COUNT, 'pppppnnnnnnn']);
    expect(lostRecords(layer)).toEqual([5, 6, 7, 8, 9, 10, 11]);
    expect(layer.properties(11)).toEqual({ ID: 'T11', DBH_IN: 21 });
    expect(layer.findings[0]).toMatchObject({
      path: 'record 6',
      severity: 'error',
      message: 'the shape of record 6 is lost: it has no position',
    });
  });

  it('goes by the table where there is no index, and says so where there is neither', () => {
    const { shx: _, ...noIndex } = cut(5);
    expect(lostRecords(read(noIndex))).toEqual([5, 6, 7, 8, 9, 10, 11]);
    const alone = read({ shp: noIndex.shp });
    expect([alone.count, lostRecords(alone)]).toEqual([6, [null, 5]]);
    expect(alone.findings.at(0)?.code).toBe('record-count');
    expect(alone.findings.at(1)?.message).toContain('how many records it had is not known');
  });

  it('is still refused when not even its header is there', async () => {
    expect(await refused(() => read({ ...sound(), shp: sound().shp.slice(0, 99) }))).toMatch(/^shp-truncated/);
  });
});

describe('a .shp that is damaged inside', () => {
  it.each<[string, number, number]>([
    ['a record header overwritten', 100 + RECORD * 3, 12],
    ['a length that leads astray', 100 + RECORD * 3 + 4, 4],
  ])('goes on behind it: %s', (_what, at, length) => {
    const { shx: _, ...parts } = sound();
    parts.shp.fill(0x7f, at, at + length);
    const layer = read(parts);
    expect([layer.count, kinds(layer), lostRecords(layer)]).toEqual([COUNT, 'pppnpppppppp', [3]]);
    expect(coordinatesOf(layer, 4)).toEqual([7650004, 680000]);
    expect(layer.properties(4)).toEqual({ ID: 'T4', DBH_IN: 14 });
  });

  it('finds a record by the index although its own number is gone', () => {
    const parts = sound();
    parts.shp.fill(0x7f, 100 + RECORD * 3, 100 + RECORD * 3 + 4); // the number only
    new DataView(parts.shp.buffer).setInt32(100 + RECORD * 6 + 4, 9999); // and another record's length
    expect(lostRecords(read(parts))).toEqual([6]);
  });

  it('loses nothing of a sound file', () => {
    const layer = read(sound());
    expect([layer.count, codesOf(layer)]).toEqual([COUNT, []]);
  });
});

describe('a .dbf that is cut off or damaged', () => {
  it('keeps the shapes; each row that is lost has a finding', async () => {
    const parts = { ...sound(), dbf: sound().dbf.slice(0, 32 + 64 + 1 + 15 * 9 + 3) };
    expect(await refused(() => read(parts, false))).toMatch(/^dbf-truncated: .*--salvage/);
    const layer = read(parts);
    expect([layer.count, kinds(layer)]).toEqual([COUNT, 'pppppppppppp']);
    expect(lostRecords(layer)).toEqual([null, 9, 10, 11]);
    expect([layer.properties(8), layer.properties(9)]).toEqual([{ ID: 'T8', DBH_IN: 18 }, {}]);
  });

  it('keeps the shapes where nothing of the table can be read', () => {
    expect(lostRecords(read({ ...sound(), dbf: new Uint8Array(50) }))).toHaveLength(COUNT + 1);
  });

  it('does not believe an absurd count', () => {
    const parts = sound();
    new DataView(parts.dbf.buffer).setUint32(4, 0xffffffff, true);
    expect(read(parts).count).toBe(COUNT);
    expect(read({ ...parts, shp: parts.shp.slice(0, 200) }).count).toBe(COUNT);
  });
});

describe('counts held against header and index', () => {
  it('says in plain words how the parts disagree', () => {
    const parts = sound();
    const fewer = parts.shx.slice(0, -16);
    expect(read({ ...parts, shx: fewer }, false)).toMatchObject({
      count: COUNT,
      findings: [{ code: 'record-count', message: 'the .shx lists 10 records, the .shp holds 12; all 12 were read' }],
    });
    new DataView(parts.shp.buffer).setInt32(24, 50);
    expect(read({ shp: parts.shp, dbf: parts.dbf }, false).findings).toMatchObject([
      {
        code: 'record-count',
        message: 'the header of the .shp counts 100 bytes, its records reach to 436; all 12 records were read',
      },
    ]);
  });

  it('goes by the index where the table has as many records: the file was edited', () => {
    const parts = sound();
    const table = writeShapefile({
      type: 'point',
      fields: [{ name: 'ID', type: 'C', length: 8 }],
      features: Array.from({ length: 10 }, (_, i) => ({ geometry: null, properties: { ID: `E${i}` } })),
    });
    const layer = read({ ...parts, shx: parts.shx.slice(0, -16), dbf: table.dbf as Uint8Array }, false);
    expect([layer.count, layer.findings[0]?.message]).toEqual([
      10,
      'the .shx lists 10 records, the .shp holds 12; the .dbf has 10 too, so those listed were read',
    ]);
  });
});

describe('zips', () => {
  let folder = '';
  beforeAll(async () => {
    folder = await mkdtemp(join(tmpdir(), 'salvage-'));
  });
  afterAll(() => rm(folder, { recursive: true, force: true }));
  const put = async (name: string, bytes: Uint8Array): Promise<string> => {
    await writeFile(join(folder, name), bytes);
    return join(folder, name);
  };
  const noise = (): Bytes => {
    const parts = sound();
    return { ...parts, shp: parts.shp };
  };

  it.each([false, true])('reads what is left of a zip that is cut off, packed: %s', async (deflate) => {
    const zip = zipShapefile('trees', noise(), deflate);
    let last = -1;
    for (let length = 80; length < zip.length; length += 97) {
      const path = await put('cut.zip', zip.slice(0, length));
      expect(await refused(() => readLayer(path))).toMatch(/^zip-broken: .*--salvage/);
      const layer = await readLayer(path, { salvage: true }).catch((error: unknown) => error);
      if (layer instanceof InputError) continue; // cut before anything of use
      const features = (layer as Layer).count;
      expect(features).toBeGreaterThanOrEqual(last);
      last = features;
    }
    expect(last).toBe(COUNT);
  });

  it('names the damaged part; a wrong check sum is a warning about its values', async () => {
    const zip = zipShapefile('trees', sound());
    const at = Buffer.from(zip).indexOf('T3 '); // in the table
    zip[at] = (zip[at] ?? 0) ^ 1;
    const path = await put('bit.zip', zip);
    expect(await refused(() => readLayer(path))).toMatch(/^zip-broken/);
    const layer = await readLayer(path, { salvage: true });
    expect([layer.count, codesOf(layer)]).toEqual([COUNT, ['part-damaged']]);
    expect(layer.findings[0]?.message).toBe(
      'trees.dbf in bit.zip is damaged (wrong check sum): some of its values may be wrong',
    );
  });

  it('holds to the caps in a damaged zip too', async () => {
    const bomb = writeZip([{ name: 'trees.csv', bytes: new Uint8Array(3_000_000).fill(32), deflate: true }]);
    const cut = bomb.slice(0, -30);
    expect(await refused(() => readZip(cut, 'bomb.zip', undefined, {}, true))).toMatch(/^zip-caps/);
    expect(await refused(() => readZip(cut, 'bomb.zip', undefined, { ratio: 1e5, bytes: 1e6 }, true))).toMatch(
      /^zip-caps/,
    );
  });

  it('looks into a zip within a zip, one level deep, on the same caps', async () => {
    const inner = zipShapefile('trees', sound());
    const csv = new TextEncoder().encode('tag,x,y\nA,1,2\n');
    const outer = writeZip([
      { name: 'delivery/readme.txt', bytes: csv },
      { name: 'delivery/gis.zip', bytes: inner, deflate: true },
    ]);
    expect((await readLayer(await put('outer.zip', outer))).count).toBe(COUNT);
    const two = writeZip([
      { name: 'a.zip', bytes: inner },
      { name: 'b.zip', bytes: inner },
    ]);
    const path = await put('two.zip', two);
    expect(await refused(() => readLayer(path))).toBe(
      'zip-several: choose one with --layer NAME, or several of works with their kinds (--layer NAME=building --layer NAME=paving): a.zip/trees.shp, b.zip/trees.shp',
    );
    expect((await readLayer(path, { layer: 'b.zip/trees.shp' })).count).toBe(COUNT);
    const deep = writeZip([{ name: 'deep.zip', bytes: outer }]);
    expect(await refused(async () => readLayer(await put('deep.zip', deep)))).toMatch(/^zip-empty/);
    expect(await refused(() => readLayer(path, { layer: 'trees', zip: { entries: 6 } }))).toMatch(/^zip-caps/);
    const beside = writeZip([
      { name: 'gis.zip', bytes: inner },
      { name: 'trees.csv', bytes: csv },
    ]);
    expect((await readLayer(await put('beside.zip', beside))).format).toBe('csv'); // what lies open comes first
    expect((await readLayer(await put('beside.zip', beside), { layer: 'trees.shp' })).format).toBe('shapefile');
  });
});

describe('files in blocks', () => {
  it('gives the same layer as the bytes, whatever the block', () => {
    const square = (x: number) => [
      [x, 0, 5, 1],
      [x, 9, 6, 2],
      [x + 9, 9, 7, 3],
      [x, 0, 5, 4],
    ];
    const parts = writeShapefile({
      type: 'polygon',
      z: true,
      m: true,
      fields: [{ name: 'ID', type: 'C', length: 12 }],
      features: Array.from({ length: 40 }, (_, i) => ({
        geometry: i % 7 === 3 ? null : { type: 'Polygon', coordinates: [square(i * 10), square(i * 10 + 1)] },
        properties: { ID: `\u00e9${i}` },
      })),
    }) as Bytes;
    const inBlocks = (bytes: Uint8Array, block: number) =>
      blockSource(
        bytes.length,
        (into, from) => {
          const piece = bytes.subarray(from, from + Math.min(into.length, 7 + (from % 5))); // short reads, as pipes give
          into.set(piece);
          return piece.length;
        },
        block,
      );
    const whole = readShapefile(parts, { name: 'a.shp' });
    for (const block of [1, 13, 256, 1 << 20]) {
      const layer = readShapefile(
        {
          shp: inBlocks(parts.shp, block),
          shx: inBlocks(parts.shx, block),
          dbf: inBlocks(parts.dbf, block),
        },
        { name: 'a.shp' },
      );
      expect(layer.geometry).toEqual(whole.geometry);
      expect([layer.findings, layer.fields]).toEqual([whole.findings, whole.fields]);
      for (let i = 0; i < whole.count; i++) expect(layer.properties(i)).toEqual(whole.properties(i));
    }
  });
});
