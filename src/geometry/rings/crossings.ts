// Is a polygon what its rings say? in: rings as columns (no closing vertex, no repeated neighbours); out: whether
// any ring crosses or retraces itself or another, or a hole lies where none can, and where; all signs exact.
// Terms: retrace = edges on one line sharing a length; touch = a vertex on another edge or vertex without crossing.

import { orient2d } from 'robust-predicates';
import { BoxIndex } from '../box-index.js';

/** Edges from which an index pays; below it every pair of boxes is compared (measured: 96 to 160 are equal). */
const INDEXED_FROM = 128;

/** What `CrossingFinder.find` found. */
export type Defect = 'none' | 'crossing' | 'retrace' | 'hole-misplaced';

/**
 * Finds the first defect of one polygon. It keeps its memory between calls: make one for a whole layer.
 * Without a defect every ring is weakly simple (it may touch itself), so its signed area is its area.
 *
 * @example
 * const finder = new CrossingFinder();
 * finder.find(new Float64Array([0, 0, 2, 2, 2, 0, 0, 2]), [0, 4], 0, 1); // 'crossing' (a bow-tie)
 */
export class CrossingFinder {
  /** Where the defect lies: ring (as numbered in `vertexStart`) and vertex from the start of that ring. */
  ring = -1;
  vertex = -1;
  #xy: Float64Array = new Float64Array(0);
  #base = 0; // first vertex of the polygon
  #next = new Int32Array(256); // per vertex, both relative to base
  #previous = new Int32Array(256);
  #ringOf = new Int32Array(256);
  #box = new Float64Array(1024);
  #index: BoxIndex | null = null;

  /** Rings `ringFrom` .. `ringTo` are one polygon, its shell first; coordinates finite, three vertices or more a ring. */
  find(xy: Float64Array, vertexStart: ArrayLike<number>, ringFrom: number, ringTo: number): Defect {
    const n = this.#load(xy, vertexStart, ringFrom, ringTo);
    const edge = n < INDEXED_FROM ? this.#everyPair(n) : this.#indexedPairs(n);
    if (edge >= 0) return this.#report(edge >> 1, vertexStart, (edge & 1) === 1 ? 'retrace' : 'crossing');
    for (let r = ringFrom + 1; r < ringTo; r++) {
      const from = vertexStart[r]! - this.#base;
      const to = vertexStart[r + 1]! - this.#base;
      if (!this.#holeInPlace(from, to, ringFrom, r, n)) return this.#report(from, vertexStart, 'hole-misplaced');
    }
    return 'none';
  }

  #report(vertex: number, vertexStart: ArrayLike<number>, defect: Defect): Defect {
    this.ring = this.#ringOf[vertex]!;
    this.vertex = vertex + this.#base - vertexStart[this.ring]!;
    return defect;
  }

  #load(xy: Float64Array, vertexStart: ArrayLike<number>, ringFrom: number, ringTo: number): number {
    const base = vertexStart[ringFrom]!;
    const n = vertexStart[ringTo]! - base;
    this.#xy = xy;
    this.#base = base;
    this.#index = null;
    if (n > this.#next.length) {
      this.#next = new Int32Array(n * 2);
      this.#previous = new Int32Array(n * 2);
      this.#ringOf = new Int32Array(n * 2);
      this.#box = new Float64Array(n * 8);
    }
    const box = this.#box;
    for (let r = ringFrom; r < ringTo; r++) {
      const from = vertexStart[r]! - base;
      const last = vertexStart[r + 1]! - base - 1;
      for (let v = from; v <= last; v++) {
        const next = v === last ? from : v + 1;
        this.#next[v] = next;
        this.#previous[next] = v;
        this.#ringOf[v] = r;
        const ax = xy[(base + v) * 2]!;
        const ay = xy[(base + v) * 2 + 1]!;
        const bx = xy[(base + next) * 2]!;
        const by = xy[(base + next) * 2 + 1]!;
        box[v * 4] = ax < bx ? ax : bx;
        box[v * 4 + 1] = ay < by ? ay : by;
        box[v * 4 + 2] = ax < bx ? bx : ax;
        box[v * 4 + 3] = ay < by ? by : ay;
      }
    }
    return n;
  }

  /** Twice the edge of the first defect, plus 1 for a retrace; -1 when there is none. */
  #everyPair(n: number): number {
    const box = this.#box;
    for (let i = 0; i < n; i++) {
      const x0 = box[i * 4]!;
      const y0 = box[i * 4 + 1]!;
      const x1 = box[i * 4 + 2]!;
      const y1 = box[i * 4 + 3]!;
      for (let j = i + 1; j < n; j++) {
        const at = j * 4;
        if (box[at]! > x1 || box[at + 2]! < x0) continue;
        if (box[at + 1]! > y1 || box[at + 3]! < y0) continue;
        const found = this.#pair(i, j);
        if (found !== 0) return i * 2 + found - 1;
      }
    }
    return -1;
  }

  #indexedPairs(n: number): number {
    const box = this.#box;
    const index = new BoxIndex(box.slice(0, n * 4));
    this.#index = index;
    for (let i = 0; i < n; i++) {
      const at = i * 4;
      const hits = index.search(box[at]!, box[at + 1]!, box[at + 2]!, box[at + 3]!);
      for (let k = 0; k < hits; k++) {
        const j = index.found[k]!;
        if (j <= i) continue;
        const found = this.#pair(i, j);
        if (found !== 0) return i * 2 + found - 1;
      }
    }
    return -1;
  }

  /** 0 = edges i and j agree, 1 = they cross, 2 = they share a length. */
  #pair(i: number, j: number): 0 | 1 | 2 {
    const xy = this.#xy;
    const nextI = this.#next[i]!;
    const nextJ = this.#next[j]!;
    const a = (this.#base + i) * 2;
    const b = (this.#base + nextI) * 2;
    const c = (this.#base + j) * 2;
    const d = (this.#base + nextJ) * 2;
    if (nextI === j) return retraces(xy, a, b, d);
    if (nextJ === i) return retraces(xy, c, a, b);
    const sideC = side(xy, a, b, c);
    const sideD = side(xy, a, b, d);
    if ((sideC > 0 && sideD > 0) || (sideC < 0 && sideD < 0)) return 0;
    if (sideC === 0 && sideD === 0) return this.#onOneLine(i, j, nextI, nextJ);
    const sideA = side(xy, c, d, a);
    const sideB = side(xy, c, d, b);
    if ((sideA > 0 && sideB > 0) || (sideA < 0 && sideB < 0)) return 0;
    if (sideA !== 0 && sideB !== 0 && sideC !== 0 && sideD !== 0) return 1;
    // a touch: look at what the two lines of edges do there
    if (sideC === 0) return this.#vertexMeetsEdge(j, i, nextI) ? 1 : 0;
    if (sideD === 0) return this.#vertexMeetsEdge(nextJ, i, nextI) ? 1 : 0;
    return this.#vertexMeetsEdge(sideA === 0 ? i : nextI, j, nextJ) ? 1 : 0;
  }

  #onOneLine(i: number, j: number, nextI: number, nextJ: number): 0 | 1 | 2 {
    const box = this.#box;
    const axis = box[i * 4]! === box[i * 4 + 2]! ? 1 : 0;
    const low = Math.max(box[i * 4 + axis]!, box[j * 4 + axis]!);
    const high = Math.min(box[i * 4 + 2 + axis]!, box[j * 4 + 2 + axis]!);
    if (high > low) return 2;
    if (high < low) return 0;
    // end to end: one vertex of each is the same place
    const u = this.#same(i, j) || this.#same(i, nextJ) ? i : nextI;
    const w = this.#same(u, j) ? j : nextJ;
    return this.#chainsCross(u, w) ? 1 : 0;
  }

  /** Vertex v lies on the edge from e to its next vertex, on its inside or at an end. */
  #vertexMeetsEdge(v: number, e: number, nextE: number): boolean {
    if (this.#same(v, e)) return this.#chainsCross(v, e);
    if (this.#same(v, nextE)) return this.#chainsCross(v, nextE);
    const xy = this.#xy;
    const a = (this.#base + e) * 2;
    const b = (this.#base + nextE) * 2;
    const before = side(xy, a, b, (this.#base + this.#previous[v]!) * 2);
    const after = side(xy, a, b, (this.#base + this.#next[v]!) * 2);
    return (before > 0 && after < 0) || (before < 0 && after > 0);
  }

  #same(u: number, w: number): boolean {
    const a = (this.#base + u) * 2;
    const b = (this.#base + w) * 2;
    return this.#xy[a] === this.#xy[b] && this.#xy[a + 1] === this.#xy[b + 1];
  }

  /** Two runs through one place cross when just one end of the second lies between the ends of the first. */
  #chainsCross(u: number, w: number): boolean {
    if (u === w) return false;
    const centre = (this.#base + u) * 2;
    const out = (this.#base + this.#next[u]!) * 2;
    const into = (this.#base + this.#previous[u]!) * 2;
    const first = inWedge(this.#xy, centre, out, into, (this.#base + this.#previous[w]!) * 2);
    const second = inWedge(this.#xy, centre, out, into, (this.#base + this.#next[w]!) * 2);
    return first !== second;
  }

  /** A hole is inside the shell and inside no other hole; rings are known not to cross. */
  #holeInPlace(from: number, to: number, shell: number, ring: number, n: number): boolean {
    const xy = this.#xy;
    for (let v = from; v < to; v++) {
      const at = (this.#base + v) * 2;
      const verdict = this.#placeOf(xy[at]!, xy[at + 1]!, shell, ring, n);
      if (verdict !== 0) return verdict > 0;
    }
    // every corner touches another ring: the middle of an edge can't, unless it meets a corner
    for (let v = from; v < to; v++) {
      const a = (this.#base + v) * 2;
      const b = (this.#base + this.#next[v]!) * 2;
      const x = (xy[a]! + xy[b]!) / 2;
      const y = (xy[a + 1]! + xy[b + 1]!) / 2;
      const verdict = this.#placeOf(x, y, shell, ring, n);
      if (verdict !== 0) return verdict > 0;
    }
    return false;
  }

  /** 1 = in the shell and in no other hole, -1 = elsewhere, 0 = on some ring's edge; `ring` itself is left out. */
  #placeOf(x: number, y: number, shell: number, ring: number, n: number): -1 | 0 | 1 {
    let inShell = false;
    let inHoles = false;
    const index = this.#index;
    const count = index === null ? n : index.search(x, y, Number.POSITIVE_INFINITY, y);
    for (let k = 0; k < count; k++) {
      const e = index === null ? k : index.found[k]!;
      const r = this.#ringOf[e]!;
      if (r === ring) continue;
      const met = rayMeets(this.#xy, (this.#base + e) * 2, (this.#base + this.#next[e]!) * 2, x, y);
      if (met === 2) return 0;
      if (met === 0) continue;
      if (r === shell) inShell = !inShell;
      else inHoles = !inHoles;
    }
    return inShell && !inHoles ? 1 : -1;
  }
}

/** > 0 when c lies left of the way from a to b (offsets into xy); exact. */
function side(xy: Float64Array, a: number, b: number, c: number): number {
  // robust-predicates counts clockwise as positive
  return -orient2d(xy[a]!, xy[a + 1]!, xy[b]!, xy[b + 1]!, xy[c]!, xy[c + 1]!);
}

/** Edges a-b and b-c: 2 when the second runs back along the first. */
function retraces(xy: Float64Array, a: number, b: number, c: number): 0 | 2 {
  if (side(xy, a, b, c) !== 0) return 0;
  const axis = xy[a] === xy[b] ? 1 : 0;
  const b0 = xy[b + axis]!;
  return xy[a + axis]! < b0 === xy[c + axis]! < b0 ? 2 : 0;
}

/** Whether q lies in the angle swept anticlockwise from `out` to `into` round `centre`; q on neither arm. */
function inWedge(xy: Float64Array, centre: number, out: number, into: number, q: number): boolean {
  const turn = side(xy, centre, out, into);
  if (turn > 0) return side(xy, centre, out, q) > 0 && side(xy, centre, q, into) > 0;
  if (turn < 0) return !(side(xy, centre, into, q) > 0 && side(xy, centre, q, out) > 0);
  return side(xy, centre, out, q) > 0;
}

/** Does the ray from (x, y) to greater x meet the edge a-b: 0 = no, 1 = once, 2 = the point lies on the edge. */
function rayMeets(xy: Float64Array, a: number, b: number, x: number, y: number): 0 | 1 | 2 {
  const ax = xy[a]!;
  const ay = xy[a + 1]!;
  const bx = xy[b]!;
  const by = xy[b + 1]!;
  if ((ay > y && by > y) || (ay < y && by < y) || (ax < x && bx < x)) return 0;
  if (ay === y && by === y) return (ax <= x || bx <= x) && (ax >= x || bx >= x) ? 2 : 0;
  const s = orient2d(ax, ay, bx, by, x, y);
  if (s === 0) return 2;
  // half-open in y, so that a ray through a corner counts once
  if (ay <= y === by <= y) return 0;
  return ay < by === s < 0 ? 1 : 0;
}
