// Results of trees for writers, without a million objects. In: an assessment or another reckoning; out: its trees' results,
// each good until the next is asked for. Terms: view = one object that moves from row to row. What callers of the library
// get (`trees`, `tree`, `eachTree`) are objects of their own; views stay inside.

import type { Assessment, OtherReckoning, TreeResult } from './result.js';

interface Views {
  /** Every tree in input order, through one object. */
  each(): Iterable<TreeResult>;
  /** One tree. */
  see(row: number): TreeResult;
}

const known = new WeakMap<object, Views>();

/** Registers the views of a result. A result made elsewhere has none. */
export function keepTreeViews(result: Assessment | OtherReckoning, views: Views): void {
  known.set(result, views);
}

/** Every tree in input order; each is good until the next is asked for. */
export function treeViews(assessment: Assessment): Iterable<TreeResult> {
  return known.get(assessment)?.each() ?? assessment.eachTree();
}

/** One tree, good until the next is asked for. */
export function treeView(result: Assessment | OtherReckoning, row: number): TreeResult {
  return known.get(result)?.see(row) ?? result.tree(row);
}
