// Follows the README from the zip of a survey to a printed report, in the terminal and on the page, and keeps what it makes
// with pictures: screens of two widths, sheets of two sizes. In: dist (npm run build), Chromium; out: walk-through/.
// Terms: see lib/walk-through.mjs. Pictures of the sheets need pdftoppm (poppler-utils).

import { execFileSync } from 'node:child_process';
import { cpSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { chromium } from 'playwright-core';
import { buildPage, serveFolder } from './lib/page.mjs';
import { inTerminal, onPage, walkThrough } from './lib/walk-through.mjs';

const root = fileURLToPath(new URL('../', import.meta.url));
const out = join(root, 'walk-through');
const path = process.env.CHROMIUM ?? '/usr/bin/chromium';
rmSync(out, { recursive: true, force: true });
cpSync(join(root, 'data/demo'), out, { recursive: true });

const { commands, steps } = walkThrough(readFileSync(join(root, 'README.md'), 'utf8'));
for (const words of commands) console.log(`$ ${words.join(' ')}`);
for (const text of inTerminal(commands, out, path)) if (text.trim() !== '') console.log(text);

const built = mkdtempSync(join(tmpdir(), 'try-'));
const args = process.getuid?.() === 0 ? ['--no-sandbox'] : [];
const browser = await chromium.launch({ executablePath: path, args });
try {
  await buildPage(built);
  const server = await serveFolder(built);
  for (const step of steps) console.log(step);
  const { saved } = await onPage(steps, out, browser, server.url);
  await server.close();
  const pictures = join(out, 'pictures');
  mkdirSync(pictures);
  for (const [name, file] of Object.entries({ terminal: join(out, 'report.html'), page: saved })) {
    for (const width of [1280, 390]) {
      const page = await browser.newPage({ viewport: { width, height: 900 } });
      await page.goto(pathToFileURL(file).href);
      await page.screenshot({ path: join(pictures, `${name}-${width}.png`) });
      if (width === 1280) {
        for (const format of ['A3', 'A4']) {
          const pdf = join(out, `${name}-${format}.pdf`);
          writeFileSync(pdf, await page.pdf({ format, landscape: format === 'A3', printBackground: true }));
          execFileSync('pdftoppm', ['-r', '60', '-l', '4', '-png', pdf, join(pictures, `${name}-${format}`)]);
        }
      }
      await page.close();
    }
  }
  console.log(`pictures are in ${pictures}`);
} finally {
  await browser.close();
  rmSync(built, { recursive: true });
}
