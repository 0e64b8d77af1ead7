// Excel workbook -> Layer of points, in Node. In: bytes of an .xlsx, and which sheet; out: one feature a row below the
// heading. Terms: see read/workbook.ts, which reads the sheets that are opened here.
// exceljs is an optional peer, loaded when the first workbook is read.

import { Buffer } from 'node:buffer';
import { fromBufferPromise } from 'yauzl';
import type { Layer } from '../../model/index.js';
import { InputError } from '../../model/index.js';
import type { ReadOptions } from '../../read/index.js';
import { brokenWorkbook, peer, readSheets, type Sheet } from '../../read/index.js';
import { Budget, type ZipCaps } from './zip-inflate.js';

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
    throw brokenWorkbook(options.name, error);
  }
  const sheets: readonly Sheet[] = workbook.worksheets;
  return readSheets(sheets, options);
}

/** @throws InputError `zip-caps`, `zip-broken`, `zip-encrypted` */
async function judgeZip(bytes: Uint8Array, name: string, caps: ZipCaps): Promise<void> {
  const budget = new Budget(name, caps);
  try {
    const buffer = Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength);
    const zip = await fromBufferPromise(buffer, { lazyEntries: true, validateEntrySizes: true });
    for await (const entry of zip.eachEntry()) {
      budget.takeEntries(1);
      budget.takeBytes(entry.fileName, entry.uncompressedSize, entry.compressedSize);
      if (entry.isEncrypted()) {
        throw budget.refusal('zip-encrypted', entry.fileName, 'is protected by a password', 'save it without one');
      }
    }
  } catch (error) {
    if (error instanceof InputError) throw error;
    const why = error instanceof Error ? error.message : String(error);
    throw new InputError('zip-broken', `${name} can't be unpacked: ${why}`, {
      layer: name,
      cure: 'download or copy it again: it may have been cut off',
    });
  }
}
