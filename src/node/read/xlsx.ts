// Excel workbook -> Layer of points, in Node. In: bytes of an .xlsx, and which sheet; out: one feature a row below the
// heading. Terms: see read/workbook.ts, which reads the sheets that are opened here.
// exceljs is an optional peer, loaded when the first workbook is read.

import type { Layer } from '../../model/index.js';
import type { FieldNotes, ReadOptions } from '../../read/index.js';
import { brokenWorkbook, peer, readSheetNotes, readSheets, type Sheet } from '../../read/index.js';
import { checkWorkbook } from './workbook-bounds.js';
import type { ZipCaps } from './zip.js';

/** Parts that say how cells may be filled in or look; the library would expand them for every cell of their ranges. */
const NOT_READ = ['dataValidations', 'conditionalFormatting'];

/**
 * Reads the first sheet, or the one that `layer` names.
 *
 * @throws InputError `peer-missing`, `xlsx-broken`, `layer-missing`, `file-empty`, `workbook-large`,
 *   `table-wide`, `table-sparse`, zip caps, and those of CSV columns
 * @example
 * const layer = await readXlsx(bytes, { name: 'schedule.xlsx', layer: 'Trees' });
 */
export async function readXlsx(bytes: Uint8Array, options: ReadOptions, caps: ZipCaps = {}): Promise<Layer> {
  return readSheets(await sheetsOf(bytes, options.name, caps), options);
}

/**
 * The field notes of the first sheet, or of the one that `layer` names.
 *
 * @throws InputError as `readXlsx`, and `notes-columns`
 */
export async function readXlsxNotes(bytes: Uint8Array, options: ReadOptions): Promise<FieldNotes> {
  return readSheetNotes(await sheetsOf(bytes, options.name, {}), options);
}

async function sheetsOf(bytes: Uint8Array, name: string, caps: ZipCaps): Promise<readonly Sheet[]> {
  const library = await peer('exceljs', 'Excel workbooks', name, () => import('exceljs'));
  await checkWorkbook(bytes, name, caps);
  const workbook = new library.default.Workbook();
  try {
    const own = bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.byteLength) as ArrayBuffer;
    await workbook.xlsx.load(own, { ignoreNodes: NOT_READ });
  } catch (error) {
    throw brokenWorkbook(name, error);
  }
  return workbook.worksheets;
}
