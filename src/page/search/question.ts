// What the page asks its searching thread, and what it gets. In: nothing; out: types. Terms: see docs/siting.md; place = one of
// the places found, with the works there as files.

import type { SitingOptions, SitingStatus, Units } from '../../core.js';

export interface Question {
  readonly plan: string; // the plan as a job file with its layers in it
  readonly rule: string | null; // a rule file's JSON, in place of the plan's built-in rule
  readonly asked: Pick<SitingOptions, 'move' | 'setback' | 'shiftM' | 'turnDeg' | 'mirror'>;
  readonly units: Units;
  readonly stamp: string | null;
  readonly dbhUnit: string;
}

export interface FoundPlace {
  readonly rank: number;
  readonly words: string;
  /** The layers of works with what has moved, as files; in the order of the plan. */
  readonly works: readonly string[];
}

export interface Answer {
  readonly status: SitingStatus;
  readonly words: string;
  readonly places: readonly FoundPlace[];
  /** Before and after as SVG; '' where nothing was found. */
  readonly picture: string;
}

export type Reply =
  | { readonly answer: Answer }
  | { readonly refused: { readonly message: string; readonly cure: string } };
