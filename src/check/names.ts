// Names by the million: in: names as bytes or as text, one row after another; out: the text of a row when asked, and
// whether a name was there before.
// Terms: spot = where a name's UTF-8 bytes stand, mostly in the very bytes the layer was read from; slot = place in a hash
// table with open addressing (Knuth, The Art of Computer Programming 3, 6.4, algorithm L). A million strings in a Map
// cost 150 MB and half a second; this costs 28 bytes a name.

import { IndexColumn } from '../geometry/index.js';
import type { ByteSpot, Names } from '../model/index.js';

const ARENA = 1 << 16;
const encoder = new TextEncoder();
const decoder = new TextDecoder();

export class NameTable implements Names {
  readonly #blocks: Uint8Array[] = [];
  readonly #block = new IndexColumn();
  readonly #start = new IndexColumn();
  readonly #size = new IndexColumn();
  #hash = new IndexColumn();
  #slots = new Int32Array(1024).fill(-1);
  #used = 0;
  #arena = new Uint8Array();
  #arenaUsed = 0;
  #lastBlock = -1; // of the spot before: neighbours mostly share one

  get length(): number {
    return this.#size.length;
  }

  at(row: number): string | undefined {
    if (row < 0 || row >= this.length) return undefined;
    const bytes = this.#blocks[this.#block.at(row)]!;
    const from = this.#start.at(row);
    const to = from + this.#size.at(row);
    let text = '';
    for (let i = from; i < to; i++) {
      const c = bytes[i]!;
      if (c >= 0x80) return decoder.decode(bytes.subarray(from, to));
      text += String.fromCharCode(c);
    }
    return text;
  }

  /** Row of this name; -1 where there is none. */
  rowOf(name: ByteSpot): number {
    return this.#row(name, hashOf(name));
  }

  /** The same for a text. */
  rowOfText(name: string): number {
    return this.rowOf(spotOf(name));
  }

  /** Gives the next row its name and returns -1. If an earlier row has the name, returns that row and adds nothing. */
  add(name: ByteSpot): number {
    const hash = hashOf(name);
    const row = this.#row(name, hash);
    if (row < 0) this.#push(this.#blockOf(name.bytes), name.from, name.to - name.from, hash);
    return row;
  }

  /** The same for a text, whose bytes are kept here. */
  addText(name: string): number {
    const spot = spotOf(name);
    const hash = hashOf(spot);
    const row = this.#row(spot, hash);
    if (row >= 0) return row;
    const size = spot.to;
    if (this.#arenaUsed + size > this.#arena.length) {
      this.#arena = new Uint8Array(Math.max(ARENA, size));
      this.#arenaUsed = 0;
    }
    this.#arena.set(spot.bytes, this.#arenaUsed);
    this.#push(this.#blockOf(this.#arena), this.#arenaUsed, size, hash);
    this.#arenaUsed += size;
    return -1;
  }

  /** The names alone, after the last look-up. */
  done(): this {
    this.#slots = new Int32Array();
    this.#hash = new IndexColumn();
    return this;
  }

  #blockOf(bytes: Uint8Array): number {
    if (this.#blocks[this.#lastBlock] !== bytes) {
      this.#lastBlock = this.#blocks.lastIndexOf(bytes);
      if (this.#lastBlock < 0) this.#lastBlock = this.#blocks.push(bytes) - 1;
    }
    return this.#lastBlock;
  }

  #push(block: number, start: number, size: number, hash: number): void {
    if ((this.#used + 1) * 2 > this.#slots.length) this.#grow();
    this.#put(hash, this.length);
    this.#used++;
    this.#block.push(block);
    this.#start.push(start);
    this.#size.push(size);
    this.#hash.push(hash);
  }

  #row(name: ByteSpot, hash: number): number {
    const mask = this.#slots.length - 1;
    for (let slot = hash & mask; ; slot = (slot + 1) & mask) {
      const row = this.#slots[slot]!;
      if (row < 0) return -1;
      if (this.#hash.at(row) === hash && this.#is(row, name)) return row;
    }
  }

  #is(row: number, name: ByteSpot): boolean {
    const size = this.#size.at(row);
    if (size !== name.to - name.from) return false;
    const bytes = this.#blocks[this.#block.at(row)]!;
    const start = this.#start.at(row);
    for (let i = 0; i < size; i++) if (bytes[start + i] !== name.bytes[name.from + i]) return false;
    return true;
  }

  #put(hash: number, row: number): void {
    const mask = this.#slots.length - 1;
    let slot = hash & mask;
    while (this.#slots[slot]! >= 0) slot = (slot + 1) & mask;
    this.#slots[slot] = row;
  }

  #grow(): void {
    this.#slots = new Int32Array(this.#slots.length * 4).fill(-1);
    for (let row = 0; row < this.length; row++) this.#put(this.#hash.at(row), row);
  }
}

function spotOf(text: string): ByteSpot {
  const bytes = encoder.encode(text);
  return { bytes, from: 0, to: bytes.length };
}

/** FNV-1a (G. Fowler, L. C. Noll, K.-P. Vo), its bits mixed once more so that the low ones are good. */
function hashOf({ bytes, from, to }: ByteSpot): number {
  let hash = 0x811c9dc5;
  for (let i = from; i < to; i++) hash = Math.imul(hash ^ bytes[i]!, 0x01000193);
  hash ^= hash >>> 15;
  return Math.imul(hash, 0x2c1b3c6d) >>> 0;
}
