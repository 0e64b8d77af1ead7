// Excel workbook -> Layer in a browser: loaded when the first one comes. In: its bytes; out: one sheet, and the names of all.
// Terms: see src/read/workbook.ts, which the command line uses too.

import exceljs from 'exceljs';
import type { Layer, ReadOptions } from '../core.js';
import { judge } from '../read/archive.js';
import { brokenWorkbook, readSheets } from '../read/workbook.js';

export async function openWorkbook(
  bytes: Uint8Array,
  options: ReadOptions,
): Promise<{ readonly names: readonly string[]; readonly layer: Layer }> {
  judge(bytes, options.name);
  const workbook = new exceljs.Workbook();
  try {
    await workbook.xlsx.load(bytes.slice().buffer);
  } catch (error) {
    throw brokenWorkbook(options.name, error);
  }
  const { worksheets } = workbook;
  return { names: worksheets.map(({ name }) => name), layer: readSheets(worksheets, options) };
}
