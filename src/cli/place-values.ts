// Options of coordinates -> typed values. In: text after an option; out: ground factor, shots on the face; or wrong usage.
// Terms: ground, grid, face as in docs/coordinates.md.

import type { GroundScale, StemAtFace } from '../model/index.js';
import { usage } from './values.js';

/** Options of coordinates that several commands share. */
export interface PlaceFlags {
  readonly grid?: readonly string[];
  readonly groundFactor?: string;
  readonly groundOrigin?: string;
}

/** `--ground-factor F [--ground-origin E,N]`: ground over grid, about a point in the survey's own coordinates. */
export function groundOf(flags: PlaceFlags): GroundScale | undefined {
  const { groundFactor, groundOrigin } = flags;
  if (groundFactor === undefined) {
    if (groundOrigin === undefined) return undefined;
    throw usage(
      'ground-invalid',
      '--ground-origin needs --ground-factor',
      'give the combined factor, ground over grid',
    );
  }
  const factor = Number(groundFactor);
  if (groundFactor.trim() === '' || !(factor > 0.99 && factor < 1.01)) {
    throw usage(
      'ground-invalid',
      `--ground-factor ${groundFactor} is not a factor from grid to ground`,
      'write ground over grid, such as 1.000123 (the inverse of a combined factor below 1), within 1 %',
    );
  }
  const origin = (groundOrigin ?? '0,0').split(',').map((text) => (text.trim() === '' ? Number.NaN : Number(text)));
  const [east = Number.NaN, north = Number.NaN] = origin;
  if (origin.length !== 2 || !Number.isFinite(east) || !Number.isFinite(north)) {
    throw usage(
      'ground-invalid',
      `--ground-origin ${groundOrigin} is not a point`,
      'write easting,northing in the unit of the survey, such as 7650000,680000',
    );
  }
  return { factor, east, north };
}

/** Options of shots on the trunk's face. */
export interface StemFlags {
  readonly stemAt?: 'centre' | 'face';
  readonly stemBearing?: string;
  readonly stemNorth?: 'true' | 'grid';
}

/** `--stem-at face --stem-bearing FIELD [--stem-north true|grid]`. */
export function stemOf(flags: StemFlags): StemAtFace | undefined {
  const { stemAt, stemBearing, stemNorth } = flags;
  if (stemAt !== 'face') {
    if (stemBearing === undefined && stemNorth === undefined) return undefined;
    throw usage('stem-invalid', '--stem-bearing and --stem-north need --stem-at face', 'add it, or leave them out');
  }
  if (stemBearing === undefined) {
    const cure = 'name the field of the bearing from the face to the trunk’s centre';
    throw usage('stem-invalid', '--stem-at face needs --stem-bearing', cure);
  }
  return { bearing: stemBearing, north: stemNorth ?? 'true' };
}
