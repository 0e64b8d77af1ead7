// Options of a limb list -> typed values. In: text after the options; out: LimbOptions, or wrong usage.
// Terms: see values.ts.

import { declinationOf } from '../check/index.js';
import type { BearingRef, LimbOptions } from '../model/index.js';
import { lengthInMetres } from '../model/index.js';
import { usage } from './values.js';

export interface LimbFlags {
  readonly limbBearing?: BearingRef;
  readonly declination?: string;
  readonly limbLimit?: string;
}

/** `limbs` of AssessOptions; undefined where nothing is said of them. */
export function limbsOf(flags: LimbFlags): LimbOptions | undefined {
  const { limbBearing: bearing, declination, limbLimit } = flags;
  const limbs: LimbOptions = {
    ...(bearing === undefined ? {} : { bearing }),
    ...(declination === undefined ? {} : { declination: degrees(declination) }),
    ...(limbLimit === undefined ? {} : { limitM: limit(limbLimit) }),
  };
  return Object.keys(limbs).length === 0 ? undefined : limbs;
}

function degrees(text: string): number {
  const value = declinationOf(text);
  if (!Number.isNaN(value)) return value;
  const cure = 'write degrees, east positive: --declination 15.2, 15.2E or 3W';
  throw usage('declination-invalid', `--declination ${text} is not a declination`, cure);
}

function limit(text: string): number {
  const metres = lengthInMetres(text);
  if (metres !== undefined && metres > 0) return metres;
  throw usage('limb-limit-invalid', `--limb-limit ${text} is not a length`, 'write --limb-limit 4in or 10cm');
}
