// Headings and cells of a sheet as HTML. In: columns and values of a sheet (write/sheet.ts); out: th and td elements.

import { type SheetCell, type SheetColumn, shownCell } from '../../write/index.js';
import { NONE } from '../figures.js';
import { esc } from '../text.js';

/** A heading each; those of numbers stand to the right. */
export function sheetHeads(columns: readonly SheetColumn[]): string {
  return columns
    .map(({ title, decimals }) => `<th scope="col"${decimals === null ? '' : ' class="n"'}>${esc(title)}</th>`)
    .join('');
}

/** A cell: a number with its column's decimals, or a text as `written` has it, HTML. */
export function sheetCell(value: SheetCell, column: SheetColumn, written: (text: string) => string): string {
  const text = shownCell(value, column);
  return column.decimals === null ? `<td>${written(text)}</td>` : `<td class="n">${text === '' ? NONE : text}</td>`;
}
