// Notes in words. In: readings, lengths; out: pieces of sentences. Terms: see types.ts. Constant.

import { type LengthUnit, METRES_PER } from '../model/index.js';
import type { Notebook, Reading } from './types.js';

/** "10.52 ft". */
export function lengthWords(metres: number, unit: LengthUnit, digits: number = 2): string {
  return `${(metres / METRES_PER[unit]).toFixed(digits)} ${unit === 'ftUS' ? 'ft' : unit}`;
}

export function angleWords(radians: number): string {
  return `${((radians * 180) / Math.PI).toFixed(2)} deg`;
}

/** The unit in which results are shown: feet or metres. */
export function shownUnit({ unit }: Pick<Notebook, 'unit'>): 'ft' | 'm' {
  return unit === 'm' || unit === 'cm' || unit === 'mm' ? 'm' : 'ft';
}

export function isAngular({ kind }: Reading): boolean {
  return kind === 'bearing' || kind === 'angle';
}

/** What a reading says: `T1 from A: 34' 6"`. */
export function readingWords(
  { points }: Pick<Notebook, 'points'>,
  { kind, p, q, a, b, text, unit, value }: Reading,
): string {
  const name = (at: number): string => points[at]?.name ?? '';
  const bare = /^[+-]?[\d.]+$/.test(text);
  const written = bare && unit !== 'deg' ? `${text} ${unit}` : text;
  if (kind === 'distance') return `${name(p)} from ${name(q)}: ${written}`;
  if (kind === 'bearing') return `${name(p)} from ${name(q)}: bearing ${written}`;
  if (kind === 'angle') return `${name(p)} from ${name(q)}: ${written} right of ${name(a)}>${name(b)}`;
  if (kind === 'along') return `${name(p)} along ${name(a)}>${name(b)}: ${written}`;
  if (kind === 'offset') return `${name(p)} ${value < 0 ? 'right' : 'left'} of ${name(a)}>${name(b)}: ${written}`;
  return `${kind === 'east' ? 'easting' : 'northing'} of ${name(p)}: ${written}`;
}

/** A figure of a reading's kind: a length or an angle. */
export function figureWords(reading: Reading, value: number, unit: LengthUnit): string {
  return isAngular(reading) ? angleWords(value) : lengthWords(value, unit, unit === 'm' ? 3 : 2);
}
