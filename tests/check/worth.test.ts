// Columns of what an arborist looks at: every word of the tables, figures, own words, other names, soil. In: rows as literals.

import { describe, expect, it } from 'vitest';
import { checkTrees, soilNamed } from '../../src/check/index.js';
import { figureOf } from '../../src/check/tree-worth.js';
import { SOIL_TABLE, WORTH_TABLES, wordKey } from '../../src/check/words/index.js';
import {
  NOT_RECORDED,
  OWN_WORDS,
  type Properties,
  SOILS,
  WORTH_VALUES,
  type WorthField,
  type WorthWordField,
} from '../../src/model/index.js';
import { treeLayer } from '../support/check-layers.js';

const read = (rows: readonly Properties[], values?: Record<string, string>) =>
  checkTrees(treeLayer(rows.map((row) => ({ dbh_in: 10, ...row }))), values === undefined ? {} : { values });
const codes = (field: WorthField, words: readonly unknown[]) => {
  const { table } = read(words.map((word) => ({ [field]: word }) as Properties));
  return [...(table.worth?.codes.get(field) ?? [])];
};

describe('words', () => {
  it.each(Object.keys(WORTH_VALUES) as WorthWordField[])('%s: every word of its table, and its values', (field) => {
    const { values, words } = WORTH_TABLES[field];
    expect(values).toEqual(WORTH_VALUES[field]);
    for (const [code, value] of values.entries()) {
      const all = [value, ...(words[value] ?? []), value.toUpperCase()];
      expect(codes(field, all)).toEqual(all.map(() => code));
    }
  });

  it.each([...new Set(Object.values(WORTH_TABLES)), SOIL_TABLE])(
    'no word has two values (%#)',
    ({ values, words, asked }) => {
      const seen = new Map<string, string>();
      for (const value of values)
        for (const word of [value, ...(words[value] ?? [])]) {
          expect([word, seen.get(wordKey(word)) ?? value]).toEqual([word, value]);
          seen.set(wordKey(word), value);
        }
      for (const sign of asked)
        if (wordKey(sign) !== '') expect([sign, seen.get(wordKey(sign))]).toEqual([sign, undefined]);
    },
  );

  it('other words are kept, with one finding a column; a job may say what they mean', () => {
    const rows = [{ decay: 'Ganoderma at base' }, { decay: 'X' }, { decay: '' }, { decay: 'none' }, { decay: '-' }];
    const { table, findings } = read(rows);
    expect([...table.worth!.codes.get('decay')!]).toEqual([OWN_WORDS, OWN_WORDS, NOT_RECORDED, 0, NOT_RECORDED]);
    expect(table.text(0, 'decay')).toBe('Ganoderma at base');
    expect(findings).toMatchObject([
      {
        code: 'words-kept',
        severity: 'info',
        feature: 0,
        message:
          'decay holds words of its own (2 trees), the first "Ganoderma at base": kept as read, graded by nobody',
      },
    ]);
    const said = read(rows, { 'decay.Ganoderma at base': 'severe' }).table.worth!.codes.get('decay')!;
    expect(said[0]).toBe(WORTH_VALUES.decay.indexOf('severe'));
    expect(() => read(rows, { 'decay.X': 'bad' })).toThrow('"bad" is not a value of decay');
  });

  it('true and false are yes and no', () => {
    expect(codes('included_bark', [true, false])).toEqual([4, 0]);
  });

  it('what it would strike takes any words without a finding', () => {
    const { table, findings } = read([{ strikes: 'school' }, { strikes: 'none' }]);
    expect([...table.worth!.codes.get('strikes')!]).toEqual([OWN_WORDS, 0]);
    expect(findings).toEqual([]);
  });
});

describe('figures', () => {
  it.each([
    ['dieback_pct', '60', 'dieback_pct', true, '60 %'],
    ['dieback_pct', '60 %', 'dieback', true, '60 %'],
    ['dieback_pct', '10-20', 'dieback', true, '10-20 %'],
    ['dieback_pct', '0', 'dieback', false, '0 %'],
    ['dieback_pct', '0.6', 'dieback_pct', true, '0.6 %'],
    ['dieback_pct', 'none', 'dieback', false, 'none'],
    ['lean_deg', '8', 'lean', true, '8 deg'],
    ['lean_deg', '8°', 'lean', true, '8°'],
    ['lean_deg', 'upright', 'lean', false, 'upright'],
  ] as const)('%s %s in a column %s', (field, text, column, isSome, shown) => {
    expect(figureOf(field, text, column)).toEqual({ isSome, text: shown });
  });

  it.each([
    ['dieback_pct', '0.6', 'dieback'], // a share, or a percent?
    ['dieback_pct', '160', 'dieback_pct'],
    ['dieback_pct', '20-10', 'dieback_pct'],
    ['dieback_pct', '20 deg', 'dieback_pct'],
    ['lean_deg', '95', 'lean'],
    ['lean_deg', '8 %', 'lean'],
  ] as const)('%s %s in a column %s is refused, and kept as read', (field, text, column) => {
    expect(figureOf(field, text, column)).toBeUndefined();
    const { table, findings } = read([{ [column]: text }]);
    expect(findings).toMatchObject([{ code: 'number-unreadable', feature: 0, path: `properties.${column}` }]);
    expect(table.text(0, field)).toBe(text);
    expect([...table.worth!.codes.get(field)!]).toEqual([OWN_WORDS]);
  });

  it('words are own words', () => {
    expect(figureOf('lean_deg', 'to the south', 'lean')).toBeNull();
  });
});

describe('columns', () => {
  it.each([
    ['Vigor', 'vigour', 'good'],
    ['Crown density (%)', 'crown_density_pct', '80 %'],
    ['Dieback', 'dieback_pct', '5 %'],
    ['Lean', 'lean_deg', '3 deg'],
    ['Cavity', 'cavities', 'none'],
    ['Deadwood', 'dead_wood', 'slight'],
    ['Co-dominant stems', 'codominant', 'none'],
    ['Included bark', 'included_bark', 'none'],
  ] as const)('%s is %s', (name, field, text) => {
    expect(read([{ [name]: text }]).table.text(0, field)).toBe(text);
  });

  it('a column called as something of every object is a column like any other', () => {
    expect(read([{ constructor: 'x', valueOf: 'y' } as unknown as Properties]).table.worth).toBeUndefined();
  });

  it('years left are the remaining years', () => {
    expect(read([{ years_left: '20+' }]).table.text(0, 'remaining_years')).toBe('20+');
  });

  it('a survey without them has no table', () => {
    const { table } = read([{ condition: 'dead', category: 'A', remaining_years: '40+' }]);
    expect([table.worth, table.soil]).toEqual([undefined, undefined]);
  });
});

describe('soil', () => {
  it('by any word for it; others are a finding', () => {
    const { table, findings } = read([{ soil: 'Sandy loam' }, { soil: 'heavy clay' }, { soil: 'peat' }, { soil: '' }]);
    expect([...table.soil!].map((code) => SOILS[code])).toEqual(['sandy-loam', 'clay', undefined, undefined]);
    expect(findings).toMatchObject([{ code: 'value-unknown', feature: 2 }]);
    expect([soilNamed('Silt Loam'), soilNamed('mud')]).toEqual(['silt-loam', undefined]);
  });
});
