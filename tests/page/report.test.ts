// The report in a real browser: labels and contrast by axe-core, sorting by keys, and what it prints to.
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { CHROMIUM, openBrowser } from '../support/browser.js';
import { run } from '../support/cli.js';

const root = join(import.meta.dirname, '../..');
const LIMIT_MS = 60_000;

describe.skipIf(CHROMIUM === undefined)('the demo report in Chromium', () => {
  let folder = '';
  let browser: Browser;
  let url = '';

  beforeAll(async () => {
    folder = mkdtempSync(join(tmpdir(), 'rootberth-report-'));
    const demo = (name: string): string => join(root, 'data/demo', name);
    const { code, err } = await run(
      ...['assess', '--trees', demo('survey.csv'), '--crs', 'EPSG:2913', '--works', demo('works.geojson')],
      ...['--lots', demo('lots.geojson'), '--units', 'us', '--report', join(folder, 'report.html')],
      ...['--out', join(folder, 'assessed.geojson')],
    );
    if (code !== 0) throw new Error(err);
    url = pathToFileURL(join(folder, 'report.html')).href;
    browser = await openBrowser();
  }, LIMIT_MS);

  afterAll(async () => {
    await browser?.close();
    rmSync(folder, { recursive: true, force: true });
  });

  it(
    'axe finds nothing serious; nothing is wider than the screen, nor than a phone',
    async () => {
      const axe = readFileSync(join(root, 'node_modules/axe-core/axe.min.js'), 'utf8');
      for (const width of [1280, 390]) {
        const page = await browser.newPage({ viewport: { width, height: 900 }, bypassCSP: true });
        await page.goto(url);
        if (width === 1280) await page.evaluate(axe); // the phone shows the same elements, and it takes seconds
        const serious = await page.evaluate(async () => {
          if (!('axe' in window)) return [];
          type Axe = { run(): Promise<{ violations: { impact: string; id: string; nodes: { html: string }[] }[] }> };
          const { violations } = await (window as unknown as { axe: Axe }).axe.run();
          return violations
            .filter(({ impact }) => impact === 'serious' || impact === 'critical')
            .map(({ id, nodes }) => `${id}: ${nodes.length}, ${nodes[0]?.html.slice(0, 120)}`);
        });
        expect(serious, `${width} px`).toEqual([]);
        expect(await page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth)).toBeLessThanOrEqual(
          0,
        );
        await page.close();
      }
    },
    LIMIT_MS,
  );

  it(
    'sorts by keys alone, up and down, and says which way',
    async () => {
      const page = await browser.newPage();
      const errors: string[] = [];
      page.on('pageerror', (error) => void errors.push(String(error)));
      await page.goto(url);
      const head = page.locator('#schedule thead th', { hasText: 'Overlap (%)' }).first();
      const column = await head.evaluate((th) => (th as HTMLTableCellElement).cellIndex);
      const shown = async (): Promise<number[]> =>
        (
          await page
            .locator(`#schedule tbody td:nth-child(${column + 1}), #schedule tbody th:nth-child(${column + 1})`)
            .allTextContents()
        )
          .filter((text) => text !== '\u2013')
          .map(Number);
      const sorted = (list: readonly number[], sign: 1 | -1): boolean =>
        list.every((value, i) => i === 0 || sign * (value - list[i - 1]!) >= 0);
      await head.locator('button').focus();
      await page.keyboard.press('Enter');
      expect(await head.getAttribute('aria-sort')).toBe('ascending');
      const up = await shown();
      expect(up.length).toBeGreaterThan(100);
      expect(sorted(up, 1)).toBe(true);
      await page.keyboard.press('Space');
      expect(await head.getAttribute('aria-sort')).toBe('descending');
      expect(sorted(await shown(), -1)).toBe(true);
      // Tab leads to the next heading; only one is sorted by.
      await page.keyboard.press('Tab');
      await page.keyboard.press('Enter');
      expect(await page.locator('#schedule th[aria-sort=ascending], #schedule th[aria-sort=descending]').count()).toBe(
        1,
      );
      expect(await head.getAttribute('aria-sort')).toBe('none');
      expect(errors).toEqual([]);
      await page.close();
    },
    LIMIT_MS,
  );

  it(
    'prints to a PDF that can be sent by mail: no area is made a picture',
    async () => {
      const page = await browser.newPage();
      await page.goto(url);
      // As `chromium --headless --print-to-pdf` prints: with the tags that screen readers use.
      const pdf = await page.pdf({ format: 'Letter', printBackground: true, tagged: true, outline: true });
      expect(pdf.length).toBeGreaterThan(300_000);
      expect(pdf.length).toBeLessThan(3_000_000);
      expect(readFileSync(join(folder, 'report.html'), 'utf8')).not.toContain('<pattern');
      // The plan's page lies across, and those of the inventory and of removals; the others stand; nothing of its frame is at the page's edge, where printing cuts.
      const across = pdf.toString('latin1').match(/\/MediaBox \[0 0 792 612\]/g) ?? [];
      const standing = pdf.toString('latin1').match(/\/MediaBox \[0 0 612 792\]/g) ?? [];
      expect(across.length).toBeGreaterThan(3);
      expect(standing.length).toBeGreaterThan(8);
      const frame = page.locator('#plan .rb-frame').first();
      expect(await frame.getAttribute('d')).toMatch(/^M\.5,\.5H/);
      await page.close();
    },
    LIMIT_MS,
  );
});
