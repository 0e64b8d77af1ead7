// The page of one tree: fields, words and pictures without a browser; the form, a picture and the saved plan in one.
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import fc from 'fast-check';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { buildPage, serveFolder } from '../../scripts/lib/page.mjs';
import { type Assessment, assess, builtinRule, type Layer, readLayer, shade } from '../../src/index.js';
import { columnsOf, FORM, shownValue, titleOf, treeName, wordsFor } from '../../src/page/tree/fields.js';
import { fitted, LONGEST_PX, lettersOf, photosIn } from '../../src/page/tree/photos.js';
import { standingOf } from '../../src/page/tree/standing.js';
import { sunLines } from '../../src/page/tree/sun.js';
import { whyNowhere } from '../../src/page/tree/where.js';
import { figuresIn } from '../../src/report/figures.js';
import { CHROMIUM, openBrowser, openPage, saved } from '../support/browser.js';
import { run } from '../support/cli.js';

const LIMIT_MS = 120_000;

function survey(...rows: readonly Record<string, unknown>[]): Layer {
  const features = rows.map((properties, i) => ({
    type: 'Feature',
    properties,
    geometry: { type: 'Point', coordinates: [i * 60, 0] },
  }));
  return readLayer(new TextEncoder().encode(JSON.stringify({ type: 'FeatureCollection', features })), {
    name: 'survey.geojson',
  });
}

describe('fields of the form', () => {
  it('takes the survey’s own columns, and words as the tables settle them', () => {
    const columns = columnsOf(['ID', 'Included bark', 'vigor', 'Crown density (%)', 'years_left', 'Note']);
    expect(Object.fromEntries(columns)).toMatchObject({
      id: 'ID',
      included_bark: 'Included bark',
      vigour: 'vigor',
      crown_density_pct: 'Crown density (%)',
      remaining_years: 'years_left',
    });
    expect(shownValue('decay', 'Major')).toBe('severe');
    expect(shownValue('decay', 'Ganoderma at base')).toBe('Ganoderma at base');
    expect(shownValue('irremediable', true)).toBe('yes');
    expect(shownValue('strikes', 'the house')).toBe('the house');
    expect(shownValue('lean_deg', 8)).toBe('8');
    expect(shownValue('vigour', null)).toBe('');
  });

  it('has each field once, and every word that a list offers reads back as itself', () => {
    const fields = FORM.flatMap(([, some]) => some);
    expect(new Set(fields).size).toBe(fields.length);
    for (const field of fields) {
      expect(titleOf(field)).not.toContain('_');
      for (const word of wordsFor(field) ?? []) expect(shownValue(field, word), `${field} ${word}`).toBe(word);
    }
  });

  it('names a tree by id, else by tag; a tree without a name of its own has none', () => {
    expect(treeName(survey({ tag: 7 }, { tag: 8 }), 0)).toEqual({ name: '7' });
    expect(treeName(survey({ id: 'T1', tag: 7 }), 0)).toEqual({ name: 'T1' });
    expect(treeName(survey({ id: 'T1' }, { id: 'T1' }), 1)).toMatchObject({ problem: expect.stringContaining('T1') });
    expect(treeName(survey({ dbh_in: 20 }), 0)).toMatchObject({ problem: expect.stringContaining('no id') });
  });

  it('says the library’s own category, reasons and findings of the tree', () => {
    const trees = survey(
      { id: 'T1', dbh_in: 20, vigour: 'good', remaining_years: '20+', irremediable: 'no', decay: 'Ganoderma' },
      { id: 'T2', dbh_in: 20 },
    );
    const assessment = assess({ trees, rule: builtinRule('foot-per-inch'), options: { crs: 'local:ft', today: '' } });
    const { category, reasons, seeFirst, findings } = standingOf(assessment, assessment.tree(0));
    expect(category).toBe('B (reckoned)');
    expect(reasons.join()).toContain('at least 20 years');
    expect(seeFirst).toEqual(['Decay: Ganoderma']);
    expect(findings.join()).toContain('words of its own');
    expect(standingOf(assessment, assessment.tree(1))).toMatchObject({ reasons: [], findings: [] });
  });
});

describe('the sun that a tree keeps off', () => {
  const figures = figuresIn('metric');
  const layer = (features: readonly object[], name: string): Layer =>
    readLayer(new TextEncoder().encode(JSON.stringify({ type: 'FeatureCollection', features })), { name });
  const DEGREE = 111_320; // metres
  const at = (east: number, north: number): number[] => [
    -122.6 + east / (DEGREE * Math.cos((45.5 * Math.PI) / 180)),
    45.5 + north / DEGREE,
  ];
  const house = (east: number, properties: object): object => ({
    type: 'Feature',
    properties: { kind: 'building', ...properties },
    geometry: {
      type: 'Polygon',
      coordinates: [[at(east, 0), at(east + 10, 0), at(east + 10, 10), at(east, 10), at(east, 0)]],
    },
  });
  const tree = (east: number, properties: object): object => ({
    type: 'Feature',
    properties: { dbh_cm: 50, ...properties },
    geometry: { type: 'Point', coordinates: at(east, 5) },
  });
  const assessed = (trees: readonly object[], works: readonly object[]): Assessment =>
    assess({
      trees: layer(trees, 'trees.geojson'),
      ...(works.length === 0 ? {} : { works: [{ layer: layer(works, 'works.geojson') }] }),
      rule: builtinRule('foot-per-inch'),
      options: { today: '' },
    });
  const oak = tree(-8, { id: 'T1', height_m: 15, crown_radius_m: 5 });

  it('is the library’s own, and buildings out of its reach change nothing', () => {
    const works = [house(0, { id: 'near', height_m: 6 }), house(900, { id: 'far', height_m: 6 })];
    const assessment = assessed([oak, tree(880, { id: 'T2', height_m: 9, crown_radius_m: 3 })], works);
    const own = shade(assessment).trees.find(({ key }) => key === 'T1')!;
    expect(own.summerM2h).toBeGreaterThan(100);
    const lines = sunLines(assessment, 0, figures).join('\n');
    for (const value of [own.lowWestSummerM2h, own.summerM2h, own.winterM2h])
      expect(lines).toContain(`${figures.area(value, false).replace(/\.\d+$/, '')} h m²`);
    expect(lines).toContain('on near.');
    expect(lines).toContain('crown base assumed');
  });

  it('says what is missing', () => {
    const lines = (trees: readonly object[], works: readonly object[]): string =>
      sunLines(assessed(trees, works), 0, figures).join(' ');
    expect(lines([oak], [])).toBe('No works of the plan are buildings.');
    expect(lines([oak], [house(0, { id: 'h' })])).toContain('No building of the plan has a height');
    const bare = lines([tree(-8, { id: 'T1' })], [house(0, { id: 'h', height_m: 6 })]);
    expect(bare).toContain('The tree has no height');
    expect(bare).toContain('The tree has no crown');
    expect(lines([oak], [house(900, { id: 'h', height_m: 6 })])).toContain('No building with a height stands where');
  });

  it('a plan on a ground of its own knows no place of the device', () => {
    expect(whyNowhere('local', 'local:ft')).toContain('ground of its own');
    expect(whyNowhere(undefined, '')).not.toBeNull();
    expect(whyNowhere('projected', '')).toBeNull();
    expect(whyNowhere(undefined, 'EPSG:2913')).toBeNull();
  });
});

describe('pictures of a saved plan', () => {
  const photo = { tree: 'T1', data: 'data:image/jpeg;base64,AAAA', width: 4, height: 3, caption: 'crown' };
  it('are taken as drawn here; an address, a script or anything else is left out and counted', () => {
    expect(photosIn([photo])).toEqual({ photos: [photo], left: 0 });
    const bad = ['https://example.org/a.jpg', 'data:image/svg+xml,<svg/>', 'data:image/jpeg;base64,"><b>', 7].map(
      (data) => ({ ...photo, data }),
    );
    expect(photosIn([...bad, null, photo])).toEqual({ photos: [photo], left: 5 });
    expect(photosIn('x')).toEqual({ photos: [], left: 0 });
    expect(lettersOf([photo, photo])).toBe(2 * photo.data.length);
  });

  it('fit the longest side, in the same proportions', () => {
    expect(fitted(4000, 3000)).toEqual([1600, 1200]);
    expect(fitted(300, 400)).toEqual([300, 400]);
    const side = fc.integer({ min: 1, max: 20_000 });
    fc.assert(
      fc.property(side, side, (width, height) => {
        const [w, h] = fitted(width, height);
        expect(Math.min(w, h)).toBeGreaterThanOrEqual(1);
        expect(Math.max(w, h)).toBe(Math.min(LONGEST_PX, Math.max(width, height)));
        expect(Math.abs(w * height - h * width)).toBeLessThanOrEqual(Math.max(width, height));
      }),
    );
  });
});

describe.skipIf(CHROMIUM === undefined)('one tree on a phone', () => {
  let folder = '';
  let browser: Browser;
  let server: Awaited<ReturnType<typeof serveFolder>>;
  beforeAll(async () => {
    folder = mkdtempSync(join(tmpdir(), 'rootberth-tree-'));
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
    page.waitForFunction((part) => document.querySelector('#status')?.textContent?.includes(part), text);
  const square = (x: number): number[][] => [
    [x, -10],
    [x + 30, -10],
    [x + 30, 20],
    [x, 20],
    [x, -10],
  ];
  const PLAN = {
    trees: {
      name: 'survey',
      geojson: {
        type: 'FeatureCollection',
        features: ['T1', 'T2'].map((id, i) => ({
          type: 'Feature',
          properties: { id, dbh_in: 20, species: 'Quercus alba', vigor: i === 0 ? '' : 'fair' },
          geometry: { type: 'Point', coordinates: [i * 90, 0] },
        })),
      },
    },
    works: [
      {
        name: 'works',
        geojson: {
          type: 'FeatureCollection',
          features: [
            {
              type: 'Feature',
              properties: { id: 'house', kind: 'building' },
              geometry: { type: 'Polygon', coordinates: [square(10)] },
            },
          ],
        },
      },
    ],
    crs: 'local:ft',
  };

  async function serious(page: Page): Promise<string[]> {
    await page.evaluate(readFileSync(join(import.meta.dirname, '../../node_modules/axe-core/axe.min.js'), 'utf8'));
    return page.evaluate(async () => {
      const { violations } = await (
        window as unknown as {
          axe: { run(): Promise<{ violations: { impact: string; id: string; nodes: { html: string }[] }[] }> };
        }
      ).axe.run();
      return violations
        .filter(({ impact }) => impact === 'serious' || impact === 'critical')
        .map(({ id, nodes }) => `${id}: ${nodes.map(({ html }) => html).slice(0, 3)}`);
    });
  }

  it(
    'its fields give the category at once; a picture survives save and open; the command line gives the same category',
    async () => {
      const { page, errors, foreign } = await openPage(browser, server.url, { width: 390, height: 844 });
      const open = (buffer: Uint8Array): Promise<void> =>
        page.setInputFiles('#open-plan', {
          name: 'rootberth.json',
          mimeType: 'application/json',
          buffer: Buffer.from(buffer),
        });
      await open(Buffer.from(JSON.stringify(PLAN)));
      await says(page, 'Opened');
      expect(await page.isVisible('#this-tree')).toBe(false);
      await page.click('#schedule tbody button >> text=T1');
      await page.waitForSelector('#this-tree .card svg');
      expect(await page.textContent('#this-tree h2')).toBe('This tree: T1');
      const category = (): Promise<string | null> => page.textContent('#tree-category');
      await page.selectOption('#tree-vigour', 'fair');
      await says(page, 'Vigour is fair now. Retention category: open');
      await page.fill('#tree-remaining_years', '20+');
      await page.press('#tree-remaining_years', 'Tab');
      await says(page, 'Remaining years is 20+ now. Retention category: open');
      expect(await page.textContent('#this-tree .standing')).toContain('nothing is said of the roots');
      await page.selectOption('#tree-irremediable', 'no');
      await says(page, 'Retention category: B (reckoned)');
      await page.waitForFunction(() =>
        document.querySelector('#this-tree .card')?.textContent?.includes('B (reckoned)'),
      );
      await page.selectOption('#tree-decay', 'severe');
      await says(page, 'Decay is severe now');
      expect(await page.textContent('#this-tree .standing')).toContain('Decay: severe');
      // Each change is a step.
      await page.click('#undo');
      await says(page, 'is undone');
      expect(await page.inputValue('#tree-decay')).toBe('');
      expect(await category()).toBe('B (reckoned)');

      // A file that tells of its place and camera: two bytes of a JPEG's head, a segment of notes, the rest.
      const jpeg = await page.screenshot({ type: 'jpeg', clip: { x: 0, y: 0, width: 390, height: 300 } });
      const told = Buffer.from('Exif\0\0 45.52 N 122.68 W, camera of A. Person');
      const segment = Buffer.from([0xff, 0xe1, 0, told.length + 2]);
      const buffer = Buffer.concat([jpeg.subarray(0, 2), segment, told, jpeg.subarray(2)]);
      await page.setInputFiles('#photo-file', { name: 'crown.jpg', mimeType: 'image/jpeg', buffer });
      await says(page, 'A picture of T1 is kept');
      await page.fill('.photos input', 'crown from the south');
      await page.press('.photos input', 'Tab');
      await says(page, 'The caption of picture 1 is kept');
      expect(await page.getAttribute('.photos img', 'alt')).toBe('crown from the south');
      expect(await serious(page)).toEqual([]);
      expect(await page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth)).toBeLessThanOrEqual(
        0,
      );

      const plan = await saved(page, '#save-plan-file');
      const json = JSON.parse(new TextDecoder().decode(plan));
      expect(json.page.photos).toMatchObject([
        { tree: 'T1', width: 390, height: 300, caption: 'crown from the south' },
      ]);
      const bytes = Buffer.from(json.page.photos[0].data.split(',')[1], 'base64').toString('latin1');
      expect(bytes).not.toMatch(/Exif|camera/);
      // The survey's own name of the column stays.
      expect(json.trees.geojson.features[0].properties).toMatchObject({ vigor: 'fair', remaining_years: '20+' });
      expect(json.trees.geojson.features[0].properties).not.toHaveProperty('vigour');

      await page.waitForFunction(() => document.documentElement.dataset.kept === 'true');
      await page.reload();
      await page.waitForSelector('#start-kept:not([hidden])');
      await page.click('#start-kept');
      await says(page, 'Opened');
      await page.click('#schedule tbody button >> text=T1');
      expect(await page.locator('.photos img').count()).toBe(1);
      await open(plan);
      await says(page, 'Opened rootberth.json');
      await page.click('#schedule tbody button >> text=T2');
      expect(await page.locator('.photos img').count()).toBe(0);
      await page.click('#schedule tbody button >> text=T1');
      expect(await page.inputValue('.photos input')).toBe('crown from the south');
      expect(await category()).toBe('B (reckoned)');

      const dir = mkdtempSync(join(folder, 'cli-'));
      const file = (name: string): string => join(dir, name);
      writeFileSync(file('rootberth.json'), plan);
      const { code } = await run(
        ...[
          'assess',
          '--config',
          file('rootberth.json'),
          '--out',
          file('out.geojson'),
          '--report',
          file('report.html'),
        ],
      );
      expect(code).toBe(0);
      const { features } = JSON.parse(readFileSync(file('out.geojson'), 'utf8'));
      const tree = features.find(
        ({ properties }: { properties: { id?: string } }) => properties.id === 'T1',
      ).properties;
      expect(tree).toMatchObject({ rb_retention_category: 'B', rb_retention_reasons: 'years-at-least-20' });

      await page.click('#tree-sun');
      await says(page, 'No building of the plan has a height');
      await page.click('#where');
      await says(page, 'ground of its own');

      await page.click('.photos button');
      await says(page, 'Picture 1 is deleted');
      // What is saved waits for fields that were left by pressing the button.
      await page.selectOption('#tree-sounding', 'sound');
      await page.fill('#tree-strikes', 'the house');
      const last = JSON.parse(new TextDecoder().decode(await saved(page, '#save-plan-file')));
      expect(last.trees.geojson.features[0].properties).toMatchObject({ sounding: 'sound', strikes: 'the house' });
      expect(JSON.parse(new TextDecoder().decode(await saved(page, '#save-plan-file'))).page).not.toHaveProperty(
        'photos',
      );
      expect([errors, foreign]).toEqual([[], []]);
    },
    LIMIT_MS,
  );

  it(
    'the sun and the device’s position on a plan that knows its place; the position is kept nowhere',
    async () => {
      const { page, errors } = await openPage(browser, server.url, { width: 390, height: 844 });
      await page.context().grantPermissions(['geolocation']);
      await page.context().setGeolocation({ latitude: 45.52, longitude: -122.68, accuracy: 8 });
      await page.click('#demo');
      await page.waitForSelector('#plan [data-works]');
      await page.click('#schedule tbody button');
      await page.waitForSelector('#this-tree .card svg');
      await page.click('#tree-sun');
      await page.waitForFunction(() => (document.querySelector('.sun-lines')?.textContent?.length ?? 0) > 20);
      await page.click('#where');
      await says(page, 'The device says: within 26.2 ft');
      expect(await page.locator('.v-device circle').count()).toBe(2);
      const plan = new TextDecoder().decode(await saved(page, '#save-plan-file'));
      expect(plan).not.toContain('-122.68');
      await page.click('#where');
      await says(page, 'no longer shown');
      expect(await page.locator('.v-device').count()).toBe(0);
      expect(errors).toEqual([]);
    },
    LIMIT_MS,
  );
});
