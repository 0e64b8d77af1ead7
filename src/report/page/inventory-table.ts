// The inventory as an HTML table. In: an assessment, rows in their order; out: HTML that sorts when scripts run.
// Terms: see write/inventory.ts: columns and cells are its own; a verdict shows its sign, a tree with a card leads there.

import { type Assessment, isGoing, treeViews, type Verdict, verdictNumber } from '../../model/index.js';
import { inventoryColumns, type Units } from '../../write/index.js';
import { markOf, VERDICT_STYLES } from '../drawing/palette.js';
import { BADNESS } from '../drawing/symbol-layer.js';
import { NONE } from '../figures.js';
import { cut, esc } from '../text.js';
import { judgedPct } from './card-order.js';
import { sheetCell, sheetHeads } from './sheet-table.js';

/** Rows of the worst trees, worst first: stem, then over the limit, those to be kept before those that go, then by percent. */
export function worstFirst(assessment: Assessment, most: number): number[] {
  const rows: { readonly row: number; readonly bad: number; readonly goes: number; readonly pct: number }[] = [];
  for (const tree of treeViews(assessment))
    rows.push({
      row: tree.row,
      bad: BADNESS[markOf(tree.verdict)],
      goes: isGoing(tree.disposition) ? 1 : 0,
      pct: judgedPct(assessment, tree),
    });
  rows.sort((a, b) => b.bad - a.bad || a.goes - b.goes || b.pct - a.pct || a.row - b.row);
  return rows.slice(0, most).map(({ row }) => row);
}

export function inventoryHtml(
  assessment: Assessment,
  units: Units,
  rows: readonly number[],
  hasCard: (row: number) => boolean,
): string {
  const columns = inventoryColumns(assessment, units, true);
  const body = rows.map((row) => {
    const tree = assessment.tree(row);
    const cells = columns.map((column, i) => {
      if (column.title === 'Verdict') return verdictCell(tree.verdict);
      return sheetCell(column.value(tree), column, (text) => {
        const shown = text === '' ? NONE : `<bdi>${esc(cut(text, 60))}</bdi>`;
        return i === 0 && hasCard(row) ? `<a href="#t${row}">${shown}</a>` : shown;
      });
    });
    return `<tr>${cells.join('')}</tr>`;
  });
  return `<div class="wide" tabindex="0" role="region" aria-label="Tree inventory"><table class="sched" id="schedule"><thead><tr>${sheetHeads(columns)}</tr></thead>\n<tbody>\n${body.join('\n')}\n</tbody></table></div>`;
}

function verdictCell(verdict: Verdict | null): string {
  const mark = markOf(verdict);
  return `<td data-v="${verdictNumber(verdict)}"><span class="v v-${mark}">${VERDICT_STYLES[mark].title}</span></td>`;
}
