// Findings on stderr. In: findings; out: one line a code, and one a word where words are not known.

import { expect, it } from 'vitest';
import { digest } from '../../src/cli/digest.js';
import { finding } from '../../src/model/index.js';

it('shows one example of a code, and every word that is not known', () => {
  const rows = Array.from({ length: 18 }, (_, i) => finding('dbh-conflict', { feature: i }, `row ${i}`, 'correct it'));
  const words = ['R (18 trees)', 'X (3 trees)'].map((word) => finding('disposition-unknown', {}, word, 'say it'));
  const text = digest([...rows, ...words], false);
  expect(text).toContain('dbh-conflict (18 times; the first:) feature 0: row 0');
  expect(text).toContain('warning disposition-unknown R (18 trees)\n    say it\n');
  expect(text).toContain('warning disposition-unknown X (3 trees)\n    say it\n');
});

it('counts the words beyond twelve', () => {
  const words = Array.from({ length: 15 }, (_, i) => finding('value-unknown', {}, `word ${i};`, 'say it'));
  const text = digest(words, false);
  expect(text.match(/word \d+;/g)).toHaveLength(12);
  expect(text).toContain('and 3 more of value-unknown');
});
