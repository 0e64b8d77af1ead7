// Tables for submission, defined once for all outputs. In: columns and rows; out: the same as CSV text. Terms: sheet = a
// table with a name, columns with their types, rows of cells in their order; numbers come unrounded, with the decimals they
// are shown with.

import { inert, quoted } from './csv-cell.js';
import { cell } from './numbers.js';

export interface SheetColumn {
  readonly title: string;
  /** Decimals of a number; null: text. */
  readonly decimals: number | null;
}

export type SheetCell = string | number | null;

export interface Sheet {
  readonly name: string;
  readonly columns: readonly SheetColumn[];
  rows(): Iterable<readonly SheetCell[]>;
}

/** A column whose cells are worked out of a row's subject. */
export interface CellColumn<T> extends SheetColumn {
  value(of: T): SheetCell;
}

export function textColumn<T>(title: string, value: (of: T) => string | null | undefined): CellColumn<T> {
  return { title, decimals: null, value: (of) => value(of) ?? '' };
}

export function numberColumn<T>(title: string, decimals: number, value: (of: T) => number | null): CellColumn<T> {
  return { title, decimals, value };
}

/** What a cell shows: numbers with their column's decimals. */
export function shownCell(value: SheetCell, { decimals }: SheetColumn): string {
  return typeof value === 'number' ? cell(value, decimals ?? 0) : (value ?? '');
}

/** A sheet as CSV text (RFC 4180, UTF-8, CRLF), a heading row first. */
export function* sheetPieces(sheet: Sheet): Generator<string, void, undefined> {
  yield `${sheet.columns.map(({ title }) => quoted(title)).join(',')}\r\n`;
  for (const row of sheet.rows()) {
    const cells = row.map((value, i) => {
      const text = shownCell(value, sheet.columns[i]!);
      return quoted(typeof value === 'number' ? text : inert(text));
    });
    yield `${cells.join(',')}\r\n`;
  }
}
