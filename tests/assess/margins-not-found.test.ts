// Margins that are given up for their cost are told once for all trees, wherever margins are told. The shape is a real one:
// a hatch of narrow works that cross each other a quarter of a million times, beside a tree that loses little to them.
import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import type { AssessOptions, Finding } from '../../src/model/index.js';
import { mergeTiles, runTile, splitJob } from '../../src/node.js';
import { toReport } from '../../src/report/index.js';
import { geojsonText } from '../../src/write/index.js';
import { run } from '../support/cli.js';
import { box, localJob, tree, type XY } from '../support/local-job.js';

/** Bars each way; each pair crosses in four corners. */
const BARS = 260;
const corners = (west: number, south: number, east: number, north: number): XY[] => [
  [west, south],
  [east, south],
  [east, north],
  [west, north],
];
/** Bars beside a tree at x, beyond its zone of 10 m but within the reach of a margin. */
const hatch = (x: number): XY[][] =>
  Array.from({ length: BARS }, (_, i) => {
    const at = i * 0.025;
    return [corners(x + 11 + at, -3, x + 11.01 + at, 3.5), corners(x + 11, -3 + at, x + 17.5, -2.99 + at)];
  }).flat();
const house = (x: number): XY[] => corners(x - 20, -10, x - 9, 10);
const at = [0, 300, 600, 900, 1200, 1500, 1800];
const works = (x: number): XY[][] => [house(x), ...hatch(x)];
const MESSAGE = 'the margins of 7 trees were not found';
const NAMES = 'T0, T300, T600, T900, T1200 and 2 more';

describe('margins given up', () => {
  const trees = [
    ...at.map((x) => tree(x, 0, { id: `T${x}`, dbh_cm: 83.3 })),
    tree(2400, 0, { id: 'T9', dbh_cm: 83.3 }),
  ];
  const polygons = [
    ...at.flatMap((x) => works(x).map((ring) => ({ rings: [ring], properties: {} }))),
    box(2406, -5, 2420, 5, { id: 'house' }),
  ];
  const job = (options: AssessOptions = {}) => localJob(trees, polygons, { options });

  test('one finding with the count and the first names; the tree that has a margin is not among them', () => {
    const assessment = job();
    expect(assessment.findings.map(({ code }) => code)).not.toContain('margin-not-found');
    expect(assessment.marginFindings).toHaveLength(1);
    const [one] = assessment.marginFindings;
    expect(one).toMatchObject({ code: 'margin-not-found', severity: 'info', feature: null });
    expect(one?.message).toContain(MESSAGE);
    expect(one?.message).toContain(NAMES);
    expect(one?.cure).toContain('--margins none');
    const given = assessment.trees.filter(({ reasons }) => reasons.includes('margin-not-found'));
    expect(given.map(({ key }) => key)).toEqual(at.map((x) => `T${x}`));
    expect(assessment.trees.at(-1)?.marginM).not.toBeNull();
    expect(returned(geojsonText(assessment, { roles: ['tree'] }))).toEqual([one]);
    expect(returned(geojsonText(assessment, { roles: ['works'] }))).toEqual([]);
  });

  test('the report says it among its findings', () => {
    const alone = localJob([trees[0]!], polygons.slice(0, works(0).length), {});
    expect(toReport(alone)).toContain('the margins of 1 tree were not found');
  });

  test('none where margins are off, and none where all are found', () => {
    expect(job({ margins: false }).marginFindings).toEqual([]);
    expect(localJob([trees[0]!], [box(6, -5, 20, 5, {})], {}).marginFindings).toEqual([]);
  });

  test('a signal stops the search for them', () => {
    const signal = {
      throwIfAborted: () => {
        throw new Error('stopped');
      },
    };
    expect(() => job().stoppedBy(signal).marginFindings).toThrow('stopped');
  });
});

function returned<R>(pieces: Generator<unknown, R>): R {
  for (let step = pieces.next(); ; step = pieces.next()) if (step.done === true) return step.value;
}

describe('from files', () => {
  test('the command line says it in the digest and in the findings file; tiles put together say the same', async () => {
    const dir = await mkdtemp(join(tmpdir(), 'margins-'));
    const [east, north] = [500_000, 5_000_000];
    const collection = (features: readonly object[]): string => JSON.stringify({ type: 'FeatureCollection', features });
    const feature = (type: string, coordinates: unknown, properties: object) => ({
      type: 'Feature',
      properties,
      geometry: { type, coordinates },
    });
    const two = at.slice(0, 2);
    const point = (x: number): object => feature('Point', [east + x, north], { id: `T${x}`, dbh_cm: 83.3 });
    const polygon = (ring: readonly XY[]): object =>
      feature('Polygon', [[...ring, ring[0]!].map(([x, y]) => [east + x, north + y])], { kind: 'building' });
    const file = (name: string): string => join(dir, name);
    await writeFile(file('trees.geojson'), collection(two.map(point)));
    await writeFile(file('works.geojson'), collection(two.flatMap(works).map(polygon)));
    const found = async (name: string): Promise<Finding[]> => {
      const { findings } = JSON.parse(await readFile(file(name), 'utf8')) as { findings: Finding[] };
      return findings.filter(({ code }) => code === 'margin-not-found');
    };
    const given = ['--trees', file('trees.geojson'), '--works', file('works.geojson'), '--crs', 'EPSG:32610'];
    const told = ['--roles', 'tree', '--out', file('one.geojson'), '--findings', file('one.json')];
    const { code, err } = await run('assess', ...given, ...told);
    expect(code).toBe(0);
    const [one, ...more] = await found('one.json');
    expect(more).toEqual([]);
    expect(one?.message).toContain('the margins of 2 trees were not found');
    expect(err).toContain(`info margin-not-found ${one?.message}`);
    const silent = await run('assess', ...given, ...told, '--margins', 'none');
    expect(silent.err).not.toContain('margin-not-found');

    const job = { trees: file('trees.geojson'), works: [file('works.geojson')], crs: 'EPSG:32610' };
    const files = { out: file('tiles.geojson'), findings: file('tiles.json') };
    const manifest = await splitJob(job, { tiles: 2, roles: ['tree'], files }, file('job.json'));
    for (const i of manifest.tiles.keys()) await runTile(file('job.json'), i);
    const merged = await mergeTiles(file('job.json'));
    expect(merged.findings).toContainEqual(one);
    expect(await found('tiles.json')).toEqual([one]);
    await rm(dir, { recursive: true });
  });
});
