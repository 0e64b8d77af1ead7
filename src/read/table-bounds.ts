// How large a table may be. In: its records as they are split, or what its rows hold; out: nothing, or an InputError.
// Terms: cells of a table = its rows times its widest row: that many values are made of it, whether the file fills them or
// not. Looked at before they are made, so that a small file can't ask for more memory than there is.

import { InputError } from '../model/index.js';

/** Columns of the widest sheet there is (XFD in a spreadsheet): no table of trees has more. */
export const MOST_COLUMNS = 16_384;
/** Tables with fewer cells are read, however empty they are. */
const MAY_BE_EMPTY = 50_000;
/** At least one cell in this many must be filled. */
const LEAST_FILLED = 64;

/** @throws InputError `table-wide` when a row has more columns than any sheet */
export function checkWidth(columns: number, row: number, layer: string): void {
  if (columns > MOST_COLUMNS) throw tooWide(row, layer);
}

export function tooWide(row: number, layer: string): InputError {
  return new InputError('table-wide', `${layer}: row ${row} has more than ${MOST_COLUMNS} columns`, {
    layer,
    path: `row ${row}`,
    cure: 'check that the rows are on separate lines, and keep only the columns that you need',
  });
}

/**
 * @param widths how far each row reaches
 * @param filled cells that the file holds in them
 * @param numbers the rows' numbers, or that of the first where they follow each other
 * @throws InputError `table-sparse` when a large table is almost empty
 */
export function checkFilling(
  widths: readonly number[],
  filled: number,
  numbers: readonly number[] | number,
  layer: string,
): void {
  let width = 0;
  let widest = 0;
  widths.forEach((columns, row) => {
    if (columns > width) [width, widest] = [columns, row];
  });
  const cells = width * widths.length;
  if (cells <= MAY_BE_EMPTY || cells <= LEAST_FILLED * filled) return;
  const row = typeof numbers === 'number' ? numbers + widest : numbers[widest]!;
  const message = `${layer}: row ${row} reaches to column ${width}, and of the ${cells} cells of such a table only ${filled} are filled`;
  throw new InputError('table-sparse', message, {
    layer,
    path: `row ${row}`,
    cure: `delete the stray cells at the end of row ${row}, or save the table alone as CSV`,
  });
}
