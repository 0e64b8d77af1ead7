// Columns, words, layers and systems that are chosen on the page: the pure parts, and a survey in a browser that ends in the
// command line's own schedule.
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import fc from 'fast-check';
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { buildPage, serveFolder } from '../../scripts/lib/page.mjs';
import { readLayer } from '../../src/index.js';
import {
  columnRows,
  mappingFrom,
  samplesOf,
  textsOf,
  usable,
  withColumn,
  withProposals,
} from '../../src/page/mapping/columns.js';
import { withMeaning, wordRows } from '../../src/page/mapping/words.js';
import { CHROMIUM, dropFiles, openBrowser, openPage, saved } from '../support/browser.js';
import { run as runCli } from '../support/cli.js';

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
      await page.fill('#crs', 'EPSG:2913');
      await dropFiles(page, '[data-role=trees]', [{ name: 'survey.csv', bytes: files['survey.csv'] }]);
      await page.waitForSelector('#problem:not([hidden])');
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
