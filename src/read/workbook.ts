// Excel workbook -> Layer of points, whichever library opens it. In: its sheets, and which one; out: one feature a row below
// the heading. Terms: sheet = a worksheet; cells keep the type the workbook gives them; columns are found as in CSV. The
// shapes of sheets and cells are those of exceljs.

import type { Layer } from '../model/index.js';
import { finding, InputError } from '../model/index.js';
import { type FieldNotes, notesLayer } from '../notes/index.js';
import { readRows } from './csv.js';
import { notesInRows } from './notes.js';
import type { ReadOptions } from './options.js';
import type { Cell } from './table.js';
import { checkFilling, checkWidth } from './table-bounds.js';

/** A worksheet, as far as it is read. */
export interface Sheet {
  readonly name: string;
  eachRow(options: { includeEmpty: boolean }, each: (row: SheetRow, number: number) => void): void;
}

export interface SheetRow {
  eachCell(options: { includeEmpty: boolean }, each: (cell: { readonly value: unknown }, column: number) => void): void;
}

/**
 * Reads the first sheet, or the one that `layer` names.
 *
 * @throws InputError `layer-missing`, `file-empty`, and those of CSV columns
 */
export function readSheets(sheets: readonly Sheet[], options: ReadOptions): Layer {
  const sheet = chosen(sheets, options);
  const rows = rowsOf(sheet, options.name);
  const notes = notesInRows(rows, options);
  const layer =
    notes === null ? readRows(rows, 'xlsx', options) : notesLayer(notes, options.role, options.sha256 ?? null);
  const others = sheets.filter((one) => one !== sheet).map((one) => `"${one.name}"`);
  if (others.length === 0 || options.layer !== undefined) return layer;
  const message = `the sheet "${sheet.name}" was read; the workbook also has ${others.join(', ')}`;
  const note = finding('layer-picked', { layer: options.name }, message, 'choose another with --layer SHEET');
  return Object.assign(layer, { findings: [note, ...layer.findings] });
}

/**
 * The field notes of the first sheet, or of the one that `layer` names.
 *
 * @throws InputError `layer-missing`, `notes-columns`, and those of `readNotes`
 */
export function readSheetNotes(sheets: readonly Sheet[], options: ReadOptions): FieldNotes {
  const sheet = chosen(sheets, options);
  const notes = notesInRows(rowsOf(sheet, options.name), options);
  if (notes !== null) return notes;
  throw new InputError('notes-columns', `the sheet "${sheet.name}" of ${options.name} has no heading of field notes`, {
    layer: options.name,
    cure: 'name a column point, and one of from, base, or choose another sheet with --layer SHEET',
    choices: sheets.map(({ name }) => name),
  });
}

/** A library's error about a workbook that it can't read, as one of ours. */
export function brokenWorkbook(file: string, error: unknown): InputError {
  const why = error instanceof Error ? error.message : String(error);
  return new InputError('xlsx-broken', `${file} can't be read as a workbook: ${why}`, {
    layer: file,
    cure: 'open it in a spreadsheet program and save it again, or save the sheet as CSV',
  });
}

function chosen(sheets: readonly Sheet[], options: ReadOptions): Sheet {
  const names = sheets.map((sheet) => sheet.name).join(', ');
  const wanted = options.layer;
  const found =
    wanted === undefined
      ? sheets[0]
      : (sheets.find((sheet) => sheet.name === wanted) ??
        sheets.find((sheet) => sheet.name.toLowerCase() === wanted.toLowerCase()));
  if (found !== undefined) return found;
  throw new InputError(
    'layer-missing',
    `${options.name} has no sheet ${wanted === undefined ? '' : JSON.stringify(wanted)}`,
    {
      layer: options.name,
      cure: names === '' ? 'it holds no sheet at all' : `choose one with --layer: ${names}`,
      choices: sheets.map((sheet) => sheet.name),
    },
  );
}

/** Rows and columns of the largest sheet there is. */
const MOST_ROWS = 1_048_576;

/** Cells of every row, the first column first; empty rows stay, so that rows are numbered as Excel does. */
function rowsOf(sheet: Sheet, file: string): Cell[][] {
  const found = new Map<number, Map<number, Cell>>();
  const widths: number[] = [];
  const numbers: number[] = [];
  let filled = 0;
  sheet.eachRow({ includeEmpty: false }, (row, number) => {
    if (number > MOST_ROWS) throw tooManyRows(number, file);
    const cells = new Map<number, Cell>();
    let width = 0;
    row.eachCell({ includeEmpty: false }, (cell, column) => {
      checkWidth(column, number, file);
      cells.set(column, cellOf(cell.value));
      width = Math.max(width, column);
    });
    filled += cells.size;
    widths.push(width);
    numbers.push(number);
    found.set(number, cells);
  });
  checkFilling(widths, filled, numbers, file);
  const last = numbers.at(-1) ?? 0;
  const none: Cell[] = [];
  return Array.from({ length: last }, (_, i) => {
    const cells = found.get(i + 1);
    if (cells === undefined) return none;
    const width = [...cells.keys()].reduce((most, column) => Math.max(most, column), 0);
    return Array.from({ length: width }, (__, column) => cells.get(column + 1) ?? null);
  });
}

function tooManyRows(number: number, file: string): InputError {
  return new InputError('xlsx-broken', `${file}: it names a row ${number}, but no sheet has so many rows`, {
    layer: file,
    cure: 'open it in a spreadsheet program and save it again, or save the sheet as CSV',
  });
}

/** What a cell that is not a plain value may hold. */
interface RichCell {
  readonly richText?: readonly { readonly text: string }[];
  readonly hyperlink?: unknown;
  readonly text?: unknown;
  readonly error?: string;
  readonly result?: unknown;
}

/** A cell's value: a formula's result, a link's text, a date as it is written in ISO 8601. */
function cellOf(value: unknown): Cell {
  if (value === null || value === undefined) return null;
  if (typeof value === 'string' || typeof value === 'number' || typeof value === 'boolean') return value;
  if (value instanceof Date) return dateText(value);
  const rich = value as RichCell;
  if (rich.richText !== undefined) return rich.richText.map((run) => run.text).join('');
  if ('hyperlink' in rich) return cellOf(rich.text);
  if (rich.error !== undefined) return rich.error;
  return rich.result === undefined ? null : cellOf(rich.result);
}

/** Workbooks have no time zone: the parts are read as UTC. */
function dateText(date: Date): string {
  if (Number.isNaN(date.getTime())) return '';
  const text = date.toISOString();
  return text.endsWith('T00:00:00.000Z') ? text.slice(0, 10) : text.slice(0, 19);
}
