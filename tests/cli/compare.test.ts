// rootberth compare: files of several formats, its outputs read back, and what is refused before anything is read.
import { link, mkdtemp, readFile, rm, symlink, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import * as gjv from 'geojson-validation';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { writeAssessment } from '../../src/node/write/index.js';
import { run } from '../support/cli.js';
import { assessSite, SITE, type Site } from '../support/site.js';

const AFTER: Site = {
  ...SITE,
  trees: SITE.trees
    .filter(({ id }) => id !== 'T9')
    .map((tree) => (tree.id === 'T4' ? { ...tree, dbh_in: 17.5 } : tree)),
  works: SITE.works.map((one) => (one.id === 'house' ? { ...one, box: [19, 4, 10, 8] as const } : one)),
};
const FORMATS = ['geojson', 'gpkg', 'ndjson', 'fgb'] as const;

let dir = '';
const at = (name: string): string => join(dir, name);
beforeAll(async () => {
  dir = await mkdtemp(join(tmpdir(), 'compare-'));
  for (const [name, site] of [
    ['before', SITE],
    ['after', AFTER],
  ] as const) {
    const assessment = assessSite(site);
    for (const format of FORMATS) await writeAssessment(at(`${name}.${format}`), assessment, { units: 'us' });
  }
  const planar = assessSite(AFTER);
  await writeAssessment(at('planar.geojson'), planar, { outCrs: 'EPSG:2913', units: 'us' });
});
afterAll(() => rm(dir, { recursive: true }));

const edits = (out: string): string[] => out.split('\n').filter((line) => line !== '' && !line.includes(': verdict '));
const EXPECTED = [
  expect.stringMatching(
    /^works house: moved 6\.56\d ft toward 90\.0 deg; ground before 861\.\d+ ft2, .* freed 172\.\d+ ft2$/,
  ),
  'tree T4: diameter 16 in -> 17.5 in',
  expect.stringMatching(/^tree T9: gone /),
];

test.each(FORMATS)('two %s files, and either beside GeoJSON', async (format) => {
  for (const [b, a] of [
    [format, format],
    [format, 'geojson'],
    ['geojson', format],
  ]) {
    const { code, out } = await run('compare', at(`before.${b}`), at(`after.${a}`));
    expect(code).toBe(0);
    expect(edits(out)).toEqual(EXPECTED);
  }
  expect(await run('compare', at(`before.${format}`), at(`before.${format}`))).toEqual({ code: 0, out: '', err: '' });
});

test('a file in another coordinate system says the same', async () => {
  const { out } = await run('compare', at('before.geojson'), at('planar.geojson'));
  expect(edits(out)).toEqual(EXPECTED);
  expect((await run('compare', at('after.geojson'), at('planar.geojson'))).out).toBe('');
});

test('table, map and report', async () => {
  const files = ['changes.csv', 'changes.geojson', 'changes.html'].map(at);
  const pair = [at('before.geojson'), at('after.geojson')];
  const { code, out, err } = await run(
    'compare',
    ...pair,
    '--out',
    files[0]!,
    '--report',
    files[2]!,
    '--title',
    'A <b>',
  );
  expect([code, err]).toEqual([0, expect.stringContaining('trees: 20 before, 19 after: 19 matched')]);
  expect((await run('compare', ...pair, '--out', files[1]!, '--units', 'metric')).code).toBe(0);
  const csv = await readFile(files[0]!, 'utf8');
  expect(csv.split('\r\n').filter((line) => line !== '')).toHaveLength(1 + out.trim().split('\n').length);
  expect(csv.split('\r\n')[0]).toContain('Moved by (ft),Toward (deg),Ground before (ft2)');
  const map = JSON.parse(await readFile(files[1]!, 'utf8'));
  expect(gjv.valid(map)).toBe(true);
  const changes = map.features.map(
    ({ properties: p }: { properties: Record<string, unknown> }) => `${p.rb_role} ${p.rb_change}`,
  );
  expect(changes.slice(0, 3)).toEqual(['ground taken', 'ground freed', 'works changed']);
  const house = map.features[2].properties;
  expect(house).toMatchObject({ rb_label: 'house', rb_changed: 'moved' });
  expect(house.rb_area_after_m2).toBeCloseTo(80, 2);
  expect(house.rb_moved_m).toBeCloseTo(2, 3);
  expect(map.rootberth.compared.counts.trees).toMatchObject({ before: 20, after: 19, gone: 1 });
  const html = await readFile(files[2]!, 'utf8');
  expect(html).toContain('<h1>A &lt;b&gt;</h1>');
  expect(html.match(/class="rb-frame"/g)?.length).toBeGreaterThanOrEqual(2); // before and after
  expect(html).toContain('<td><bdi>T9</bdi></td><td><bdi>gone</bdi></td>');
});

test('the outputs are the same bytes every time; - is GeoJSON', async () => {
  const line = ['compare', at('before.geojson'), at('after.geojson'), '--out', '-', '--quiet'];
  const [first, second] = [await run(...line), await run(...line)];
  expect(first).toEqual(second);
  expect(JSON.parse(first.out).type).toBe('FeatureCollection');
});

test('an output is never an input, nor two outputs one file', async () => {
  const [b, a] = [at('before.geojson'), at('after.geojson')];
  const text = await readFile(a, 'utf8');
  await symlink(a, at('link.geojson'));
  await link(a, at('hard.geojson'));
  for (const out of [b, a, at('link.geojson'), at('hard.geojson'), join(dir, '.', 'after.geojson')]) {
    const { code, err } = await run('compare', b, a, '--out', out);
    expect([code, err]).toEqual([2, expect.stringContaining('output-is-input')]);
  }
  const twice = await run('compare', b, a, '--out', at('x.geojson'), '--report', at('x.geojson'));
  expect([twice.code, twice.err]).toEqual([2, expect.stringContaining('output-twice')]);
  expect(await readFile(a, 'utf8')).toBe(text);
});

test('what can’t be used is refused by name', async () => {
  const b = at('before.geojson');
  await writeFile(at('plain.geojson'), '{"type":"FeatureCollection","features":[]}');
  for (const [words, code, says] of [
    [[b, at('plain.geojson')], 1, 'compare-not-assessed'],
    [[b, at('after.zip')], 1, 'compare-format'],
    [[b, at('missing.geojson')], 1, 'file-missing'],
    [[b, b, '--out', at('x.dxf')], 2, 'format-unknown'],
    [[b, b, '--title', 'x'], 2, 'option-lonely'],
    [['-', '-'], 2, 'stdin-twice'],
    [[b, b, '--prefix', '1'], 2, 'prefix-unusable'],
  ] as const) {
    const result = await run('compare', ...words);
    expect([words.slice(1), result.code, result.err]).toEqual([words.slice(1), code, expect.stringContaining(says)]);
  }
});
