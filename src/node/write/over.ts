// The test of `--fail-on over-limit`. In: an assessment, a tree; out: yes or no. Terms: kept = to be kept, or unknown: a
// tree that is to be felled or moved away does not limit the works, as in the per-lot table and in sitings.

import { type Assessment, everyTreeView, isOver, isStaying, type TreeResult, treeView } from '../../model/index.js';

/**
 * Whether a kept tree is over its limit, or stands in works, under any of the rules, since each of them may apply.
 * Design options are alternatives: the first counts.
 */
export function isKeptOver(assessment: Assessment, tree: TreeResult): boolean {
  if (!isStaying(tree.disposition)) return false;
  return isOver(tree.verdict) || assessment.otherRules.some((other) => isOver(treeView(other, tree.row).verdict));
}

/** Whether there is such a tree. */
export function anyKeptOver(assessment: Assessment): boolean {
  for (const tree of everyTreeView(assessment)) if (isKeptOver(assessment, tree)) return true;
  return false;
}
