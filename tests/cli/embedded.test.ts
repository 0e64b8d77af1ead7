// A job file that holds its layers: the same answer as from files of the same content.
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { run } from '../support/cli.js';

const dir = mkdtempSync(join(tmpdir(), 'embedded-'));
const path = (name: string): string => join(dir, name);
afterAll(() => rmSync(dir, { recursive: true }));

const collection = (...features: object[]): object => ({ type: 'FeatureCollection', features });
const tree = (id: string, x: number, y: number, dbh_in: number): object => ({
  type: 'Feature',
  properties: { id, dbh_in },
  geometry: { type: 'Point', coordinates: [x, y] },
});
const square = (id: string, x: number, y: number, side: number): object => ({
  type: 'Feature',
  properties: { id },
  geometry: {
    type: 'Polygon',
    coordinates: [
      [
        [x, y],
        [x + side, y],
        [x + side, y + side],
        [x, y + side],
        [x, y],
      ],
    ],
  },
});
const TREES = collection(tree('T1', 0, 0, 20), tree('T2', 60, 0, 12));
const HOUSE = collection(square('house', 12, -10, 20));
const DRIVE = collection(square('drive', -30, 10, 12));
const LOT = collection(square('7', -100, -100, 250));
const JOB = {
  trees: { name: 'trees', geojson: TREES },
  works: [
    { name: 'house', geojson: HOUSE },
    { name: 'drive', kind: 'paving', geojson: DRIVE },
  ],
  option: [{ name: 'smaller', option: 'B', geojson: collection(square('house', 20, -10, 10)) }],
  lots: { name: 'lot', geojson: LOT },
  crs: 'local:ft',
  rule: 'foot-per-inch',
  out: 'assessed.geojson',
  schedule: 'schedule.csv',
};
const job = (name: string, content: object): string => {
  writeFileSync(path(name), JSON.stringify(content));
  return path(name);
};

describe('layers in a job file', () => {
  it('give what files of the same content give', async () => {
    const { code, err } = await run('assess', '--config', job('job.json', { ...JOB, page: { view: [0, 0, 10] } }));
    expect([code, err.includes('reading trees.geojson')]).toEqual([0, true]);
    for (const [name, layer] of Object.entries({ trees: TREES, house: HOUSE, drive: DRIVE, lot: LOT }))
      writeFileSync(path(`${name}.geojson`), JSON.stringify(layer));
    writeFileSync(path('smaller.geojson'), JSON.stringify(JOB.option[0]!.geojson));
    const files = {
      ...JOB,
      trees: 'trees.geojson',
      works: ['house.geojson', 'paving=drive.geojson'],
      option: ['B=smaller.geojson'],
      lots: 'lot.geojson',
      out: 'of-files.geojson',
      schedule: 'of-files.csv',
    };
    expect((await run('assess', '--config', job('files.json', files))).code).toBe(0);
    for (const [one, other] of [
      ['assessed.geojson', 'of-files.geojson'],
      ['schedule.csv', 'of-files.csv'],
    ])
      expect(readFileSync(path(one!), 'utf8')).toBe(readFileSync(path(other!), 'utf8'));
    expect(readFileSync(path('schedule.csv'), 'utf8')).toContain('T1');
  });

  it('are saved again as they were', async () => {
    const saved = path('saved.json');
    expect((await run('assess', '--config', job('job.json', JOB), '--save-config', saved)).code).toBe(0);
    const { trees, works, option, lots } = JSON.parse(readFileSync(saved, 'utf8')) as typeof JOB;
    expect({ trees, works, option, lots }).toEqual({
      trees: JOB.trees,
      works: JOB.works,
      option: JOB.option,
      lots: JOB.lots,
    });
  });

  it.each([
    [{ trees: { geojson: TREES } }, 'has no "name"'],
    [{ trees: { name: 'trees' } }, 'called "trees" has no "geojson"'],
    [{ works: [{ name: 'house', kind: 'castle', geojson: HOUSE }] }, 'has an unknown "kind"'],
    [{ works: [{ name: 'house', depth: 1, geojson: HOUSE }] }, 'has a member "depth"'],
    [{ works: [7.5] }, '7.5'],
  ])('%j is refused with what to write', async (wrong, message) => {
    const { code, err } = await run('assess', '--config', job('wrong.json', { ...JOB, ...wrong }));
    expect(code).toBeGreaterThan(0);
    expect(err).toContain(message);
  });

  it('can not be split, which reads files again', async () => {
    const { out: _1, schedule: _2, ...rest } = JOB;
    const split = await run('split', '--config', job('split.json', rest), '--manifest', path('m.json'), '--tiles', '2');
    expect(split.code).toBe(2);
    expect(split.err).toContain('split-embedded');
  });

  it('serve a siting', async () => {
    const { option: _1, schedule: _2, lots: _3, ...rest } = JOB;
    const found = await run(
      'siting',
      '--config',
      job('siting.json', { ...rest, out: 'siting.geojson' }),
      '--move',
      'house',
      '--shift',
      '20ft',
    );
    expect([found.code, found.err]).toEqual([0, expect.any(String)]);
    expect(readFileSync(path('siting.geojson'), 'utf8')).toContain('siting');
  });
});
