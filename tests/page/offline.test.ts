// The page as it is deployed: what a visitor loads, and a run with the network cut.
import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { buildPage, serveFolder } from '../../scripts/lib/page.mjs';
import { CHROMIUM, openBrowser, openPage } from '../support/browser.js';

const LIMIT_MS = 120_000;
/** Chunks that are loaded for one format or one part of the world alone carry one of these in their names. */
const ON_DEMAND = /xlsx|sql|geopackage|pdf|us-|europe|oceania|world/;

describe('the built page', () => {
  let folder = '';
  beforeAll(async () => {
    folder = mkdtempSync(join(tmpdir(), 'rootberth-offline-'));
    await buildPage(folder);
  }, LIMIT_MS);
  const closing: (() => Promise<unknown>)[] = [];
  afterAll(async () => {
    for (const close of closing) await close();
    rmSync(folder, { recursive: true, force: true });
  }, LIMIT_MS);

  it('is under 400 kB gzipped without what is loaded on demand, and asks nobody else for anything', () => {
    const files = readdirSync(folder, { recursive: true, encoding: 'utf8' });
    const own = files.filter((file) => /\.(?:js|css|html|wasm|svg|webmanifest)$/.test(file) && !ON_DEMAND.test(file));
    const bytes = own.reduce((sum, file) => sum + gzipSync(readFileSync(join(folder, file))).length, 0);
    expect(own.length).toBeGreaterThan(5);
    expect(bytes).toBeLessThan(400_000);
    for (const name of ['xlsx', 'sql', 'geopackage', 'us-', 'world'])
      expect(
        files.some((file) => file.includes(name)),
        name,
      ).toBe(true);
    const html = readFileSync(join(folder, 'index.html'), 'utf8');
    expect(html).toContain("default-src 'none'");
    expect(html).not.toMatch(/(?:src|href)="https?:/);
    expect(JSON.parse(readFileSync(join(folder, 'manifest.webmanifest'), 'utf8'))).toMatchObject({ start_url: './' });
  });

  describe.skipIf(CHROMIUM === undefined)('in Chromium', () => {
    it(
      'opens, draws and reads a workbook’s chunk with the network cut and the server gone',
      async () => {
        const server = await serveFolder(folder);
        const browser = await openBrowser();
        closing.push(
          () => browser.close(),
          () => server.close(),
        );
        const { page, errors } = await openPage(browser, server.url);
        await page.waitForFunction(() => document.documentElement.dataset.offline === 'true');
        await page.waitForFunction(async () => {
          const names = await caches.keys();
          const kept = names[0] === undefined ? [] : await (await caches.open(names[0])).keys();
          return kept.some(({ url }) => url.includes('xlsx'));
        });
        await page.context().setOffline(true);
        await server.close();
        await page.reload();
        await page.waitForSelector('html[data-ready]');
        await page.click('#demo');
        await page.waitForSelector('#plan [data-works]');
        expect(await page.textContent('#answer')).toContain('over');
        await page.reload();
        await page.waitForSelector('html[data-ready]');
        await page.click('#start-draw');
        await page.waitForFunction(() => document.querySelector('#status')?.textContent?.startsWith('An empty plan'));
        expect(errors).toEqual([]);
      },
      LIMIT_MS,
    );
  });
});
