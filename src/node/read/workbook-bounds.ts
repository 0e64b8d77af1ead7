// A workbook that another library will open is counted here first. In: its bytes; out: nothing, or an InputError. Terms:
// cells, strings and merged ranges are counted in the text of its parts as they are inflated, so that no more than a piece
// of a part is held at a time: opened, a cell takes some hundred times what it takes in the file.
// Cost: one pass over what is inflated, stopped where a count is passed.

import { Buffer } from 'node:buffer';
import { type Entry, fromBufferPromise } from 'yauzl';
import { InputError } from '../../model/index.js';
import { Budget, type ZipCaps } from './zip-inflate.js';

/** Inflated bytes of all parts: a table of trees of this size holds some million cells. */
const MOST_BYTES = 256 * 2 ** 20;
/** What may stand in all its parts together. A cell takes half a kilobyte when it is open, a merged one as well. */
const MOST: WorkbookCounts = { cells: 2_000_000, strings: 1_000_000, merged: 1_000_000 };
type Counted = 'cells' | 'strings' | 'merged';
type WorkbookCounts = Readonly<Record<Counted, number>>;
const WORDS: Readonly<Record<Counted, string>> = {
  cells: 'cells',
  strings: 'shared texts',
  merged: 'cells in merged ranges',
};

const CURE = 'save the one sheet that is needed as CSV, and give that file';

/** @throws InputError `zip-caps`, `zip-broken`, `zip-encrypted`, `workbook-large` */
export async function checkWorkbook(
  bytes: Uint8Array,
  name: string,
  caps: ZipCaps,
  most: WorkbookCounts = MOST,
): Promise<void> {
  const budget = new Budget(name, { ...caps, bytes: Math.min(caps.bytes ?? MOST_BYTES, MOST_BYTES) });
  const counts: Record<Counted, number> = { cells: 0, strings: 0, merged: 0 };
  try {
    const buffer = Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength);
    const zip = await fromBufferPromise(buffer, { lazyEntries: true, validateEntrySizes: true });
    const parts: Entry[] = [];
    for await (const entry of zip.eachEntry()) {
      budget.takeEntries(1);
      budget.takeBytes(entry.fileName, entry.uncompressedSize, entry.compressedSize);
      if (entry.isEncrypted()) {
        throw budget.refusal('zip-encrypted', entry.fileName, 'is protected by a password', 'save it without one');
      }
      parts.push(entry);
    }
    // All of them, pictures too: the size in the directory is compared with the inflated size.
    for (const entry of parts) {
      const stream = (await zip.openReadStreamPromise(entry)) as AsyncIterable<Buffer>;
      let rest: Buffer = Buffer.alloc(0);
      for await (const chunk of stream) {
        if (!entry.fileName.endsWith('.xml')) continue;
        rest = count(rest.length === 0 ? chunk : Buffer.concat([rest, chunk]), counts);
        refuseWhatIsTooMuch(counts, most, name);
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

/** An element's beginning that a chunk may have cut in two, bytes. */
const LONGEST_CUT = 256;
const [OPEN, CLOSE, SLASH, COLON, BLANK] = [0x3c, 0x3e, 0x2f, 0x3a, 0x20] as const;

/** Counts the elements that begin in some bytes, and gives back the end of them, which the next ones go on from. */
function count(bytes: Buffer, counts: Record<Counted, number>): Buffer {
  const { length } = bytes;
  for (let at = 0; at < length; at++) {
    if (bytes[at] !== OPEN) continue;
    let from = at + 1; // of the name, behind its prefix: x:c
    let end = from;
    for (; end < length && end - at < LONGEST_CUT; end++) {
      const byte = bytes[end]!;
      if (byte <= BLANK || byte === CLOSE || byte === SLASH) break;
      if (byte === COLON) from = end + 1;
    }
    if (end === length) return bytes.subarray(at);
    if (end - from === 1 && bytes[from] === LETTER_C) counts.cells++;
    else if (end - from === 2 && bytes[from] === LETTER_S && bytes[from + 1] === LETTER_I) counts.strings++;
    else if (end - from === MERGE_CELL.length && bytes.toString('latin1', from, end) === MERGE_CELL) {
      const close = bytes.indexOf(CLOSE, end);
      if (close === -1 && length - at < LONGEST_CUT) return bytes.subarray(at);
      counts.merged += cellsOf(
        bytes.toString('latin1', end, Math.min(close === -1 ? length : close, at + LONGEST_CUT)),
      );
    }
    at = end - 1;
  }
  return Buffer.alloc(0);
}

const [LETTER_C, LETTER_S, LETTER_I] = [0x63, 0x73, 0x69] as const;
const MERGE_CELL = 'mergeCell';

/** Cells of a range such as ref="A1:C3". */
function cellsOf(attributes: string): number {
  const [, left = '', top = '', right = '', bottom = ''] =
    /ref\s*=\s*["']\$?([A-Z]{1,4})\$?(\d{1,9}):\$?([A-Z]{1,4})\$?(\d{1,9})/i.exec(attributes) ?? [];
  if (left === '') return 1;
  return (Math.abs(columnOf(right) - columnOf(left)) + 1) * (Math.abs(Number(bottom) - Number(top)) + 1);
}

function columnOf(letters: string): number {
  let column = 0;
  for (const letter of letters.toUpperCase()) column = column * 26 + letter.charCodeAt(0) - 64;
  return column;
}

function refuseWhatIsTooMuch(counts: WorkbookCounts, most: WorkbookCounts, name: string): void {
  for (const what of Object.keys(most) as Counted[]) {
    if (counts[what] <= most[what]) continue;
    const message = `${name} holds more than ${most[what]} ${WORDS[what]}: it would not fit in memory when opened`;
    throw new InputError('workbook-large', message, { layer: name, cure: CURE });
  }
}
