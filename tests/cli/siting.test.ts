// rootberth siting on the demo: the files it writes, read back and assessed again; options that make no sense.
import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join, relative } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { assessFiles } from '../../src/node/assess-files.js';
import { run } from '../support/cli.js';

const DEMO = fileURLToPath(new URL('../../data/demo/', import.meta.url));
const from = (name: string): string => join(relative('', DEMO), name);
const FILES = ['--trees', from('survey.csv'), '--crs', 'EPSG:2913', '--works', from('works.geojson')];
const LOT = ['--lots', from('lots.geojson'), '--zones', from('zones.geojson'), '--setback', '5ft'];
const STANDS = ['--existing', from('existing.geojson'), '--existing-use', 'spared'];
const HOUSE = ['siting', ...FILES, ...LOT, ...STANDS, '--move', 'B-08', '--move', 'D-08'];

let dir = '';
beforeAll(async () => {
  dir = await mkdtemp(join(tmpdir(), 'siting-'));
});
afterAll(async () => {
  await rm(dir, { recursive: true });
});

interface Written {
  readonly rootberth: { readonly siting: { readonly status: string }; readonly findings: readonly { code: string }[] };
  readonly features: readonly GeoJSON.Feature<GeoJSON.Polygon | GeoJSON.Point>[];
}

describe('the house of lot 8 and its drive', () => {
  test('go where the big oak is within its limit, in the file as in the figures', async () => {
    const [out, table] = [join(dir, 'siting.geojson'), join(dir, 'table.csv')];
    const { code, out: list } = await run(...HOUSE, '--shift', '20ft', '--out', out, '--table', table, '--units', 'us');
    expect(code).toBe(0);
    expect(list).toMatch(/^B-08, D-08: at its new place, no tree to be kept is over its limits/);
    const text = await readFile(out, 'utf8');
    const { rootberth, features } = JSON.parse(text) as Written;
    expect(rootberth.siting.status).toBe('sited');
    const role = (name: string) => features.filter(({ properties }) => properties?.rb_role === name);
    expect([...new Set(features.map(({ properties }) => properties?.rb_role))]).toEqual([
      'buildable',
      'position',
      'allowed',
      'works',
      'tree',
    ]);
    const oak = role('tree').find(({ properties }) => properties?.id === 'T109')?.properties;
    expect(oak).toMatchObject({ rb_verdict: 'over-limit', rb_siting_1_verdict: 'within-limit' });
    // The works of siting 1 as they stand in the file, put in place of those drawn, assessed anew: 0.1 mm of rounding.
    const plan = JSON.parse(await readFile(join(DEMO, 'works.geojson'), 'utf8')) as GeoJSON.FeatureCollection;
    const moved = new Map(
      role('works')
        .filter(({ properties }) => properties?.rb_siting === 1)
        .map((one) => [one.properties?.id as string, one]),
    );
    expect([...moved.keys()]).toEqual(['B-08', 'D-08']);
    const works = plan.features.map((one) => {
      const geometry = moved.get(one.properties?.id as string)?.geometry;
      return geometry === undefined ? one : { ...one, geometry };
    });
    const file = join(dir, 'moved.geojson');
    await writeFile(file, JSON.stringify({ ...plan, features: works }));
    const again = await assessFiles({
      trees: join(DEMO, 'survey.csv'),
      works: [file],
      existing: [join(DEMO, 'existing.geojson')],
      existingUse: 'spared',
      zones: join(DEMO, 'zones.geojson'),
      crs: 'EPSG:2913',
      margins: false,
      threads: 1,
    });
    for (const { properties } of role('tree')) {
      const tree = again.trees.find(({ key }) => key === properties?.id);
      expect(tree?.verdict, tree?.key).toBe(properties?.rb_siting_1_verdict);
      expect(tree?.overlapPct, tree?.key).toBeCloseTo(properties?.rb_siting_1_overlap_pct as number, 3);
    }
    const rows = (await readFile(table, 'utf8')).trimEnd().split('\r\n');
    expect(rows.find((row) => row.startsWith('T109'))).toMatch(/^T109,22\.8,over-limit,19\.\d,within-limit/);
    // The same job gives the same bytes.
    await run(...HOUSE, '--shift', '20ft', '--out', out, '--units', 'us', '--quiet');
    expect(await readFile(out, 'utf8')).toBe(text);
  });

  test('--fail-on says that nothing keeps every tree', async () => {
    const given = ['siting', ...FILES, ...LOT, ...STANDS, '--move', 'B-09', '--shift', '2ft'];
    const { code, out, err } = await run(...given, '--fail-on', 'over-limit', '--out', join(dir, 'x.geojson'));
    expect(code).toBe(3);
    expect(out).toContain('leaves T109 over its limit by');
    expect(err).toContain('siting-trade');
  });
});

test.each<[string, string[], RegExp]>([
  ['no output', [], /neither --out nor --table/],
  ['another format', ['--out', 'a.gpkg'], /written as GeoJSON/],
  ['two rules', ['--out', 'a.geojson', '--rule', 'foot-per-inch', '--rule', 'din18920'], /under one rule/],
  ['an angle', ['--out', 'a.geojson', '--turn', 'north'], /write --turn 15deg/],
  ['a side', ['--out', 'a.geojson', '--setback', 'back=3m', '--front', '180'], /not a side of a lot/],
  ['sides without a front', ['--out', 'a.geojson', '--setback', 'front=3m'], /which side is the front/],
  ['both grounds', ['--out', 'a.geojson', '--buildable', 'x.geojson', '--setback', '3m'], /gives the ground itself/],
  ['works that are not there', ['--out', 'a.geojson', '--move', 'B-80'], /no works are called "B-80"/],
  ['an option of assess', ['--out', 'a.geojson', '--stakes', 's.csv'], /unknown option '--stakes'/],
])('wrong usage: %s', async (_what, words, message) => {
  const { code, err } = await run('siting', ...FILES, '--lots', from('lots.geojson'), ...words);
  expect([code, err]).toEqual([2, expect.stringMatching(message)]);
});

test('setbacks by side: the front faces where it is said to', async () => {
  const out = join(dir, 'sides.geojson');
  const plan = ['--setback', 'front=6m,side=1.5m,rear=3m', '--front', '0'];
  const lot = join(dir, 'lot.geojson');
  const works = join(dir, 'house.geojson');
  const trees = join(dir, 'trees.csv');
  const square = (w: number, s: number, e: number, n: number, properties: object) => ({
    type: 'Feature',
    properties,
    geometry: {
      type: 'Polygon',
      coordinates: [
        [
          [w, s],
          [e, s],
          [e, n],
          [w, n],
          [w, s],
        ],
      ],
    },
  });
  const layer = (feature: object): string => JSON.stringify({ type: 'FeatureCollection', features: [feature] });
  await writeFile(lot, layer(square(0, 0, 30, 40, { id: 'L1' })));
  await writeFile(works, layer(square(10, 15, 20, 25, { id: 'H', kind: 'building' })));
  await writeFile(trees, 'id,easting,northing,dbh_cm\nT1,100,100,30\n');
  const { code } = await run(
    'siting',
    '--trees',
    trees,
    '--works',
    works,
    '--lots',
    lot,
    '--crs',
    'local:m',
    '--lots-crs',
    'local:m',
    '--works-crs',
    'local:m',
    ...plan,
    '--out',
    out,
  );
  expect(code).toBe(0);
  const { features } = JSON.parse(await readFile(out, 'utf8')) as Written;
  const ground = features.find(({ properties }) => properties?.rb_role === 'buildable')?.geometry as GeoJSON.Polygon;
  const xs = ground.coordinates[0]?.map(([x]) => x!) ?? [];
  const ys = ground.coordinates[0]?.map(([, y]) => y!) ?? [];
  const box = [Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys)];
  for (const [i, v] of [1.5, 3, 28.5, 34].entries()) expect(box[i]).toBeCloseTo(v, 2);
});
