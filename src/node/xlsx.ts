// Excel workbook -> Layer of points. In: bytes of an .xlsx, and which sheet; out: one feature a row below the heading.
// Terms: sheet = a worksheet; cells keep the type the workbook gives them; columns are found as in CSV.
// exceljs is an optional peer, loaded when the first workbook is read.

import type { CellValue, Worksheet } from 'exceljs';
import { finding, InputError } from '../findings.js';
import { type Cell, type ReadOptions, readRows } from '../read.js';
import type { Layer } from '../types.js';
import { peer } from './peer.js';
import type { ZipCaps } from './zip.js';
import { judgeZip } from './zip-judge.js';

/**
 * Reads the first sheet, or the one that `layer` names.
 *
 * @throws InputError `peer-missing`, `xlsx-broken`, `layer-missing`, `file-empty`, zip caps, and those of CSV columns
 * @example
 * const layer = await readXlsx(bytes, { name: 'schedule.xlsx', layer: 'Trees' });
 */
export async function readXlsx(bytes: Uint8Array, options: ReadOptions, caps: ZipCaps = {}): Promise<Layer> {
  const library = await peer('exceljs', 'Excel workbooks', options.name, () => import('exceljs'));
  await judgeZip(bytes, options.name, caps);
  const workbook = new library.default.Workbook();
  try {
    await workbook.xlsx.load(bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.byteLength) as ArrayBuffer);
  } catch (error) {
    const why = error instanceof Error ? error.message : String(error);
    throw new InputError('xlsx-broken', `${options.name} can't be read as a workbook: ${why}`, {
      layer: options.name,
      cure: 'open it in a spreadsheet program and save it again, or save the sheet as CSV',
    });
  }
  const sheets = workbook.worksheets;
  const sheet = chosen(sheets, options);
  const layer = readRows(rowsOf(sheet), 'xlsx', options);
  const others = sheets.filter((one) => one !== sheet).map((one) => `"${one.name}"`);
  if (others.length === 0 || options.layer !== undefined) return layer;
  const message = `the sheet "${sheet.name}" was read; the workbook also has ${others.join(', ')}`;
  const note = finding('layer-picked', { layer: options.name }, message, 'choose another with --layer SHEET');
  return Object.assign(layer, { findings: [note, ...layer.findings] });
}

function chosen(sheets: readonly Worksheet[], options: ReadOptions): Worksheet {
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
    },
  );
}

/** Cells of every row, the first column first; empty rows stay, so that rows are numbered as Excel does. */
function rowsOf(sheet: Worksheet): Cell[][] {
  const rows: Cell[][] = [];
  sheet.eachRow({ includeEmpty: true }, (row, number) => {
    const cells: Cell[] = [];
    row.eachCell({ includeEmpty: true }, (cell, column) => {
      cells[column - 1] = cellOf(cell.value);
    });
    rows[number - 1] = cells;
  });
  return Array.from(rows, (cells) => Array.from(cells ?? [], (cell) => cell ?? null));
}

/** A cell's value: a formula's result, a link's text, a date as it is written in ISO 8601. */
function cellOf(value: CellValue): Cell {
  if (value === null || value === undefined) return null;
  if (value instanceof Date) return dateText(value);
  if (typeof value !== 'object') return value;
  if ('richText' in value) return value.richText.map((run) => run.text).join('');
  if ('hyperlink' in value) return cellOf(value.text as CellValue);
  if ('error' in value) return value.error;
  return 'result' in value && value.result !== undefined ? cellOf(value.result) : null;
}

/** Workbooks know no time zone: the parts are those of UTC. */
function dateText(date: Date): string {
  if (Number.isNaN(date.getTime())) return '';
  const text = date.toISOString();
  return text.endsWith('T00:00:00.000Z') ? text.slice(0, 10) : text.slice(0, 19);
}
