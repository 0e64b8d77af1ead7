// Level readings of a notebook. In: rows with backsight_* or foresight_*; out: readings by set-up. Terms: set-up = one place of the level; a
// backsight begins one, on a point whose height is known or carried along; foresights follow. A row with both is a turning point: its
// foresight belongs to the set-up before it, its backsight begins the next. The column `setup` names set-ups whose rows are not in order.
// Linear in the rows.

import { InputError, type LengthUnit } from '../model/index.js';

/** Levels of more set-ups are no notebook: the work grows with the cube of points and set-ups. */
const MOST_SETUPS = 300;

/** One figure read off the staff. */
export interface LevelReading {
  readonly row: number;
  readonly p: number; // number of the point
  readonly setup: number;
  readonly isBack: boolean;
  readonly valueM: number;
  readonly sigmaM: number;
  readonly text: string;
  readonly unit: LengthUnit;
}

/** Readings as rows give them. */
export interface LevelCells {
  readonly row: number;
  readonly p: number;
  /** '' where the row names none. */
  readonly setup: string;
  readonly back: { readonly metres: number; readonly text: string; readonly unit: LengthUnit } | undefined;
  readonly fore: { readonly metres: number; readonly text: string; readonly unit: LengthUnit } | undefined;
  readonly sigmaM: number;
}

export class LevelBook {
  readonly readings: LevelReading[] = [];
  /** Names of set-ups, by number. */
  readonly setups: string[] = [];
  readonly #say: (message: string, cure: string) => void;

  constructor(say: (message: string, cure: string) => void) {
    this.#say = say;
  }

  add({ row, p, setup, back, fore, sigmaM }: LevelCells): void {
    const push = (number: number, isBack: boolean, of: NonNullable<LevelCells['back']>): void => {
      const { metres: valueM, text, unit } = of;
      this.readings.push({ row, p, setup: number, isBack, valueM, sigmaM, text, unit });
    };
    if (setup !== '' && back !== undefined && fore !== undefined) {
      const cure = 'write them in two rows, each with its set-up; or leave the column setup blank';
      this.#say('a backsight and a foresight belong to two set-ups, and the row names one', cure);
      return;
    }
    if (fore !== undefined) {
      const number = setup === '' ? this.setups.length - 1 : this.#named(setup);
      if (number >= 0) push(number, false, fore);
      else this.#say('a foresight before any backsight', 'begin with a backsight on a benchmark');
    }
    if (back !== undefined) push(setup === '' ? this.#begun() : this.#named(setup), true, back);
  }

  #begun(): number {
    return this.#next(`${this.setups.length + 1}`);
  }

  #next(name: string): number {
    if (this.setups.length >= MOST_SETUPS) {
      throw new InputError('notes-large', `the notes hold more than ${MOST_SETUPS} set-ups of a level`, {
        cure: 'split the levels into runs, each with its benchmark',
      });
    }
    return this.setups.push(name) - 1;
  }

  #named(name: string): number {
    const at = this.setups.indexOf(name);
    return at >= 0 ? at : this.#next(name);
  }
}
