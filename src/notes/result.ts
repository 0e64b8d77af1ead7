// What comes of a notebook. In: nothing; out: types. Terms: see types.ts and adjust.ts.

import type { Finding, LengthUnit } from '../model/index.js';
import type { Blunder } from './blunders.js';
import type { Closing } from './closings.js';
import type { NoteLevels } from './level-result.js';
import type { Notebook, NotePoint, Outline, Reading, Spread } from './types.js';

/** A point and where it came to lie. */
export interface PlacedPoint extends NotePoint {
  /** Coordinates of the file (its unit, or degrees); null: not placed. */
  readonly at: readonly [number, number] | null;
  /** In metres, in the plane of the notes; NaN where it is not placed. */
  readonly xM: number;
  readonly yM: number;
  readonly spread: Spread | null;
  /** Within this of its true place in 95 of 100 cases at least, metres; NaN where nothing tells. */
  readonly accuracyM: number;
}

/** A reading beside what it should have been. */
export interface CheckedReading {
  readonly reading: Reading;
  readonly words: string;
  /** Adjusted less observed, metres or radians; NaN: it was not used. */
  readonly residual: number;
  readonly redundancy: number;
  readonly standardised: number;
  /** Left out as a blunder. */
  readonly isOut: boolean;
}

/** What comes of a notebook. */
export interface FieldNotes {
  readonly name: string;
  readonly system: Notebook['system'];
  readonly unit: LengthUnit;
  readonly points: readonly PlacedPoint[];
  readonly readings: readonly CheckedReading[];
  readonly outlines: readonly Outline[];
  readonly blunders: readonly Blunder[]; // suspects are indices of `readings`
  /** Readings too many. */
  readonly degrees: number;
  /** 1 where readings are as good as assumed; NaN where nothing is measured too often. */
  readonly variance: number;
  /** By how much standard errors were enlarged for a variance that chance does not explain; 1: not at all. */
  readonly enlarged: number;
  /** Tapes over known points, with its standard error; null where it can't be told. */
  readonly scale: { readonly value: number; readonly sigma: number } | null;
  readonly closings: readonly Closing[];
  /** Heights of the ground; null where none are given or read. */
  readonly levels: NoteLevels | null;
  readonly findings: readonly Finding[];
  /** A place in metres of the plane as coordinates of the file. */
  toNative(x: number, y: number): readonly [number, number];
}
