// Some of an assessment's trees for its writers. In: an assessment and which rows are shown; out: the same assessment, whose
// walks for writers pass over the others. Terms: shown = written; hidden = passed over. Figures stay those of the whole
// assessment: counts, lots, totals, `trees`, `tree`. Linear in the rows, once.

import type { Assessment, ShownTrees, StopSignal, TreeResult } from './result.js';
import { keepTreeViews, treeView, treeViews } from './tree-views.js';

/** The assessment with some trees shown: those for which `has` is true. */
export function showing(assessment: Assessment, shown: Omit<ShownTrees, 'whole'>): Assessment {
  const result: Assessment = Object.create(assessment, {
    shown: { value: { ...shown, whole: assessment } satisfies ShownTrees },
    stoppedBy: { value: (signal: StopSignal) => showing(assessment.stoppedBy(signal), shown) },
  });
  function* each(): Generator<TreeResult> {
    for (const tree of treeViews(assessment)) if (shown.has(tree.row)) yield tree;
  }
  keepTreeViews(result, { each, see: (row) => treeView(assessment, row) });
  return result;
}

/** Every tree, shown or not: for what is said of the whole assessment. */
export function everyTreeView(assessment: Assessment): Iterable<TreeResult> {
  return treeViews(assessment.shown?.whole ?? assessment);
}

/** Whether a row's tree is written. */
export function isShown({ shown }: Pick<Assessment, 'shown'>, row: number): boolean {
  return shown?.has(row) ?? true;
}
