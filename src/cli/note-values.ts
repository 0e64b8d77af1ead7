// Options of field notes -> typed values. In: text after the options; out: how notes are read, stakes, or wrong usage. Terms: see
// values.ts.

import { declinationOf } from '../check/index.js';
import type { FileReadOptions } from '../node/read/index.js';
import type { GroundStake } from '../write/index.js';
import { given, usage } from './values.js';

export interface NoteFlags {
  readonly noteNorth?: 'true' | 'grid' | 'magnetic';
  readonly noteDeclination?: string;
  readonly noteClosing?: 'least-squares' | 'compass';
}

/** How field notes are read; nothing where nothing is said of them. */
export function notesTold({ noteNorth: north, noteDeclination, noteClosing: closing }: NoteFlags): FileReadOptions {
  const declinationDeg = noteDeclination === undefined ? undefined : degrees(noteDeclination);
  const notes = given({ north, declinationDeg, closing });
  return Object.keys(notes).length === 0 ? {} : { notes };
}

function degrees(text: string): number {
  const value = declinationOf(text);
  if (!Number.isNaN(value)) return value;
  const cure = 'write degrees, east positive: --note-declination 15.2, 15.2E or 3W';
  throw usage('declination-invalid', `--note-declination ${text} is not a declination`, cure);
}

/** `A=7650000,680000`, repeated. */
export function stakesOf(texts: readonly string[]): GroundStake[] {
  if (texts.length === 1) {
    const cure = 'name two or more: --note-stake A=7650000,680000 --note-stake B=7650100,680000';
    throw usage('note-stakes', 'stake-out notes need two stakes or more to measure from', cure);
  }
  return texts.map((text) => {
    const match = /^\s*([^=>:,]*[^=>:,\s])\s*=\s*([^,]+),([^,]+)$/.exec(text);
    const [name = '', easting, northing] = [match?.[1], Number(match?.[2] ?? 'x'), Number(match?.[3] ?? 'x')];
    if (name !== '' && Number.isFinite(easting) && Number.isFinite(northing)) return { name, easting, northing };
    const cure = 'write its name, easting and northing: --note-stake A=7650000,680000';
    throw usage('note-stakes', `--note-stake ${text} is no stake`, cure);
  });
}
