// Quantities of a rule as people write them. In: "20%", 0.2, "1.5 ft per in", 12, "15 ft"; out: plain numbers.
// Terms: share = 0..1 of an area; ratio = metres of radius per metre of diameter (12 = 1 ft per inch).
// Nothing is guessed: a bare 20 is not a share and a bare "15" is not a length.

import { lengthInMetres, METRES_PER, unitNamed } from '../model/index.js';

/**
 * A share written as "20%" or as a number from 0 to 1; `undefined` when it is neither.
 *
 * @example
 * shareOf('20%'); // 0.2
 * shareOf(0.2); // 0.2
 * shareOf(20); // undefined: 20 of what?
 */
export function shareOf(value: unknown): number | undefined {
  if (typeof value === 'number') return value >= 0 && value <= 1 ? value : undefined;
  if (typeof value !== 'string') return undefined;
  const percent = /^\s*(\d+(?:\.\d*)?|\.\d+)\s*%\s*$/.exec(value);
  if (percent) {
    const share = Number(percent[1]) / 100;
    return share <= 1 ? share : undefined;
  }
  const decimal = /^\s*(0?\.\d+|0(?:\.0*)?|1\.0+)\s*$/.exec(value);
  return decimal ? Number(decimal[1]) : undefined;
}

/**
 * A ratio of radius to diameter: a number, "1.5 ft per in", or "0.5 m per 45 mm"; `undefined` when it is none.
 * Written ratios are rounded to 12 figures, so that "1 ft per in" is 12 and not 12.000000000000002.
 *
 * @example
 * ratioOf('1.5 ft per in'); // 18
 * ratioOf(12); // 12
 */
export function ratioOf(value: unknown): number | undefined {
  if (typeof value === 'number') return Number.isFinite(value) && value > 0 ? value : undefined;
  if (typeof value !== 'string') return undefined;
  const match = /^(.+?)\s+per\s+(.+)$/i.exec(value.trim());
  if (!match) return undefined;
  const radius = lengthInMetres(match[1]!);
  const unit = unitNamed(match[2]!);
  const diameter = unit === undefined ? lengthInMetres(match[2]!) : METRES_PER[unit];
  if (radius === undefined || diameter === undefined || !(radius > 0) || !(diameter > 0)) return undefined;
  return Number((radius / diameter).toPrecision(12));
}

/** A length that has been checked before; throws a defect, not an InputError, when it has not. */
export function metres(text: string): number {
  const value = lengthInMetres(text);
  if (value === undefined) throw new Error(`rule holds "${text}", which is not a length with its unit`);
  return value;
}

/** A ratio that has been checked before; throws a defect when it has not. */
export function ratio(value: number | string): number {
  const number = ratioOf(value);
  if (number === undefined) throw new Error(`rule holds ${JSON.stringify(value)}, which is not a ratio`);
  return number;
}
