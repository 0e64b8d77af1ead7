// The README from the zip of a survey to a printed report: its own commands in the terminal, its own steps on the page.
import { cpSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { buildPage, serveFolder } from '../../scripts/lib/page.mjs';
import { inTerminal, onPage, walkThrough } from '../../scripts/lib/walk-through.mjs';
import { CHROMIUM, openBrowser } from '../support/browser.js';

const root = join(import.meta.dirname, '../..');

it.skipIf(CHROMIUM === undefined)(
  'leads to the same printed report in the terminal and on the page',
  async () => {
    const folder = mkdtempSync(join(tmpdir(), 'rootberth-walk-'));
    const browser = await openBrowser();
    await buildPage(join(folder, 'page'));
    const server = await serveFolder(join(folder, 'page'));
    try {
      const job = join(folder, 'job');
      cpSync(join(root, 'data/demo'), job, { recursive: true });
      const { commands, steps } = walkThrough(readFileSync(join(root, 'README.md'), 'utf8'));
      expect(commands.map(([name]) => name)).toEqual(['rootberth', 'rootberth', 'chromium']);
      expect(steps.length).toBe(3);
      const [checked] = inTerminal(commands, job, CHROMIUM!);
      expect(checked).toContain('120');
      const { saved, printed } = await onPage(steps, job, browser, server.url);
      for (const pdf of [join(job, 'report.pdf'), printed]) {
        const bytes = readFileSync(pdf);
        expect(bytes.subarray(0, 5).toString()).toBe('%PDF-');
        expect(bytes.length).toBeGreaterThan(300_000);
        expect(bytes.length).toBeLessThan(4_000_000); // tags for screen readers are a third of it
      }
      expect(readFileSync(saved, 'utf8') === readFileSync(join(job, 'report.html'), 'utf8')).toBe(true);
    } finally {
      await browser.close();
      await server.close();
      rmSync(folder, { recursive: true });
    }
  },
  120_000,
);
