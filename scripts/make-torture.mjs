// Files as they should not be, for the tests. In: nothing; out: tests/scenarios/torture/<kind>/..., and manifest.json
// with each file's role and options where they are not the usual ones. The same bytes every run.
// Terms: kind = the format that a file claims; good = a sound file of that kind, from which the others are made.
// node scripts/make-torture.mjs; then read the diff of expected.json: TORTURE_REGEN=1 npx vitest run tests/read/torture.test.ts
import { mkdirSync, rmSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { csvCases } from './torture/csv.mjs';
import { geojsonCases } from './torture/geojson.mjs';
import { ndjsonCases } from './torture/ndjson.mjs';
import { shapefileCases } from './torture/shapefile.mjs';
import { zipCases } from './torture/zip.mjs';

const root = fileURLToPath(new URL('../tests/scenarios/torture/', import.meta.url));

/**
 * @typedef {object} Case
 * @property {string} name  file name; a loose shapefile has companions
 * @property {string | Uint8Array} data
 * @property {'trees' | 'works' | 'lots'} [role]  default trees
 * @property {Record<string, unknown>} [options]  of reading or assessing
 * @property {Record<string, Uint8Array>} [companions]  ending -> bytes
 */

/** @type {Record<string, () => Case[]>} */
const KINDS = { geojson: geojsonCases, ndjson: ndjsonCases, csv: csvCases, shapefile: shapefileCases, zip: zipCases };

/** @type {Record<string, object>} */
const manifest = {};
let files = 0;
let bytes = 0;
for (const [kind, cases] of Object.entries(KINDS)) {
  const folder = join(root, kind);
  rmSync(folder, { recursive: true, force: true });
  mkdirSync(folder, { recursive: true });
  for (const one of cases()) {
    const path = `${kind}/${one.name}`;
    if (manifest[path] !== undefined) throw new Error(`${path} is made twice`);
    manifest[path] = { role: one.role ?? 'trees', ...(one.options === undefined ? {} : { options: one.options }) };
    put(path, one.data);
    for (const [ending, data] of Object.entries(one.companions ?? {})) put(path.replace(/[^.]+$/, ending), data);
  }
}
writeFileSync(join(root, 'manifest.json'), `${JSON.stringify(manifest, null, 1)}\n`);
process.stdout.write(`${files} files, ${Object.keys(manifest).length} cases, ${(bytes / 1000).toFixed(0)} kB\n`);

/** @param {string} path @param {string | Uint8Array} data */
function put(path, data) {
  const out = typeof data === 'string' ? new TextEncoder().encode(data) : data;
  mkdirSync(dirname(join(root, path)), { recursive: true });
  writeFileSync(join(root, path), out);
  files++;
  bytes += out.length;
}
