// Words of the trade: tables, words that are not known, and what a job maps itself. In: rows as literals; out: codes, findings.

import { describe, expect, it } from 'vitest';
import { checkTrees, checkWorks, likelyFields } from '../../src/check/index.js';
import {
  AGE_TABLE,
  BUDS_TABLE,
  CONDITION_TABLE,
  DISPOSITION_TABLE,
  FLAG_TABLE,
  FLARE_TABLE,
  FORM_TABLE,
  fieldWords,
  GRADE_TABLE,
  IRREMEDIABLE_TABLE,
  KIND_TABLE,
  SOUNDING_TABLE,
  STRIKES_TABLE,
  TOLERANCE_TABLE,
  VIGOUR_TABLE,
  type WordTable,
  wordKey,
} from '../../src/check/words/index.js';
import { DISPOSITIONS, WORKS_KINDS } from '../../src/model/index.js';
import { polygonLayer, treeLayer } from '../support/check-layers.js';

const TABLES: readonly WordTable[] = [
  DISPOSITION_TABLE,
  KIND_TABLE,
  AGE_TABLE,
  TOLERANCE_TABLE,
  CONDITION_TABLE,
  FORM_TABLE,
  FLAG_TABLE,
  BUDS_TABLE,
  FLARE_TABLE,
  GRADE_TABLE,
  IRREMEDIABLE_TABLE,
  SOUNDING_TABLE,
  STRIKES_TABLE,
  VIGOUR_TABLE,
];

const dispositionsOf = (words: readonly unknown[], values?: Record<string, string>) => {
  const rows = words.map((disposition) => ({ dbh_in: 10, disposition }));
  const { table, findings } = checkTrees(treeLayer(rows), values === undefined ? {} : { values });
  return { said: [...table.disposition].map((code) => DISPOSITIONS[code]), findings };
};

const square = (x: number) =>
  [
    [x, 0],
    [x + 4, 0],
    [x + 4, 4],
    [x, 4],
    [x, 0],
  ] as const;

const kindsOf = (words: readonly string[], values?: Record<string, string>) => {
  const layer = polygonLayer(
    words.map((_, i) => [square(i * 9)]),
    words.map((kind) => ({ kind, depth_m: 1 })),
  );
  const { table, findings } = checkWorks([{ layer }], values === undefined ? {} : { values });
  return { said: [...table.kind].map((code) => WORKS_KINDS[code]), findings };
};

describe('tables of words', () => {
  it('give no word two values, and map no sign that is asked for', () => {
    for (const { values, words, asked } of TABLES) {
      const seen = new Map<string, string>();
      for (const value of values) {
        for (const word of [value, ...words[value]!]) {
          const key = wordKey(word);
          expect([word, seen.get(key) ?? value]).toEqual([word, value]);
          seen.set(key, value);
        }
      }
      for (const sign of asked) expect([sign, seen.get(wordKey(sign))]).toEqual([sign, undefined]);
    }
  });

  it.each([
    [
      'remove',
      ['To be removed', 'TBR', 'REM', 'RMV', 'fell', 'Felled', 'REMOVAL', 'Fällen', 'faellen', 'to-be-removed.'],
    ],
    ['keep', ['retain', 'save', 'preserve', 'protect', 'To be retained', 'erhalten', 'KEEP', '']],
    ['transplant', ['relocate', 'transplant', 'to be moved', 'verpflanzen']],
  ])('%s is said in many ways', (value, words) => {
    const { said, findings } = dispositionsOf(words);
    expect(said).toEqual(words.map(() => value));
    expect(findings).toEqual([]);
  });

  it('knows services as trenches, and both halves of grading', () => {
    const words = ['Sanitary lateral', 'storm drain', 'water service', 'grading - fill', 'grading - cut', 'Gehweg'];
    const { said, findings } = kindsOf(words);
    expect(said).toEqual(['trench', 'trench', 'trench', 'fill', 'excavation', 'paving']);
    expect(findings.filter(({ code }) => code === 'value-unknown')).toEqual([]);
  });

  it('reads the age classes of schedules; V is a veteran too, unless the survey says otherwise', () => {
    const ages = ['Y', 'SM', 'EM', 'M', 'OM', 'V', 'V'];
    const rows = ages.map((age, i) => ({ dbh_in: 10, age, veteran: i === 6 ? 'no' : '' }));
    const { table, findings } = checkTrees(treeLayer(rows));
    expect([...table.age]).toEqual([0, 0, 1, 1, 2, 2, 2]);
    expect([...table.veteran]).toEqual([0, 0, 0, 0, 0, 1, 0]);
    expect(findings).toEqual([]);
  });

  it('forms come out as rules name them', () => {
    const forms = ['Fastigiate', 'Palme', 'Tree Fern', 'spreading'];
    const { table } = checkTrees(treeLayer(forms.map((form) => ({ dbh_in: 10, form }))));
    expect(table.form).toEqual(['columnar', 'palm', 'tree-fern', 'spreading']);
  });
});

describe('words that no table knows', () => {
  it('leave the disposition unknown, with one finding a word and its count, the most frequent first', () => {
    const { said, findings } = dispositionsOf(['ask', 'as built', 'remove', 'as built', 'ASK', 'As-built']);
    expect(said).toEqual(['unknown', 'unknown', 'remove', 'unknown', 'unknown', 'unknown']);
    expect(findings.map(({ code, feature, message }) => [code, feature, message])).toEqual([
      [
        'disposition-unknown',
        1,
        'disposition "as built" is not a word that this field accepts (3 trees); taken as unknown, and protected as if kept',
      ],
      [
        'disposition-unknown',
        0,
        'disposition "ask" is not a word that this field accepts (2 trees); taken as unknown, and protected as if kept',
      ],
    ]);
    expect(findings[0]?.cure).toContain("--value 'disposition.as built=keep' (or remove, transplant, unknown)");
  });

  it('single letters are asked for', () => {
    const { said, findings } = dispositionsOf(['R', 'K', 'X', 'S', 'r']);
    expect(said).toEqual(['unknown', 'unknown', 'unknown', 'unknown', 'unknown']);
    expect(findings.map(({ message }) => /has different meanings in different offices/.test(message))).toEqual([
      true,
      true,
      true,
      true,
    ]);
    expect(findings[0]?.message).toContain('(2 trees)');
  });

  it('give the larger zone where they say age, tolerance or veteran', () => {
    const { table } = checkTrees(treeLayer([{ dbh_in: 10, age: 'phase 3', tolerance: 'ask', veteran: 'perhaps' }]));
    expect([table.age[0], table.tolerance[0], table.veteran[0]]).toEqual([2, 2, 1]);
  });

  it('are counted together beyond forty', () => {
    const { findings } = dispositionsOf(Array.from({ length: 60 }, (_, i) => `note ${i}`));
    expect(findings).toHaveLength(41);
    expect(findings[40]?.message).toContain('20 more trees');
  });
});

describe('a column of letters', () => {
  it('is proposed as the disposition, so that its letters are asked for', () => {
    const rows = ['TBR', 'R', 'R', 'X', 'Retain'].map((STATUS) => ({ dbh_in: 9, STATUS }));
    const likely = likelyFields(treeLayer(rows), 'trees');
    expect(likely.map(({ field, source }) => [field, source])).toEqual([['disposition', 'STATUS']]);
  });
});

describe('words that a job maps', () => {
  it('win over the tables, with quotes or without, and with the role', () => {
    const values = {
      'disposition.R': 'remove',
      'trees.disposition."as built"': 'keep',
      'disposition.save': 'transplant',
    };
    const { said, findings } = dispositionsOf(['R', 'as built', 'save', 'r'], values);
    expect(said).toEqual(['remove', 'keep', 'transplant', 'remove']);
    expect(findings).toEqual([]);
  });

  it('hold for one role only', () => {
    expect(kindsOf(['Line 4.2'], { 'works.kind.Line 4.2': 'trench' }).said).toEqual(['trench']);
    expect(kindsOf(['Line 4.2'], { 'existing.kind.Line 4.2': 'trench' }).said).toEqual(['building']);
  });

  it.each([
    [{ 'fate.R': 'remove' }, 'there is no field of words called "fate.R"'],
    [{ 'disposition.R': 'gone' }, '"gone" is not a value of disposition'],
    [{ 'disposition.': 'remove' }, 'names no word'],
  ])('that make no sense are wrong usage: %o', (values, message) => {
    expect(() => fieldWords('trees', 'disposition', values as Record<string, string>)).toThrow(message);
  });
});
