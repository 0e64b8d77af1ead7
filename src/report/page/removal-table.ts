// Removal and replacement as an HTML table. In: an assessment, units; out: HTML, '' where no tree goes.
// Terms: see write/removals.ts: columns and cells are its own; sums stand apart below.

import type { Assessment } from '../../model/index.js';
import { counted } from '../../text/index.js';
import { removalSheet, type SheetCell, type Units } from '../../write/index.js';
import { cut, esc } from '../text.js';
import { sheetCell, sheetHeads } from './sheet-table.js';

/** Trees listed; the table of its own has them all. */
const ROWS_AT_MOST = 400;

export function removalsHtml(assessment: Assessment, units: Units): string {
  const { removals } = assessment;
  if (removals.length === 0) return '';
  const { columns, rows } = removalSheet(assessment, units);
  const all = [...rows()];
  const trees = all.filter(([of]) => of === 'tree');
  const sums = all.filter(([of]) => of !== 'tree');
  const cellHtml = (value: SheetCell, i: number): string =>
    sheetCell(value, columns[i]!, (text) => (text === '' ? '' : `<bdi>${esc(cut(text, 80))}</bdi>`));
  const line = (row: readonly SheetCell[]): string =>
    `<tr>${row
      .slice(1)
      .map((value, i) => cellHtml(value, i + 1))
      .join('')}</tr>`;
  const sumLine = (row: readonly SheetCell[]): string => {
    const title = row[0] === 'lot' ? row[2] : row[0] === 'no lot' ? 'On no lot' : 'Site';
    return `<tr><th scope="row"><bdi>${esc(cut(String(title), 60))}</bdi></th>${row
      .slice(2)
      .map((value, i) => cellHtml(columns[i + 2]!.title === 'Lot' ? '' : value, i + 2))
      .join('')}</tr>`;
  };
  const rest = trees.length - Math.min(trees.length, ROWS_AT_MOST);
  return [
    unmarkedHtml(assessment),
    mitigationHtml(assessment),
    '<div class="wide" tabindex="0" role="region" aria-label="Removal and replacement"><table class="removals">',
    `<thead><tr>${sheetHeads(columns.slice(1))}</tr></thead><tbody>${trees.slice(0, ROWS_AT_MOST).map(line).join('\n')}</tbody>`,
    `<tfoot>${sums.map(sumLine).join('\n')}</tfoot></table></div>`,
    rest === 0
      ? ''
      : `<p class="fine">And ${counted(rest, 'more tree')}: the table of removals has them all; the sums count them.</p>`,
  ].join('');
}

/** Trees that the works take although nobody marked them for removal: the plan contradicts itself. */
function unmarkedHtml({ removals }: Assessment): string {
  const unmarked = removals.filter(({ marked, why }) => !marked && why === 'stem-in-works').length;
  if (unmarked === 0) return '';
  return `<p><b>${counted(unmarked, 'tree')} in the works ${unmarked === 1 ? 'is' : 'are'} not marked for removal</b>: mark ${unmarked === 1 ? 'it' : 'them'}, or move the works.</p>`;
}

function mitigationHtml({ options: { mitigation } }: Assessment): string {
  if (mitigation === undefined)
    return '<p class="fine">No table of replacement was given: what is to be planted is not worked out.</p>';
  return `<p class="fine">Replacement: ${esc(mitigation.title)}. Source: ${esc(mitigation.source)}. The local code decides.</p>`;
}
