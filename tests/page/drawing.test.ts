// The page from nothing: drawn, or from field notes, to files; the command line reads the saved plan and writes the same.
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { buildPage, serveFolder } from '../../scripts/lib/page.mjs';
import { CHROMIUM, openBrowser, openPage, saved } from '../support/browser.js';
import { run } from '../support/cli.js';

const LIMIT_MS = 120_000;
const NOTES = readFileSync(join(import.meta.dirname, '../../data/demo/notes.csv'), 'utf8');

describe.skipIf(CHROMIUM === undefined)('a plan from nothing', () => {
  let folder = '';
  let browser: Browser;
  let server: Awaited<ReturnType<typeof serveFolder>>;

  beforeAll(async () => {
    folder = mkdtempSync(join(tmpdir(), 'rootberth-draw-'));
    await buildPage(join(folder, 'page'));
    server = await serveFolder(join(folder, 'page'));
    browser = await openBrowser();
  }, LIMIT_MS);

  afterAll(async () => {
    await browser?.close();
    await server?.close();
    rmSync(folder, { recursive: true, force: true });
  }, LIMIT_MS);

  const says = (page: Page, text: string): Promise<unknown> =>
    page.waitForFunction((start) => document.querySelector('#status')?.textContent?.startsWith(start), text);
  const answer = async (page: Page): Promise<string> => (await page.textContent('#answer')) ?? '';

  /** Runs the command line on the plan that the page saves: its schedule, and the page's own. */
  async function bothSchedules(page: Page, name: string): Promise<[string, string]> {
    const dir = mkdtempSync(join(folder, `${name}-`));
    writeFileSync(join(dir, 'rootberth.json'), await saved(page, '#save-plan-file'));
    const own = new TextDecoder().decode(await saved(page, '#save-schedule'));
    const file = (one: string): string => join(dir, one);
    const { code, err } = await run(
      ...['assess', '--config', file('rootberth.json'), '--schedule', file('schedule.csv')],
      ...['--out', file('out.geojson'), '--report', file('report.html')],
    );
    expect([code, err]).toEqual([0, expect.any(String)]);
    return [own, readFileSync(file('schedule.csv'), 'utf8')];
  }

  /** Taps at shares of the plan's width and height. */
  async function tap(page: Page, ...places: readonly (readonly [number, number])[]): Promise<void> {
    await page.locator('#plan').scrollIntoViewIfNeeded();
    const box = (await page.locator('#plan').boundingBox())!;
    for (const [x, y] of places) await page.mouse.click(box.x + x * box.width, box.y + y * box.height);
  }

  it(
    'is drawn by taps: lot, house, drive, tree; changed, taken back, saved, kept over a reload',
    async () => {
      const { page, errors, foreign } = await openPage(browser, server.url, { width: 1280, height: 1000 });
      await page.click('#start-draw');
      await says(page, 'An empty plan');
      await page.click('[data-tool=lot]');
      await tap(page, [0.1, 0.1], [0.9, 0.1], [0.9, 0.9], [0.1, 0.9]);
      await page.click('#draw-finish');
      await says(page, 'Lot');
      await page.click('[data-tool=house]');
      await page.fill('#draw-width', '20');
      await page.fill('#draw-depth', '12 ft');
      await tap(page, [0.45, 0.5], [0.7, 0.5]);
      await says(page, 'House');
      await page.click('[data-tool=line]');
      await page.selectOption('#draw-kind', 'paving');
      await page.fill('#draw-width', '9');
      await tap(page, [0.2, 0.85], [0.5, 0.8]);
      await page.click('#draw-finish');
      await says(page, 'Line');
      await page.click('[data-tool=tree]');
      await page.fill('#draw-diameter', '20');
      await tap(page, [0.4, 0.45]);
      await says(page, 'Tree T1 drawn');
      expect(await page.textContent('#got-works')).toBe('drawn-works.geojson (2)');
      const first = await answer(page);
      expect(first).toContain('tree');

      // A thicker trunk has a larger zone: the percent changes, and undo brings it back.
      await page.click('[data-tool=move]');
      await page.click('#schedule tbody button');
      await page.waitForSelector('#selected:not([hidden])');
      const row = () => page.textContent('#schedule tbody tr');
      const before = await row();
      const diameter = page.locator('#columns label', { hasText: 'dbh_in' }).locator('input');
      await diameter.fill('40');
      await diameter.press('Tab');
      await says(page, 'dbh_in is 40');
      expect(await row()).not.toBe(before);
      await page.click('#undo');
      await says(page, 'Changing dbh_in is undone');
      expect(await row()).toBe(before);
      await page.click('#redo');
      await says(page, 'Changing dbh_in is done again');

      const [own, other] = await bothSchedules(page, 'drawn');
      expect(own).toBe(other);
      expect(own).toContain('T1');

      await page.waitForFunction(() => document.documentElement.dataset.kept === 'true');
      const last = await row();
      await page.reload();
      await page.waitForSelector('#start-kept:not([hidden])');
      await page.click('#start-kept');
      await says(page, 'Opened');
      expect(await row()).toBe(last);
      expect([errors, foreign]).toEqual([[], []]);
    },
    LIMIT_MS,
  );

  it(
    'is drawn by keys alone: a lot by running dimensions, a tree by two tape lines from its corners',
    async () => {
      const { page, errors } = await openPage(browser, server.url);
      const keys = async (...all: readonly string[]): Promise<void> => {
        for (const key of all) await page.keyboard.press(key);
      };
      await page.focus('#start-draw');
      await keys('Enter');
      await says(page, 'An empty plan');
      await page.focus('[data-tool=lot]');
      await keys('Enter');
      await page.focus('#draw-runs');
      await page.keyboard.type('100 R 80 R 100 R 80');
      await page.focus('#draw-run');
      await keys('Enter');
      await says(page, 'The outline closes');
      await page.focus('#draw-finish');
      await keys('Enter');
      await says(page, 'Lot');
      await page.focus('[data-tool=tree]');
      await keys('Enter');
      await page.fill('#draw-diameter', '12');
      await page.selectOption('#tie-a', { label: 'lot lot 1, corner 1' });
      await page.selectOption('#tie-b', { label: 'lot lot 1, corner 2' });
      await page.fill('#tie-a-length', '60');
      await page.fill('#tie-b-length', '80'); // 60, 80, 100: a right angle at the tree
      await page.selectOption('#tie-side', 'right');
      await page.focus('#draw-tie');
      await keys('Enter');
      await says(page, 'Tree T1 drawn');
      // A house by the crosshair: arrows move it, Enter puts a corner down.
      await page.focus('[data-tool=outline]');
      await keys('Enter');
      await keys(
        'Shift+ArrowLeft',
        'Enter',
        'Shift+ArrowRight',
        'Shift+ArrowRight',
        'Enter',
        'Shift+ArrowDown',
        'Enter',
        'f',
      );
      await says(page, 'Outline');
      await keys('Escape');
      const [own, other] = await bothSchedules(page, 'keys');
      expect(own).toBe(other);
      // The plan as the page has it: the tree lies 48 ft off the lot's first side (60 x 80 / 100).
      const { trees, lots } = JSON.parse(new TextDecoder().decode(await saved(page, '#save-plan-file')));
      const [x, y] = trees.geojson.features[0].geometry.coordinates;
      const [[[x0, y0], [x1, y1]]] = lots.geojson.features[0].geometry.coordinates;
      expect(Math.hypot(x - x0, y - y0)).toBeCloseTo(60, 3);
      expect(Math.hypot(x - x1, y - y1)).toBeCloseTo(80, 3);
      expect(errors).toEqual([]);
    },
    LIMIT_MS,
  );

  it(
    'comes from field notes: the sketch grows, a slip is said, the command line has the same figures',
    async () => {
      const { page, errors } = await openPage(browser, server.url);
      await page.click('#start-notes');
      const lines = NOTES.trim().split('\n');
      await page.fill('#notes-text', lines.slice(0, 4).join('\n'));
      await page.waitForSelector('#notes-sketch svg');
      const few = await page.locator('#notes-sketch svg line').count();
      await page.fill('#notes-text', NOTES);
      await page.waitForFunction((n) => document.querySelectorAll('#notes-sketch svg line').length > n, few);
      expect(await page.textContent('#notes-said')).toContain('probably a foot too long');
      await page.click('#notes-use');
      await says(page, 'The notes are on the plan');
      await page.click('#packet-box summary');
      await page.fill('#packet-project', 'Alder lot (invented)');
      await page.fill('#packet-preparer', 'A. Person (invented)');
      const [own, other] = await bothSchedules(page, 'notes');
      expect(own).toBe(other);
      const html = new TextDecoder().decode(await saved(page, '#save-report'));
      expect(html).toContain('Alder lot (invented)');
      const inventory = new TextDecoder().decode(await saved(page, '#save-inventory'));
      expect(inventory.split('\n')[1]).toContain('T1');
      // The command line's report of the saved plan says the same of project and trees.
      const dir = mkdtempSync(join(folder, 'packet-'));
      writeFileSync(join(dir, 'rootberth.json'), await saved(page, '#save-plan-file'));
      const file = (one: string): string => join(dir, one);
      const asked = ['--config', file('rootberth.json'), '--out', file('out.geojson'), '--report', file('report.html')];
      expect((await run('assess', ...asked)).code).toBe(0);
      const words = (text: string): string => /<div class="answer">.*?<\/div>/s.exec(text)?.[0] ?? '';
      const report = readFileSync(file('report.html'), 'utf8');
      expect(report).toContain('Alder lot (invented)');
      expect(words(report)).toBe(words(html));
      expect(words(html).length).toBeGreaterThan(40);
      await page.fill('#notes-text', 'point,from,distance_ft\nB,A,40\nT,A,30\nT,B,50\n');
      await page.waitForFunction(() => document.querySelector('#notes-said')?.textContent?.includes('say the side'));
      expect(errors).toEqual([]);
    },
    LIMIT_MS,
  );

  it(
    'pieces that are grouped move together, and a plan of others is refused with what to do',
    async () => {
      const { page } = await openPage(browser, server.url, { width: 1280, height: 1000 });
      const square = (id: string, x: number): object => ({
        type: 'Feature',
        properties: { id, kind: 'building' },
        geometry: {
          type: 'Polygon',
          coordinates: [
            [
              [x, 0],
              [x + 10, 0],
              [x + 10, 10],
              [x, 10],
              [x, 0],
            ],
          ],
        },
      });
      const plan = {
        trees: {
          name: 't',
          geojson: {
            type: 'FeatureCollection',
            features: [
              {
                type: 'Feature',
                properties: { id: 'T1', dbh_in: 20 },
                geometry: { type: 'Point', coordinates: [-10, 5] },
              },
            ],
          },
        },
        works: [{ name: 'w', geojson: { type: 'FeatureCollection', features: [square('a', 0), square('b', 30)] } }],
        crs: 'local:ft',
        page: { groups: { ab: ['works a', 'works b'] } },
      };
      const open = (content: string): Promise<void> =>
        page.setInputFiles('#open-plan', {
          name: 'rootberth.json',
          mimeType: 'application/json',
          buffer: Buffer.from(content),
        });
      await open('{"trees": "survey.csv"}');
      await page.waitForFunction(() => document.querySelector('#problem')?.textContent?.includes('under “Files”'));
      await open(JSON.stringify(plan));
      await says(page, 'Opened');
      const house = page.locator('#plan .v-works [data-works="0"]');
      await house.scrollIntoViewIfNeeded();
      const box = (await house.boundingBox())!;
      await page.mouse.move(box.x + 5, box.y + 5);
      await page.mouse.down();
      await page.mouse.move(box.x + 25, box.y + 5, { steps: 4 });
      await page.mouse.up();
      await says(page, 'Moved 2 pieces');
      const { works } = JSON.parse(new TextDecoder().decode(await saved(page, '#save-plan-file')));
      const [a, b] = works[0].geojson.features.map(
        ({ geometry }: { geometry: { coordinates: number[][][] } }) => geometry.coordinates[0]![0]!,
      );
      expect(a[0]).toBeGreaterThan(1);
      expect([b[0] - a[0], b[1] - a[1]].map((v) => Math.round(v * 1e4) / 1e4)).toEqual([30, 0]);
    },
    LIMIT_MS,
  );

  it(
    'finds the command line’s own places for a group that may turn; they are stepped through, and a search can be stopped',
    async () => {
      const { page, errors } = await openPage(browser, server.url, { width: 1280, height: 1000 });
      await page.click('#demo');
      await says(page, 'The demo');
      await page.selectOption('#piece', { label: 'building B-14' });
      await page.fill('#setback', '5ft');
      await page.fill('#find-shift', '20ft');
      await page.fill('#find-turn', '10');
      await page.click('#find');
      await page.waitForSelector('#find-stop:not([hidden])');
      await page.click('#find-stop');
      await says(page, 'The search is stopped');
      expect(await page.textContent('#got-works')).toBe('works.geojson (55)');
      await page.click('#find');
      await says(page, 'It keeps all');
      const best = ((await page.textContent('#status')) ?? '').replace(/^It |\.$/g, '');
      const dir = mkdtempSync(join(folder, 'find-'));
      const at = (name: string): string => join(import.meta.dirname, '../../data/demo', name);
      const { code, out } = await run(
        ...['siting', '--trees', at('survey.csv'), '--crs', 'EPSG:2913', '--works', at('works.geojson')],
        ...['--lots', at('lots.geojson'), '--rule', 'foot-per-inch', '--units', 'us', '--move', 'B-14'],
        ...['--setback', '5ft', '--shift', '20ft', '--turn', '10', '--out', join(dir, 'siting.geojson')],
      );
      expect(code).toBe(0);
      expect(out).toContain(best);
      const count = Number(/of (\d+)/.exec((await page.textContent('#place-said')) ?? '')?.[1] ?? 1);
      if (count > 1) {
        await page.click('#place-next');
        await says(page, 'Place 2: ');
        const second = /^Place 2: (.*)\.$/.exec((await page.textContent('#status')) ?? '')![1]!;
        expect(out).toContain(second);
        await page.click('#place-before');
        await says(page, 'Place 1: ');
      }
      await page.click('#undo');
      expect(errors).toEqual([]);
    },
    LIMIT_MS,
  );

  it(
    'a picture lies underneath, placed by two points a known distance apart, and is saved with the plan',
    async () => {
      const { page, errors } = await openPage(browser, server.url, { width: 1280, height: 1000 });
      await page.click('#start-draw');
      await says(page, 'An empty plan');
      await page.click('#picture-box summary');
      const png = await page.screenshot({ clip: { x: 0, y: 0, width: 400, height: 300 } });
      await page.setInputFiles('#picture-file', { name: 'site.png', mimeType: 'image/png', buffer: png });
      await says(page, 'The picture lies');
      await page.click('#picture-points');
      await tap(page, [0.3, 0.6], [0.6, 0.4]);
      await says(page, 'Say how far apart');
      await page.fill('#picture-length', '50');
      await page.click('#picture-place');
      await says(page, 'The picture is placed');
      const { picture } = JSON.parse(new TextDecoder().decode(await saved(page, '#save-plan-file'))).page;
      expect(picture).toMatchObject({
        width: 400,
        height: 300,
        data: expect.stringMatching(/^data:image\/png;base64,/),
      });
      const shown = (await page.locator('#plan image').boundingBox())!;
      // Two taps 0.3 of the width and 0.2 of the height apart are 50 ft apart now: so many metres a pixel of the screen.
      const plan = (await page.locator('#plan').boundingBox())!;
      const taps = Math.hypot(0.3 * plan.width, 0.2 * plan.height);
      const ratio = (0.9 * plan.width) / 400; // screen pixels a pixel of the picture had, when it filled the view
      expect(Math.hypot(picture.placed.a, picture.placed.b)).toBeCloseTo((50 * 0.3048) / (taps / ratio), 3);
      expect(shown.width / shown.height).toBeCloseTo(400 / 300, 1);
      await page.reload();
      await page.waitForSelector('#start-kept:not([hidden])');
      await page.click('#start-kept');
      await says(page, 'Opened');
      expect(await page.locator('#plan image').count()).toBe(1);
      await page.click('#picture-box summary');
      await page.click('#picture-away');
      expect(await page.locator('#plan image').count()).toBe(0);
      expect(errors).toEqual([]);
    },
    LIMIT_MS,
  );
});
