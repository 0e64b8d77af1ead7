// Formats and systems of the output from the command line, and ground systems in every format. In: arguments; out: files.
import { mkdtemp, readdir, readFile, rm, stat, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { run } from '../support/cli.js';
import { readGpkg, readParquet } from '../support/read-back.js';

const DEMO = fileURLToPath(new URL('../../data/demo/', import.meta.url));
const JOB = [
  'assess',
  '--trees',
  join(DEMO, 'survey.csv'),
  '--crs',
  'EPSG:2913',
  '--works',
  join(DEMO, 'works.geojson'),
];

let dir = '';
beforeAll(async () => {
  dir = await mkdtemp(join(tmpdir(), 'out-'));
});
afterAll(async () => {
  await rm(dir, { recursive: true });
});

test('help names every ending that --out takes', async () => {
  const { out } = await run('assess', '--help');
  const plain = out.replace(/\s+/g, ' ');
  for (const ending of ['.geojson', '.ndjson', '.gpkg', '.zip', '.fgb', '.parquet', '.csv', '.dxf', '.xlsx']) {
    expect(plain).toContain(ending);
  }
});

test('a folder with --out-format, in the survey’s system', async () => {
  const folder = `${join(dir, 'layers')}/`;
  const { code, err } = await run(
    ...JOB,
    '--out',
    folder,
    '--out-format',
    'gpkg',
    '--out-crs',
    'EPSG:2913',
    '--roles',
    'zone,tree',
  );
  expect(code).toBe(0);
  expect((await readdir(folder)).sort()).toEqual(['tree.gpkg', 'zone.gpkg']);
  expect(err).toContain(`wrote ${join(folder, 'tree.gpkg')}`);
  const gpkg = readGpkg(join(folder, 'tree.gpkg'));
  expect(gpkg.sql('SELECT srs_id FROM gpkg_geometry_columns')).toEqual([{ srs_id: 2913 }]);
  gpkg.close();
});

test('text formats go down a pipe', async () => {
  const lines = await run(...JOB, '--out', '-', '--out-format', 'ndjson', '--roles', 'tree', '--quiet');
  expect(lines.out.trimEnd().split('\n')).toHaveLength(120);
  expect(JSON.parse(lines.out.split('\n')[0] ?? '')).toMatchObject({ type: 'Feature' });
  const csv = await run(...JOB, '--out', '-', '--out-format', 'csv', '--quiet');
  expect(csv.out.trimEnd().split('\r\n')).toHaveLength(121);
});

test.each([
  [['--out', '-', '--out-format', 'gpkg'], /geopackage can't go to standard output/],
  [['--out', 'x.docx'], /no output format ends in \.docx[\s\S]*geopackage \(\.gpkg\)/],
  [['--out', 'x.geojson', '--out-format', 'tiff'], /output format "tiff" is not known/],
  [['--out', 'x.geojson', '--out-crs', 'EPSG:29133'], /"EPSG:29133" is not known/],
  [['--out', 'x.csv', '--roles', 'tree,zone'], /a CSV holds one role[\s\S]*--roles/],
])('%j is wrong usage', async (more, says) => {
  const { code, err } = await run(...JOB, ...more);
  expect([code, err]).toEqual([2, expect.stringMatching(says)]);
});

describe('a survey on a ground system', () => {
  const job = async (): Promise<string[]> => {
    const [trees, works] = [join(dir, 'ground.csv'), join(dir, 'ground.geojson')];
    await writeFile(trees, 'tag,easting,northing,dbh_in\nT1,5000,7000,20\nT2,5100,7000,10\n');
    const house = [
      [5010, 6990],
      [5030, 6990],
      [5030, 7010],
      [5010, 7010],
      [5010, 6990],
    ];
    const geometry = { type: 'Polygon', coordinates: [house] };
    await writeFile(works, JSON.stringify({ type: 'Feature', geometry, properties: { kind: 'building' } }));
    return ['assess', '--trees', trees, '--works', works, '--crs', 'local:ft', '--quiet'];
  };

  test.each(['gpkg', 'zip', 'fgb', 'parquet', 'csv', 'dxf', 'xlsx', 'ndjson'])(
    'goes to %s as it is',
    async (ending) => {
      const path = join(dir, `of-ground.${ending}`);
      expect((await run(...(await job()), '--out', path)).code).toBe(0);
      expect((await stat(path)).size).toBeGreaterThan(0);
    },
  );

  test('with its own coordinates, and no system claimed', async () => {
    const path = join(dir, 'own.gpkg');
    await run(...(await job()), '--out', path);
    const gpkg = readGpkg(path);
    expect(gpkg.rows.get('tree')?.map((row) => row.geometry)).toEqual([
      { type: 'Point', coordinates: [5000, 7000] },
      { type: 'Point', coordinates: [5100, 7000] },
    ]);
    expect(gpkg.sql("SELECT srs_id FROM gpkg_contents WHERE table_name = 'tree'")).toEqual([{ srs_id: -1 }]);
    gpkg.close();
    const parquet = join(dir, 'own.parquet');
    await run(...(await job()), '--out', parquet);
    expect((await readParquet(parquet)).geo).toMatchObject({ columns: { geometry: { crs: null } } });
    const dxf = join(dir, 'own.dxf');
    await run(...(await job()), '--out', dxf);
    // A circle: centre 10, 20; radius 40, twenty feet for twenty inches.
    expect((await readFile(dxf, 'utf8')).replace(/\r?\n/g, '|')).toContain('|10|5000|20|7000|30|0|40|20|');
  });

  test('has no way to another system', async () => {
    const { code, err } = await run(...(await job()), '--out', join(dir, 'no.gpkg'), '--out-crs', 'EPSG:2913');
    expect([code, err]).toEqual([2, expect.stringContaining('local ground system')]);
  });
});
