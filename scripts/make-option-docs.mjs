// Writes the tables of options in docs/command-line.md from the table of options (src/cli/table).
// In: build (npm run build); out: the page, between its markers; a test says when it is stale.
import { readFileSync, writeFileSync } from 'node:fs';
import { OPTION_TABLE } from '../build/cli/table/index.js';
import { withOptionDocs } from './lib/option-docs.mjs';

const page = new URL('../docs/command-line.md', import.meta.url);
writeFileSync(page, withOptionDocs(readFileSync(page, 'utf8'), OPTION_TABLE));
