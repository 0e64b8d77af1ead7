// Records of a damaged .shp. In: sources of .shp and .shx, the shape type; out: where each record starts, -1 for lost.
// Terms: sound = a record with the number that is due, of the file's type or null, complete and consistent in itself;
// resync = going on with the next sound record behind a damaged place.

import { inspect } from './shp-record.js';
import { type ByteSource, int32, int32le } from './source.js';

const LOST = -1;
const SCAN_BYTES = 1 << 16;

/**
 * Finds every record that can still be read. Lost records are those that a later record, the index or the table
 * (`rows`) prove to have been there; of a file that was cut off without either, at least the record the cut went through.
 */
export function salvagedStarts(
  source: ByteSource,
  shx: ByteSource | undefined,
  code: number,
  rows: number,
): { readonly starts: Float64Array; readonly countKnown: boolean } {
  const starts: number[] = []; // by record number
  let at = 100;
  let last = 100; // where the search goes on from: the record before may state a wrong length
  let cut = false;
  while (at < source.size) {
    const length = soundLength(source, at, starts.length + 1, code);
    if (length >= 0) {
      starts.push(at);
      last = at + 12;
      at += 8 + length;
      continue;
    }
    const found = resync(source, last, starts.length + 1, code);
    if (found === undefined) {
      cut = true;
      break;
    }
    while (starts.length < found.number - 1) starts.push(LOST);
    at = found.at;
  }
  const known = Math.max(fromIndex(source, shx, code, starts), rows);
  while (starts.length < known) starts.push(LOST);
  if (known === 0 && cut) starts.push(LOST);
  return { starts: Float64Array.from(starts), countKnown: known > 0 };
}

/** Length of the content of the record at a place; -1 unless it is sound. Without `number` any will do. */
function soundLength(source: ByteSource, at: number, number: number | undefined, code: number): number {
  const head = source.at(at, 12);
  if (head.length < 12 || (number !== undefined && int32(head, 0) !== number)) return -1;
  const length = int32(head, 4) * 2;
  const type = int32le(head, 8);
  if (length < 4 || at + 8 + length > source.size || (type !== 0 && type !== code)) return -1;
  if (type === 0) return length === 4 ? length : -1;
  return inspect(source.at(at + 8, length), code).state === 'broken' ? -1 : length;
}

/** The next place where a sound record with the number that is due, or a later one, starts. Records start on words. */
function resync(
  source: ByteSource,
  from: number,
  due: number,
  code: number,
): { at: number; number: number } | undefined {
  for (let base = from; base + 12 <= source.size; base += SCAN_BYTES) {
    const most = due + (source.size - base) / 12;
    // A copy: looking closer at a candidate may move the block on.
    const window = source.at(base, SCAN_BYTES + 10).slice();
    for (let i = 0; i + 12 <= window.length; i += 2) {
      const number = int32(window, i);
      if (number < due || number > most) continue;
      const type = int32le(window, i + 8);
      if (type !== 0 && type !== code) continue;
      if (soundLength(source, base + i, number, code) >= 0) return { at: base + i, number };
    }
  }
  return undefined;
}

/** Fills lost records from the index where it points at sound ones; returns how many records it lists. */
function fromIndex(source: ByteSource, shx: ByteSource | undefined, code: number, starts: number[]): number {
  if (shx === undefined || shx.size < 100 || int32(shx.at(0, 4), 0) !== 9994) return 0;
  const count = Math.floor((shx.size - 100) / 8);
  for (let i = 0; i < count; i++) {
    if (i < starts.length && starts[i] !== LOST) continue;
    const entry = shx.at(100 + 8 * i, 8);
    const start = int32(entry, 0) * 2;
    const sound = start >= 100 && soundLength(source, start, undefined, code) === int32(entry, 4) * 2;
    starts[i] = sound ? start : LOST;
  }
  return count;
}
