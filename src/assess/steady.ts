// Whether a verdict holds within the survey's accuracy. In: margins under the diameter as surveyed and, where its accuracy is
// given, under it less and more; positions' accuracy; out: holds or not, per tree, on demand.
// Terms: holds = no position and no diameter within the accuracy changes the verdict between kept and broken limits, or
// puts the trunk into the works or out of them.

import { isOver, type TreeTable, type Verdict } from '../model/index.js';
import type { Margins } from './margin.js';
import type { Variant } from './variant.js';

export interface Reckoned {
  readonly variant: Variant;
  readonly margins: Margins;
}

/** Whether one tree's verdict holds, by its row; null where nothing can be said. */
export type Holds = (row: number) => boolean | null;

/** All diameters changed by the same length, as if the tape had been misread. A diameter that would fall to 0 stays. */
export function offBy(trees: TreeTable, byM: number): TreeTable {
  const off = (d: number): number => (d + byM > 0 ? d + byM : d);
  const stemsM = new Map([...trees.stemsM].map(([row, stems]) => [row, stems.map(off)]));
  return { ...trees, dbhM: trees.dbhM.map(off), baseDiaM: trees.baseDiaM.map(off), stemsM };
}

/**
 * Moving a tree by its accuracy is never worse than moving the boundary of all works by as much. So a verdict whose
 * margin is larger than the accuracy holds; one whose margin is smaller may not hold.
 *
 * @returns null where no accuracy is given for the tree, and for a tree not assessed.
 */
export function steadiness(trees: TreeTable, reckoned: readonly [Reckoned, ...Reckoned[]]): Holds {
  return (row) => {
    const [main] = reckoned;
    const verdict = verdictOf(main, row);
    const accuracy = trees.accuracyM[row]!;
    if (verdict === 'not-assessed' || (Number.isNaN(accuracy) && reckoned.length === 1)) return null;
    if (Number.isNaN(main.variant.zones.radiusM[row]!)) return null; // the trunk stands in works; nothing more is known
    const reach = Number.isNaN(accuracy) ? 0 : accuracy;
    const holds = reckoned.every((one) => {
      if (isOver(verdictOf(one, row)) !== isOver(verdict)) return false;
      if (isOver(verdict) && !stemHolds(one, row, verdict, reach)) return false;
      if (one !== main) return one.margins.isWider(row, reach) ?? !isOver(verdict);
      const margin = one.margins.at(row); // also callable on its own
      return margin === null ? !isOver(verdict) : Math.abs(margin) > reach;
    });
    // Where a margin was too costly to calculate, nothing can be said, unless another calculation has changed the verdict.
    return holds && reckoned.some(({ margins }) => margins.isTooDear(row)) ? null : holds;
  };
}

/** Whether the trunk stays in the works, or out of them, wherever the tree stands within `reach`. */
function stemHolds(one: Reckoned, row: number, verdict: Verdict, reach: number): boolean {
  const inWorks = verdict === 'stem-in-works';
  if ((verdictOf(one, row) === 'stem-in-works') !== inWorks) return false;
  const { measured, zones } = one.variant;
  const centre = measured.table.nearestM[row]!;
  const face = centre - zones.trunkRadiusM[row]!;
  if (!inWorks) return !(face <= reach);
  // The depth of a centre inside works is not measured. If the centre lies outside, only the trunk reaches the works.
  return !(centre > 0 && face + reach >= 0);
}

function verdictOf({ variant }: Reckoned, row: number): Verdict {
  return variant.judged[row]?.verdict ?? 'not-assessed';
}
