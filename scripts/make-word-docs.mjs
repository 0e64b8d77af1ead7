// Writes docs/words.md from the tables of words (src/check/words).
// In: build (npm run build); out: the page; a test says when it is stale.
import { writeFileSync } from 'node:fs';
import * as tables from '../build/check/words/index.js';
import { wordDocs, wordSections } from './lib/word-docs.mjs';

writeFileSync(new URL('../docs/words.md', import.meta.url), wordDocs(wordSections(/** @type {any} */ (tables))));
