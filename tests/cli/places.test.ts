// What a run can know beforehand. In: command lines with an output that can't be written, or stakes of a survey in degrees;
// out: refused before any tree is measured. Terms: see cli/io.ts.

import { existsSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { main } from '../../src/cli/main.js';

let dir = '';
beforeAll(() => {
  dir = mkdtempSync(join(tmpdir(), 'rb-places-'));
  writeFileSync(join(dir, 'trees.csv'), 'id,lon,lat,dbh_in\n1,-122.5,45.5,20\n');
  writeFileSync(
    join(dir, 'works.geojson'),
    JSON.stringify({
      type: 'Feature',
      properties: { kind: 'building' },
      geometry: {
        type: 'Polygon',
        coordinates: [
          [
            [-122.5, 45.5001],
            [-122.4999, 45.5001],
            [-122.4999, 45.5002],
            [-122.5, 45.5001],
          ],
        ],
      },
    }),
  );
});
afterAll(() => rmSync(dir, { recursive: true, force: true }));

async function run(...args: string[]): Promise<{ code: number; err: string }> {
  let err = '';
  const code = await main(
    ['assess', '--trees', join(dir, 'trees.csv'), '--works', join(dir, 'works.geojson'), '--no-config', ...args],
    {
      out: async () => undefined,
      err: (text) => {
        err += text;
      },
      colour: { out: false, err: false },
    },
  );
  return { code, err };
}

describe('before anything is measured', () => {
  it.each(['--out', '--schedule', '--report', '--findings'])(
    '%s into a folder that does not exist is refused',
    async (option) => {
      const others = option === '--out' ? [] : ['--out', join(dir, 'a.geojson')];
      const { code, err } = await run(
        ...others,
        option,
        join(dir, 'nowhere', 'file.html'.replace('html', option === '--out' ? 'geojson' : 'html')),
      );
      expect(code).toBe(1);
      expect(err).toMatch(/its folder does not exist/);
      expect(err).not.toMatch(/reading/);
      expect(existsSync(join(dir, 'a.geojson'))).toBe(false);
    },
  );

  it('a folder of roles that will be made is none', async () => {
    const { code } = await run('--out', `${join(dir, 'new', 'deeper')}/`, '--quiet');
    expect(code).toBe(0);
    expect(existsSync(join(dir, 'new', 'deeper', 'tree.geojson'))).toBe(true);
  });

  it('stakes of a survey in degrees are refused, and nothing is written', async () => {
    const { code, err } = await run('--out', join(dir, 'b.geojson'), '--stakes', join(dir, 'stakes.csv'));
    expect(code).toBe(2);
    expect(err).toMatch(/stakes need plane coordinates/);
    expect(existsSync(join(dir, 'b.geojson'))).toBe(false);
  });

  it('and are not where the output is in a plane', async () => {
    const { code } = await run(
      '--out',
      join(dir, 'c.geojson'),
      '--out-crs',
      'EPSG:2913',
      '--stakes',
      join(dir, 'stakes.csv'),
      '--quiet',
    );
    expect(code).toBe(0);
    expect(existsSync(join(dir, 'stakes.csv'))).toBe(true);
  });
});
