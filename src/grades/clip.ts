// What two faces have in common. In: a face of each surface; out: a convex polygon with the change at its corners.
// Terms: edge tag = whose edge a side lies on, 0..2 of the existing face, 3..5 of the proposed one. A corner is a point of either surface,
// copied, or the crossing of two edges, always worked out from the same ends in the same order: faces that share an edge get the same
// crossing to the last bit, so that their pieces fit together. Constant.

import { orient2d } from 'robust-predicates';
import { turn } from './surface.js';

/** The points of one surface, in coordinates about the origin of both. */
export interface Points {
  readonly xy: Float64Array;
  readonly z: Float64Array;
}

const MOST_CORNERS = 16;

/** Clips face after face; holds the polygon of the last pair. */
export class FaceClip {
  readonly #existing: Points;
  readonly #proposed: Points;
  /** Of the polygon found last. */
  count: number = 0;
  x: Float64Array<ArrayBuffer> = new Float64Array(MOST_CORNERS);
  y: Float64Array<ArrayBuffer> = new Float64Array(MOST_CORNERS);
  /** Proposed less existing height, metres. */
  change: Float64Array<ArrayBuffer> = new Float64Array(MOST_CORNERS);
  #tag = new Uint8Array(MOST_CORNERS);
  #x2 = new Float64Array(MOST_CORNERS);
  #y2 = new Float64Array(MOST_CORNERS);
  #change2 = new Float64Array(MOST_CORNERS);
  #tag2 = new Uint8Array(MOST_CORNERS);
  readonly #side = new Float64Array(MOST_CORNERS);
  #n2 = 0;
  #a: readonly [number, number, number] = [0, 0, 0];
  #b: readonly [number, number, number] = [0, 0, 0];

  constructor(existing: Points, proposed: Points) {
    this.#existing = existing;
    this.#proposed = proposed;
  }

  /** Three points of the existing face and three of the proposed, each anticlockwise; whether they have ground in common. */
  clip(a: readonly [number, number, number], b: readonly [number, number, number]): boolean {
    this.#a = a;
    this.#b = b;
    const { xy, z } = this.#existing;
    for (let k = 0; k < 3; k++) {
      const p = a[k]!;
      this.x[k] = xy[p * 2]!;
      this.y[k] = xy[p * 2 + 1]!;
      this.change[k] = heightIn(this.#proposed, b, this.x[k]!, this.y[k]!) - z[p]!;
      this.#tag[k] = k;
    }
    this.count = 3;
    for (let k = 0; k < 3; k++) {
      this.#cut(k);
      if (this.count < 3) return false;
    }
    return true;
  }

  /** Keeps what lies left of edge k of the proposed face. */
  #cut(k: number): void {
    const { xy } = this.#proposed;
    const s = this.#b[k]!;
    const t = this.#b[(k + 1) % 3]!;
    const n = this.count;
    let hasInside = false;
    for (let i = 0; i < n; i++) {
      const side = -orient2d(xy[s * 2]!, xy[s * 2 + 1]!, xy[t * 2]!, xy[t * 2 + 1]!, this.x[i]!, this.y[i]!);
      this.#side[i] = side;
      if (side > 0) hasInside = true;
    }
    this.#n2 = 0;
    for (let i = 0; i < n && hasInside; i++) {
      const here = this.#side[i]!;
      const next = this.#side[i + 1 === n ? 0 : i + 1]!;
      if (here >= 0)
        this.#push(this.x[i]!, this.y[i]!, this.change[i]!, here === 0 && next < 0 ? k + 3 : this.#tag[i]!);
      if (here > 0 && next < 0) this.#meet(this.#tag[i]!, k, k + 3);
      if (here < 0 && next > 0) this.#meet(this.#tag[i]!, k, this.#tag[i]!);
    }
    this.count = this.#n2;
    [this.x, this.#x2] = [this.#x2, this.x];
    [this.y, this.#y2] = [this.#y2, this.y];
    [this.change, this.#change2] = [this.#change2, this.change];
    [this.#tag, this.#tag2] = [this.#tag2, this.#tag];
  }

  #push(x: number, y: number, change: number, tag: number): void {
    const i = this.#n2++;
    this.#x2[i] = x;
    this.#y2[i] = y;
    this.#change2[i] = change;
    this.#tag2[i] = tag;
  }

  /** Where the side tagged `edge` meets edge k of the proposed face. */
  #meet(edge: number, k: number, tag: number): void {
    if (edge >= 3) {
      // Two edges of the proposed face meet in the point they share.
      const p = this.#b[(edge - 3 + 1) % 3 === k ? k : edge - 3]!;
      const { xy, z } = this.#proposed;
      const [x, y] = [xy[p * 2]!, xy[p * 2 + 1]!];
      this.#push(x, y, z[p]! - heightIn(this.#existing, this.#a, x, y), tag);
      return;
    }
    const [u, v] = ordered(this.#a[edge]!, this.#a[(edge + 1) % 3]!);
    const [s, t] = ordered(this.#b[k]!, this.#b[(k + 1) % 3]!);
    const e = this.#existing;
    const p = this.#proposed;
    const onE = share(p.xy, s, t, e.xy, u, v);
    const onP = share(e.xy, u, v, p.xy, s, t);
    const x = e.xy[u * 2]! + onE * (e.xy[v * 2]! - e.xy[u * 2]!);
    const y = e.xy[u * 2 + 1]! + onE * (e.xy[v * 2 + 1]! - e.xy[u * 2 + 1]!);
    const below = e.z[u]! + onE * (e.z[v]! - e.z[u]!);
    const above = p.z[s]! + onP * (p.z[t]! - p.z[s]!);
    this.#push(x, y, above - below, tag);
  }
}

function ordered(a: number, b: number): readonly [number, number] {
  return a < b ? [a, b] : [b, a];
}

/** How far along u-v it meets the line s-t, 0..1. */
function share(line: Float64Array, s: number, t: number, edge: Float64Array, u: number, v: number): number {
  const side = (p: number): number =>
    orient2d(line[s * 2]!, line[s * 2 + 1]!, line[t * 2]!, line[t * 2 + 1]!, edge[p * 2]!, edge[p * 2 + 1]!);
  const [atU, atV] = [side(u), side(v)];
  return Math.min(Math.max(atU / (atU - atV), 0), 1);
}

/** The height of a face at a place; beyond its edges it is carried on in its plane. */
function heightIn({ xy, z }: Points, [a, b, c]: readonly [number, number, number], x: number, y: number): number {
  const of = (p: number, q: number): number => -orient2d(xy[p * 2]!, xy[p * 2 + 1]!, xy[q * 2]!, xy[q * 2 + 1]!, x, y);
  const whole = turn(xy, a, b, c);
  const [wb, wc] = [of(c, a) / whole, of(a, b) / whole];
  // About the first point: heights of hundreds of metres would lose digits in a sum of three shares.
  return z[a]! + wb * (z[b]! - z[a]!) + wc * (z[c]! - z[a]!);
}
