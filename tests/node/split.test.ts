// Jobs in tiles: what is put together again is byte for byte what one machine writes, and nothing that changed is used.
import { appendFile, copyFile, mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { readManifest } from '../../src/node/tiles/manifest.js';
import { checkLayers } from '../../src/node/tiles/reconcile.js';
import { dataPath, recordPath } from '../../src/node/tiles/results.js';
import {
  type AssessFilesOptions,
  assessFiles,
  mergeTiles,
  readLayer,
  runTile,
  type SplitOptions,
  splitJob,
  writeAssessment,
} from '../../src/node.js';
import { findingsPieces, toLotTable, toSchedule } from '../../src/write/index.js';
import { scene } from '../support/scene.js';

const DEMO = fileURLToPath(new URL('../../data/demo/', import.meta.url));
const demo = (name: string): string => join(DEMO, name);

let dir = '';
beforeAll(async () => {
  dir = await mkdtemp(join(tmpdir(), 'split-'));
});
afterAll(async () => {
  await rm(dir, { recursive: true });
});

const text = (path: string): Promise<string> => readFile(path, 'utf8');

/** One machine and tiles, with the same options; the outputs of both. */
async function bothWays(name: string, job: AssessFilesOptions, options: SplitOptions, ending = 'geojson') {
  const { tiles: _1, treesPerTile: _2, files: _3, ...write } = options;
  const one = join(dir, `${name}-one.${ending}`);
  const assessment = await assessFiles({ ...job, threads: 1 });
  const { findings } = await writeAssessment(one, assessment, write);
  const path = join(dir, `${name}.json`);
  const at = (what: string): string => join(dir, `${name}.${what}`);
  const lots = job.lots === undefined ? {} : { lotTable: at('lots.csv') };
  const files = { out: at(ending), schedule: at('csv'), findings: at('found.json'), ...lots };
  const manifest = await splitJob(job, { ...options, files }, path);
  for (let i = manifest.tiles.length - 1; i >= 0; i--) await runTile(path, i); // in any order
  const { counts } = await mergeTiles(path);
  expect(counts).toEqual(assessment.counts);
  expect(await text(files.schedule)).toBe(toSchedule(assessment, { units: options.units }));
  expect(await text(files.findings)).toBe([...findingsPieces(assessment, findings)].join(''));
  if (lots.lotTable !== undefined)
    expect(await text(lots.lotTable)).toBe(toLotTable(assessment, { units: options.units }));
  return { manifest, path, files, tiles: await text(files.out), one: await text(one) };
}

const DEMO_JOB: AssessFilesOptions = {
  trees: demo('survey.csv'),
  works: [demo('works.geojson'), { path: demo('option-b.geojson'), option: 'B' }],
  lots: demo('lots.geojson'),
  existing: [demo('existing.geojson')],
  zones: demo('zones.geojson'),
  limbList: demo('limbs.csv'),
  crs: 'EPSG:2913',
  existingUse: 'spared',
  rule: ['foot-per-inch', demo('town.json')],
  margins: false,
  clearanceM: 1.8,
  mitigationFile: 'inch-for-inch',
};
const TREE_WISE = ['existing', 'works', 'zone', 'ring', 'crown', 'overlap', 'severed', 'tree'];

describe('the demo in tiles', () => {
  test('every role, lots, fences, rules, design options: the bytes of one machine', async () => {
    const { tiles, one, manifest } = await bothWays('demo', DEMO_JOB, { tiles: 4, units: 'us' });
    expect(manifest.tiles).toHaveLength(4);
    expect(manifest.whole).toBe(true);
    expect(manifest.inputs.map(({ read }) => read)).toEqual(['whole', ...Array(5).fill('ranges')]);
    expect(tiles).toBe(one);
  });

  test('without lots and fences nothing is read again for the merge; in another system, tree by tree', async () => {
    const { lots: _, mitigationFile: _m, limbList: _l, ...job } = DEMO_JOB;
    const { tiles, one, manifest } = await bothWays(
      'light',
      { ...job, existingUse: 'regrown', rule: 'as4970-2009' },
      { treesPerTile: 45, roles: TREE_WISE, outCrs: 'EPSG:2913', prefix: 'x_' },
    );
    expect(manifest.whole).toBe(false);
    expect(tiles).toBe(one);
  });

  test('a feature a line, with the file beside it that says where they come from', async () => {
    const job = { ...(await scene(dir, 'ndjson', 24)), margins: false };
    const { tiles, one, files } = await bothWays('lines', job, { tiles: 3, roles: TREE_WISE }, 'ndjson');
    expect(tiles).toBe(one);
    expect(await text(`${files.out}.rootberth.json`)).toBe(await text(join(dir, 'lines-one.ndjson.rootberth.json')));
  });
});

describe('an invented scene in tiles, with margins, doubled ids, trees without a place', () => {
  test.each(['geojson', 'ndjson', 'csv', 'gpkg', 'fgb', 'zip'] as const)('trees as .%s', async (format) => {
    const made = await scene(dir, format, 16);
    const margins = format === 'geojson'; // they take milliseconds a tree
    const job = {
      ...made,
      ...(margins ? { dbhAccuracyM: 0.01 } : {}),
      margins,
      ...(format === 'csv' ? { crs: 'OGC:CRS84' } : {}),
    };
    const { tiles, one, manifest } = await bothWays(`scene-${format}`, job, { tiles: 4 });
    expect(manifest.inputs[0]?.read).toBe(
      { geojson: 'ranges', ndjson: 'ranges', csv: 'ranges', gpkg: 'box', fgb: 'box', zip: 'whole' }[format],
    );
    expect(tiles).toBe(one);
  });
});

describe('what does not reconcile is not merged', () => {
  const split = async (name: string) => {
    const trees = join(dir, `${name}.csv`);
    await copyFile(demo('survey.csv'), trees);
    const path = join(dir, `${name}.json`);
    const job = { trees, works: [demo('works.geojson')], crs: 'EPSG:2913', margins: false };
    const out = join(dir, `${name}.geojson`);
    await splitJob(job, { tiles: 2, roles: ['tree'], files: { out } }, path);
    return { path, trees, out };
  };

  test('a tile that is not done, or whose data changed; a tile run again is the same bytes', async () => {
    const { path, out } = await split('gaps');
    const { record } = await runTile(path, 0);
    await expect(mergeTiles(path)).rejects.toMatchObject({
      code: 'tiles-missing',
      message: '1 of 2 tiles are not done: 1',
    });
    await runTile(path, 1);
    await mergeTiles(path);
    const first = await text(out);
    expect((await runTile(path, 0)).isOld).toBe(true);
    expect(await runTile(path, 0, { again: true })).toEqual({ record, isOld: false });
    await appendFile(dataPath(path, 0), 'x');
    await expect(mergeTiles(path)).rejects.toMatchObject({ code: 'tile-damaged' });
    expect((await runTile(path, 0)).isOld).toBe(false); // it sees for itself
    await mergeTiles(path);
    expect(await text(out)).toBe(first);
  });

  test('a record that miscounts', async () => {
    const { path } = await split('miscount');
    const { record } = await runTile(path, 0);
    await runTile(path, 1);
    await writeFile(recordPath(path, 0), JSON.stringify({ ...record, verdicts: record.verdicts.slice(1) }));
    await expect(mergeTiles(path)).rejects.toMatchObject({ code: 'tiles-unreconciled' });
  });

  test('an input that changed: the tile that reads it fails, and so does the merge', async () => {
    const { path, trees } = await split('changed');
    await runTile(path, 0);
    await runTile(path, 1);
    await writeFile(trees, (await text(trees)).replace(/Quercus/g, 'Fraxinu'));
    await expect(mergeTiles(path)).rejects.toMatchObject({ code: 'input-changed' });
    await expect(runTile(path, 1, { again: true })).rejects.toMatchObject({ code: 'input-changed' });
  });

  test('an input that changes between being hashed and being read for the merge', async () => {
    const { path, trees } = await split('between');
    const manifest = await readManifest(path);
    const [layer, plan] = [await readLayer(trees), await readLayer(demo('works.geojson'))];
    const works = [{ layer: plan }];
    expect(() => checkLayers(manifest, { trees: layer, works })).not.toThrow();
    expect(() => checkLayers(manifest, { trees: { ...layer, sha256: plan.sha256 }, works })).toThrow(
      /has changed since/,
    );
    expect(() => checkLayers(manifest, { trees: layer, works: [{ layer }] })).toThrow(
      /works\.geojson has changed since/,
    );
  });

  test('a manifest that was changed, a tile that is not in it, results of another split', async () => {
    const { path } = await split('other');
    await expect(runTile(path, 2)).rejects.toMatchObject({ code: 'tile-unknown', usage: true });
    await runTile(path, 0);
    const manifest = JSON.parse(await text(path));
    await writeFile(path, JSON.stringify({ ...manifest, margins: true }));
    await expect(runTile(path, 0)).rejects.toMatchObject({ code: 'manifest-invalid' });
    await writeFile(path, JSON.stringify({ ...manifest, tiles: 'none' }));
    await expect(mergeTiles(path)).rejects.toThrow(/fault at tiles/);
  });

  test.each([
    ['standard input', { trees: '-' }, { tiles: 2 }, 'split-stdin'],
    ['no number of tiles', {}, {}, 'split-tiles'],
    ['two numbers', {}, { tiles: 2, treesPerTile: 5 }, 'split-tiles'],
    ['half a tile', {}, { tiles: 0.5 }, 'split-tiles'],
  ])('%s is refused before anything is read', async (_what, job, options, code) => {
    const whole = { trees: demo('survey.csv'), works: ['nowhere.geojson'], ...job };
    await expect(splitJob(whole, options, join(dir, 'x.json'))).rejects.toMatchObject({ code, usage: true });
  });
});
