// The generated tables are what their scripts make. In: the committed files; out: their scripts' own comparison.
// The whole table, which takes minutes and the PROJ it was made from, is compared by `npm run check-tables`.
import { spawnSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { projDb } from '../../scripts/lib/proj-db.mjs';

function check(script: string) {
  const file = new URL(`../../scripts/${script}`, import.meta.url).pathname;
  return spawnSync(process.execPath, [file, '--check'], { encoding: 'utf8' });
}
const read = (path: string) => readFileSync(new URL(`../../${path}`, import.meta.url), 'utf8');
const versions = /^\/\/ .*PROJ (\S+) \(EPSG (\S+)\)/m.exec(read('src/crs/tables/esri-systems.ts'));
const own = projDb()?.versions;
const isSameProj = own !== undefined && own.proj === versions?.[1] && own.epsg === versions?.[2];

describe('generated tables', () => {
  it('the regions are cut from the whole table', () => {
    const { status, stdout } = check('split-crs-table.mjs');
    expect(stdout.trim().split('\n')).toHaveLength(4);
    expect(stdout).not.toContain('differs');
    expect(status).toBe(0);
  });
  it('say which versions they were made from', () => {
    expect(versions).not.toBeNull();
    expect(read('src/crs/tables/all.ts')).toMatch(
      /^\/\/ Made from epsg-index \d+\.\d+\.\d+ .* PROJ \d+\.\d+\.\d+ \(EPSG v[\d.]+\);$/m,
    );
  });
  it.skipIf(!isSameProj)(
    'Esri’s names (skipped without the PROJ database they were made from: apt-get install proj-data)',
    () => {
      expect(check('build-esri-systems.mjs')).toMatchObject({ status: 0 });
    },
  );
});
