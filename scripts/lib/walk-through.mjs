// The README's way from the zip of a survey to a printed report, followed word for word. In: the README's text, a folder with
// the files it names, an open browser; out: the files it promises, in that folder.
// Terms: section = the README's heading of that name; step = a numbered line with **names** of the page and `files`.

import { execFileSync } from 'node:child_process';
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';

const CLI = fileURLToPath(new URL('../../dist/cli.js', import.meta.url));

/** Commands and steps of the section. */
export function walkThrough(readme) {
  const section = readme.split(/^## /m).find((part) => part.startsWith('From the zip of a survey'));
  if (section === undefined) throw new Error('the README has no such section');
  const [, block = ''] = /```sh\n([\s\S]*?)```/.exec(section) ?? [];
  const commands = block
    .replaceAll(/\\\n\s*/g, '')
    .split('\n')
    .map((line) => line.replace(/\s+#.*$/, '').trim())
    .filter((line) => line !== '')
    .map((line) => line.split(/\s+/));
  const steps = [...section.matchAll(/^\d+\. (.*)$/gm)].map(([, text]) => text);
  return { commands, steps };
}

/** Runs the commands; gives what each printed. */
export function inTerminal(commands, folder, chromium) {
  return commands.map(([name, ...words]) => {
    const run = (program, args) => execFileSync(program, args, { cwd: folder, encoding: 'utf8', stdio: 'pipe' });
    if (name === 'rootberth') return run(process.execPath, [CLI, ...words]);
    if (name !== 'chromium') throw new Error(`the README runs ${name}, which this does not know`);
    // As root (containers) the browser's own sandbox cannot be set up.
    return run(chromium, [...(process.getuid?.() === 0 ? ['--no-sandbox'] : []), ...words]);
  });
}

/** Follows the steps on the page; gives the path of the report that it saved, as HTML and printed. */
export async function onPage(steps, folder, browser, url) {
  const context = await browser.newContext({ acceptDownloads: true });
  const page = await context.newPage();
  await page.goto(url);
  await page.waitForSelector('html[data-ready]');
  let saved;
  for (const step of steps) {
    for (const [, file, label, verb, name] of step.matchAll(
      /`([^`]+)` as \*\*([^*]+)\*\*|(Open|Press) \*\*([^*]+)\*\*/g,
    )) {
      if (file !== undefined) {
        await page.getByLabel(label, { exact: true }).setInputFiles(join(folder, file));
        await page.locator('.got', { hasText: file }).waitFor();
      } else if (verb === 'Open') await page.locator('summary', { hasText: name }).click();
      else {
        await page.waitForSelector('#plan [data-works]');
        const download = page.waitForEvent('download');
        await page.getByRole('button', { name, exact: true }).click();
        saved = join(folder, `page-${(await download).suggestedFilename()}`);
        await (await download).saveAs(saved);
      }
    }
  }
  if (saved === undefined) throw new Error('no step of the README saves the report');
  await page.goto(pathToFileURL(saved).href);
  const printed = saved.replace(/html$/, 'pdf');
  writeFileSync(printed, await page.pdf({ preferCSSPageSize: true, printBackground: true }));
  await context.close();
  return { saved, printed };
}
