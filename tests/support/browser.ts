// A real browser for tests. In: nothing; out: Debian's Chromium with a page, and what was saved. Terms: bounded = nothing
// waits for ever: every wait has its limit, and all is closed at the end.
import { existsSync } from 'node:fs';
import { type Browser, chromium, type Page } from 'playwright-core';

/** Where the browser is; undefined where there is none, and tests that need one are skipped. */
export const CHROMIUM: string | undefined = [process.env.CHROMIUM, '/usr/bin/chromium'].find(
  (path) => path !== undefined && existsSync(path),
);

const WAIT_MS = 20_000;

export async function openBrowser(): Promise<Browser> {
  // As root (containers) the browser's own sandbox cannot be set up.
  const args = process.getuid?.() === 0 ? ['--no-sandbox'] : [];
  return chromium.launch({ executablePath: CHROMIUM!, args, timeout: 60_000 });
}

/** A page of a size; every wait on it is bounded, and what it logs or asks of others is kept. */
export async function openPage(
  browser: Browser,
  url: string,
  size: { width: number; height: number } = { width: 1280, height: 900 },
): Promise<{ page: Page; errors: string[]; foreign: string[] }> {
  const context = await browser.newContext({ viewport: size, acceptDownloads: true });
  context.setDefaultTimeout(WAIT_MS);
  const page = await context.newPage();
  const errors: string[] = [];
  const foreign: string[] = [];
  page.on('pageerror', (error) => void errors.push(String(error)));
  page.on('console', (message) => {
    if (message.type() === 'error') errors.push(message.text());
  });
  page.on('request', (request) => {
    if (!request.url().startsWith(url) && !/^(?:blob|data):/.test(request.url())) foreign.push(request.url());
  });
  await page.goto(url);
  await page.waitForSelector('html[data-ready]');
  return { page, errors, foreign };
}

/** Clicks a button and gives what the browser saves. */
export async function saved(page: Page, selector: string): Promise<Uint8Array> {
  const [download] = await Promise.all([page.waitForEvent('download'), page.click(selector)]);
  const chunks: Uint8Array[] = [];
  for await (const chunk of await download.createReadStream()) chunks.push(chunk as Uint8Array);
  return Buffer.concat(chunks);
}

/** Drops files on an element, as from a folder of the desktop. */
export async function dropFiles(
  page: Page,
  selector: string,
  files: readonly { name: string; bytes: Uint8Array }[],
): Promise<void> {
  const plain = files.map(({ name, bytes }) => ({ name, base64: Buffer.from(bytes).toString('base64') }));
  const transfer = await page.evaluateHandle((list) => {
    const data = new DataTransfer();
    for (const { name, base64 } of list) {
      const bytes = Uint8Array.from(atob(base64), (c) => c.charCodeAt(0));
      data.items.add(new File([bytes], name));
    }
    return data;
  }, plain);
  await page.dispatchEvent(selector, 'drop', { dataTransfer: transfer });
}
