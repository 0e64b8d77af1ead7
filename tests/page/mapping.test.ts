// Columns, words, layers and systems that are chosen on the page: the pure parts, and a survey in a browser that ends in the
// command line's own schedule.
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import fc from 'fast-check';
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { buildPage, serveFolder } from '../../scripts/lib/page.mjs';
import { findCrs, transformFor } from '../../src/crs/index.js';
import { readLayer, toSchedule } from '../../src/index.js';
import { ownName, SeveralLayers, sourceOf } from '../../src/page/files.js';
import { assessSources, commandOf } from '../../src/page/job.js';
import {
  columnRows,
  mappingFrom,
  samplesOf,
  textsOf,
  usable,
  withColumn,
  withProposals,
} from '../../src/page/mapping/columns.js';
import { inPageWords } from '../../src/page/mapping/cures.js';
import { layersOf } from '../../src/page/mapping/layers.js';
import { findSystems, holdsPosition, placeIn } from '../../src/page/mapping/systems.js';
import { withMeaning, wordRows } from '../../src/page/mapping/words.js';
import { piecesOf } from '../../src/page/plan/layer-edit.js';
import { CHROMIUM, dropFiles, openBrowser, openPage, saved } from '../support/browser.js';
import { run as runCli } from '../support/cli.js';
import { dxf, lwpolyline } from '../support/dxf.js';
import { writeZip } from '../support/shapefile.js';
import { shellWords } from '../support/shell-words.js';

const root = join(import.meta.dirname, '../..');
const LIMIT_MS = 120_000;

const table = (text: string, name = 'trees.csv') => readLayer(new TextEncoder().encode(text), { name });
const SURVEY = `id,x,y,BOLE,SPP,STATE,SPREAD_FT
A,7640000,680000,24,Quercus garryana,TBR,40
B,7640100,680000,12,Acer macrophyllum,keep,30
C,7640200,680050,18,Thuja plicata,TBR,20
`;
const only = (layer: ReturnType<typeof table>) => ({ trees: [layer], works: [], existing: [], lots: [] });
const rowOf = (rows: ReturnType<typeof columnRows>, field: string) => rows.find((row) => row.field === field)!;

describe('columns', () => {
  const layer = table(SURVEY);
  const rows = columnRows('trees', [layer], {});

  it('what is read by its name, what is proposed, and what is neither', () => {
    expect(rowOf(rows, 'id')).toMatchObject({ named: 'id', used: { column: 'id' }, proposed: null });
    expect(rowOf(rows, 'species')).toMatchObject({ named: '', proposed: { column: 'SPP', unit: '' } });
    expect(rowOf(rows, 'crown_spread').proposed).toEqual({ column: 'SPREAD_FT', unit: '' });
    expect(rowOf(rows, 'height')).toMatchObject({ used: { column: '' }, proposed: null });
    expect(samplesOf([layer], 'BOLE')).toEqual(['24', '12', '18']);
  });

  it('a column with a unit becomes what --field takes, and is shown again', () => {
    const fields = withColumn({}, rowOf(rows, 'dbh'), { column: 'BOLE', unit: 'in' });
    expect(textsOf(fields)).toEqual(['dbh=BOLE:in']);
    expect(rowOf(columnRows('trees', [layer], fields), 'dbh').used).toEqual({ column: 'BOLE', unit: 'in' });
    expect(withColumn(fields, rowOf(rows, 'dbh'), { column: '', unit: '' })).toEqual({});
    expect(withColumn({}, rowOf(rows, 'id'), { column: '', unit: '' })).toEqual({ id: '-' });
    expect(withColumn({ id: '-' }, rowOf(rows, 'id'), { column: 'id', unit: '' })).toEqual({});
    expect(withProposals({}, rows)).toMatchObject({ species: 'SPP', crown_spread: 'SPREAD_FT' });
  });

  it('a unit is proposed at the column that lacks it, where the figures fit one alone', () => {
    const plain = table('id,x,y,DBH\nA,7640000,680000,600\nB,7640100,680000,450\nC,7640200,680000,900\n');
    expect(rowOf(columnRows('trees', [plain], {}), 'dbh')).toMatchObject({
      used: { column: 'DBH', unit: '' },
      proposed: { column: 'DBH', unit: 'mm' },
    });
  });

  it('several stems are one choice', () => {
    const stems = table('id,x,y,DIA1,DIA2\nA,7640000,680000,10,8\n');
    const row = rowOf(columnRows('trees', [stems], {}), 'stems');
    expect(row.proposed).toMatchObject({ column: 'DIA1,DIA2' });
    const fields = withColumn({}, row, { column: 'DIA1,DIA2', unit: 'cm' });
    expect(fields).toEqual({ stems: 'DIA1:cm,DIA2:cm' });
    expect(rowOf(columnRows('trees', [stems], fields), 'stems').used).toEqual({ column: 'DIA1,DIA2', unit: 'cm' });
  });

  it('a mapping of a file that is gone is not used', () => {
    const fields = { dbh: 'BOLE:in', species: 'SPP', 'works.kind': 'TYPE' };
    expect(usable(fields, only(layer))).toEqual({ dbh: 'BOLE:in', species: 'SPP' });
    expect(usable(fields, only(table('id,x,y,dbh_in\nA,1,2,3\n')))).toEqual({});
  });

  it('texts of a job file are read again, whatever the column is called', () => {
    const name = fc.string({ minLength: 1, maxLength: 12 });
    fc.assert(
      fc.property(name, (column) => {
        const fields = { dbh: column, 'works.depth': `${column}:ft` };
        expect(mappingFrom(textsOf(fields), 'first')).toEqual(fields);
      }),
    );
    expect(mappingFrom('disposition.A=B=remove', 'last')).toEqual({ 'disposition.A=B': 'remove' });
    expect(mappingFrom(undefined, 'first')).toEqual({});
  });
});

describe('words', () => {
  it('are listed with how many trees hold them, and stay in the list once they mean something', () => {
    const fields = { dbh: 'BOLE:in', disposition: 'STATE' };
    const [row, ...others] = wordRows(table(SURVEY.replaceAll('TBR', 'ZZZ')), [], fields);
    expect(row).toMatchObject({ key: 'disposition.ZZZ', column: 'STATE', count: 2 });
    expect(row?.values).toContain('remove');
    expect(others).toEqual([]);
    expect(withMeaning({}, row!.key, 'remove')).toEqual({ 'disposition.ZZZ': 'remove' });
    expect(withMeaning({ [row!.key]: 'remove' }, row!.key, '')).toEqual({});
  });
});

describe('works in several layers of one file', () => {
  const square = (x: number, y: number, side: number) => [
    [x, y],
    [x + side, y],
    [x + side, y + side],
    [x, y + side],
  ];
  const SHAPES = {
    house: square(7650010, 679990, 20),
    drive: square(7650030, 679960, 30),
    lots: square(7649900, 679900, 400),
  };
  const kinds = { house: 'building', drive: 'paving' } as const;
  const TREES = 'id,easting,northing,dbh_in\nT1,7650000,680000,20\nT2,7650040,680000,24\n';
  const collection = (ring: number[][]) =>
    JSON.stringify({
      type: 'FeatureCollection',
      crs: { type: 'name', properties: { name: 'urn:ogc:def:crs:EPSG::2913' } },
      features: [{ type: 'Feature', properties: {}, geometry: { type: 'Polygon', coordinates: [[...ring, ring[0]]] } }],
    });
  const files = {
    'site.zip': writeZip(
      Object.entries(SHAPES).map(([name, ring]) => ({ name: `${name}.geojson`, bytes: Buffer.from(collection(ring)) })),
    ),
    'site.dxf': Buffer.from(dxf(Object.entries(SHAPES).map(([name, ring]) => lwpolyline(name, ring, true)))),
  };
  const choices = {
    crs: 'EPSG:2913',
    rule: 'foot-per-inch',
    ruleFile: null,
    limit: undefined,
    limitText: '',
    units: 'us',
    dbhUnit: '',
    kind: 'building',
  } as const;

  it.each(Object.entries(files))('%s: the command that the page shows has the same figures', async (name, bytes) => {
    await expect(sourceOf(name, bytes, undefined, 'works')).rejects.toBeInstanceOf(SeveralLayers);
    const chosen = name.endsWith('zip') ? ({ 'house.geojson': 'building', 'drive.geojson': 'paving' } as const) : kinds;
    const works = await layersOf(name, bytes, chosen);
    expect(works.length).toBe(name.endsWith('zip') ? 2 : 1);
    const trees = await sourceOf('trees.csv', Buffer.from(TREES));
    const sources = { trees, works, lots: null, existing: [] };
    const assessment = await assessSources(sources, choices);
    const used = assessment!.works.filter(({ counted }) => counted !== 'false').map(({ kind }) => kind);
    expect([...used].sort()).toEqual(['building', 'paving']);
    const job = mkdtempSync(join(tmpdir(), 'rootberth-layers-'));
    writeFileSync(join(job, name), bytes);
    writeFileSync(join(job, 'trees.csv'), TREES);
    const words = shellWords(commandOf(sources, choices)).slice(1);
    const ran = await runCli(...words.map((word) => (/^[\w-]+\.(?!geojson=)\w+$/.test(word) ? join(job, word) : word)));
    expect(ran.code, `${words.join(' ')} ${ran.err}`).toBe(0);
    expect(toSchedule(assessment!, { units: 'us' })).toBe(readFileSync(join(job, 'schedule.csv'), 'utf8'));
    // As files of their own, after an edit or in a saved plan, each has a name of its own.
    expect(new Set(works.map(ownName)).size).toBe(works.length);
    rmSync(job, { recursive: true, force: true });
  });

  it('what a drawing set aside has no shape in a file made of it', async () => {
    const [source] = await layersOf('site.dxf', files['site.dxf'], kinds);
    const shapes = piecesOf(source!.layer).map(({ geometry }) => geometry?.type ?? null);
    expect(shapes).toEqual(['Polygon', 'Polygon', null]);
  });
});

describe('systems', () => {
  it('by name, by code and by place; the survey that would lie in one brings it to the front', () => {
    const codes = (text: string, at: readonly [number, number] | null = null) =>
      findSystems(text, at).systems.map(({ code }) => code);
    expect(codes('oregon north')).toContain('EPSG:2913');
    expect(codes('EPSG:2913')[0]).toBe('EPSG:2913');
    expect(codes('27700')).toEqual(['EPSG:27700']);
    expect(
      findSystems('51.5 N 0.1 W', null)
        .systems.map(({ name }) => name)
        .join(),
    ).toContain('British National Grid');
    // Portland in feet of Oregon North: metres would be somewhere in the Pacific.
    const held = findSystems('oregon north', [7640000, 680000]).systems;
    expect(held[0]).toMatchObject({ holds: true, unit: 'ft' });
    expect(held.filter(({ unit }) => unit === 'm').every(({ holds }) => holds === false)).toBe(true);
    expect(findSystems('', [7640000, 680000]).systems.every(({ holds }) => holds === true)).toBe(true);
    expect(findSystems('', [7640000, 680000]).systems.map(({ code }) => code)).toContain('EPSG:2913');
    expect(findSystems('', null)).toEqual({ systems: [], count: 0, refused: '' });
    expect(findSystems('no such place', null).count).toBe(0);
  });

  it('a place is read with signs or letters, and nothing else is one', () => {
    expect(placeIn('45.5, -122.6')).toEqual([-122.6, 45.5]);
    expect(placeIn('45.5 N 122.6 W')).toEqual([-122.6, 45.5]);
    expect(placeIn('33.9 S, 151.2 E')).toEqual([151.2, -33.9]);
    for (const text of ['oregon', '2913', '95, 10', '45.5, 190']) expect(placeIn(text), text).toBeNull();
  });

  it('a system holds every place within its area of use', () => {
    const crs = findCrs('EPSG:2913');
    const [west, south, east, north] = crs.areaOfUse!;
    const share = fc.double({ min: 0, max: 1, noNaN: true });
    fc.assert(
      fc.property(share, share, (a, b) => {
        const xy = Float64Array.of(west + (east - west) * a, south + (north - south) * b);
        transformFor(crs).fromLonLat(xy);
        expect(holdsPosition(crs, [xy[0]!, xy[1]!])).toBe(true);
      }),
    );
  });
});

describe('cures', () => {
  it.each([
    ['name the field that holds the trunk diameter: --field dbh=NAME:in', '“Trunk diameter” under “Columns”'],
    [
      'add --field works.depth=D:ft (or :m, :in, :cm), name the field depth_ft or depth_m, or leave it out with --field works.depth=-',
      'choose “Depth” under “Columns” (or :m, :in, :cm), name the field depth_ft or depth_m, or leave it out with “Depth”: none, under “Columns”',
    ],
    [
      'write the word out, or say what it means: --value disposition.R=remove',
      'say what it means: the words under “Columns”',
    ],
    ["or say what it means: --value 'works.kind.Sanitary lateral=trench'", 'the words under “Columns”'],
    [
      'add --dbh-unit in (or cm, mm, m, ft), or name',
      'choose in (or cm, mm, m, ft) in the field “Diameters are in”, or name',
    ],
    [
      'give it with --crs EPSG:... or --trees-crs EPSG:... (State Plane, UTM or the like), or --crs local:ft for a local ground system',
      'give it in the field “Coordinate system”: EPSG:... (“Find the system” looks it up) (State Plane, UTM or the like), or local:ft there',
    ],
    [
      "say which one is meant: --layer works=house, or several with their kinds: --layer NAME=building --layer NAME=paving; for the whole file: --layer 'works=*'",
      'say which one is meant in the field “Layer of it”',
    ],
    [
      'say which columns hold them, easting first: --xy EAST,NORTH',
      'call the two columns easting and northing in the file',
    ],
    ['read again; --salvage reads what is left', 'the command line’s --salvage reads'],
    ['name the field: --field limbs.bearing=NAME', 'the command line’s --field limbs.bearing=NAME'],
    ['give the proposed works with --works F', 'the row “Proposed works”'],
  ])('%s', (text, said) => {
    const words = inPageWords(text);
    expect(words).toContain(said);
    expect(words).not.toMatch(/(?<!command line’s )--[a-z]/);
  });
});

describe.skipIf(CHROMIUM === undefined)('choosing in Chromium', () => {
  let folder = '';
  let browser: Browser;
  let server: Awaited<ReturnType<typeof serveFolder>>;

  beforeAll(async () => {
    folder = mkdtempSync(join(tmpdir(), 'rootberth-mapping-'));
    await buildPage(join(folder, 'page'));
    server = await serveFolder(join(folder, 'page'));
    browser = await openBrowser();
  }, LIMIT_MS);

  afterAll(async () => {
    await browser?.close();
    await server?.close();
    rmSync(folder, { recursive: true, force: true });
  }, LIMIT_MS);

  it(
    'a survey whose columns nobody knows ends in the schedule of the command line',
    async () => {
      const rows = readFileSync(join(root, 'data/demo/survey.csv'), 'utf8')
        .trim()
        .split('\n')
        .map((line) => line.split(','));
      // The demo under names that say nothing, and a word of its own for trees that go.
      const names: Record<string, string> = { dbh_in: 'BOLE', disposition: 'STATE', remove: 'ZZZ' };
      const wanted = ['id', 'easting', 'northing', 'species', 'dbh_in', 'crown_radius_ft', 'disposition'];
      const at = wanted.map((name) => rows[0]!.indexOf(name));
      const text = rows.map((cells) => at.map((i) => names[cells[i]!] ?? cells[i]).join(',')).join('\n');
      expect(text).toContain('BOLE');
      const files = {
        'survey.csv': Buffer.from(text),
        'works.geojson': readFileSync(join(root, 'data/demo/works.geojson')),
      };
      const { page, errors } = await openPage(browser, server.url, { width: 390, height: 844 });
      await dropFiles(page, '[data-role=trees]', [{ name: 'survey.csv', bytes: files['survey.csv'] }]);
      await page.click('#systems-box summary');
      await page.waitForSelector('#systems-found button');
      await page.fill('#systems-text', 'oregon north');
      await page.waitForFunction(() => document.querySelector('#systems-found')?.textContent?.includes('Oregon North'));
      await page.fill('#systems-text', '2913');
      await page.click('#systems-found [data-code="EPSG:2913"]');
      await page.waitForFunction(() => document.querySelector('#problem')?.textContent?.includes('Columns'));
      expect(await page.inputValue('#crs')).toBe('EPSG:2913');
      expect(await page.textContent('#problem')).toContain('“Columns”');
      await dropFiles(page, '[data-role=works]', [{ name: 'works.geojson', bytes: files['works.geojson'] }]);
      await page.evaluate(() => document.querySelector('#map-box')?.setAttribute('open', ''));
      await page.selectOption('#map-dbh', 'BOLE');
      await page.selectOption('#map-dbh-unit', 'in');
      await page.waitForSelector('#plan [data-works]');
      await page.selectOption('#map-disposition', 'STATE');
      await page.selectOption('[id="map-word-disposition.ZZZ"]', 'remove');
      await page.waitForFunction(() => document.querySelector('#command')?.textContent?.includes('ZZZ=remove'));
      await page.waitForSelector('#plan [data-works]');

      const axe = readFileSync(join(root, 'node_modules/axe-core/axe.min.js'), 'utf8');
      await page.evaluate(axe);
      const serious = await page.evaluate(async () => {
        const { axe } = window as unknown as {
          axe: { run(): Promise<{ violations: { impact: string; id: string; nodes: { html: string }[] }[] }> };
        };
        const { violations } = await axe.run();
        return violations.filter(({ impact }) => impact === 'serious' || impact === 'critical').map(({ id }) => id);
      });
      expect(serious).toEqual([]);
      const wide = await page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth);
      expect(wide).toBeLessThanOrEqual(0);
      if (process.env.SHOTS !== undefined) {
        await page.screenshot({ path: join(process.env.SHOTS, 'page.png'), fullPage: true });
        await page.locator('#map-box').screenshot({ path: join(process.env.SHOTS, 'mapper.png') });
      }

      const schedule = await saved(page, '#save-schedule');
      const plan = await saved(page, '#save-plan-file');
      const command = (await page.textContent('#command')) ?? '';
      expect(command).toContain('--field dbh=BOLE:in --field disposition=STATE --value disposition.ZZZ=remove');
      const job = mkdtempSync(join(folder, 'job-'));
      for (const [name, bytes] of Object.entries(files)) writeFileSync(join(job, name), bytes);
      const words = command
        .split(' ')
        .slice(1)
        .map((word) => (/^[\w-]+\.\w+$/.test(word) ? join(job, word) : word));
      const ran = await runCli(...words);
      expect(ran.code, ran.err).toBe(0);
      expect(new TextDecoder().decode(schedule)).toBe(readFileSync(join(job, 'schedule.csv'), 'utf8'));

      writeFileSync(join(job, 'rootberth.json'), plan);
      const again = await runCli(
        'assess',
        '--config',
        join(job, 'rootberth.json'),
        '--schedule',
        join(job, 'again.csv'),
      );
      expect(again.code, again.err).toBe(0);
      expect(readFileSync(join(job, 'again.csv'), 'utf8')).toBe(new TextDecoder().decode(schedule));
      await page.reload();
      await page.waitForSelector('html[data-ready]');
      await page.click('#start-kept');
      await page.waitForSelector('#plan [data-works]');
      expect(await page.inputValue('#map-dbh')).toBe('BOLE');
      expect(await page.textContent('#command')).toContain('--value disposition.ZZZ=remove');
      expect(errors).toEqual([]);
      await page.context().close();
    },
    LIMIT_MS,
  );
});
