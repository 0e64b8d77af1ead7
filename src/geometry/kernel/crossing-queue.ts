// Crossings to come: in: pairs of spans and the angle at which they cross; out: the pair with the smallest angle.
// Terms: pair = a span and the one next to it towards the centre. A binary heap; equal angles come by pair, so that the
// order does not depend on what was put in first.
// Cost: log n for each pair put in or taken out.

import { doubled, doubledIntegers } from '../column.js';

export class CrossingQueue {
  size: number = 0;
  #angle = new Float64Array(256);
  #far = new Int32Array(256);
  #near = new Int32Array(256);

  clear(): void {
    this.size = 0;
  }

  /** Angle of the next pair; Infinity when there is none. */
  get angle(): number {
    return this.size === 0 ? Number.POSITIVE_INFINITY : this.#angle[0]!;
  }
  get far(): number {
    return this.#far[0]!;
  }
  get near(): number {
    return this.#near[0]!;
  }

  add(angle: number, far: number, near: number): void {
    let k = this.size++;
    if (k === this.#angle.length) {
      this.#angle = doubled(this.#angle);
      this.#far = doubledIntegers(this.#far);
      this.#near = doubledIntegers(this.#near);
    }
    while (k > 0) {
      const parent = (k - 1) >> 1;
      if (!this.#isBefore(angle, far, near, parent)) break;
      this.#copy(parent, k);
      k = parent;
    }
    this.#put(k, angle, far, near);
  }

  /** Drops the next pair. */
  next(): void {
    const n = --this.size;
    const angle = this.#angle[n]!;
    const far = this.#far[n]!;
    const near = this.#near[n]!;
    let k = 0;
    for (;;) {
      let child = 2 * k + 1;
      if (child >= n) break;
      if (
        child + 1 < n &&
        this.#isBefore(this.#angle[child + 1]!, this.#far[child + 1]!, this.#near[child + 1]!, child)
      ) {
        child++;
      }
      if (this.#isBefore(angle, far, near, child)) break;
      this.#copy(child, k);
      k = child;
    }
    this.#put(k, angle, far, near);
  }

  #isBefore(angle: number, far: number, near: number, other: number): boolean {
    const d = angle - this.#angle[other]! || far - this.#far[other]! || near - this.#near[other]!;
    return d < 0;
  }

  #copy(from: number, to: number): void {
    this.#put(to, this.#angle[from]!, this.#far[from]!, this.#near[from]!);
  }

  #put(k: number, angle: number, far: number, near: number): void {
    this.#angle[k] = angle;
    this.#far[k] = far;
    this.#near[k] = near;
  }
}
