// Styles, layer names and colours from the command line; outputs apart from inputs. In: arguments, job files; out: files.
import { cp, mkdtemp, readdir, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { validateStyleMin } from '@maplibre/maplibre-gl-style-spec';
import dxfParser from 'dxf-parser';
import { afterAll, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { DXF_LAYERS } from '../../src/node/write/dxf-layers.js';
import { run } from '../support/cli.js';

const ROOT = fileURLToPath(new URL('../../', import.meta.url));
const before = process.cwd();
let dir = '';
beforeAll(async () => {
  dir = await mkdtemp(join(tmpdir(), 'style-cli-'));
  for (const name of ['survey.csv', 'works.geojson']) await cp(join(ROOT, 'data/demo', name), join(dir, name));
});
afterAll(async () => {
  process.chdir(before);
  await rm(dir, { recursive: true });
});
beforeEach(() => process.chdir(dir));

const JOB = [
  'assess',
  '--trees',
  'survey.csv',
  '--crs',
  'EPSG:2913',
  '--works',
  'works.geojson',
  '--roles',
  'zone,tree',
];
const layersOf = async (path: string): Promise<string[]> => {
  const parsed = new dxfParser().parseSync(await readFile(path, 'utf8'));
  return [...new Set((parsed?.entities ?? []).map(({ layer }) => layer))].sort();
};

describe('--style', () => {
  test('writes both styles into a folder that it makes, and says so', async () => {
    const { code, err } = await run(...JOB, '--out', 'a.geojson', '--style', 'new/styles', '--prefix', 'x_');
    expect(code).toBe(0);
    expect(err).toContain('wrote new/styles/a.sld');
    expect(err).toContain('wrote new/styles/a.style.json');
    const style = JSON.parse(await readFile('new/styles/a.style.json', 'utf8'));
    expect(style.sources.a.data).toBe('../../a.geojson');
    expect(validateStyleMin(style)).toEqual([]);
    expect(await readFile('new/styles/a.sld', 'utf8')).toContain('<ogc:PropertyName>x_verdict</ogc:PropertyName>');
  });

  test('says where there is no style for web maps, and nothing with --quiet', async () => {
    const plane = [...JOB, '--out', 'p.geojson', '--out-crs', 'EPSG:2913', '--style', 'plane'];
    expect((await run(...plane)).err).toContain('no MapLibre style: web maps show longitude and latitude');
    expect(await readdir('plane')).toEqual(['p.sld']);
    expect((await run(...plane, '--quiet')).err).toBe('');
  });

  test('is no standard output, and does nothing without --out', async () => {
    expect(await run(...JOB, '--out', 'a.geojson', '--style', '-')).toMatchObject({
      code: 2,
      err: expect.stringContaining('--style - is no folder'),
    });
    const { code, err } = await run(
      'assess',
      '--trees',
      'survey.csv',
      '--works',
      'works.geojson',
      '--style',
      's',
      '--explain',
      'T001',
    );
    expect([code, err]).toEqual([2, expect.stringContaining('--style does nothing without --out')]);
  });
});

describe('--simplestyle', () => {
  test('colours a GeoJSON, and is refused where there are none', async () => {
    expect((await run(...JOB, '--out', 'c.geojson', '--simplestyle', '--quiet')).code).toBe(0);
    expect(await readFile('c.geojson', 'utf8')).toContain('"marker-color":"#');
    expect((await run(...JOB, '--out', 'plain.geojson', '--quiet')).code).toBe(0);
    expect(await readFile('plain.geojson', 'utf8')).not.toContain('marker-color');
    const { code, err } = await run(...JOB, '--out', 'c.csv', '--simplestyle');
    expect([code, err]).toEqual([2, expect.stringContaining('--simplestyle does nothing for csv')]);
  });
});

describe('--dxf-layers', () => {
  const names = { 'TREES-KEEP': 'OUR-TREES', NOTES: 'OUR-NOTES' };

  test('a file, and the same object in a job file, name the layers; a saved job holds what was given', async () => {
    await writeFile('names.json', JSON.stringify(names));
    expect((await run(...JOB, '--out', 'f.dxf', '--dxf-layers', 'names.json', '--quiet')).code).toBe(0);
    const layers = await layersOf('f.dxf');
    expect(layers).toContain('OUR-TREES');
    expect(layers).toContain('OUR-NOTES');
    expect(layers).not.toContain('TREES-KEEP');
    const job = { trees: 'survey.csv', works: 'works.geojson', crs: 'EPSG:2913', roles: 'zone,tree', out: 'g.dxf' };
    await writeFile('job.json', JSON.stringify({ ...job, 'dxf-layers': names, quiet: true }));
    const saved = await run('assess', '--config', 'job.json', '--save-config', 'saved.json');
    expect(saved).toMatchObject({ code: 0, err: '' });
    expect(await readFile('g.dxf', 'utf8')).toBe(await readFile('f.dxf', 'utf8'));
    expect(JSON.parse(await readFile('saved.json', 'utf8'))['dxf-layers']).toEqual(names);
    await writeFile('job.json', JSON.stringify({ ...job, 'dxf-layers': 'names.json', quiet: true }));
    expect((await run('assess', '--config', 'job.json', '--save-config', 'saved.json')).code).toBe(0);
    expect(JSON.parse(await readFile('saved.json', 'utf8'))['dxf-layers']).toBe('names.json');
  });

  test.each([
    ['{"TREES-KEP": "A"}', 'did you mean TREES-KEEP?'],
    ['{"LOTS": "a|b"}', 'holds |, which a drawing\'s layer may not; write "a-b"'],
    ['{"LOTS": ', 'is not JSON'],
    ['[]', 'is no object of names'],
  ])('%s is refused before anything is read', async (text, message) => {
    await writeFile('bad.json', text);
    const { code, err } = await run(
      ...JOB.map((word) => (word === 'survey.csv' ? 'nowhere.csv' : word)),
      '--out',
      'x.dxf',
      '--dxf-layers',
      'bad.json',
    );
    expect([code, err]).toEqual([2, expect.stringContaining(message)]);
  });

  test('a file that is not there, and a format that has no layers, are named', async () => {
    expect((await run(...JOB, '--out', 'x.dxf', '--dxf-layers', 'none.json')).err).toContain('none.json is not there');
    const { code, err } = await run(...JOB, '--out', 'x.gpkg', '--dxf-layers', 'names.json');
    expect([code, err]).toEqual([2, expect.stringContaining('--dxf-layers does nothing for geopackage')]);
  });
});

test('docs/formats.md lists the layers of drawings as they are', async () => {
  const page = await readFile(join(ROOT, 'docs/formats.md'), 'utf8');
  const rows = [...page.matchAll(/^\| `([A-Z-]+)` \| (\d+) \| (.+) \|$/gm)].map(([, name, colour, about]) => [
    name,
    Number(colour),
    about,
  ]);
  expect(rows).toEqual(Object.entries(DXF_LAYERS).map(([name, [colour, about]]) => [name, colour, about]));
});

describe('outputs stay apart', () => {
  test.each([
    [['--out', 'survey.csv'], '--out survey.csv would be written over what --trees survey.csv reads'],
    [
      ['--out', 'a.geojson', '--schedule', './works.geojson'],
      '--schedule ./works.geojson would be written over what --works works.geojson reads',
    ],
    [['--out', 'a.geojson', '--findings', 'a.geojson'], '--out a.geojson and --findings a.geojson are the same file'],
    [
      ['--out', 's/a.sld', '--out-format', 'geojson', '--style', 's'],
      '--out s/a.sld and --style s/a.sld are the same file',
    ],
    [['--out', 'a.geojson', '--style', 's', '--schedule', 's/a.sld'], 's/a.sld are the same file'],
    [
      ['--out', 'a.geojson', '--config', 'own.json', '--save-config', 'own.json'],
      '--save-config own.json would be written over what --config own.json reads',
    ],
  ])('%j', async (options, message) => {
    await writeFile('own.json', '{}');
    const bytes = await readFile('survey.csv', 'utf8');
    const { code, err } = await run(...JOB, ...options);
    expect([code, err]).toEqual([2, expect.stringContaining(message)]);
    expect(await readFile('survey.csv', 'utf8')).toBe(bytes);
  });
});
