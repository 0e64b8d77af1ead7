// Words for a person who named a field that is not there: in: names; out: the nearest one, and readable lists.
// Terms: edit distance = see text/nearest-word.ts.

import { listOf, nearestOf } from '../text/index.js';

/**
 * The name most like the one given; `undefined` when none shares at least half of its letters.
 *
 * @example
 * nearestName('DIAM', ['TAG', 'DIAM_IN']); // 'DIAM_IN'
 * nearestName('DIAM', ['TAG']); // undefined
 */
export function nearestName(name: string, among: readonly string[]): string | undefined {
  return nearestOf(name, among, (candidate) => Math.max(name.length, candidate.length) / 2);
}

/** "a, b, c", cut after forty names; "none" for an empty list. */
export function listNames(names: readonly string[]): string {
  return names.length === 0 ? 'none' : listOf(names, 40);
}

/** A figure for a message: at most six digits, no exponent where a person would not write one. */
export function figure(value: number): string {
  return String(Number(value.toPrecision(6)));
}
