// The ladder, rung by rung, with what the published table says of each. In: one tree's facts as literals; out: categories, reasons.

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type LadderFacts, rungOf } from '../../src/worth/ladder.js';
import { yearsOf } from '../../src/worth/years.js';

const SEEN: LadderFacts = {
  dead: false,
  moribund: false,
  years: null,
  irremediable: null,
  open: [],
  unseen: [],
  isYoung: false,
  dbhM: 0.4,
};
const rung = (facts: Partial<LadderFacts>) => rungOf({ ...SEEN, ...facts });
const years = (text: string, facts: Partial<LadderFacts> = {}) => rung({ years: yearsOf(text), ...facts });

describe('BS 5837:2012 table 1, as quoted by practitioners', () => {
  // "A: at least 40 years, high quality; B: at least 20, moderate; C: at least 10, low"
  it.each([
    ['40+', 'A', 'years-at-least-40'],
    ['40', 'A', 'years-at-least-40'],
    ['39', 'B', 'years-at-least-20'],
    ['20-40', 'B', 'years-at-least-20'],
    ['20+', 'B', 'years-at-least-20'],
    ['19', 'C', 'years-at-least-10'],
    ['10-20', 'C', 'years-at-least-10'],
    ['10+', 'C', 'years-at-least-10'],
    ['10', 'C', 'years-at-least-10'],
  ])('%s years: %s', (text, category, reason) => {
    expect(years(text)).toEqual({ category, reasons: [reason], needs: [] });
  });

  // "U: not longer than 10 years"
  it.each(['9', '<10', '0', 'less than 10', '5-10', 'up to 10', '10 or less', '0-9'])('%s years: U', (text) => {
    expect(years(text)).toEqual({ category: 'U', reasons: ['years-not-over-10'], needs: [] });
  });

  // "U: ... serious irremediable defect, dead or in overall decline"
  it.each([
    ['irremediable-defect', { irremediable: true }],
    ['dead', { dead: true }],
    ['overall-decline', { moribund: true }],
  ])('%s: U, whatever the years', (reason, facts) => {
    expect(years('40+', facts)).toEqual({ category: 'U', reasons: [reason], needs: [] });
    expect(rung(facts).category).toBe('U');
  });

  // "C: ... or young under 150 mm": the 150 is from memory
  it('a young tree under 150 mm is C; at 150 mm it is not', () => {
    expect(years('40+', { isYoung: true, dbhM: 0.149 }).category).toBe('C');
    expect(years('40+', { isYoung: true, dbhM: 0.149 }).reasons).toEqual(['years-at-least-40', 'young-under-150-mm']);
    expect(years('40+', { isYoung: true, dbhM: 0.15 }).category).toBe('A');
    expect(years('40+', { isYoung: false, dbhM: 0.1 }).category).toBe('A');
    expect(years('40+', { isYoung: null, dbhM: 0.1 })).toMatchObject({ category: null, needs: ['age'] });
    expect(years('20+', { isYoung: true, dbhM: null })).toMatchObject({ category: null, needs: ['dbh'] });
    expect(years('12', { isYoung: null, dbhM: null }).category).toBe('C');
  });
});

describe('no rung', () => {
  it('without years, or with years on both sides of 10', () => {
    expect(rung({})).toEqual({ category: null, reasons: ['years-missing'], needs: ['remaining_years'] });
    for (const text of ['<20', '5-15', 'under 40'])
      expect(years(text)).toEqual({ category: null, reasons: ['years-across-10'], needs: ['remaining_years'] });
  });

  it('where a defect is noted and nobody says whether it can be put right', () => {
    expect(years('40+', { open: ['decay'] })).toEqual({
      category: null,
      reasons: ['defects-open'],
      needs: ['irremediable'],
    });
    expect(years('40+', { open: ['decay'], irremediable: false }).category).toBe('A');
    expect(years('5', { open: ['decay'] }).category).toBe('U');
  });

  it('where a part that holds the tree up has no answer', () => {
    const { category, reasons, needs } = years('40+', { unseen: ['roots'] });
    expect([category, reasons]).toEqual([null, ['roots-not-seen']]);
    expect(needs).toEqual(['irremediable', 'root_disease', 'root_flare']);
    expect(years('40+', { unseen: ['roots'], irremediable: false }).category).toBe('A');
  });
});

const ORDER = ['U', 'C', 'B', 'A'];

it('more years never give a lower category', () => {
  const number = fc.integer({ min: 0, max: 400 });
  fc.assert(
    fc.property(number, number, (a, b) => {
      const [low, high] = [Math.min(a, b), Math.max(a, b)].map((n) => years(String(n)).category);
      expect(ORDER.indexOf(high!)).toBeGreaterThanOrEqual(ORDER.indexOf(low!));
    }),
  );
});

describe('years as surveys write them', () => {
  it.each([
    ['15', 15, 15],
    ['15.5 yrs', 15.5, 15.5],
    ['about 30', 30, 30],
    ['c. 30', 30, 30],
    ['10-20', 10, 20],
    ['10 – 20 years', 10, 20],
    ['10 to 20 y', 10, 20],
    ['between 10 and 20', 10, 20],
    ['20+', 20, null],
    ['20 + yrs', 20, null],
    ['20 years +', 20, null],
    ['>40', 40, null],
    ['more than 40', 40, null],
    ['At least 40 Years', 40, null],
    ['40 or more', 40, null],
    ['<10', null, 10],
    ['≤ 10', null, 10],
    ['less than 10 years', null, 10],
    ['10 years or less', null, 10],
  ])('%s', (text, from, to) => {
    expect(yearsOf(text)).toEqual({ from, to });
  });

  it.each(['long', '20-10', 'B', '-5', '10/2020/3', '', 'ten', '2 + 3', '1e3'])('%s is not read', (text) => {
    expect(yearsOf(text)).toBeNull();
  });

  it('never throws, and ends in order', () => {
    fc.assert(
      fc.property(fc.string(), (text) => {
        const found = yearsOf(text);
        if (found?.from != null && found.to !== null) expect(found.from).toBeLessThanOrEqual(found.to);
      }),
    );
  });
});
