// Writes docs/api-report.md from the declarations in build/ (npm run build), or with --check says whether it is stale (exit 1).
import { readFileSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { apiReport } from './lib/api-report.mjs';

const root = fileURLToPath(new URL('../', import.meta.url));
const page = new URL('../docs/api-report.md', import.meta.url);
const { exports } = JSON.parse(readFileSync(new URL('../package.json', import.meta.url), 'utf8'));
const entries = Object.entries(exports).flatMap(([name, entry]) =>
  typeof entry === 'object' ? [[`rootberth${name.slice(1)}`, declarationsOf(entry.types)]] : [],
);
/** What the declarations of an entry are bundled from. */
function declarationsOf(types) {
  return types.replace(/^\.\/dist\/crs-/, 'build/crs/tables/').replace(/^\.\/dist\//, 'build/');
}

const text = apiReport(root, Object.fromEntries(entries));
if (!process.argv.includes('--check')) writeFileSync(page, text);
else if (readFileSync(page, 'utf8') !== text) {
  console.error(
    'docs/api-report.md is stale: the public API has changed. Run npm run api-report and read the difference.',
  );
  process.exitCode = 1;
}
