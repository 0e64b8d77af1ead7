// Edges of rings whose boundary moves. In: rings, ground on their left; out: columns, an entry an edge, and how far the corner at
// its end turns. Terms: corner of an edge = that at its start.
// Cost: the corners, and an index of their edges' boxes.

import { BoxIndex } from '../box-index.js';
import type { Ring } from './shapes.js';

/** Edges of all rings as columns, those without length left out. */
export class Edges {
  readonly count: number;
  readonly x: Float64Array;
  readonly y: Float64Array;
  readonly ux: Float64Array;
  readonly uy: Float64Array;
  readonly length: Float64Array;
  readonly next: Int32Array;
  readonly before: Int32Array;
  /** How far the corner at its end turns to the left, radians; Infinity straight back, which opens to both sides. */
  readonly turn: Float64Array;
  /** Of all of them, metres. */
  readonly total: number;
  readonly box: Float64Array;
  readonly index: BoxIndex;

  constructor(rings: readonly Ring[]) {
    const most = rings.reduce((n, ring) => n + ring.length / 2, 0);
    const column = (): Float64Array => new Float64Array(most);
    [this.x, this.y, this.ux, this.uy, this.length] = [column(), column(), column(), column(), column()];
    this.next = new Int32Array(most);
    this.before = new Int32Array(most);
    this.turn = column();
    let n = 0;
    for (const ring of rings) n = this.#add(ring, n);
    this.count = n;
    this.total = this.length.reduce((sum, length) => sum + length, 0);
    this.box = new Float64Array(n * 4);
    for (let e = 0; e < n; e++) {
      const [ax, ay] = [this.x[e]!, this.y[e]!];
      const [bx, by] = [this.x[this.next[e]!]!, this.y[this.next[e]!]!];
      this.box.set([Math.min(ax, bx), Math.min(ay, by), Math.max(ax, bx), Math.max(ay, by)], e * 4);
    }
    this.index = new BoxIndex(this.box);
  }

  #add(ring: Ring, first: number): number {
    let n = first;
    for (let i = 0; i < ring.length; i += 2) {
      const k = (i + 2) % ring.length;
      const [dx, dy] = [ring[k]! - ring[i]!, ring[k + 1]! - ring[i + 1]!];
      const length = Math.hypot(dx, dy);
      if (!(length > 0)) continue;
      this.x[n] = ring[i]!;
      this.y[n] = ring[i + 1]!;
      this.ux[n] = dx / length;
      this.uy[n] = dy / length;
      this.length[n] = length;
      n++;
    }
    if (n - first < 3) return first; // no ground in it
    for (let e = first; e < n; e++) this.next[e] = e + 1 < n ? e + 1 : first;
    for (let e = first; e < n; e++) this.before[this.next[e]!] = e;
    for (let e = first; e < n; e++) this.turn[e] = this.#turnAt(e);
    return n;
  }

  /** The angle at which the arc about the corner at an edge's end begins, laid out anticlockwise; it is run backwards inwards. */
  arcFrom(e: number, side: 1 | -1): number {
    const first = side > 0 ? e : this.next[e]!;
    return Math.atan2(-this.ux[first]! * side, this.uy[first]! * side);
  }

  /** How far the corner at an edge's end opens to a side (1: the right), radians; not above 0 where it does not. */
  opening(e: number, side: 1 | -1): number {
    const turn = this.turn[e]!;
    return turn === Infinity ? Math.PI : turn * side;
  }

  #turnAt(e: number): number {
    const f = this.next[e]!;
    const cross = this.ux[e]! * this.uy[f]! - this.uy[e]! * this.ux[f]!;
    const dot = this.ux[e]! * this.ux[f]! + this.uy[e]! * this.uy[f]!;
    if (cross === 0) return dot < 0 ? Infinity : 0;
    return Math.atan2(cross, dot);
  }
}
