// The page of words is what the tables say. In: the tables, docs/words.md; out: a test that says when it is stale.

import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { wordDocs, wordSections } from '../../scripts/lib/word-docs.mjs';
import * as tables from '../../src/check/words/index.js';

describe('docs/words.md', () => {
  it('holds every word of every table (node scripts/make-word-docs.mjs after a build)', () => {
    const page = readFileSync(new URL('../../docs/words.md', import.meta.url), 'utf8');
    expect(page).toBe(wordDocs(wordSections(tables as never)));
  });
});
