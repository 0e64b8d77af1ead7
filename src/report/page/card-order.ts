// Which trees get a card, and in which order. In: an assessment; out: rows. Terms: first come trees that a change of the design
// can save: over their limit, to be kept, the protected before the others and the larger before the smaller; then those whose
// trunk stands in the works. Trees that go have no card: nothing can save them, and they do not limit the works.

import { type Assessment, isGoing, isOver, type TreeResult, treeViews } from '../../model/index.js';

/** The percent that the rule judges by. */
export function judgedPct({ rule }: Assessment, { affectedPct, overlapPct }: TreeResult): number {
  return (rule.judge === 'affected' ? affectedPct : overlapPct) ?? 0;
}

/** Rows of the trees that have a card, in their order, all of them. */
export function cardRows(assessment: Assessment): number[] {
  const found: { readonly row: number; readonly stem: number; readonly open: number; readonly dbh: number }[] = [];
  for (const { row, verdict, disposition, isProtected, dbhM } of treeViews(assessment)) {
    if (!isOver(verdict) || isGoing(disposition)) continue;
    found.push({ row, stem: verdict === 'stem-in-works' ? 1 : 0, open: isProtected === true ? 0 : 1, dbh: dbhM ?? 0 });
  }
  found.sort((a, b) => a.stem - b.stem || a.open - b.open || b.dbh - a.dbh || a.row - b.row);
  return found.map(({ row }) => row);
}
