// A split job's manifest is named in one way everywhere: it stands alone, or behind --manifest.
import { copyFileSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { run } from '../support/cli.js';

const demo = (name: string): string => fileURLToPath(new URL(`../../data/demo/${name}`, import.meta.url));
const TREES = 12;
const before = process.cwd();
let dir = '';

beforeAll(async () => {
  dir = mkdtempSync(join(tmpdir(), 'manifest-'));
  process.chdir(dir);
  copyFileSync(demo('works.geojson'), 'works.geojson');
  const rows = readFileSync(demo('survey.csv'), 'utf8').split('\n');
  writeFileSync('survey.csv', rows.slice(0, TREES + 1).join('\n'));
  const layers = ['--trees', 'survey.csv', '--crs', 'EPSG:2913', '--works', 'works.geojson', '--margins', 'none'];
  const how = ['--tiles', '2', '--manifest', 'job.json', '--out', 'merged.geojson', '--quiet', '--no-config'];
  const { code, out } = await run('split', ...layers, ...how);
  expect(code).toBe(0);
  expect(out).toContain('rootberth run job.json --index N\n  then: rootberth merge job.json\n');
});
afterAll(() => {
  process.chdir(before);
  rmSync(dir, { recursive: true });
});

/** The ways to name it; the last two name it twice, alike. */
const WAYS = [['job.json'], ['--manifest', 'job.json'], ['job.json', '--manifest', './job.json']];

test.each(WAYS.map((way) => [way.join(' '), way] as const))('%s is the manifest of run and merge', async (_, way) => {
  const ran = await run('run', ...way, '--index', 'all', '--again');
  expect([ran.code, ran.err]).toEqual([0, '']);
  expect(ran.out.match(/^tile \d/gm)).toEqual(['tile 0', 'tile 1']);
  expect(await run('merge', ...way, '--missing')).toEqual({ code: 0, out: '', err: '' });
  rmSync('merged.geojson', { force: true });
  expect((await run('merge', ...way, '--quiet')).code).toBe(0);
  const trees = JSON.parse(readFileSync('merged.geojson', 'utf8')).features.filter(
    (one: { properties: { rb_role?: string } }) => one.properties.rb_role === 'tree',
  );
  expect(trees).toHaveLength(TREES);
});

describe.each([
  ['run', ['--index', '0']],
  ['run', ['--stdin']],
  ['merge', ['--missing']],
  ['enqueue', []],
])('%s %j', (command, more) => {
  test('with two manifests is wrong usage', async () => {
    const { code, out, err } = await run(command, 'job.json', '--manifest', 'other.json', ...more);
    expect([code, out]).toEqual([2, '']);
    expect(err).toMatch(/two manifests are named: job\.json, and other\.json with --manifest\n +name one of them/);
  });

  test.skipIf(more[0] === '--stdin')('without one says how to name it', async () => {
    const { code, out, err } = await run(command, ...more);
    expect([code, out]).toEqual([2, '']);
    expect(err).toContain(`the manifest is missing\n    name it: rootberth ${command} job.json`);
  });
});
