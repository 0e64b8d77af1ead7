// Own properties of many features, kept as the bytes they were read from: in: JSON objects as bytes; out: objects,
// single values or the bytes again, when asked. Terms: block = a run of bytes that is never moved once written.
// A million parsed objects would cost more memory than the rest of a job; their bytes cost what the file holds.

import { IndexColumn } from '../geometry/index.js';
import type { Properties } from './layer.js';

const BLOCK = 1 << 22;
const QUOTE = 0x22;
const BACKSLASH = 0x5c;
const decoder = new TextDecoder();

/** The same as plain data: blocks of bytes, and for each object its block, place and length. */
export interface StoredProperties {
  readonly blocks: readonly Uint8Array[];
  readonly block: Uint32Array<ArrayBuffer>;
  readonly start: Uint32Array<ArrayBuffer>;
  readonly length: Uint32Array<ArrayBuffer>;
}

/** A run of bytes. */
export interface ByteSpot {
  bytes: Uint8Array;
  from: number;
  to: number;
}

export class PropertyBytes {
  #blocks: Uint8Array[] = [];
  #used = BLOCK;
  #block = new IndexColumn();
  #start = new IndexColumn();
  #length = new IndexColumn();

  /** Starts from data collected earlier; more may be pushed. */
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

  /** Makes room for so many objects in all. */
  reserve(count: number): void {
    for (const column of [this.#block, this.#start, this.#length]) column.reserve(count);
  }

  /** Keeps one JSON object; white space outside its strings is dropped when `spaced`. */
  push(bytes: Uint8Array, from: number, to: number, spaced: boolean): void {
    const most = to - from;
    if (this.#used + most > (this.#blocks.at(-1)?.length ?? 0)) {
      this.#blocks.push(new Uint8Array(Math.max(BLOCK, most)));
      this.#used = 0;
    }
    const block = this.#blocks.at(-1)!;
    const length = spaced ? compact(bytes, from, to, block, this.#used) : copy(bytes, from, to, block, this.#used);
    this.#block.push(this.#blocks.length - 1);
    this.#start.push(this.#used);
    this.#length.push(length);
    this.#used += length;
  }

  /** The bytes of one object, from its brace to its brace. */
  bytes(i: number): Uint8Array {
    const start = this.#start.at(i);
    return this.#blocks[this.#block.at(i)]!.subarray(start, start + this.#length.at(i));
  }

  parse(i: number): Properties {
    return JSON.parse(decoder.decode(this.bytes(i))) as Properties;
  }

  /** One value of one object, without parsing the others; undefined where the object has no such key. */
  value(i: number, key: Uint8Array): unknown {
    const m = this.#find(i, key);
    if (m < 0) return undefined;
    return this.#texts.scalar(this.#blocks[this.#block.at(i)]!, this.#members[m + 2]!, this.#members[m + 3]!);
  }

  /** Where one value stands, as JSON text; false where the object has no such key. */
  spot(i: number, key: Uint8Array, into: ByteSpot): boolean {
    const m = this.#find(i, key);
    if (m < 0) return false;
    into.bytes = this.#blocks[this.#block.at(i)]!;
    into.from = this.#members[m + 2]!;
    into.to = this.#members[m + 3]!;
    return true;
  }

  // The members of the object looked at last: several of its values are asked for one after another.
  #object = -1;
  #count = 0;
  #members = new Uint32Array(MEMBER * 32);
  readonly #texts = new Texts();

  /** Place in #members of the member of this name, the last of equal ones; -1 for none. */
  #find(i: number, key: Uint8Array): number {
    if (this.#object !== i) this.#scan(i);
    const bytes = this.#blocks[this.#block.at(i)]!;
    const members = this.#members;
    for (let m = (this.#count - 1) * MEMBER; m >= 0; m -= MEMBER) {
      const from = members[m]!;
      const to = members[m + 1]!;
      if (to - from === key.length && same(bytes, from, key)) return m;
      if (members[m + 4] === 1 && decoded(bytes, from, to, key)) return m;
    }
    return -1;
  }

  #scan(i: number): void {
    const bytes = this.#blocks[this.#block.at(i)]!;
    const end = this.#start.at(i) + this.#length.at(i) - 1;
    let pos = this.#start.at(i) + 1;
    let m = 0;
    while (pos < end) {
      if (m === this.#members.length) this.#members = grown(this.#members);
      const members = this.#members;
      let at = pos + 1;
      let escaped = 0;
      for (let c = bytes[at]; c !== QUOTE; c = bytes[++at]) {
        if (c !== BACKSLASH) continue;
        escaped = 1;
        at++;
      }
      members[m] = pos + 1;
      members[m + 1] = at;
      members[m + 2] = at + 2; // closing quote, colon
      pos = valueEnd(bytes, at + 2, end);
      members[m + 3] = pos++;
      members[m + 4] = escaped;
      m += MEMBER;
    }
    this.#count = m / MEMBER;
    this.#object = i;
  }
}

/** Entries per member: where its key and its value begin and end, and whether the key holds escapes. */
const MEMBER = 5;

function grown(members: Uint32Array): Uint32Array<ArrayBuffer> {
  const out = new Uint32Array(members.length * 2);
  out.set(members);
  return out;
}

function copy(bytes: Uint8Array, from: number, to: number, into: Uint8Array, at: number): number {
  // set() on a short subarray costs more than the loop
  if (to - from > 200) into.set(bytes.subarray(from, to), at);
  else for (let i = from, o = at; i < to; i++, o++) into[o] = bytes[i]!;
  return to - from;
}

function compact(bytes: Uint8Array, from: number, to: number, into: Uint8Array, at: number): number {
  let o = at;
  for (let i = from; i < to; i++) {
    const c = bytes[i]!;
    if (c === 0x20 || c === 0x0a || c === 0x0d || c === 0x09) continue;
    into[o++] = c;
    if (c !== QUOTE) continue;
    const end = stringEnd(bytes, i + 1);
    while (i < end) into[o++] = bytes[++i]!;
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

function same(bytes: Uint8Array, from: number, key: Uint8Array): boolean {
  for (let i = 0; i < key.length; i++) if (bytes[from + i] !== key[i]) return false;
  return true;
}

function decoded(bytes: Uint8Array, from: number, to: number, key: Uint8Array): boolean {
  return JSON.parse(decoder.decode(bytes.subarray(from - 1, to + 1))) === decoder.decode(key);
}

const SLOTS = 1024;
const LONGEST = 64;
/** 10^k up to here is exact in a double; a whole number of at most 15 digits over it is rounded once (Clinger 1990). */
const EXACT_POWERS: readonly number[] = Array.from({ length: 23 }, (_, k) => Number(`1e${k}`));

/**
 * Values -> what JSON.parse makes of them. Short plain texts and numbers are read byte by byte: JSON.parse with its
 * decoding takes five times as long. Texts that repeat (species, kinds) are made once.
 */
class Texts {
  readonly #known: (string | undefined)[] = new Array<undefined>(SLOTS).fill(undefined);

  scalar(bytes: Uint8Array, from: number, to: number): unknown {
    const c = bytes[from];
    if (c === QUOTE && to - from < LONGEST) return this.#text(bytes, from + 1, to - 1);
    if (c === 0x6e) return null;
    if (c === 0x2d || (c !== undefined && c >= 0x30 && c <= 0x39)) return number(bytes, from, to);
    return JSON.parse(decoder.decode(bytes.subarray(from, to)));
  }

  #text(bytes: Uint8Array, from: number, to: number): unknown {
    let hash = to - from;
    for (let i = from; i < to; i++) {
      const b = bytes[i]!;
      if (b >= 0x80 || b === BACKSLASH) return JSON.parse(decoder.decode(bytes.subarray(from - 1, to + 1)));
      hash = (Math.imul(hash, 31) + b) | 0;
    }
    const slot = (hash ^ (hash >>> 10)) & (SLOTS - 1);
    const known = this.#known[slot];
    if (known !== undefined && isText(known, bytes, from, to)) return known;
    let text = '';
    for (let i = from; i < to; i++) text += String.fromCharCode(bytes[i]!);
    this.#known[slot] = text;
    return text;
  }
}

function isText(text: string, bytes: Uint8Array, from: number, to: number): boolean {
  if (text.length !== to - from) return false;
  for (let i = from; i < to; i++) if (text.charCodeAt(i - from) !== bytes[i]) return false;
  return true;
}

/** The double that Number() gives for a JSON number. */
function number(bytes: Uint8Array, from: number, to: number): number {
  const negative = bytes[from] === 0x2d;
  let whole = 0;
  let point = -1;
  let exact = to - from <= 16;
  for (let i = negative ? from + 1 : from; exact && i < to; i++) {
    const c = bytes[i]!;
    if (c === 0x2e) point = i;
    else if (c >= 0x30 && c <= 0x39) whole = whole * 10 + (c - 0x30);
    else exact = false; // an exponent
  }
  if (!exact || whole >= 2 ** 53) {
    let text = '';
    for (let i = from; i < to; i++) text += String.fromCharCode(bytes[i]!);
    return Number(text);
  }
  const value = point < 0 ? whole : whole / EXACT_POWERS[to - point - 1]!;
  return negative ? -value : value;
}
