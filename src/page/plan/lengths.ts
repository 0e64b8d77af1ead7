// Lengths, turns and runs as a person types them. In: text, the page's units; out: metres and degrees, undefined where the text
// says none. Terms: bare = a number without a unit, which is in the page's.

import { lengthInMetres, type Units } from '../../core.js';
import { METRES_PER } from '../../model/index.js';
import type { Run } from './geometry.js';

/** "36", "36 ft", `36' 6"`, "11.2m" -> metres. */
export function lengthOf(text: string, units: Units): number | undefined {
  const bare = /^\s*[-+]?(?:\d+\.?\d*|\.\d+)\s*$/.test(text);
  const unit = units === 'us' ? 'ft' : 'm';
  return bare ? Number(text) * METRES_PER[unit] : lengthInMetres(text);
}

/**
 * Running dimensions round an outline: lengths with the turn after each, R and L for a right angle, a number of degrees (L45) for another.
 *
 * @example
 * runsOf("36 R 24 R 36 R 24", 'us'); // a rectangle
 */
export function runsOf(text: string, units: Units): Run[] | undefined {
  const words = text
    .trim()
    .split(/[\s,;]+/)
    .filter((word) => word !== '');
  const runs: Run[] = [];
  let turn = 0;
  let isTurned = true;
  for (const word of words) {
    const turned = /^([RL])(\d+(?:\.\d+)?)?$/i.exec(word);
    if (turned !== null) {
      if (isTurned) return undefined; // two turns, or one before the first length
      turn = Number(turned[2] ?? 90) * (turned[1]!.toUpperCase() === 'R' ? 1 : -1);
      isTurned = true;
      continue;
    }
    const lengthM = lengthOf(word, units);
    if (lengthM === undefined || !(lengthM > 0) || !isTurned) return undefined;
    runs.push({ lengthM, turn });
    [turn, isTurned] = [0, false];
  }
  return runs.length >= 3 ? runs : undefined;
}
