// Findings on stderr. In: findings; out: one line a code, and one a word where words are not known.

import { describe, expect, it } from 'vitest';
import { digest, ending } from '../../src/cli/digest.js';
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

describe('the ending of a run', () => {
  const told = [
    finding('crs-assigned', { layer: 'a.csv' }, 'trees: EPSG:2913 (X), by --crs', 'c'),
    finding('field-mapped', { layer: 'a.csv' }, 'field D was read as dbh', 'change --field dbh=... if not'),
  ];
  const rows = Array.from({ length: 3 }, (_, i) =>
    finding('dbh-conflict', { layer: 'a', feature: i }, `row ${i}`, 'c'),
  );
  const one = [
    finding('duplicate-id', { layer: 'a', feature: 1 }, 'twice', 'c'),
    finding('survey-old', { layer: 'a', feature: 0 }, '9 of 12 trees were surveyed long ago', 'c'),
    finding('dbh-missing', { layer: 'a', feature: 9 }, 'no diameter', 'c'),
  ];

  it('shows the three that matter most, by severity, then by how many trees', () => {
    const text = ending([...told, ...rows, ...one], { colour: false, field: ['dbh=D'] });
    const codes = [...text.matchAll(/^(?:error|warning|info) (\S+)/gm)].map((match) => match[1]);
    expect(codes).toEqual(['dbh-missing', 'survey-old', 'dbh-conflict']);
    expect(text).toContain('a, feature 9: no diameter');
    expect(text).toMatch(/\n3 more findings: --findings F\.json writes them all\n$/);
  });

  it('names the file where the rest stand, and tells nothing back', () => {
    expect(ending([...rows, ...one], { colour: false, file: 'f.json' })).toMatch(/: all are in f\.json\n$/);
    expect(ending(told, { colour: false, field: ['dbh=D'] })).toBe('');
    expect(ending(told, { colour: false })).toContain('field-mapped');
  });

  it('says which rule was taken where none was chosen', () => {
    const rule = finding('default-rule', {}, 'no rule was chosen', 'choose');
    const three = [...rows, ...one];
    expect(ending([...three, rule], { colour: false })).toMatch(/^info default-rule no rule was chosen/);
  });
});
