// The first job: check writes what it recognised and what it leaves open, assess asks for the rest. In: the demo's files
// under names that say nothing, a KML with folders, tables of a survey; out: job files, refusals, and runs that go through.

import { copyFile, mkdtemp, readFile, rm, symlink, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Readable } from 'node:stream';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { askAll } from '../../src/cli/ask.js';
import { main } from '../../src/cli/main.js';
import { rowsOf } from '../../src/cli/table/index.js';
import { run } from '../support/cli.js';

const DEMO = fileURLToPath(new URL('../../data/demo/', import.meta.url));
const before = process.cwd();
let dir = '';
beforeAll(async () => {
  dir = await mkdtemp(join(tmpdir(), 'first-'));
  process.chdir(dir);
  for (const [from, to] of [
    ['survey.csv', 'a.csv'],
    ['works.geojson', 'b.geojson'],
    ['lots.geojson', 'c.geojson'],
  ] as const) {
    await copyFile(join(DEMO, from), to);
  }
});
afterAll(async () => {
  process.chdir(before);
  await rm(dir, { recursive: true });
});

interface Asked {
  readonly about: string;
  readonly choices: readonly string[];
  answer: string;
}
const read = async (name: string) => JSON.parse(await readFile(name, 'utf8'));
const answer = async (name: string, answers: Readonly<Record<string, string>>): Promise<void> => {
  const job = await read(name);
  for (const one of job.questions as Asked[]) one.answer = answers[one.about] ?? '';
  await writeFile(name, JSON.stringify(job));
};
const abouts = (job: { readonly questions?: readonly Asked[] }): string[] =>
  (job.questions ?? []).map(({ about }) => about);

const HOUSE = {
  type: 'Feature',
  properties: { kind: 'building' },
  geometry: {
    type: 'Polygon',
    coordinates: [
      [
        [-122.6797, 45.5002],
        [-122.6795, 45.5002],
        [-122.6795, 45.5004],
        [-122.6797, 45.5004],
        [-122.6797, 45.5002],
      ],
    ],
  },
};

describe('the demo, under names that say nothing', () => {
  it('asks for the system and for what the areas are, refuses until both are answered, then runs as the options would', async () => {
    const checked = await run('check', 'a.csv', 'b.geojson', 'c.geojson', '--save-config', 'job.json');
    expect(checked.out).toContain('2 questions are open');
    const job = await read('job.json');
    expect(job).toMatchObject({ trees: 'a.csv', works: ['b.geojson', 'c.geojson'], out: 'assessed.geojson' });
    expect(abouts(job)).toEqual(['crs', 'works.c.geojson']);
    const refused = await run('assess', '--config', 'job.json');
    expect([refused.code, refused.err]).toEqual([2, expect.stringContaining('job.json leaves 2 questions open')]);
    expect(refused.err).toMatch(/choices: building, .*lots/);
    expect(refused.err).toContain('in job.json: the "answer" to "works.c.geojson"');
    await answer('job.json', { crs: 'EPSG:2913', 'works.c.geojson': 'lost' });
    const unfit = await run('assess', '--config', 'job.json');
    expect([unfit.code, unfit.err]).toEqual([2, expect.stringContaining('did you mean lots')]);
    await answer('job.json', { crs: 'EPSG:2913', 'works.c.geojson': 'lots' });
    const more = ['--margins', 'none', '--today', '2026-07-01', '--quiet'];
    expect(await run('assess', '--config', 'job.json', ...more, '--save-config', 'again.json')).toMatchObject({
      code: 0,
    });
    const plain = ['--trees', 'a.csv', '--works', 'b.geojson', '--lots', 'c.geojson', '--crs', 'EPSG:2913'];
    await run('assess', ...plain, ...more, '--out', 'plain.geojson');
    expect(await readFile('assessed.geojson', 'utf8')).toBe(await readFile('plain.geojson', 'utf8'));
    const again = await read('again.json');
    expect(again).toMatchObject({ works: ['b.geojson'], lots: 'c.geojson', crs: 'EPSG:2913' });
    expect(again.questions).toBeUndefined();
  }, 120_000);

  it('an option of the command line settles a question, too; a file elsewhere is named as seen from the job file', async () => {
    await run('check', 'a.csv', 'b.geojson', '--save-config', join(dir, '..', `${dir.split('/').at(-1)}-job.json`));
    const path = `${dir}-job.json`;
    const job = await read(path);
    expect(job.trees).toBe(`${dir.split('/').at(-1)}/a.csv`);
    expect((await run('assess', '--config', path, '--crs', 'EPSG:29x')).err).toContain('EPSG:29x');
    await rm(path);
  }, 60_000);
});

describe('a job with nothing open runs as it is', () => {
  const cases: readonly (readonly [what: string, file: string, text: string, expected: object])[] = [
    [
      'a KML with folders',
      'site.kml',
      `<kml xmlns="http://www.opengis.net/kml/2.2"><Document><Folder><name>tree</name><Placemark><name>Oak 1</name><ExtendedData><Data name="dbh_in"><value>20</value></Data></ExtendedData><Point><coordinates>-122.67975,45.50025</coordinates></Point></Placemark></Folder><Folder><name>house</name><Placemark><name>House</name><Polygon><outerBoundaryIs><LinearRing><coordinates>-122.6797,45.5002 -122.6795,45.5002 -122.6795,45.5004 -122.6797,45.5004 -122.6797,45.5002</coordinates></LinearRing></outerBoundaryIs></Polygon></Placemark></Folder></Document></kml>`,
      { trees: 'site.kml', works: ['site.kml'], layer: ['tree', 'works=house'] },
    ],
    [
      'a CSV with Long and Lat',
      'll.csv',
      'tag,Long,Lat,dbh_in,fate\nA,-122.67975,45.50025,20,keep\n',
      { trees: 'll.csv', xy: 'Long,Lat', field: ['disposition=fate'] },
    ],
  ];
  it.each(cases)('%s', async (_, file, text, expected) => {
    await writeFile(file, text);
    await run('check', file, '--save-config', 'known.json');
    const job = await read('known.json');
    expect(job).toMatchObject(expected);
    expect(abouts(job)).toEqual([]);
    expect(await run('assess', '--config', 'known.json')).toMatchObject({ code: 0 });
    expect((await read('assessed.geojson')).features.length).toBeGreaterThan(0);
  });
});

describe('a survey with words and units that are not known', () => {
  const TEXT =
    'tag,lon,lat,diam,disposition\nA,-122.67975,45.50025,20,zz\nB,-122.6795,45.5004,14,keep\nC,-122.6793,45.5004,9,zz\n';

  it('asks for each with its choices; the answers mean what they say', async () => {
    await writeFile('words.csv', TEXT);
    await writeFile('house.geojson', JSON.stringify(HOUSE));
    await run('check', 'words.csv', 'house.geojson', '--save-config', 'words.json');
    const job = await read('words.json');
    expect(abouts(job)).toEqual(['trees.dbh', 'trees.disposition.zz']);
    expect(job.questions[1]).toMatchObject({
      option: 'value',
      entry: 'disposition.zz=ANSWER',
      choices: ['keep', 'remove', 'transplant', 'unknown'],
    });
    expect(job.questions[1].question).toContain('(2 trees)');
    await answer('words.json', { 'trees.dbh': 'in', 'trees.disposition.zz': 'Remove' });
    expect(await run('assess', '--config', 'words.json')).toMatchObject({ code: 0 });
    const trees = (await read('assessed.geojson')).features.filter(
      (one: { properties: Record<string, unknown> }) => one.properties.rb_role === 'tree',
    );
    const planned = trees.map((one: { properties: Record<string, unknown> }) => one.properties.rb_disposition);
    expect(planned).toEqual(['remove', 'keep', 'remove']);
  });

  it('are asked on a terminal, line by line, and kept by --save-config', async () => {
    await answer('words.json', {});
    let err = '';
    let asked = 0;
    const code = await main(['assess', '--config', 'words.json', '--save-config', 'said.json'], {
      out: async () => undefined,
      err: (text) => {
        err += text;
      },
      terminal: () => Readable.from(['inches\n', 'in\n', '2\n']),
      asked: () => {
        asked++;
      },
      colour: { out: false, err: false },
    });
    expect([code, asked]).toEqual([0, 1]);
    expect(err).toContain('2 of 2: what does "zz" mean');
    expect(err).toContain('write one of the choices, or its number');
    expect(await read('said.json')).toMatchObject({ 'dbh-unit': 'in', value: ['disposition.zz=remove'] });
  });
});

describe('the asking', () => {
  const question = { about: 'x', question: 'Which?', choices: ['keep', 'remove'], option: 'value', entry: 'x=ANSWER' };
  it.each<[string, string[], readonly string[] | undefined]>([
    ['a choice in any case', ['KEEP\n'], ['keep']],
    ['its number', ['2\n'], ['remove']],
    ['after two slips', ['a\n', '7\n', 'keep\n'], ['keep']],
    ['not after three', ['a\n', 'b\n', 'c\n', 'keep\n'], undefined],
    ['not when the lines end', [], undefined],
    ['not a line without an end in sight', [`${'k'.repeat(5000)}\n`, 'keep\n'], ['keep']],
  ])('%s', async (_, lines, expected) => {
    expect(await askAll([question], Readable.from(lines), () => undefined)).toEqual(expected);
  });
});

describe('an output is never an input, nor two outputs one file', () => {
  const job = ['--trees', 'a.csv', '--works', 'b.geojson', '--crs', 'EPSG:2913'];
  it.each<[string, string[], string]>([
    ['the survey', ['assess', ...job, '--out', 'x.geojson', '--schedule', './a.csv'], 'over what --trees a.csv reads'],
    [
      'works behind a kind',
      ['assess', '--trees', 'a.csv', '--works', 'paving=b.geojson', '--out', 'b.geojson'],
      '--works',
    ],
    ['through a link', ['assess', ...job, '--out', 'link.geojson'], 'over what --works b.geojson reads'],
    [
      'a file of a folder',
      ['assess', '--trees', 'tree.geojson', '--out', './'],
      'over what --trees tree.geojson reads',
    ],
    ['two outputs', ['assess', ...job, '--out', 'x.geojson', '--findings', 'x.geojson'], 'are the same file'],
    ['siting', ['siting', ...job, '--out', 'b.geojson'], 'over what --works b.geojson reads'],
    ['split', ['split', ...job, '--tiles', '2', '--manifest', 'm.json', '--out', 'm.json'], 'are the same file'],
    ['check', ['check', 'a.csv', '--save-config', 'a.csv'], 'over what check a.csv reads'],
    [
      'the job file',
      ['assess', '--config', 'own.json', '--save-config', 'own.json'],
      'over what --config own.json reads',
    ],
  ])('%s', async (_, argv, message) => {
    await symlink('b.geojson', 'link.geojson').catch(() => undefined);
    await copyFile('b.geojson', 'tree.geojson');
    await writeFile('own.json', JSON.stringify({ trees: 'a.csv', crs: 'EPSG:2913', out: 'o.geojson' }));
    const kept = await readFile('a.csv', 'utf8');
    const { code, err } = await run(...argv);
    expect([code, err]).toEqual([2, expect.stringContaining(message)]);
    expect(await readFile('a.csv', 'utf8')).toBe(kept);
  });
});

describe('help', () => {
  it.each(['assess', 'siting', 'split', 'check'] as const)(
    'of %s shows a dozen options, and all of them on request',
    async (name) => {
      const shown = async (...more: string[]): Promise<number> =>
        [...(await run(name, '--help', ...more)).out.matchAll(/^ {2}(?:-\w, )?--[a-z-]+/gm)].length;
      expect(await shown()).toBeLessThanOrEqual(13);
      expect(await shown('all')).toBe(rowsOf(name).length + 1);
      expect((await run(name, '--help')).out).toContain(`rootberth ${name} --help all`);
    },
  );
});
