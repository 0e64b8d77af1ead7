// CSV and TSV -> Layer of points. In: bytes; out: one feature per row, all columns as properties.
// Terms: row = a row as a spreadsheet counts it (the header is row 1); delimiter = comma, semicolon or tab.
// With semicolons a comma is a decimal mark; else where the coordinates show it. Quoting follows RFC 4180, and a stray
// quote (12" oak) is kept as text.

import type { FormatName, Layer } from '../model/index.js';
import { InputError, LayerBuilder } from '../model/index.js';
import { type CoordinateColumns, coordinateColumns } from './csv-columns.js';
import { withExtras } from './extras.js';
import { uniqueNames } from './names.js';
import type { ReadOptions } from './options.js';
import { quotedRecords } from './quoted.js';
import { addRow, type Cell, hasDecimalCommas } from './table.js';
import { checkFilling, checkWidth, MOST_COLUMNS, tooWide } from './table-bounds.js';
import { decodeText } from './text.js';

/**
 * Reads a table of points. Blank cells are null; a cell becomes a number only when the number writes back as the same
 * text ("12.5", not "012" or "12.50"), so that tags and codes keep their letters.
 *
 * @throws InputError `csv-coordinates`, `csv-column`, `csv-quote` (a quote that is never closed), `table-wide`, `table-sparse`,
 *   `file-too-large`
 * @example
 * readCsv(new TextEncoder().encode('tag,x,y\nT1,7650000,680000\n'), { name: 'trees.csv' }).count; // 1
 */
export function readCsv(bytes: Uint8Array, options: ReadOptions): Layer {
  const into = new LayerBuilder(options.name, 'csv');
  const decoded = decodeText(bytes, options.name);
  into.findings.push(...decoded.findings);
  // Excel writes "sep=;" in front of the table to say its delimiter.
  const stated = /^sep=(.)[ \t]*(?:\r\n|\n|\r)/i.exec(decoded.text);
  const text = stated === null ? decoded.text : decoded.text.slice(stated[0].length);
  const delimiter = stated?.[1] ?? delimiterOf(text);
  const records = parsed(text, delimiter, options.name);
  const rowsBefore = stated === null ? 1 : 2; // a row is counted as a spreadsheet does, from 1
  const noHeader = options.noHeader === true;
  const first = records.findIndex((cells) => !isBlankLine(cells));
  const head = records[first] ?? [];
  const width = records.reduce((most, cells) => Math.max(most, cells.length), 0);
  const filled = records.reduce((sum, cells) => sum + cells.length, 0);
  checkFilling(
    records.map((cells) => cells.length),
    filled,
    rowsBefore,
    options.name,
  );
  const given = noHeader ? (options.columns ?? []) : head;
  const names = uniqueNames(Array.from({ length: width }, (_, i) => given[i] ?? ''));
  const columns = headedColumns(names, records, first, rowsBefore, options);
  const from = noHeader ? 0 : first + 1;
  const mayHoldCommas = delimiter !== ',' || text.includes('"');
  const decimalComma = delimiter === ';' || (mayHoldCommas && hasDecimalCommas(records.slice(from), columns));
  for (let r = from; r < records.length; r++) {
    const cells = records[r]!;
    if (!isBlankLine(cells)) addRow(cells, r + rowsBefore, names, columns, decimalComma, into);
  }
  return finished(into, names, columns, options);
}

/**
 * Reads rows of typed cells (a sheet of a workbook) like a CSV: a heading row, then a point a row. Empty rows do not
 * count.
 */
export function readRows(rows: readonly (readonly Cell[])[], format: FormatName, options: ReadOptions): Layer {
  const into = new LayerBuilder(options.name, format);
  const isEmpty = (cells: readonly Cell[]): boolean => cells.every((cell) => cell === null || cell === '');
  const noHeader = options.noHeader === true;
  const first = rows.findIndex((cells) => !isEmpty(cells));
  if (first === -1) {
    throw new InputError('file-empty', `${options.name} holds no rows`, {
      layer: options.name,
      cure: 'check that the table is on the sheet that is read',
    });
  }
  const given = noHeader ? (options.columns ?? []) : (rows[first] ?? []).map((cell) => String(cell ?? ''));
  const width = rows.reduce((most, cells) => Math.max(most, cells.length), 0);
  checkWidth(width, 1, options.name);
  const names = uniqueNames(Array.from({ length: width }, (_, i) => given[i] ?? ''));
  const columns = coordinateColumns(names, options);
  const from = noHeader ? first : first + 1;
  const decimalComma = hasDecimalCommas(rows.slice(from), columns);
  for (let r = from; r < rows.length; r++) {
    const cells = rows[r]!;
    if (!isEmpty(cells)) addRow(cells, r + 1, names, columns, decimalComma, into);
  }
  return finished(into, names, columns, options);
}

function finished(
  into: LayerBuilder,
  names: readonly string[],
  { x, y, degrees }: CoordinateColumns,
  options: ReadOptions,
): Layer {
  const crs = degrees ? ({ from: 'file', text: 'OGC:CRS84' } as const) : null;
  const layer = into.finish({ crs, sha256: options.sha256 ?? null });
  return x < 0 ? layer : withExtras(layer, { columns: [names[x]!, names[y]!] });
}

const LOOKED_AT = 20; // rows in which a heading is looked for

/** The coordinate columns; where the first row has none, the error says what is probably wrong. */
function headedColumns(
  names: readonly string[],
  records: readonly (readonly string[])[],
  first: number,
  rowsBefore: number,
  options: ReadOptions,
): CoordinateColumns {
  try {
    return coordinateColumns(names, options);
  } catch (error) {
    if (!(error instanceof InputError) || error.code !== 'csv-coordinates' || options.noHeader === true) throw error;
    const below = records.slice(first + 1, first + LOOKED_AT);
    const heading = below.findIndex((cells) => hasCoordinates(cells, options));
    const one = names.length === 1 ? (names[0] ?? '') : '';
    const mark = one.includes('|') ? '|' : /\S\s{2,}\S/.test(one) ? 'blanks' : undefined;
    if (heading === -1 && mark === undefined) throw error;
    const cure =
      mark === undefined
        ? `row ${first + 1 + heading + rowsBefore} looks like the heading: delete the rows above it`
        : `its cells are separated by ${mark}: save it with commas, semicolons or tabs`;
    throw new InputError(error.code, error.message, { layer: options.name, cure });
  }
}

function hasCoordinates(cells: readonly string[], options: ReadOptions): boolean {
  try {
    coordinateColumns(uniqueNames(cells), options);
    return true;
  } catch {
    return false;
  }
}

/** An empty line is not a row; a row of empty cells is one. */
export function isBlankLine(cells: readonly string[]): boolean {
  return cells.length === 0 || (cells.length === 1 && cells[0]!.trim() === '');
}

/** Records and their cells; without a single quote in the file, splitting gives the same and is several times faster. */
export function parsed(text: string, delimiter: string, layer: string): string[][] {
  if (!text.includes('"')) {
    return text.split(/\r\n|\n|\r/).map((line, i) => {
      const cells = line.split(delimiter, MOST_COLUMNS + 1);
      checkWidth(cells.length, i + 1, layer);
      return cells;
    });
  }
  const quoted = quotedRecords(text, delimiter, MOST_COLUMNS);
  if ('records' in quoted) return quoted.records;
  if ('wideAt' in quoted) throw tooWide(quoted.wideAt, layer);
  const message = `${layer} can't be read as a table: the quote (") opened on line ${quoted.openedAt} is never closed`;
  throw new InputError('csv-quote', message, {
    layer,
    cure: 'close the quote, or double it if it is part of the text',
  });
}

/** In order of preference where counts are equal: "1,5;2,5" is two numbers with decimal commas. */
const DELIMITERS = ['\t', ';', ','] as const;

/** The delimiter that stands equally often in each of the first lines; else the most frequent of the first line. */
export function delimiterOf(text: string): string {
  const lines = text
    .slice(0, 65_536)
    .split(/\r\n|\n|\r/, 11)
    .slice(0, 10)
    .filter((line) => line.trim() !== '');
  const counts = DELIMITERS.map((mark) => lines.map((line) => countOutsideQuotes(line, mark)));
  const steady = counts.map((list) => (list.every((n) => n === list[0]) ? (list[0] ?? 0) : 0));
  const ofFirst = counts.map((list) => list[0] ?? 0);
  const score = steady.some((n) => n > 0) ? steady : ofFirst;
  const most = Math.max(...score);
  return most === 0 ? ',' : DELIMITERS[score.indexOf(most)]!;
}

function countOutsideQuotes(line: string, mark: string): number {
  let count = 0;
  let quoted = false;
  for (const c of line) {
    if (c === '"') quoted = !quoted;
    else if (c === mark && !quoted) count++;
  }
  return count;
}
