// The command line without a process: main() with streams that remember.
import { mkdir, mkdtemp, readdir, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { VERSION } from '../../src/model/version.js';
import { run } from '../support/cli.js';

const DEMO = fileURLToPath(new URL('../../data/demo/', import.meta.url));
const TREES = ['--trees', join(DEMO, 'survey.csv'), '--crs', 'EPSG:2913'];
const WORKS = ['--works', join(DEMO, 'works.geojson')];

let dir = '';
beforeAll(async () => {
  dir = await mkdtemp(join(tmpdir(), 'cli-'));
});
afterAll(async () => {
  await rm(dir, { recursive: true });
});

describe('wrong usage is exit 2 and says what would be right', () => {
  const assess = (...more: string[]): string[] => [
    'assess',
    ...TREES,
    ...WORKS,
    '--out',
    join(dir, 'x.geojson'),
    ...more,
  ];
  test.each<[string, string[], RegExp]>([
    ['no command', [], /Usage: rootberth/],
    ['a slip in a command', ['asess'], /unknown command 'asess'[\s\S]*Did you mean assess\?/],
    ['a slip in an option', ['assess', '--tres', 'x'], /unknown option '--tres'[\s\S]*Did you mean --trees\?/],
    ['no trees', ['assess', ...WORKS, '--out', 'x'], /--trees is missing/],
    ['no works to site', ['siting', ...TREES, '--out', 'x.geojson'], /no works are given/],
    ['no output', ['assess', ...TREES, ...WORKS], /--out is missing/],
    ['a sheet', assess('--plan', 'p.svg', '--sheet', 'A9'), /sheet "A9" is not known[\s\S]*tabloid/],
    ['a scale', assess('--report', 'r.html', '--scale', '1 to 200'), /no[t]? a scale[\s\S]*1in=20ft/],
    ['a sheet without a drawing', assess('--sheet', 'A3'), /--sheet does nothing without --report or --plan/],
    ['a use of nothing', assess('--existing-use', 'spared'), /--existing-use does nothing without --existing/],
    ['a system of no lots', assess('--lots-crs', 'EPSG:2913'), /--lots-crs does nothing without --lots/],
    ['a declination of no limbs', assess('--declination', '15E'), /--declination does nothing without --limbs/],
    ['cards without a report', assess('--plan', 'p.svg', '--cards', '5'), /--cards does nothing without --report/],
    [
      'an unknown use of hard ground',
      assess('--existing-use', 'paved'),
      /Allowed choices are counted, spared, regrown/,
    ],
    ['a bare percent', assess('--limit', '20'), /20 is not a share[\s\S]*20% or 0\.2/],
    ['an unknown rule', assess('--rule', 'foot-per-inh'), /there is no rule "foot-per-inh"[\s\S]*foot-per-inch/],
    ['an unknown system', assess('--works-crs', 'EPSG:29133'), /"EPSG:29133" is not known/],
    ['an unknown kind', assess('--works', 'house=h.geojson'), /"house" is not a kind of works[\s\S]*building/],
    ['works without a file', assess('--works', 'paving='), /names no file/],
    ['an option without a name', assess('--option', '=h.geojson'), /does not name a design option/],
    ['overdig without a unit', assess('--overdig', 'building=0.6'), /not a kind with a length[\s\S]*0\.6m/],
    ['a field that maps nothing', assess('--field', 'dbh'), /maps nothing/],
    ['a field that does not exist', assess('--field', 'dhb=DIAM'), /dhb/],
    ['columns', assess('--xy', '0,1'), /names no two columns/],
    ['a role nobody knows', assess('--roles', 'tree,root'), /role "root" is not known[\s\S]*severed/],
    ['a unit', assess('--units', 'parsec'), /us, metric/],
    ['a diameter unit', assess('--dbh-unit', 'ell'), /in, cm, mm, m, ft/],
    ['standard input twice', ['assess', '--trees', '-', '--works', '-', '--out', 'x'], /more than once/],
    ['a rule to print', ['rules', 'nope'], /there is no rule "nope"/],
    ['check without a file', ['check'], /missing required argument 'file'/],
  ])('%s', async (_what, argv, message) => {
    const { code, err, out } = await run(...argv);
    expect(err).toMatch(message);
    expect(err).not.toMatch(/\n\s+at .*\(.*:\d+:\d+\)/); // no stack
    expect([code, out]).toEqual([2, '']);
  });
});

describe('input that cannot be used is exit 1 and names file and cure', () => {
  test.each<[string, string[], RegExp]>([
    ['a file that does not exist', ['--trees', 'nope.csv', ...WORKS], /nope\.csv does not exist/],
    [
      'no coordinate system',
      ['--trees', join(DEMO, 'survey.csv'), ...WORKS],
      /coordinate system of survey\.csv[\s\S]*--crs/,
    ],
    ['a rule file', [...TREES, ...WORKS, '--rule', 'nope.json'], /rule file nope\.json can't be read/],
    ['a mapped field that does not exist', [...TREES, ...WORKS, '--field', 'dbh=DIAM'], /DIAM/],
  ])('%s', async (_what, argv, message) => {
    const { code, err } = await run('assess', ...argv, '--out', join(dir, 'never.geojson'));
    expect(err).toMatch(message);
    expect(code).toBe(1);
    expect(await readdir(dir)).not.toContain('never.geojson');
  });

  test('a folder that does not exist', async () => {
    const { code, err } = await run('assess', ...TREES, ...WORKS, '--quiet', '--out', join(dir, 'no', 'x.geojson'));
    expect([code, err]).toEqual([1, expect.stringContaining('its folder does not exist')]);
  });

  test('every tree not assessed: the output is written all the same', async () => {
    const trees = join(dir, 'bare.geojson');
    const point = { type: 'Point', coordinates: [-122.702, 45.511] }; // clear of the works
    await writeFile(trees, JSON.stringify({ type: 'Feature', geometry: point, properties: { dbh_in: null } }));
    const out = join(dir, 'bare-out.geojson');
    const { code, err } = await run('assess', '--trees', trees, ...WORKS, '--quiet', '--out', out);
    expect([code, err]).toEqual([1, expect.stringContaining('the one tree of the layer could not be assessed')]);
    expect(JSON.parse(await readFile(out, 'utf8')).features.at(-1).properties.rb_verdict).toBe('not-assessed');
  });
});

describe('assess', () => {
  test('--fail-on over-limit is met under any of the rules given, and not by another design option', async () => {
    const feature = (type: string, coordinates: unknown, properties: object): string =>
      JSON.stringify({ type: 'Feature', geometry: { type, coordinates }, properties });
    const file = async (name: string, text: string): Promise<string> => {
      await writeFile(join(dir, name), text);
      return join(dir, name);
    };
    const house = (east: number): number[][][] => [
      [
        [east, 45.4999],
        [east + 2e-4, 45.4999],
        [east + 2e-4, 45.5001],
        [east, 45.5001],
        [east, 45.4999],
      ],
    ];
    const trees = await file('one.geojson', feature('Point', [-122.5, 45.5], { id: 'T', dbh_in: 20 })); // 6.1 m
    const near = await file('near.geojson', feature('Polygon', house(-122.49998), { kind: 'building' })); // 1.6 m
    const far = await file('far.geojson', feature('Polygon', house(-122.499), { kind: 'building' }));
    const rule = { id: 'loose', title: 'Loose', source: 'invented', stems: { zone: 'sum' } };
    const zone = { radius: { perDiameter: 12 } };
    const loose = await file('loose.json', JSON.stringify({ ...rule, zone, limits: [{ share: '90%' }] }));
    const code = async (...more: string[]): Promise<number> => {
      const given = ['--trees', trees, '--fail-on', 'over-limit', '--quiet', '--out', join(dir, 'one-out.geojson')];
      return (await run('assess', ...given, ...more)).code;
    };
    expect(await code('--works', near, '--rule', loose)).toBe(0);
    expect(await code('--works', near, '--rule', loose, '--rule', 'foot-per-inch')).toBe(3);
    expect(await code('--works', near, '--rule', 'foot-per-inch', '--rule', loose)).toBe(3);
    expect(await code('--option', `A=${far}`, '--option', `B=${near}`, '--rule', 'foot-per-inch')).toBe(0);
    expect(await code('--option', `B=${near}`, '--option', `A=${far}`, '--rule', 'foot-per-inch')).toBe(3);
    // Nor is a trunk in the works let pass for want of a diameter.
    await file('one.geojson', feature('Point', [-122.4999, 45.5], { id: 'T', dbh_in: '' }));
    expect(await code('--works', near, '--rule', 'foot-per-inch')).toBe(3);
    // A tree that goes is not what the works are held against.
    for (const [disposition, exit] of [
      ['remove', 0],
      ['transplant', 0],
      ['keep', 3],
    ] as const) {
      await file('one.geojson', feature('Point', [-122.5, 45.5], { id: 'T', dbh_in: 20, disposition }));
      expect(await code('--works', near, '--rule', loose, '--rule', 'foot-per-inch'), disposition).toBe(exit);
    }
  });

  test('writes every file, prints the table, puts findings on stderr, meets --fail-on', async () => {
    const file = (name: string): string => join(dir, name);
    const { code, out, err } = await run(
      'assess',
      ...TREES,
      ...WORKS,
      ...['--lots', join(DEMO, 'lots.geojson'), '--out', file('a.geojson'), '--schedule', file('a.csv')],
      ...['--findings', file('a.json'), '--units', 'us', '--fail-on', 'over-limit', '--limit', '25%'],
      ...['--survey-age', 'never'],
    );
    expect(code).toBe(3);
    const collection = JSON.parse(await readFile(file('a.geojson'), 'utf8'));
    const trees = collection.features.filter(
      (f: { properties: { rb_role: string } }) => f.properties.rb_role === 'tree',
    );
    expect(trees).toHaveLength(120);
    expect(trees[0].properties).toMatchObject({
      id: 'T001',
      rb_id: 'trees:0',
      rb_dbh_in: 17.1,
      rb_zone_radius_ft: 17.1,
    });
    expect(collection.rootberth.options).toEqual({ crs: 'EPSG:2913', limit: 0.25 });
    expect((await readFile(file('a.csv'), 'utf8')).split('\r\n')).toHaveLength(122);
    const findings = JSON.parse(await readFile(file('a.json'), 'utf8')).findings as { code: string }[];
    expect(findings.map((f) => f.code)).toEqual(expect.arrayContaining(['default-rule', 'dbh-missing']));
    expect(out).toMatch(/Trees: 120 read, 119 assessed, 1 not assessed/);
    expect(err).toMatch(/\ninfo default-rule [\s\S]*\nerror dbh-missing [\s\S]*: all are in \S*a\.json\n$/);
    expect((await readdir(dir)).filter((name) => name.endsWith('.tmp'))).toEqual([]);
  });

  test('--out - is the same bytes on stdout and nothing else there', async () => {
    const out = join(dir, 'same.geojson');
    const options = ['assess', ...TREES, ...WORKS, '--quiet', '--roles', 'tree,zone', '--out'];
    expect((await run(...options, out)).code).toBe(0);
    const { code, out: text, err } = await run(...options, '-');
    expect([code, err]).toEqual([0, '']);
    expect(text).toBe(await readFile(out, 'utf8'));
  });

  test('--out folder/ writes one file per role', async () => {
    await run('assess', ...TREES, ...WORKS, '--quiet', '--out', `${join(dir, 'roles')}/`);
    expect((await readdir(join(dir, 'roles'))).sort()).toEqual(
      ['crown', 'fence', 'lot', 'overlap', 'ring', 'severed', 'tree', 'works', 'zone'].map((role) => `${role}.geojson`),
    );
  });

  test('a kind set for a file, working space and a mapped field reach the job', async () => {
    const out = join(dir, 'job.geojson');
    const { code } = await run(
      ...['assess', ...TREES, '--works', `paving=${join(DEMO, 'works.geojson')}`, '--overdig', 'building=2 ft'],
      ...['--field', 'dbh=base_dia_in', '--quiet', '--roles', 'tree', '--survey-age', 'never', '--out', out],
    );
    expect(code).toBe(0);
    expect(JSON.parse(await readFile(out, 'utf8')).rootberth.options).toEqual({
      crs: 'EPSG:2913',
      fields: { dbh: 'base_dia_in' },
      overdigM: { building: 0.6096 },
    });
  });
});

describe('the other commands', () => {
  test('--version and --help', async () => {
    expect(await run('--version')).toEqual({ code: 0, out: `${VERSION}\n`, err: '' });
    const { code, out } = await run('assess', '--help', 'all');
    expect([code, out]).toEqual([0, expect.stringContaining('--overdig')]);
    expect(out).toContain('--existing');
  });

  test('rules: the list names sources; one rule is JSON', async () => {
    const list = await run('rules');
    expect(list.out).toMatch(/^foot-per-inch \(default\)/);
    for (const id of ['tolerance-age', 'bs5837-2012', 'as4970-2009', 'din18920']) expect(list.out).toContain(`${id}: `);
    expect(JSON.parse((await run('rules', 'din18920')).out)).toMatchObject({ id: 'din18920' });
  });

  test('check: what a file holds; one bad file does not hide the others', async () => {
    const { code, out, err } = await run('check', join(DEMO, 'lots.geojson'), 'nope.csv', join(DEMO, 'survey.zip'));
    expect(code).toBe(1);
    expect(err).toContain('nope.csv does not exist');
    expect(out).toMatch(/looks like +│ lots/);
    expect(out).toMatch(/looks like +│ trees/);
    expect(out).toMatch(/inside its area of use │ yes/);
    expect(out).toMatch(/EPSG:2913/);
    expect(err).toContain('dbh-missing');
    expect((await run('check', join(DEMO, 'survey.csv'), '--crs', 'EPSG:2913')).code).toBe(0);
  });

  test('demo: twenty-one files, said to be invented, by the commands it prints', async () => {
    const target = join(dir, 'demo');
    const { code, out } = await run('demo', target);
    expect(code).toBe(0);
    expect(out.match(/INVENTED DATA/g)).toHaveLength(5);
    expect(out).toContain('T1 from C: 80-2                            left out');
    expect(out).toContain('B-08: at its new place, no tree to be kept is over its limits'); // the big oak among them
    const names = (await readdir(target)).sort();
    expect(names).toEqual([
      'assessed.geojson',
      'facades.geojson',
      'findings.json',
      'inventory.csv',
      'limb-schedule.csv',
      'lot-table.csv',
      'notes-sketch.svg',
      'notes.geojson',
      'notes.html',
      'option-table.csv',
      'plan.svg',
      'removals.csv',
      'report.html',
      'schedule.csv',
      'set-out.csv',
      'shade.csv',
      'siting.csv',
      'siting.geojson',
      'siting.html',
      'siting.svg',
      'stakes.csv',
    ]);
    const files = (): Promise<string[]> => Promise.all(names.map((name) => readFile(join(target, name), 'utf8')));
    const written = await files();
    const { written: said, cautions } = JSON.parse(written[0]!).rootberth;
    expect([said.stamp, cautions.length > 10]).toEqual(['invented data', true]);
    for (const [, command, printed] of out.matchAll(/rootberth (assess|siting|notes) ((?:.*\\\n)*.*)/g)) {
      const words = [...printed!.replaceAll('\\\n', ' ').matchAll(/'([^']*)'|[^\s']+/g)].map(
        ([word, inner]) => inner ?? word,
      );
      // Pages and shapes take long to make, and are made by the same way.
      const dear = new Set([
        '--report',
        '--plan',
        '--packet',
        '--title',
        '--packet',
        '--shade',
        '--shade-table',
        ...(command === 'assess' ? ['--out'] : []),
      ]);
      const light = words.filter((word, i) => !dear.has(word) && !dear.has(words[i - 1]!));
      const more = command === 'assess' ? ['--out', join(dir, 'light.geojson'), '--roles', 'tree'] : [];
      for (const name of names) if (light.some((word) => word.endsWith(`/${name}`))) await rm(join(target, name));
      const { code: again, err } = await run(command!, ...light, ...more);
      expect(again, err).toBe(0);
    }
    const unstamped = (await files()).map((text, i) => (/svg|html|\.geojson|findings/.test(names[i]!) ? '' : text));
    expect(unstamped.filter((text, i) => text !== '' && text !== written[i])).toEqual([]);
  });

  test('a defect of ours is exit 70 with the stack', async () => {
    const { main: again } = await import('../../src/cli/main.js');
    let err = '';
    const code = await again(['rules'], {
      out: () => {
        throw new TypeError('boom');
      },
      err: (text) => {
        err += text;
      },
      colour: { out: false, err: false },
    });
    expect(code).toBe(70);
    expect(err).toMatch(/defect of rootberth[\s\S]*TypeError: boom\n\s+at /);
  });

  test('a file name with an equals sign is taken as it is when it is there', async () => {
    await mkdir(join(dir, 'a=b'), { recursive: true });
    const odd = join(dir, 'a=b', 'works.geojson');
    await writeFile(odd, await readFile(join(DEMO, 'works.geojson')));
    expect(
      (await run('assess', ...TREES, '--works', odd, '--quiet', '--roles', 'tree', '--out', join(dir, 'o'))).code,
    ).toBe(0);
  });
});
