// The spread of a crown: in: a row whose radii are read; out: the same with the spread in place of radii that are missing.
// Terms: spread = the diameter of a crown; half of it stands for every side that has no radius of its own.
// Constant for a row.

import type { Layer } from '../model/index.js';
import { conflict, type LengthColumn } from './columns.js';
import type { Reporter } from './reporter.js';
import { figure } from './suggest.js';

export class CrownSpread {
  readonly given: boolean;
  readonly #spread: LengthColumn;
  readonly #out: Reporter;

  constructor(spread: LengthColumn, out: Reporter) {
    this.given = spread.given;
    this.#spread = spread;
    this.#out = out;
  }

  /** Fills the sides of the row that have no radius; compares the spread with the mean of four that do. */
  read(layer: Layer, row: number, crownM: Float64Array): void {
    const radius = this.#spread.read(layer, row) / 2;
    if (!(radius > 0)) return;
    let sum = 0;
    for (let q = row * 4; q < row * 4 + 4; q++) {
      sum += crownM[q]!;
      if (Number.isNaN(crownM[q]!)) crownM[q] = radius;
    }
    const mean = sum / 4;
    if (!conflict(mean, radius)) return; // NaN, where a side had no radius, is no conflict
    const message = `half the crown spread is ${figure(radius)} m, and the crown's radii are ${figure(mean)} m on average, more than 5 % apart; the radii were used`;
    this.#out.say('crown-conflict', row, 'properties.crown_spread', message, 'correct one, or clear the wrong one');
  }
}
