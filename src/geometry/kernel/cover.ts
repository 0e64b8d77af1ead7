// What covers a place. In: pieces that a walk enters and leaves one after another; out: the classes there, the one owner
// whose works stand there, whether works there cut. Terms: as in sweep.ts; open = no works take this ground; own = covered
// by the works of one owner only.
// Cost: one step for each class of a piece entered or left.

import { EXISTING, RETREATED, WORKS } from './pieces.js';
import type { Touching } from './touching.js';

/** Whether no works stand on ground of these classes. */
export function isOpen(mask: number): boolean {
  return (mask & WORKS) === 0 || (mask & RETREATED) !== 0;
}

/** Ground behind works that cut counts as severed where it is open, except ground whose loss is not counted. */
export function canBeSevered(mask: number, spare: number, within: number): boolean {
  return isOpen(mask) && (mask & within) === within && (mask & spare & EXISTING) === 0;
}

export class Cover {
  mask: number = 0;
  #touching: Touching | null = null;
  #within = 0;
  #cutting = 0;
  #owners = 0; // how many cover the place, and the sum of their numbers: of one owner, its number
  #sum = 0;
  #isIn = new Uint8Array(64); // per piece
  #depth = new Int32Array(64); // how many pieces of an owner cover the place
  readonly #ofClass = new Int32Array(32); // how many pieces of a class do

  /** Starts where the circle meets the cut ray. */
  start(touching: Touching, within: number): void {
    const { count, owners, wraps } = touching;
    this.#touching = touching;
    this.#within = within;
    this.mask = this.#cutting = this.#owners = this.#sum = 0;
    this.#ofClass.fill(0);
    if (count > this.#isIn.length) this.#isIn = new Uint8Array(count * 2);
    else this.#isIn.fill(0, 0, count);
    if (owners > this.#depth.length) this.#depth = new Int32Array(owners * 2);
    else this.#depth.fill(0, 0, owners);
    for (let p = 0; p < count; p++) if (wraps[p]! !== 0) this.flip(p);
  }

  /** Crosses an edge of a piece; a piece may be of several classes. */
  flip(piece: number): void {
    const { classBit, cuts, owner } = this.#touching!;
    const bits = classBit[piece]!;
    const o = owner[piece]!;
    if (this.#isIn[piece] === 0) {
      this.#isIn[piece] = 1;
      for (let rest = bits; rest !== 0; rest &= rest - 1) {
        const place = 31 - Math.clz32(rest & -rest);
        if (this.#ofClass[place]!++ === 0) this.mask |= 1 << place;
      }
      this.#cutting += cuts[piece]!;
      if (o >= 0 && this.#depth[o]!++ === 0) {
        this.#owners++;
        this.#sum += o;
      }
    } else {
      this.#isIn[piece] = 0;
      for (let rest = bits; rest !== 0; rest &= rest - 1) {
        const place = 31 - Math.clz32(rest & -rest);
        if (--this.#ofClass[place]! === 0) this.mask &= ~(1 << place);
      }
      this.#cutting -= cuts[piece]!;
      if (o >= 0 && --this.#depth[o]! === 0) {
        this.#owners--;
        this.#sum -= o;
      }
    }
  }

  get isOpen(): boolean {
    return canBeSevered(this.mask, this.#touching!.spare, this.#within);
  }

  get cuts(): boolean {
    return this.#cutting > 0 && !isOpen(this.mask) && (this.mask & this.#touching!.spare) === 0;
  }

  /** Number of the owner that alone covers this ground, -1 for none. */
  get own(): number {
    const { mask } = this;
    const counts = (mask & this.#within) === this.#within && (mask & this.#touching!.spare) === 0;
    return this.#owners === 1 && counts && !isOpen(mask) ? this.#sum : -1;
  }
}
