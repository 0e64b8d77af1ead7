// Names of columns, compared. In: a name; out: the same without signs and capitals, the unit it ends in.
// Terms: plain = small letters and digits, joined by underscores. Linear in the name.

import { type LengthUnit, unitNamed } from '../model/index.js';

/** Small letters and digits, everything else one underscore: "DBH (in)" is dbh_in. */
export function plainName(name: string): string {
  return name
    .toLowerCase()
    .replace(/[^\p{L}\p{N}]+/gu, '_')
    .replace(/^_+|_+$/g, '');
}

/** The unit a name ends in, if it ends in one. */
export function unitOfName(name: string): LengthUnit | undefined {
  const pieces = plainName(name).split('_');
  if (pieces.length < 2) return undefined;
  return unitNamed(pieces.slice(-2).join('-')) ?? unitNamed(pieces.at(-1) ?? '');
}
