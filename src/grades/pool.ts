// Corners that are one place. In: coordinates; out: a number for each place. Terms: bucket = a small square of the plane. Corners nearer
// than a hundred thousandth of the file's unit are one: crossings of nearly parallel edges carry that much of rounding. Constant a corner.

import { FloatColumn, IndexColumn } from '../geometry/index.js';

const SAME = 1e-5;
/** Buckets a side: their numbers stay whole in a double. */
const BUCKETS = 2 ** 25;

export class CornerPool {
  readonly x: FloatColumn = new FloatColumn();
  readonly y: FloatColumn = new FloatColumn();
  readonly #next = new IndexColumn();
  readonly #head = new Map<number, number>();
  readonly #bucket: number;

  /** Coordinates lie between 0 and `extent`. */
  constructor(extent: number) {
    this.#bucket = Math.max(SAME * 100, extent / BUCKETS);
  }

  get count(): number {
    return this.x.length;
  }

  /** The number of a place; a new one where no corner is so near. */
  at(x: number, y: number): number {
    const west = this.#of(x - SAME);
    const east = this.#of(x + SAME);
    const south = this.#of(y - SAME);
    const north = this.#of(y + SAME);
    for (let i = west; i <= east; i++) {
      for (let j = south; j <= north; j++) {
        const found = this.#find(i, j, x, y);
        if (found >= 0) return found;
      }
    }
    const key = keyOf(this.#of(x), this.#of(y));
    const number = this.count;
    this.x.push(x);
    this.y.push(y);
    this.#next.push((this.#head.get(key) ?? -1) + 1); // 0: the last of its bucket
    this.#head.set(key, number);
    return number;
  }

  #of(value: number): number {
    return Math.floor(value / this.#bucket);
  }

  #find(i: number, j: number, x: number, y: number): number {
    for (let at = this.#head.get(keyOf(i, j)) ?? -1; at >= 0; at = this.#next.at(at) - 1) {
      if (Math.abs(this.x.at(at) - x) <= SAME && Math.abs(this.y.at(at) - y) <= SAME) return at;
    }
    return -1;
  }
}

function keyOf(i: number, j: number): number {
  return (i + 4) * (BUCKETS + 16) + j + 4;
}
