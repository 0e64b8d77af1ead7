// The page src/page/ in a real browser: drop files, drag a house, save; the same as the command line.
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { geojson as flatgeobuf } from 'flatgeobuf';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { buildPage, serveFolder } from '../../scripts/lib/page.mjs';
import { geojsonText } from '../../src/core.js';
import { sourceOf } from '../../src/page/files.js';
import { assessSources } from '../../src/page/job.js';
import { unpack } from '../../src/read/archive.js';
import { demoGeoPackage, demoWorkbook } from '../support/binary-demo.js';
import { CHROMIUM, dropFiles, openBrowser, openPage, saved } from '../support/browser.js';
import { run as runCli } from '../support/cli.js';
import { writeZip } from '../support/shapefile.js';

const root = join(import.meta.dirname, '../..');
const demo = (name: string) => ({ name, bytes: readFileSync(join(root, 'data/demo', name)) });
const LIMIT_MS = 120_000;

/**
 * Byte for byte, but for the last decimal of a figure: engines differ in the last bit of sine, cosine and the like (ECMA-262
 * leaves it to them), and a figure that lies between two values is then rounded the other way.
 */
function expectSame(browser: Uint8Array, cli: Uint8Array, name: string): void {
  const number = /-?\d*\.?\d+/g;
  const [a, b] = [browser, cli].map((bytes) => new TextDecoder().decode(bytes)) as [string, string];
  if (a === b) return;
  expect(a.replace(number, '#') === b.replace(number, '#'), `${name}: the text beside the figures`).toBe(true);
  const others = b.match(number) ?? [];
  const before = b.split(number); // what stands in front of each figure
  const differ = (a.match(number) ?? []).flatMap((one, i) => (one === others[i] ? [] : [i]));
  const own = a.match(number) ?? [];
  const decimals = (text: string): number => (text.split('.')[1] ?? '').length;
  for (const i of differ) {
    const [one, other] = [own[i]!, others[i]!];
    const far = Math.abs(Number(one) - Number(other));
    const unit = 10 ** -Math.max(decimals(one), decimals(other));
    const words = `${name}: ${before[i]?.slice(-30)}${one}, ${other}`;
    expect(unit, words).toBeLessThan(1e-5); // never a figure that a person reads
    // Margins are searched for, to a tenth of a millimetre (docs/method.md): the search may end elsewhere within that.
    if (/"rb_margin_(?:m|ft)":$/.test(before[i] ?? '')) expect(far, words).toBeLessThan(2 * 0.0001 * 3.2808);
    else expect(far / unit, words).toBeLessThan(1.5);
  }
  expect(differ.length / others.length, name).toBeLessThan(0.001);
  console.log(`${name}: ${differ.length} of ${others.length} figures differ in their last decimals`);
}

if (CHROMIUM === undefined) console.warn('SKIPPED: no Chromium (apt-get install chromium, or CHROMIUM=/path)');

describe.skipIf(CHROMIUM === undefined)('the page in Chromium', () => {
  let folder = '';
  let browser: Browser;
  let server: Awaited<ReturnType<typeof serveFolder>>;

  beforeAll(async () => {
    folder = mkdtempSync(join(tmpdir(), 'rootberth-try-'));
    await buildPage(join(folder, 'page'));
    server = await serveFolder(join(folder, 'page'));
    browser = await openBrowser();
  }, LIMIT_MS);

  afterAll(async () => {
    await browser?.close();
    await server?.close();
    rmSync(folder, { recursive: true, force: true });
  }, LIMIT_MS);

  const status = (page: Page) => page.textContent('#status');
  async function dropDemo(page: Page): Promise<void> {
    await page.fill('#crs', 'EPSG:2913');
    await dropFiles(page, '[data-role=trees]', [demo('survey.csv')]);
    await dropFiles(page, '[data-role=works]', [demo('works.geojson')]);
    await page.click('#more-files summary');
    await dropFiles(page, '[data-role=lots]', [demo('lots.geojson')]);
    await page.waitForFunction(() => document.querySelector('#got-lots')?.textContent?.includes('lots.geojson'));
    await page.waitForSelector('#plan [data-works]');
  }

  /** Takes hold of a piece by the middle of its box (or higher up), and drags it so many pixels. */
  async function drag(page: Page, row: number, dx: number, dy: number, down = 0.5): Promise<number[]> {
    const box = await page.locator(`#plan .v-works [data-works="${row}"]`).boundingBox();
    if (box === null) throw new Error('the piece is not drawn');
    const [x, y] = [box.x + box.width / 2, box.y + box.height * down];
    await page.mouse.move(x, y);
    await page.mouse.down();
    const times: number[] = [];
    for (let i = 1; i <= 20; i++) {
      await page.mouse.move(x + (dx * i) / 20, y + (dy * i) / 20);
      times.push(Number(await page.getAttribute('#plan', 'data-move-ms')));
    }
    await page.mouse.up();
    return times;
  }

  it(
    'drop files, drag a house, save: what the command line writes of the same files',
    async () => {
      const { page, errors, foreign } = await openPage(browser, server.url);
      await dropDemo(page);
      const house = await page.locator('#piece option', { hasText: 'building' }).first().getAttribute('value');
      const before = await page.locator('#schedule tbody').textContent();
      const times = await drag(page, Number(house), 30, -18);
      await page.waitForFunction(() => document.querySelector('#status')?.textContent?.startsWith('Moved'));
      expect(await page.locator('#schedule tbody').textContent()).not.toBe(before);
      times.sort((a, b) => a - b);
      console.log(`a move of 120 trees: median ${times[10]} ms, longest ${times.at(-1)} ms (measuring and drawing)`);

      const files = {
        'assessed.geojson': await saved(page, '#save-geojson'),
        'schedule.csv': await saved(page, '#save-schedule'),
        'report.html': await saved(page, '#save-report'),
        'plan.svg': await saved(page, '#save-plan'),
        'works-moved.geojson': await saved(page, '#save-works'),
      };
      const command = (await page.textContent('#command')) ?? '';
      expect(command).toContain('--works works-moved.geojson');
      const job = mkdtempSync(join(folder, 'job-'));
      for (const name of ['survey.csv', 'lots.geojson']) writeFileSync(join(job, name), demo(name).bytes);
      writeFileSync(join(job, 'works-moved.geojson'), files['works-moved.geojson']);
      const words = command
        .split(' ')
        .slice(1)
        .map((word) => (/\.\w+$/.test(word) ? join(job, word) : word));
      const ran = await runCli(...words, '--plan', join(job, 'plan.svg'));
      expect(ran.code, ran.err).toBe(0);
      for (const name of ['assessed.geojson', 'schedule.csv', 'report.html', 'plan.svg'] as const)
        expectSame(files[name], readFileSync(join(job, name)), name);

      // The page's own code under the engine that runs the command line: every byte.
      const source = (name: string) => sourceOf(name, readFileSync(join(job, name)));
      const [trees, works, lots] = await Promise.all(['survey.csv', 'works-moved.geojson', 'lots.geojson'].map(source));
      const sources = { trees: trees as never, works: [works as never], lots: lots as never, existing: [] };
      const same = await assessSources(sources, {
        crs: 'EPSG:2913',
        rule: 'foot-per-inch',
        ruleFile: null,
        limit: undefined,
        limitText: '',
        units: 'us',
        dbhUnit: '',
        kind: 'building',
      });
      const text = [...geojsonText(same as never, { units: 'us' })].join('');
      expect(text === readFileSync(join(job, 'assessed.geojson'), 'utf8')).toBe(true);

      const moved = JSON.parse(new TextDecoder().decode(files['works-moved.geojson']));
      const given = JSON.parse(new TextDecoder().decode(demo('works.geojson').bytes));
      const differ = given.features.filter(
        (feature: object, i: number) => JSON.stringify(feature) !== JSON.stringify(moved.features[i]),
      );
      expect(differ.length).toBe(1); // every other feature as it was given

      await page.click('#undo');
      await page.waitForFunction(() => document.querySelector('#status')?.textContent?.includes('undone'));
      expect(await page.locator('#schedule tbody').textContent()).toBe(before);
      expect(errors).toEqual([]);
      expect(foreign).toEqual([]);
      await page.context().close();
    },
    LIMIT_MS,
  );

  it(
    'finds a place for a house, moves it there and shows before and after; undo takes both back',
    async () => {
      const { page, errors } = await openPage(browser, server.url);
      await page.click('#demo');
      await page.waitForSelector('#plan [data-works]');
      await page.selectOption('#piece', { label: 'building B-14' });
      await page.fill('#setback', '5 elephants');
      await page.click('#find');
      expect(await status(page)).toContain('is not a length');
      await page.fill('#setback', '5ft');
      await page.click('#find');
      await page.waitForFunction(() => document.querySelector('#status')?.textContent?.startsWith('It keeps all'));
      expect(await status(page)).toMatch(/within their limits: \d\.\d\d ft north\.$/);
      const picture = page.locator('#before-after-picture');
      expect(await picture.isVisible()).toBe(true);
      expect(await picture.evaluate((image) => (image as HTMLImageElement).naturalWidth)).toBeGreaterThan(100);
      expect(await page.textContent('#got-works')).toContain('works-moved.geojson');
      await page.click('#undo');
      await page.waitForFunction(() => document.querySelector('#status')?.textContent?.includes('undone'));
      expect(await picture.isVisible()).toBe(false);
      expect(errors).toEqual([]);
      await page.context().close();
    },
    LIMIT_MS,
  );

  it(
    'by keys alone: load the demo, choose a house, move it, take it back, move and undo it, save',
    async () => {
      const { page, errors } = await openPage(browser, server.url);
      const tabTo = async (selector: string): Promise<void> => {
        for (let i = 0; i < 400; i++) {
          // the schedule has a button a tree
          if (await page.locator(selector).evaluate((one) => one === document.activeElement)) return;
          await page.keyboard.press('Tab');
        }
        throw new Error(`${selector} is not reached by Tab`);
      };
      await tabTo('#demo');
      await page.keyboard.press('Enter');
      await page.waitForSelector('#plan [data-works]');
      expect(await page.isVisible('#stamp')).toBe(true);
      await tabTo('#piece');
      await page.keyboard.type('building'); // a select finds its option by letters
      const chosen = await page.inputValue('#piece');
      expect(chosen).not.toBe('');
      const before = await page.locator('#schedule tbody').textContent();
      await tabTo('#plan');
      for (let i = 0; i < 3; i++) await page.keyboard.press('Shift+ArrowRight');
      expect(await page.locator('#schedule tbody').textContent()).not.toBe(before);
      await page.keyboard.press('Escape');
      expect(await page.locator('#schedule tbody').textContent()).toBe(before);
      await page.keyboard.press('Shift+ArrowUp');
      await page.keyboard.press('ArrowLeft');
      await page.keyboard.press('Enter');
      await page.waitForFunction(() => document.querySelector('#status')?.textContent?.startsWith('Moved'));
      expect(await status(page)).toMatch(/^Moved 10\.0 ft\./); // the root of 10 x 10 + 1 x 1
      await page.keyboard.press('Control+z');
      await page.waitForFunction(() => document.querySelector('#status')?.textContent?.includes('undone'));
      expect(await page.locator('#schedule tbody').textContent()).toBe(before);
      // Turned by keys, and by the pointer with Shift: the live percents are those that settle.
      const percents = async (): Promise<string[]> =>
        (
          await page
            .locator('#schedule tbody tr')
            .evaluateAll((rows) => rows.map((row) => `${row.children[0]?.textContent} ${row.children[3]?.textContent}`))
        ).sort();
      await page.locator('#plan').focus();
      for (const key of [']', ']', '{']) await page.keyboard.press(key);
      const live = await percents();
      await page.keyboard.press('Enter');
      await page.waitForFunction(() => document.querySelector('#status')?.textContent?.startsWith('Turned'));
      expect(await status(page)).toMatch(/^Turned 13° anticlockwise\./);
      expect(await percents()).toEqual(live);
      const home = await page.locator('#plan .v-works .chosen').boundingBox();
      await page.keyboard.down('Shift');
      const times = await drag(page, Number(chosen), 25, 0, 0.2);
      await page.keyboard.up('Shift');
      await page.waitForFunction(() => !document.querySelector('#status')?.textContent?.startsWith('Turned 13'));
      expect(await status(page)).toMatch(/^Turned [\d.]+° clockwise\./); // above its middle, to the right
      console.log(`a turn of 120 trees: median ${times.sort((a, b) => a - b)[10]} ms, longest ${times.at(-1)} ms`);
      const turned = await page.locator(`#plan .v-works [data-works="${chosen}"]`).boundingBox();
      expect(
        Math.abs((turned?.x ?? 0) + (turned?.width ?? 0) / 2 - (home?.x ?? 0) - (home?.width ?? 0) / 2),
      ).toBeLessThan(6);
      for (const _ of [1, 2]) {
        await page.keyboard.press('Control+z');
        await page.waitForFunction(() => document.querySelector('#status')?.textContent?.includes('undone'));
        await page.evaluate(() => {
          (document.querySelector('#status') as HTMLElement).textContent = '';
        });
      }
      expect(await page.locator('#schedule tbody').textContent()).toBe(before);
      await page.locator('#save-geojson').focus();
      const [download] = await Promise.all([page.waitForEvent('download'), page.keyboard.press('Enter')]);
      expect(download.suggestedFilename()).toBe('assessed.geojson');
      expect(errors).toEqual([]);
      await page.context().close();
    },
    LIMIT_MS,
  );

  it(
    'says what is wrong in words of the page, and loads the coordinate systems of elsewhere when they are asked for',
    async () => {
      const { page } = await openPage(browser, server.url);
      await dropFiles(page, '[data-role=trees]', [demo('survey.csv')]);
      await dropFiles(page, '[data-role=works]', [demo('works.geojson')]);
      await page.waitForSelector('#problem:not([hidden])');
      expect(await page.textContent('#problem')).toMatch(/coordinate system.*the field “Coordinate system”/s);
      await page.fill('#crs', 'EPSG:27700');
      await page.press('#crs', 'Tab');
      await page.waitForFunction(() => document.querySelector('#crs-said')?.textContent?.includes('British'));
      await page.fill('#crs', 'EPSG:29130');
      await page.press('#crs', 'Tab');
      await page.waitForFunction(() => document.querySelector('#crs-said')?.textContent?.includes('did you mean'));
      // Files that are cut off: a database, and a workbook (a zip without its directory).
      const cut: readonly (readonly [string, Uint8Array, string])[] = [
        ['trees.gpkg', demoGeoPackage().slice(0, 6000), 'can.t be read: '],
        ['trees.xlsx', (await demoWorkbook()).slice(0, 6000), 'directory is missing'],
      ];
      for (const [name, bytes, words] of cut) {
        await dropFiles(page, '[data-role=trees]', [{ name, bytes }]);
        await page.waitForFunction(
          (text) => new RegExp(text).test(document.querySelector('#problem')?.textContent ?? ''),
          words,
        );
        expect(await page.textContent('#problem')).toContain(name);
      }
      await page.fill('#limit', '20');
      await page.press('#limit', 'Tab');
      expect(await page.textContent('#limit-said')).toContain('20%');
      await page.context().close();
    },
    LIMIT_MS,
  );

  it(
    'opens a zipped shapefile, and works as FlatGeobuf; the same figures as from the files they were made of',
    async () => {
      const { page, errors } = await openPage(browser, server.url);
      await dropFiles(page, '[data-role=trees]', [demo('survey.zip')]);
      // Houses: the writer of FlatGeobuf takes the columns of the first feature for all.
      const works = JSON.parse(readFileSync(join(root, 'data/demo/works.geojson'), 'utf8'));
      works.features = works.features.filter(({ properties }: { properties: { id: string } }) =>
        properties.id.startsWith('B-'),
      );
      await dropFiles(page, '[data-role=works]', [{ name: 'works.fgb', bytes: flatgeobuf.serialize(works, 4326) }]);
      await page.waitForSelector('#plan [data-works], #problem:not([hidden])');
      expect(await page.textContent('#problem')).toBe('');
      expect(await page.textContent('#got-trees')).toContain('survey.zip');
      expect(await page.textContent('#got-works')).toContain('works.fgb');
      const percents = () => page.locator('#schedule tbody td:nth-child(4)').allTextContents();
      const zipped = await percents();
      const { parts } = await unpack(demo('survey.zip').bytes, 'survey.zip');
      const loose = [...parts].map(([ending, bytes]) => ({ name: `trees.${ending}`, bytes }));
      await dropFiles(page, '[data-role=trees]', loose);
      await dropFiles(page, '[data-role=works]', [
        { name: 'works.geojson', bytes: Buffer.from(JSON.stringify(works)) },
      ]);
      await page.waitForFunction(() => document.querySelector('#got-works')?.textContent?.includes('works.geojson'));
      await page.waitForFunction(() => document.querySelector('#got-trees')?.textContent?.includes('trees.shp'));
      await page.waitForSelector('#plan [data-works]');
      expect(zipped.length).toBeGreaterThan(100);
      expect(zipped).toEqual(await percents());
      expect(errors).toEqual([]);
      await page.context().close();
    },
    LIMIT_MS,
  );

  it(
    'opens a GeoPackage of several layers and a workbook: what the command line writes of the same files',
    async () => {
      const { page, errors, foreign } = await openPage(browser, server.url);
      const requests: string[] = [];
      page.on('request', (request) => void requests.push(request.url()));
      const site = { name: 'site.gpkg', bytes: demoGeoPackage() };
      const survey = { name: 'survey.xlsx', bytes: await demoWorkbook() };
      const job = mkdtempSync(join(folder, 'job-'));
      const zipped = { name: 'site.zip', bytes: writeZip([{ name: 'site.gpkg', bytes: site.bytes, deflate: true }]) };
      for (const { name, bytes } of [site, zipped, survey]) writeFileSync(join(job, name), bytes);
      const compare = async (): Promise<string> => {
        await page.waitForSelector('#plan [data-works]');
        expect(await page.isHidden('#problem')).toBe(true);
        const command = (await page.textContent('#command')) ?? '';
        const words = command.split(' ').slice(1);
        const ran = await runCli(...words.map((word) => (/^\w+\.\w+$/.test(word) ? join(job, word) : word)));
        expect(ran.code, ran.err).toBe(0);
        const of = async (button: string, name: string): Promise<void> =>
          expectSame(await saved(page, button), readFileSync(join(job, name)), name);
        await of('#save-geojson', 'assessed.geojson');
        await of('#save-schedule', 'schedule.csv');
        return command;
      };
      expect(requests.filter((url) => /wasm|workbook/.test(url))).toEqual([]); // nothing before it is needed
      for (const role of ['trees', 'works']) {
        await dropFiles(page, `[data-role=${role}]`, [role === 'trees' ? site : zipped]);
        await page.waitForFunction((id) => document.activeElement?.id === id, `layer-${role}`);
        expect(await page.locator(`#layer-${role} option`).allTextContents()).toEqual(['choose one', 'trees', 'works']);
        await page.selectOption(`#layer-${role}`, role);
        await page.waitForFunction((id) => document.querySelector(id)?.textContent?.includes('('), `#got-${role}`);
      }
      expect(await compare()).toContain('--layer trees=trees --layer works=works');
      expect(requests.filter((url) => url.endsWith('.wasm')).length).toBe(1);

      await page.fill('#crs', 'EPSG:2913');
      await dropFiles(page, '[data-role=trees]', [survey]);
      await page.waitForFunction(() => document.querySelector('#got-trees')?.textContent?.includes('survey.xlsx'));
      const sheets = page.locator('#layer-trees option');
      expect(await sheets.allTextContents()).toEqual(['Survey', 'Notes']);
      expect(await compare()).toContain('--trees survey.xlsx --works site.zip --layer works=works --crs EPSG:2913');
      expect(errors).toEqual([]);
      expect(foreign).toEqual([]);
      await page.context().close();
    },
    LIMIT_MS,
  );

  it(
    'axe finds nothing serious, empty and full, wide and narrow; nothing is wider than the screen',
    async () => {
      const axe = readFileSync(join(root, 'node_modules/axe-core/axe.min.js'), 'utf8');
      for (const size of [
        { width: 1280, height: 900 },
        { width: 390, height: 844 },
      ]) {
        const { page } = await openPage(browser, server.url, size);
        // The narrow page holds the same elements: looked at full only.
        for (const full of size.width === 390 ? [true] : [false, true]) {
          if (full) {
            await page.click('#demo');
            await page.waitForSelector('#plan [data-works]');
            await page.click('#findings-box summary');
          }
          // Through the debugger, so that the page's own policy stands.
          await page.evaluate(axe);
          const serious = await page.evaluate(async () => {
            const { violations } = await (
              window as unknown as {
                axe: { run(): Promise<{ violations: { impact: string; id: string; nodes: { html: string }[] }[] }> };
              }
            ).axe.run();
            return violations
              .filter(({ impact }) => impact === 'serious' || impact === 'critical')
              .map(
                ({ id, nodes }) =>
                  `${id}: ${nodes
                    .map(({ html }) => html)
                    .slice(0, 3)
                    .join(' ')}`,
              );
          });
          expect(serious, `${size.width} px, ${full ? 'full' : 'empty'}`).toEqual([]);
          const wide = await page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth);
          expect(wide).toBeLessThanOrEqual(0);
        }
        await page.context().close();
      }
    },
    LIMIT_MS,
  );
});
