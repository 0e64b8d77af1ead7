// A radius formula with its numbers. In: a formula and one tree's facts; out: steps, each with the value it comes to.
// Terms: side = 0 north, 1 east, 2 south, 3 west; the values are those of rules/evaluate, term by term.

import { quadAt } from '../geometry/index.js';
import type { RadiusFormula, RadiusTerm } from '../model/index.js';
import { AGES, TOLERANCES, type TreeTable } from '../model/index.js';
import { ASSUMED, evaluateRadius, metres, ratio, type TreeFacts } from '../rules/index.js';
import type { Page } from './page.js';

/** What formulas read of a tree; left out where it is not given. */
export function factsOf(trees: TreeTable, row: number, dbhM: number | null): TreeFacts {
  const given = (value: number | undefined): value is number => value !== undefined && !Number.isNaN(value);
  const crown = quadAt(trees.crownM, row * 4);
  const base = trees.baseDiaM[row];
  const height = trees.heightM[row];
  const tolerance = TOLERANCES[trees.tolerance[row]!];
  const age = AGES[trees.age[row]!];
  return {
    ...(dbhM === null ? {} : { dbhM }),
    ...(given(base) ? { baseDiaM: base } : {}),
    ...(given(height) ? { heightM: height } : {}),
    ...(crown.every(given) ? { crownM: crown } : {}),
    ...(tolerance === undefined ? {} : { tolerance }),
    ...(age === undefined ? {} : { age }),
  };
}

function valueOn(radius: RadiusFormula, facts: TreeFacts, side: number): number {
  const value = evaluateRadius(radius, facts);
  return typeof value === 'number' ? value : value[side]!;
}

/** The steps of a formula on one side: the term, its bounds, the trunk's half where it counts from the face. */
export function formulaSteps(page: Page, name: string, formula: RadiusFormula, facts: TreeFacts, side: number): void {
  const { radius, atLeast, atMost, from } = formula;
  page.step(`${name} = ${worked(page, radius, facts, side)}`, page.length(valueOn({ radius }, facts, side)));
  if (atLeast !== undefined) {
    page.step(`at least ${atLeast}`, page.length(valueOn({ radius, atLeast }, facts, side)));
  }
  if (atMost !== undefined) {
    const bounds = { atMost, ...(atLeast === undefined ? {} : { atLeast }) };
    page.step(`at most ${atMost}`, page.length(valueOn({ radius, ...bounds }, facts, side)));
  }
  if (from === 'face') {
    const half = page.length((facts.dbhM ?? Number.NaN) / 2);
    page.step(`from the trunk’s face: + half the diameter, ${half}`, page.length(valueOn(formula, facts, side)));
  }
}

/** A term with the tree's numbers in it. */
function worked(page: Page, term: RadiusTerm, facts: TreeFacts, side: number): string {
  const dbh = facts.dbhM ?? Number.NaN;
  const diameterOf = (of: string | undefined): number => (of === 'base' ? (facts.baseDiaM ?? dbh) : dbh);
  const list = (terms: readonly RadiusTerm[]): string =>
    terms
      .map((one) => `${worked(page, one, facts, side)} = ${page.length(valueOn({ radius: one }, facts, side))}`)
      .join('; ');
  if ('perDiameter' in term) return `${ratio(term.perDiameter)} x ${page.diameter(diameterOf(term.of))}`;
  if ('length' in term) return page.length(metres(term.length));
  if ('crownPlus' in term) {
    const crown = valueOn({ radius: term }, facts, side) - metres(term.crownPlus);
    return `crown ${page.length(crown)} + ${page.length(metres(term.crownPlus))}`;
  }
  if ('perHeight' in term) return `${term.perHeight} x height ${page.length(facts.heightM ?? Number.NaN)}`;
  if ('perDiameterBy' in term) {
    const { tolerance = ASSUMED.tolerance, age = ASSUMED.age } = facts;
    const rate = term.table[tolerance]?.[age];
    const words = `tolerance ${tolerance}, age ${age}`;
    return rate === undefined ? words : `${words}: ${ratio(rate)} x ${page.diameter(dbh)}`;
  }
  if ('byDiameter' in term) return `the table’s row for a diameter of ${page.diameter(dbh)}`;
  if ('power' in term) {
    const { factor, scale, exponent, of } = term.power;
    return `${factor} x (${diameterOf(of).toFixed(4)} m x ${scale})^${exponent} m`;
  }
  if ('max' in term) return `the largest of: ${list(term.max)}`;
  if ('min' in term) return `the smallest of: ${list(term.min)}`;
  return `the sum of: ${list(term.sum)}`;
}
