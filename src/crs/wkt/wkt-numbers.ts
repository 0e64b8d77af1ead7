// In: a WKT tree; out: the first place that should hold a number and does not, in words. Terms: see wkt-tree.ts.
// A word there would be read as "not given", and a missing false easting would move a site into the next state.

import { textAt, type WktNode } from './wkt-tree.js';

/** Keyword -> the places of its numbers, from .. to. */
const NUMBERS: Readonly<Record<string, readonly [from: number, to: number]>> = {
  PARAMETER: [1, 1],
  PRIMEM: [1, 1],
  PRIMEMERIDIAN: [1, 1],
  UNIT: [1, 1],
  LENGTHUNIT: [1, 1],
  ANGLEUNIT: [1, 1],
  SCALEUNIT: [1, 1],
  SPHEROID: [1, 2],
  ELLIPSOID: [1, 2],
  TOWGS84: [0, 6],
};

/**
 * The first number of a tree that is none, or undefined when all are.
 *
 * @example
 * notANumber(tree); // 'its parameter "False_Easting" is "abc", not a number'
 */
export function notANumber(node: WktNode): string | undefined {
  const [from, to] = NUMBERS[node.keyword] ?? [0, -1];
  for (let place = from; place <= to; place++) {
    const value = node.values[place];
    const needed = node.keyword === 'PARAMETER';
    if (value === undefined && !needed) continue;
    const number = typeof value === 'string' && value.trim() !== '' ? Number(value) : value;
    // PROJJSON writes an unstated factor as NaN; only a parameter needs one.
    if (typeof number === 'number' && (Number.isFinite(number) || (Number.isNaN(value) && !needed))) continue;
    const what = needed ? 'parameter' : node.keyword;
    const name = node.keyword === 'TOWGS84' ? '' : ` "${textAt(node, 0)}"`;
    const shown = typeof value === 'string' || Number.isFinite(value) ? `"${value}"` : 'nothing';
    return `its ${what}${name} is ${shown}, not a number`;
  }
  for (const value of node.values) {
    const inner = typeof value === 'object' ? notANumber(value) : undefined;
    if (inner !== undefined) return inner;
  }
  return undefined;
}
