// Own properties of many features, kept as the bytes they were read from: in: JSON objects as bytes; out: objects,
// single values or the bytes again, when asked. Terms: block = a run of bytes that is never moved once written.
// A million parsed objects would cost more memory than the rest of a job; their bytes cost what the file holds.

import { IndexColumn } from './geometry/column.js';
import type { Properties } from './types.js';

const BLOCK = 1 << 22;
const QUOTE = 0x22;
const BACKSLASH = 0x5c;
const decoder = new TextDecoder();

/** The same as plain data: blocks of bytes, and for each object its block, place and length. */
export interface StoredProperties {
  readonly blocks: readonly Uint8Array[];
  readonly block: Uint32Array;
  readonly start: Uint32Array;
  readonly length: Uint32Array;
}

export class PropertyBytes {
  #blocks: Uint8Array[] = [];
  #used = BLOCK;
  #block = new IndexColumn();
  #start = new IndexColumn();
  #length = new IndexColumn();

  /** Over data taken before; more may be pushed. */
  static over(stored: StoredProperties): PropertyBytes {
    const out = new PropertyBytes();
    out.#blocks = [...stored.blocks];
    out.#block = IndexColumn.over(stored.block);
    out.#start = IndexColumn.over(stored.start);
    out.#length = IndexColumn.over(stored.length);
    return out;
  }

  take(): StoredProperties {
    const [block, start, length] = [this.#block.take(), this.#start.take(), this.#length.take()];
    return { blocks: this.#blocks, block, start, length };
  }

  get count(): number {
    return this.#length.length;
  }

  /** Keeps one JSON object; white space outside its strings is dropped when `spaced`. */
  push(bytes: Uint8Array, from: number, to: number, spaced: boolean): void {
    const most = to - from;
    if (this.#used + most > (this.#blocks.at(-1)?.length ?? 0)) {
      this.#blocks.push(new Uint8Array(Math.max(BLOCK, most)));
      this.#used = 0;
    }
    const block = this.#blocks.at(-1) as Uint8Array;
    const length = spaced ? compact(bytes, from, to, block, this.#used) : copy(bytes, from, to, block, this.#used);
    this.#block.push(this.#blocks.length - 1);
    this.#start.push(this.#used);
    this.#length.push(length);
    this.#used += length;
  }

  /** The bytes of one object, from its brace to its brace. */
  bytes(i: number): Uint8Array {
    const start = this.#start.at(i);
    return (this.#blocks[this.#block.at(i)] as Uint8Array).subarray(start, start + this.#length.at(i));
  }

  parse(i: number): Properties {
    return JSON.parse(decoder.decode(this.bytes(i))) as Properties;
  }

  /** One value of one object, without parsing the others; undefined where the object has no such key. */
  value(i: number, key: Uint8Array): unknown {
    const bytes = this.#blocks[this.#block.at(i)] as Uint8Array;
    const end = this.#start.at(i) + this.#length.at(i) - 1;
    let pos = this.#start.at(i) + 1;
    let found: unknown;
    while (pos < end) {
      const keyFrom = pos + 1;
      const keyTo = stringEnd(bytes, keyFrom);
      const valueFrom = keyTo + 2; // closing quote, colon
      const valueTo = valueEnd(bytes, valueFrom, end);
      if (isKey(bytes, keyFrom, keyTo, key)) found = scalar(bytes, valueFrom, valueTo); // the last of equal keys counts
      pos = valueTo + 1;
    }
    return found;
  }
}

function copy(bytes: Uint8Array, from: number, to: number, into: Uint8Array, at: number): number {
  // set() on a short subarray costs more than the loop
  if (to - from > 200) into.set(bytes.subarray(from, to), at);
  else for (let i = from, o = at; i < to; i++, o++) into[o] = bytes[i] as number;
  return to - from;
}

function compact(bytes: Uint8Array, from: number, to: number, into: Uint8Array, at: number): number {
  let o = at;
  for (let i = from; i < to; i++) {
    const c = bytes[i] as number;
    if (c === 0x20 || c === 0x0a || c === 0x0d || c === 0x09) continue;
    into[o++] = c;
    if (c !== QUOTE) continue;
    const end = stringEnd(bytes, i + 1);
    while (i < end) into[o++] = bytes[++i] as number;
  }
  return o - at;
}

/** Position of a string's closing quote; the bytes have been checked when they were read. */
function stringEnd(bytes: Uint8Array, from: number): number {
  for (let i = from; ; i++) {
    const c = bytes[i];
    if (c === BACKSLASH) i++;
    else if (c === QUOTE || c === undefined) return i;
  }
}

/** Position after a value: of the comma or closing brace behind it. */
function valueEnd(bytes: Uint8Array, from: number, end: number): number {
  let depth = 0;
  for (let i = from; i < end; i++) {
    const c = bytes[i];
    if (c === QUOTE) i = stringEnd(bytes, i + 1);
    else if (c === 0x7b || c === 0x5b) depth++;
    else if (c === 0x7d || c === 0x5d) depth--;
    else if (c === 0x2c && depth === 0) return i;
  }
  return end;
}

function isKey(bytes: Uint8Array, from: number, to: number, key: Uint8Array): boolean {
  if (to - from === key.length) {
    for (let i = 0; i < key.length; i++)
      if (bytes[from + i] !== key[i]) return hasEscape(bytes, from, to) && decoded(bytes, from, to, key);
    return true;
  }
  return hasEscape(bytes, from, to) && decoded(bytes, from, to, key);
}

function hasEscape(bytes: Uint8Array, from: number, to: number): boolean {
  for (let i = from; i < to; i++) if (bytes[i] === BACKSLASH) return true;
  return false;
}

function decoded(bytes: Uint8Array, from: number, to: number, key: Uint8Array): boolean {
  return JSON.parse(decoder.decode(bytes.subarray(from - 1, to + 1))) === decoder.decode(key);
}

/** Short plain texts and numbers are read byte by byte: for these JSON.parse with its decoding takes five times as long. */
function scalar(bytes: Uint8Array, from: number, to: number): unknown {
  const c = bytes[from];
  if (c === QUOTE && to - from < 64) {
    let text = '';
    for (let i = from + 1; i < to - 1; i++) {
      const b = bytes[i] as number;
      if (b >= 0x80 || b === BACKSLASH) return JSON.parse(decoder.decode(bytes.subarray(from, to)));
      text += String.fromCharCode(b);
    }
    return text;
  }
  if (c === 0x6e) return null;
  if ((c === 0x2d || (c !== undefined && c >= 0x30 && c <= 0x39)) && to - from < 40) {
    let text = '';
    for (let i = from; i < to; i++) text += String.fromCharCode(bytes[i] as number);
    return Number(text);
  }
  return JSON.parse(decoder.decode(bytes.subarray(from, to)));
}
