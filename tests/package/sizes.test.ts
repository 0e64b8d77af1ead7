// What reaches a web page: sizes are held, nothing of Node comes along, the table of coordinate systems stays out.
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { CASES, measure } from '../../scripts/lib/sizes.mjs';

const page = readFileSync(new URL('../../docs/browser.md', import.meta.url), 'utf8').split('\n');

describe('a bundle', () => {
  it.each(CASES.map((one) => [one.title, one] as const))('%s', async (title, one) => {
    const { bytes, modules } = await measure(one);
    console.log(`${title}: ${(bytes / 1000).toFixed(1)} kB gzipped`);
    expect(bytes).toBeGreaterThan(5_000);
    expect(bytes).toBeLessThan(one.mostKb * 1000);
    // docs/browser.md says the same, to 3 %.
    const row = page.find((line) => line.startsWith(`| ${one.title}`) || line.startsWith(`| \`${one.title}\``));
    const told = Number(/\| (\d+)(?: kB)? \|$/.exec(row ?? '')?.[1]);
    expect(Math.abs(told - bytes / 1000), `${one.title}: docs say ${told}`).toBeLessThan(0.03 * told);
    expect(modules.filter((id: string) => /^node:|__vite-browser-external|\/src\/(?:node|cli)[./]/.test(id))).toEqual(
      [],
    );
    // Projections come along: that of web maps with the core, the others with a table (and with shpjs, all of proj4's).
    const has = (name: string) => modules.some((id: string) => id.endsWith(`/projections/${name}.js`));
    const ours = one.code.includes('dist/web.js') && one.apart.length === 0;
    if (ours) expect([has('merc'), has('lcc')]).toEqual([true, /web-|export \*/.test(one.code)]);
    if (!one.title.includes('world'))
      expect(modules.filter((id: string) => /crs-world|tables\/all/.test(id))).toEqual([]);
  });
});
