// Radius of a zone or ring from its formula. In: a formula and the trees' columns; out: a function of row and side.
// Terms: side = 0 north, 1 east, 2 south, 3 west of the crown; shaped = the radius differs by side.
// A formula is compiled once; per tree there is then arithmetic only. NaN goes in as "not given" and comes out as NaN.

import type { RadiusFormula, RadiusTerm, StemCombination } from '../model/index.js';
import { AGES, type Age, TOLERANCES, type Tolerance } from '../model/index.js';
import { metres, ratio } from './quantities.js';

const sum = (stems: readonly number[]): number => stems.reduce((total, d) => total + d, 0);
const rootOfSquares = (stems: readonly number[]): number => Math.sqrt(stems.reduce((total, d) => total + d * d, 0));
const meanRootN = (stems: readonly number[]): number => (sum(stems) / stems.length) * Math.sqrt(stems.length);

/** Each takes stems from the largest down, at least two. */
const COMBINE: Readonly<Record<StemCombination, (stems: readonly number[]) => number>> = {
  'root-of-squares': rootOfSquares,
  sum,
  'two-largest': ([first = 0, second = 0]) => first + second,
  'largest-plus-half-others': ([first = 0, ...others]) => first + sum(others) / 2,
  'largest-plus-average-others': ([first = 0, ...others]) => first + sum(others) / others.length,
  'mean-root-n': meanRootN,
  bs5837: (stems) => (stems.length <= 5 ? rootOfSquares(stems) : meanRootN(stems)),
};

/** The ways to combine stems, in the order of the docs. */
export const STEM_COMBINATIONS: readonly StemCombination[] = Object.keys(COMBINE) as StemCombination[];

/**
 * One diameter for a tree of several stems; in and out in the same unit. One stem is itself, none is NaN.
 * The ways differ widely: stems of 18 and 16 in make 24.08, 26 or 34 in.
 *
 * @example
 * combineStems([18, 16], 'largest-plus-half-others'); // 26 (City of Austin TX prints this example)
 */
export function combineStems(stems: readonly number[], how: StemCombination): number {
  if (stems.length < 2) return stems[0] ?? Number.NaN;
  return COMBINE[how](stems.toSorted((a, b) => b - a));
}

/** What formulas read of the trees: one entry per row, metres, NaN where not given (see TreeTable). */
export interface RadiusColumns {
  readonly dbhM: Float64Array; // the diameter used
  readonly baseM: Float64Array; // at the base; the diameter used where none was given
  readonly heightM: Float64Array;
  readonly crownM: Float64Array; // 4 per row
  readonly tolerance: Uint8Array; // index into TOLERANCES; other = moderate
  readonly age: Uint8Array; // index into AGES; other = mature
}

type Evaluate = (row: number, side: number) => number;

/** What a formula reads of a tree. */
export type Need = 'dbh' | 'base' | 'height' | 'crown' | 'tolerance-age' | 'table';

export interface CompiledRadius {
  /** Radius in metres from the trunk's centre; `side` matters only when shaped. */
  readonly at: Evaluate;
  readonly shaped: boolean;
  readonly needs: ReadonlySet<Need>;
}

/** A missing tolerance or age is read as the middle of its scale. */
export const ASSUMED: { readonly tolerance: Tolerance; readonly age: Age } = { tolerance: 'moderate', age: 'mature' };

// Diameters come through unit factors and divisions by pi: 29 cm can be 0.29000000000000004 m.
// A micrometre is far below any tape and far above such noise.
const DIAMETER_SLACK_M = 1e-6;

const ROUND: Readonly<Record<'none' | 'up-cm' | 'nearest-cm', (d: number) => number>> = {
  none: (d) => d,
  'up-cm': (d) => Math.ceil((d - DIAMETER_SLACK_M) * 100) / 100,
  'nearest-cm': (d) => Math.round((d + DIAMETER_SLACK_M) * 100) / 100,
};

function compileTable(term: Extract<RadiusTerm, { byDiameter: unknown }>, columns: RadiusColumns): Evaluate {
  const upTo = term.byDiameter.map((row) => (row.upTo === null ? Infinity : metres(row.upTo)));
  const radii = term.byDiameter.map((row) => metres(row.radius));
  const round = ROUND[term.rounding];
  return (row) => {
    const d = round(columns.dbhM[row]!) - DIAMETER_SLACK_M;
    for (let i = 0; i < upTo.length; i++) if (d <= upTo[i]!) return radii[i]!;
    return Number.NaN; // no diameter, or past the end of a table that ends
  };
}

function compileToleranceAge(term: Extract<RadiusTerm, { table: unknown }>, columns: RadiusColumns): Evaluate {
  const cell = (tolerance: string, age: string): number => {
    const value = term.table[tolerance]?.[age];
    if (value === undefined) throw new Error(`rule's table has no entry for ${tolerance}, ${age}`);
    return ratio(value);
  };
  const ratios = TOLERANCES.map((tolerance) => AGES.map((age) => cell(tolerance, age)));
  const byAge = AGES.indexOf(ASSUMED.age);
  const byTolerance = TOLERANCES.indexOf(ASSUMED.tolerance);
  return (row) => {
    const line = ratios[columns.tolerance[row]!] ?? ratios[byTolerance]!;
    return columns.dbhM[row]! * (line[columns.age[row]!] ?? line[byAge]!);
  };
}

function compileCrown(term: Extract<RadiusTerm, { crownPlus: unknown }>, columns: RadiusColumns): Evaluate {
  const plus = metres(term.crownPlus);
  const crown = columns.crownM;
  if (term.shape === 'quarters') return (row, side) => crown[row * 4 + side]! + plus;
  return (row) => plus + Math.max(crown[row * 4]!, crown[row * 4 + 1]!, crown[row * 4 + 2]!, crown[row * 4 + 3]!);
}

function compileList(terms: readonly RadiusTerm[], columns: RadiusColumns, join: (a: number, b: number) => number) {
  const parts = terms.map((term) => compileTerm(term, columns));
  return (row: number, side: number): number => {
    let value = parts[0]!(row, side);
    for (let i = 1; i < parts.length; i++) value = join(value, parts[i]!(row, side));
    return value;
  };
}

function compileTerm(term: RadiusTerm, columns: RadiusColumns): Evaluate {
  if ('perDiameter' in term) {
    const factor = ratio(term.perDiameter);
    const diameter = term.of === 'base' ? columns.baseM : columns.dbhM;
    return (row) => factor * diameter[row]!;
  }
  if ('length' in term) {
    const constant = metres(term.length);
    return () => constant;
  }
  if ('crownPlus' in term) return compileCrown(term, columns);
  if ('perHeight' in term) return (row) => term.perHeight * columns.heightM[row]!;
  if ('perDiameterBy' in term) return compileToleranceAge(term, columns);
  if ('byDiameter' in term) return compileTable(term, columns);
  if ('power' in term) {
    const { factor, scale, exponent, of } = term.power;
    const diameter = of === 'base' ? columns.baseM : columns.dbhM;
    return (row) => factor * (diameter[row]! * scale) ** exponent;
  }
  // Math.max and Math.min give NaN when either is NaN: a missing arm makes the whole unknown, never smaller.
  if ('max' in term) return compileList(term.max, columns, Math.max);
  if ('min' in term) return compileList(term.min, columns, Math.min);
  return compileList(term.sum, columns, (a, b) => a + b);
}

/** Every term of a tree of terms, itself first. */
export function* termsOf(term: RadiusTerm): Generator<RadiusTerm> {
  yield term;
  const inner = 'max' in term ? term.max : 'min' in term ? term.min : 'sum' in term ? term.sum : [];
  for (const part of inner) yield* termsOf(part);
}

function needsOf(formula: RadiusFormula): ReadonlySet<Need> {
  const needs = new Set<Need>(formula.from === 'face' ? ['dbh'] : []);
  for (const term of termsOf(formula.radius)) {
    if ('perDiameter' in term) needs.add(term.of ?? 'dbh');
    else if ('power' in term) needs.add(term.power.of);
    else if ('crownPlus' in term) needs.add('crown');
    else if ('perHeight' in term) needs.add('height');
    else if ('perDiameterBy' in term) needs.add('dbh').add('tolerance-age');
    else if ('byDiameter' in term) needs.add('dbh').add('table');
  }
  return needs;
}

/** Whether a formula needs a trunk diameter. */
export function needsDiameter(formula: RadiusFormula): boolean {
  const needs = needsOf(formula);
  return needs.has('dbh') || needs.has('base');
}

/** Whether a formula's radius differs by side of the crown. */
export function isShaped(formula: RadiusFormula): boolean {
  return [...termsOf(formula.radius)].some((term) => 'crownPlus' in term && term.shape === 'quarters');
}

/**
 * Compiles a formula against the trees' columns. Bounds hold for the radius as the formula gives it;
 * `from: 'face'` then adds half the diameter used, so that the result is always from the trunk's centre.
 */
export function compileRadius(formula: RadiusFormula, columns: RadiusColumns): CompiledRadius {
  const radius = compileTerm(formula.radius, columns);
  const least = formula.atLeast === undefined ? -Infinity : metres(formula.atLeast);
  const most = formula.atMost === undefined ? Infinity : metres(formula.atMost);
  const bounded: Evaluate = (row, side) => Math.min(Math.max(radius(row, side), least), most);
  const at: Evaluate = formula.from === 'face' ? (row, side) => bounded(row, side) + columns.dbhM[row]! / 2 : bounded;
  return { at, shaped: isShaped(formula), needs: needsOf(formula) };
}

/** One tree's facts in metres, to evaluate a formula once; leave out what is not known. */
export interface TreeFacts {
  readonly dbhM?: number;
  readonly baseDiaM?: number; // default dbhM
  readonly heightM?: number;
  readonly crownM?: number | readonly [number, number, number, number]; // north, east, south, west
  readonly tolerance?: Tolerance; // default moderate
  readonly age?: Age; // default mature
}

/**
 * One tree's radius in metres from the trunk's centre: a number, or four of them (north, east, south, west)
 * where the formula follows the crown. NaN when the tree lacks a fact that the formula needs.
 *
 * @example
 * evaluateRadius({ radius: { perDiameter: '1.5 ft per in' }, from: 'face' }, { dbhM: 11 * 0.0254 }); // 5.1689 m = 16.96 ft
 */
export function evaluateRadius(
  formula: RadiusFormula,
  tree: TreeFacts,
): number | readonly [number, number, number, number] {
  const dbh = tree.dbhM ?? Number.NaN;
  const crown = tree.crownM ?? Number.NaN;
  const { at, shaped } = compileRadius(formula, {
    dbhM: Float64Array.of(dbh),
    baseM: Float64Array.of(tree.baseDiaM ?? dbh),
    heightM: Float64Array.of(tree.heightM ?? Number.NaN),
    crownM: typeof crown === 'number' ? new Float64Array(4).fill(crown) : Float64Array.from(crown),
    tolerance: Uint8Array.of(tree.tolerance === undefined ? 255 : TOLERANCES.indexOf(tree.tolerance)),
    age: Uint8Array.of(tree.age === undefined ? 255 : AGES.indexOf(tree.age)),
  });
  return shaped ? [at(0, 0), at(0, 1), at(0, 2), at(0, 3)] : at(0, 0);
}
