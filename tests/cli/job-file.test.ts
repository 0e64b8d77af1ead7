// Job files: what they say goes beneath the command line, files are relative to them, slips are named with their cure.
import { cp, mkdir, mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { allJobKeys, jobKeys } from '../../src/cli/job-keys.js';
import { jobJsonSchema } from '../../src/cli/job-schema.js';
import { run } from '../support/cli.js';

const ROOT = fileURLToPath(new URL('../../', import.meta.url));
const TREES = 6;
const before = process.cwd();
let dir = '';
beforeAll(async () => {
  dir = await mkdtemp(join(tmpdir(), 'job-'));
  await mkdir(join(dir, 'site', 'in'), { recursive: true });
  const demo = join(ROOT, 'data/demo');
  for (const name of ['works.geojson', 'lots.geojson']) await cp(join(demo, name), join(dir, 'site', 'in', name));
  const survey = await readFile(join(demo, 'survey.csv'), 'utf8');
  await writeFile(
    join(dir, 'site', 'in', 'survey.csv'),
    survey
      .split('\n')
      .slice(0, TREES + 1)
      .join('\n'),
  );
});
afterAll(async () => {
  process.chdir(before);
  await rm(dir, { recursive: true });
});
beforeEach(() => process.chdir(dir));

const JOB = {
  trees: 'in/survey.csv',
  works: ['in/works.geojson'],
  lots: 'in/lots.geojson',
  crs: 'EPSG:2913',
  limit: '25%',
  roles: 'tree',
  quiet: true,
  'survey-age': 'never',
  out: 'out.geojson',
};
const job = (more: object, name = 'site/job.json'): Promise<void> =>
  writeFile(join(dir, name), JSON.stringify({ ...JOB, ...more }));
const written = async (name: string) => JSON.parse(await readFile(join(dir, name), 'utf8'));

describe('a job file', () => {
  test('makes the same bytes as the options written out', async () => {
    await job({});
    expect(await run('assess', '--config', 'site/job.json')).toMatchObject({ code: 0, err: '' });
    const options = [
      '--trees',
      'site/in/survey.csv',
      '--works',
      'site/in/works.geojson',
      '--lots',
      'site/in/lots.geojson',
    ];
    const more = ['--crs', 'EPSG:2913', '--limit', '25%', '--roles', 'tree', '--survey-age', 'never', '--quiet'];
    await run('assess', ...options, ...more, '--out', 'plain.geojson');
    expect(await readFile('site/out.geojson', 'utf8')).toBe(await readFile('plain.geojson', 'utf8'));
  });

  test('is found in the current folder, says so, and is left aside on request', async () => {
    process.chdir(join(dir, 'site'));
    await job({ quiet: false, out: 'found.geojson' }, 'site/rootberth.json');
    const { code, err } = await run('assess');
    expect([code, err]).toEqual([0, expect.stringMatching(/^options of rootberth\.json\n/)]);
    expect((await written('site/found.geojson')).features).toHaveLength(TREES);
    expect((await run('assess', '--no-config')).err).toContain('--trees is missing');
    await rm('rootberth.json');
    expect((await run('assess')).err).toContain('--trees is missing');
  });

  test('yields to the command line, option by option', async () => {
    await job({ 'no-header': false, units: 'us', works: 'in/works.geojson', limit: 0.1 });
    const { code } = await run('assess', '--config', 'site/job.json', '--limit', '40%', '--out', 'mine.geojson');
    expect(code).toBe(0);
    const { features, rootberth } = await written('mine.geojson');
    expect(rootberth.options.limit).toBe(0.4);
    expect(features[0].properties.rb_dbh_in).toBe(17.1); // units from the file, before the default
  });

  test('a kind before a file, a rule by id and a rule file keep their sense', async () => {
    await writeFile(
      join(dir, 'site', 'town.json'),
      (await run('rules', 'foot-per-inch')).out.replace('"foot-per-inch"', '"town"'),
    );
    await job({ works: ['paving=in/works.geojson'], rule: ['town.json', 'bs5837-2012'] });
    expect(await run('assess', '--config', 'site/job.json')).toMatchObject({ code: 0, err: '' });
    const { rootberth } = await written('site/out.geojson');
    expect(rootberth.rule.id).toBe('town');
  });

  test.each<[string, object, RegExp]>([
    ['a key that is not an option', { shedule: 's.csv' }, /shedule: no option of that name, did you mean schedule\?/],
    ['a key like nothing', { xyzzy: 1 }, /xyzzy: no option of that name, leave it out/],
    ['an option of the run', { 'save-config': 'x' }, /save-config: no option of that name/],
    ['a list for one value', { crs: ['EPSG:2913'] }, /crs: found \["EPSG:2913"\], expected a text/],
    ['a number in a list is a text', { field: [{}] }, /field(\.0)?: found .*expected a text/],
    ['a text for a flag', { quiet: 'yes' }, /quiet: found "yes", expected true or false/],
    ['a choice', { units: 'yards' }, /units: found "yards", expected one of "us", "metric"/],
    ['two at once', { units: 'yards', quiet: 1 }, /has 2 problems[\s\S]*units[\s\S]*quiet/],
  ])('%s is named, with its cure', async (_what, more, message) => {
    await job(more);
    const { code, err } = await run('assess', '--config', 'site/job.json');
    expect(err).toMatch(message);
    expect(err).toMatch(/fix the keys named/);
    expect(code).toBe(1);
  });

  test.each<[string, string, RegExp]>([
    ['no JSON', '{ trees: 1 }', /job file bad\.json is not JSON/],
    ['a list', '[]', /is a list, expected an object/],
  ])('%s', async (_what, text, message) => {
    await writeFile(join(dir, 'bad.json'), text);
    const { code, err } = await run('assess', '--config', 'bad.json');
    expect([code, err]).toEqual([1, expect.stringMatching(message)]);
  });

  test('one that does not exist', async () => {
    const { code, err } = await run('assess', '--config', 'nope.json');
    expect([code, err]).toEqual([1, expect.stringMatching(/job file nope\.json is not there[\s\S]*--save-config/)]);
  });
});

describe('--save-config', () => {
  test('writes what was asked for, files relative to it; repeated, it makes the same bytes', async () => {
    const { code } = await run(
      ...['assess', '--trees', 'site/in/survey.csv', '--works', 'paving=site/in/works.geojson', '--crs', 'EPSG:2913'],
      ...['--field', 'dbh=base_dia_in', '--rule', 'bs5837-2012', '--survey-age', 'never', '--quiet'],
      ...['--schedule', 'site/s.csv', '--out', 'site/parts/', '--save-config', 'site/saved.json'],
    );
    expect(code).toBe(0);
    expect(await written('site/saved.json')).toEqual({
      trees: 'in/survey.csv',
      works: ['paving=in/works.geojson'],
      rule: ['bs5837-2012'],
      crs: 'EPSG:2913',
      field: ['dbh=base_dia_in'],
      'survey-age': 'never',
      out: 'parts/',
      schedule: 's.csv',
      quiet: true,
    });
    const first = await readFile('site/s.csv', 'utf8');
    await rm('site/s.csv');
    expect((await run('assess', '--config', 'site/saved.json')).code).toBe(0);
    expect(await readFile('site/s.csv', 'utf8')).toBe(first);
  });

  test('of a job file with a change is the changed job', async () => {
    await job({ 'no-header': true, columns: 'tag,easting,northing,dbh_in', limit: '25%' });
    process.chdir(join(dir, 'site'));
    await job({ limit: '25%' });
    const { code } = await run('assess', '--config', 'job.json', '--limit', '30%', '--save-config', '../moved.json');
    expect(code).toBe(0);
    expect(await written('moved.json')).toEqual({
      ...JOB,
      trees: 'site/in/survey.csv',
      works: ['site/in/works.geojson'],
      lots: 'site/in/lots.geojson',
      limit: '30%',
      out: 'site/out.geojson',
    });
  });
});

describe('- is standard output', () => {
  const base = ['assess', '--trees', 'site/in/survey.csv', '--works', 'site/in/works.geojson', '--crs', 'EPSG:2913'];
  const made = [...base, '--survey-age', 'never', '--quiet', '--roles', 'tree', '--out', 'o.geojson'];

  test.each([
    '--schedule',
    '--lot-table',
    '--option-table',
    '--findings',
    '--stakes',
    '--plan',
    '--report',
    '--save-config',
  ])('for %s: the bytes of the file and nothing else', async (option) => {
    const file = await run(...made, option, 'same.txt');
    const { code, out, err } = await run(...made, option, '-');
    expect([file.code, code, err]).toEqual([0, 0, '']);
    expect(out.length).toBeGreaterThan(20);
    if (option !== '--save-config') expect(out).toBe(await readFile('same.txt', 'utf8'));
    else expect(JSON.parse(out).crs).toBe('EPSG:2913');
  });

  test('once only', async () => {
    const { code, err } = await run(...made, '--schedule', '-', '--report', '-');
    expect([code, err]).toEqual([2, expect.stringContaining('--schedule and --report both ask for standard output')]);
  });
});

test('the published schema is that of the options', async () => {
  const keys = allJobKeys();
  const schema = JSON.parse(await readFile(join(ROOT, 'data/rootberth.schema.json'), 'utf8'));
  expect(schema).toEqual(JSON.parse(JSON.stringify(jobJsonSchema(keys)))); // stale? node scripts/make-job-schema.mjs
});

test('every option that names a file is known to do so', async () => {
  const { out } = await run('assess', '--help', 'all');
  const named = [...out.matchAll(/--([a-z-]+) <(?:[^>]*file[^>]*|dir)>/g)].map((match) => match[1]);
  const keys = jobKeys('assess');
  const known = keys.filter(({ file }) => file !== null).map(({ key }) => key);
  expect(known).toEqual(named.filter((key) => key !== 'config' && key !== 'save-config'));
});

describe('protection notes', () => {
  const FT = 0.3048;
  const notes = { fence: { height: '5 ft', postSpacing: '6 ft' }, forbidden: ['Dancing'] };
  const postsOf = async (name: string): Promise<number> =>
    (await written(name)).features.reduce(
      (sum: number, { properties }: { properties: { rb_posts?: number } }) => sum + (properties.rb_posts ?? 0),
      0,
    );
  const spacingOf = async (name: string): Promise<number[]> => [
    ...new Set<number>(
      (await written(name)).features.map(
        ({ properties }: { properties: { rb_post_spacing_m: number } }) => properties.rb_post_spacing_m,
      ),
    ),
  ];
  const fenced = { roles: 'fence', report: 'report.html' };

  test('as a file and in the job file itself: the same sheet, and posts counted by their spacing', async () => {
    await writeFile(join(dir, 'site', 'in', 'town.json'), JSON.stringify(notes));
    await job({ ...fenced, protection: 'in/town.json' });
    expect(await run('assess', '--config', 'site/job.json')).toMatchObject({ code: 0, err: '' });
    const report = await readFile('site/report.html', 'utf8');
    expect(report).toContain('<li>Dancing');
    expect(await spacingOf('site/out.geojson')).toEqual([Number((6 * FT).toFixed(6))]);
    expect(report).toContain(`${await postsOf('site/out.geojson')} posts, `);
    await job({ ...fenced, protection: notes });
    expect(await run('assess', '--config', 'site/job.json')).toMatchObject({ code: 0, err: '' });
    expect(await readFile('site/report.html', 'utf8')).toBe(report);
  });

  test('yield to --post-spacing', async () => {
    await job({ ...fenced, protection: notes });
    const own = ['--post-spacing', '9ft'];
    expect(await run('assess', '--config', 'site/job.json', ...own)).toMatchObject({ code: 0, err: '' });
    expect(await spacingOf('site/out.geojson')).toEqual([Number((9 * FT).toFixed(6))]);
    const report = await readFile('site/report.html', 'utf8');
    expect(report).toContain('asked for in this job; else 6 ft');
    expect(report).toContain(`${await postsOf('site/out.geojson')} posts, `);
  });

  test('that are wrong, or not there, are named before anything is read', async () => {
    await job({ ...fenced, protection: { fence: { height: 'tall' } }, trees: 'in/none.csv' });
    const wrong = await run('assess', '--config', 'site/job.json');
    expect([wrong.code, wrong.err]).toEqual([
      expect.any(Number),
      expect.stringMatching(
        /protection-invalid.*protection in the job file has 1 problem[\s\S]*fence\.height: expected/,
      ),
    ]);
    expect(wrong.code).not.toBe(0);
    await job({ ...fenced, protection: 'in/none.json' });
    expect((await run('assess', '--config', 'site/job.json')).err).toMatch(/protection-unreadable.*none\.json/);
    await job({ protection: notes });
    expect((await run('assess', '--config', 'site/job.json')).err).toContain('add --report F.html');
  });
});
