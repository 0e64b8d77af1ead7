// Pieces of a moved boundary, covered. In: a piece (an edge moved sideways, or the arc about a corner) with what is open of it, and
// what may cover it; out: what stays open. Terms: strip, piece, open: see moved.ts; helper = what covered the piece before.
// Cost: a few neighbours, then what an index finds within the distance of what is still open. Each look is counted.

import type { BoxIndex } from '../box-index.js';
import type { Edges } from './moved-edges.js';

/** What is nearer than the distance less this covers, metres: where two edges face each other at twice the distance, both stay. */
const TIE_M = 1e-9;
/** Which coverers before and after its own are tried on a piece before the index is asked: each farther off by half as much again. */
const NEIGHBOURS = [1, 2, 3, 4, 6, 9, 14, 21, 32, 48, 72, 108, 162, 243, 365, 548, 822, 1233] as const;
/** Boxes that are looked at in the time of one step. */
const BOXES_A_STEP = 4;

/** What covers: strips of some edges, discs about some corners. */
export interface Coverers {
  /** Per edge: whether its strip covers, and whether the disc about its start does. */
  readonly strip: Uint8Array;
  readonly disc: Uint8Array;
  /** Edges with either, along the rings. */
  readonly list: Int32Array;
  /** Where each edge stands in the list, or would. */
  readonly place: Int32Array;
  /** Metres of the rings per entry of the list. */
  readonly spacing: number;
  /** An index of boxes that hold them. */
  readonly index: BoxIndex;
  /** The edge of each box of the index. */
  readonly edgeOf: Int32Array;
}

/** What may cover each piece, where that is known: edges in a list. */
export interface Known {
  readonly list: Int32Array;
  /** Where a piece's begin in the list, and end. */
  placesOf(e: number, isCorner: boolean): readonly [number, number];
}

/** Covers pieces of a moved boundary one after another. */
export class Cover {
  readonly #edges: Edges;
  readonly #coverers: Coverers;
  readonly #look: (steps: number) => void;
  readonly #side: 1 | -1;
  readonly #by: number;
  readonly #r: number; // of what covers
  /** Open stretches of the piece at hand, as pairs: metres along an edge, radians about a corner; `count` numbers of them. */
  left: number[] = [];
  count = 0;
  #spare: number[] = [];
  // The piece: a point and a direction, or a centre and the angle at which its arc begins.
  #x = 0;
  #y = 0;
  #ux = 0;
  #uy = 0;
  #isArc = false;
  #from = 0;
  readonly #listedFor: Int32Array; // per edge the piece that it was listed for last
  #piece = 1;
  #isTaken = false; // whether anything was covered since this was last set
  #helped = 0; // how many places from its own the one stood that covered the last piece
  // Of the open stretch of an arc at hand: directions of its ends, how far it bulges from its chord; 0 where that is not used.
  #ax = 0;
  #ay = 0;
  #bx = 0;
  #bendY = 0;
  #bulge = 0;

  constructor(edges: Edges, coverers: Coverers, side: 1 | -1, by: number, look: (steps: number) => void) {
    this.#edges = edges;
    this.#coverers = coverers;
    this.#listedFor = new Int32Array(edges.count);
    this.#look = look;
    this.#side = side;
    this.#by = by;
    this.#r = Math.max(by - TIE_M, by * 0.999);
  }

  /**
   * Covers a piece of which `was` says from place `from` to `to` what is open: pairs of metres along its edge, or of radians from
   * where its arc begins. `left` and `count` say what stays so.
   */
  open(e: number, isCorner: boolean, was: Float64Array, from: number, to: number): void {
    this.#lay(e, isCorner, was, from, to);
    this.#coverAll(e, isCorner ? this.#edges.next[e]! : e);
  }

  /** The same where all that may cover it is known: a list of edges. */
  openBy(e: number, isCorner: boolean, was: Float64Array, from: number, to: number, known: Known): void {
    this.#lay(e, isCorner, was, from, to);
    const { list } = known;
    const [first, end] = known.placesOf(e, isCorner);
    this.#look(end - first);
    this.#ends(was[from]!, was[to - 1]!);
    for (let k = first; k < end && this.count > 0; k++) this.#cover(e, list[k]!);
  }

  /** Adds the edges to a list that cover any of what is open of a piece, or may; of `among`, or of all that an index finds. */
  listCovering(
    e: number,
    isCorner: boolean,
    was: Float64Array,
    from: number,
    to: number,
    into: number[],
    among: Known | null,
  ): void {
    const [a, b] = [was[from]!, was[to - 1]!];
    this.#lay(e, isCorner, was, from, to);
    const { index, edgeOf } = this.#coverers;
    let [first, end] = among?.placesOf(e, isCorner) ?? [0, 0];
    if (among === null) end = this.#search(a, b);
    this.#look((end - first) / BOXES_A_STEP);
    this.#ends(a, b);
    for (; first < end; first++) {
      const f = among === null ? edgeOf[index.found[first]!]! : among.list[first]!;
      this.left[0] = a;
      this.left[1] = b;
      this.count = 2;
      this.#isTaken = false;
      this.#cover(e, f);
      // What its strip covers may be covered by the disc about its end, farther out, and the other way round.
      if (this.#isTaken) for (const one of [this.#edges.before[f]!, f, this.#edges.next[f]!]) this.#list(one, into);
    }
    this.#piece++;
  }

  #list(f: number, into: number[]): void {
    if (this.#listedFor[f] === this.#piece) return;
    this.#listedFor[f] = this.#piece;
    into.push(f);
  }

  /** Finds what comes near an open stretch; how many, in the index's own list. */
  #search(a: number, b: number): number {
    const r = this.#r;
    if (this.#isArc) {
      const angle = this.#from + (a + b) / 2;
      const reach = ((b - a) / 2) * this.#by + r;
      const x = this.#x + this.#by * Math.cos(angle);
      const y = this.#y + this.#by * Math.sin(angle);
      return this.#coverers.index.search(x - reach, y - reach, x + reach, y + reach);
    }
    const x0 = this.#x + a * this.#ux;
    const y0 = this.#y + a * this.#uy;
    const x1 = this.#x + b * this.#ux;
    const y1 = this.#y + b * this.#uy;
    return this.#coverers.index.search(
      Math.min(x0, x1) - r,
      Math.min(y0, y1) - r,
      Math.max(x0, x1) + r,
      Math.max(y0, y1) + r,
    );
  }

  #lay(e: number, isCorner: boolean, was: Float64Array, from: number, to: number): void {
    const { x, y, ux, uy, next } = this.#edges;
    this.#isArc = isCorner;
    this.#bulge = 0;
    if (isCorner) {
      [this.#x, this.#y] = [x[next[e]!]!, y[next[e]!]!];
      this.#from = this.#edges.arcFrom(e, this.#side);
    } else {
      const d = this.#by * this.#side;
      [this.#ux, this.#uy] = [ux[e]!, uy[e]!];
      [this.#x, this.#y] = [x[e]! + this.#uy * d, y[e]! - this.#ux * d]; // to the right: outwards
    }
    for (let k = from; k < to; k++) this.left[k - from] = was[k]!;
    this.count = to - from;
  }

  /** Covers the piece of an edge, or of the corner at its end, by what comes near what is open of it. `own`: itself among the coverers. */
  #coverAll(e: number, own: number): void {
    const { list, place, spacing } = this.#coverers;
    const at = place[own]!;
    const helper = at + this.#helped;
    if (this.#helped !== 0 && helper >= 0 && helper < list.length && this.#try(e, list[helper]!)) return;
    for (const away of NEIGHBOURS) {
      // Neighbours so far off along the ring hardly come near any more.
      if (away > 2 && away * spacing > 2 * this.#by) break;
      this.#isTaken = false;
      if (at + away < list.length && this.#try(e, list[at + away]!)) return;
      if (at >= away && this.#try(e, list[at - away]!)) return;
      if (away > 2 && !this.#isTaken) break; // nor do those beyond, where these did not
    }
    for (let k = 0; k < this.count; ) {
      const [a, b] = [this.left[k]!, this.left[k + 1]!];
      this.#coverNear(e, at, a, b);
      // On to what is open behind this stretch, which may have been cut or have gone.
      k = 0;
      while (k < this.count && this.left[k]! < b) k += 2;
    }
  }

  /** Whether an edge covers what is still open of a piece. */
  #try(e: number, f: number): boolean {
    this.#look(1);
    this.#cover(e, f);
    return this.count === 0;
  }

  /** Covers one open stretch by what the index finds about it. */
  #coverNear(e: number, at: number, a: number, b: number): void {
    const { index, edgeOf, place } = this.#coverers;
    const n = this.#search(a, b);
    this.#look(n / BOXES_A_STEP);
    this.#ends(a, b);
    for (let k = 0; k < n; k++) {
      const f = edgeOf[index.found[k]!]!;
      this.#cover(e, f);
      if (this.count > 0) continue;
      this.#helped = place[f]! - at; // it may cover the next one too
      break;
    }
    this.#bulge = 0;
  }

  /** The ends of an arc's open stretch, for what surely does not come near it; of more than half a circle, none. */
  #ends(a: number, b: number): void {
    if (!this.#isArc || b - a >= Math.PI) return;
    [this.#ax, this.#ay] = [Math.cos(this.#from + a), Math.sin(this.#from + a)];
    [this.#bx, this.#bendY] = [Math.cos(this.#from + b), Math.sin(this.#from + b)];
    this.#bulge = this.#by * (1 - Math.cos((b - a) / 2)) + Number.MIN_VALUE;
  }

  /** Covers the piece of edge e, or of the corner at its end, by the strip of edge f and the disc about its start. */
  #cover(e: number, f: number): void {
    const { next } = this.#edges;
    const { strip, disc } = this.#coverers;
    const isNext = f === next[e];
    if (this.#isArc) {
      // An arc keeps from its own two edges: it runs from the one to the other.
      if (isNext) return;
      if (disc[f] === 1 && this.#meetsDisc(f)) this.#disc(f);
      if (strip[f] === 1 && f !== e && this.#meetsStrip(f)) this.#arcByStrip(f);
      return;
    }
    if (f === e) return;
    if (disc[f] === 1 && !isNext) this.#disc(f); // its start is the end of this one
    if (strip[f] === 0 || (isNext && this.#edges.opening(e, this.#side) >= 0)) return;
    if (next[f] === e && this.#edges.opening(f, this.#side) >= 0) return;
    this.#lineByStrip(f);
  }

  /**
   * Whether a disc may cover some of an arc's open stretch: it holds one of its ends, or its middle lies in the stretch's sector.
   * What a disc takes of a circle lies evenly about the direction of its middle.
   */
  #meetsDisc(f: number): boolean {
    if (this.#bulge === 0) return true;
    const d = this.#by;
    const [dx, dy] = [this.#edges.x[f]! - this.#x, this.#edges.y[f]! - this.#y];
    const r2 = this.#r * this.#r;
    const [px, py] = [dx - d * this.#ax, dy - d * this.#ay];
    if (px * px + py * py <= r2) return true;
    const [qx, qy] = [dx - d * this.#bx, dy - d * this.#bendY];
    if (qx * qx + qy * qy <= r2) return true;
    return this.#ax * dy - this.#ay * dx >= 0 && dx * this.#bendY - dy * this.#bx >= 0;
  }

  /** Whether a strip may: an arc lies within its bulge of its chord. */
  #meetsStrip(f: number): boolean {
    if (this.#bulge === 0) return true;
    const { x, y, ux, uy, length } = this.#edges;
    const [vx, vy, d] = [ux[f]!, uy[f]!, this.#by];
    const [px, py] = [this.#x - x[f]!, this.#y - y[f]!];
    const along = px * vx + py * vy;
    const [alongA, alongB] = [
      along + d * (this.#ax * vx + this.#ay * vy),
      along + d * (this.#bx * vx + this.#bendY * vy),
    ];
    if (Math.max(alongA, alongB) + this.#bulge <= 0 || Math.min(alongA, alongB) - this.#bulge >= length[f]!)
      return false;
    const off = py * vx - px * vy;
    const [offA, offB] = [off + d * (this.#ay * vx - this.#ax * vy), off + d * (this.#bendY * vx - this.#bx * vy)];
    const far = this.#r + this.#bulge;
    return !((offA >= far && offB >= far) || (offA <= -far && offB <= -far));
  }

  #disc(f: number): void {
    const r = this.#r;
    const [dx, dy] = [this.#edges.x[f]! - this.#x, this.#edges.y[f]! - this.#y];
    if (this.#isArc) {
      const apart = Math.hypot(dx, dy);
      // Points of the arc within r of the other centre; a centre in the same place covers none.
      const cos = (apart * apart + this.#by * this.#by - r * r) / (2 * apart * this.#by);
      if (cos < 1) this.#takeAngles(Math.atan2(dy, dx), Math.acos(Math.max(cos, -1)));
      return;
    }
    const off = dx * this.#uy - dy * this.#ux;
    const half2 = r * r - off * off;
    if (!(half2 > 0)) return;
    const along = dx * this.#ux + dy * this.#uy;
    const half = Math.sqrt(half2);
    this.#take(along - half, along + half);
  }

  #lineByStrip(f: number): void {
    const { x, y, ux, uy, length } = this.#edges;
    const [vx, vy, r] = [ux[f]!, uy[f]!, this.#r];
    const [px, py] = [this.#x - x[f]!, this.#y - y[f]!];
    const along = px * vx + py * vy;
    const off = py * vx - px * vy;
    const across = this.#uy * vx - this.#ux * vy;
    const ahead = this.#ux * vx + this.#uy * vy;
    let [from, to] = [-Infinity, Infinity];
    if (across === 0) {
      if (!(Math.abs(off) < r)) return;
    } else {
      const [s, t] = [(-r - off) / across, (r - off) / across];
      [from, to] = s < t ? [s, t] : [t, s];
    }
    if (ahead === 0) {
      if (!(along > 0 && along < length[f]!)) return;
    } else {
      const [s, t] = [-along / ahead, (length[f]! - along) / ahead];
      from = Math.max(from, Math.min(s, t));
      to = Math.min(to, Math.max(s, t));
    }
    if (from < to) this.#take(from, to);
  }

  /** A strip meets a circle in what four half-planes leave: what one leaves, less what the others take. */
  #arcByStrip(f: number): void {
    const { x, y, ux, uy, length } = this.#edges;
    const [vx, vy, r, d] = [ux[f]!, uy[f]!, this.#r, this.#by];
    const [px, py] = [this.#x - x[f]!, this.#y - y[f]!];
    const along = px * vx + py * vy;
    const off = py * vx - px * vy;
    if (along + d <= 0 || along - d >= length[f]! || Math.abs(off) >= r + d) return;
    const gaps: number[] = []; // direction and half-angle of what lies outside
    const outside = (nx: number, ny: number, limit: number): boolean => {
      // n.p > limit, for points p at distance d from the centre
      const cos = limit / d;
      if (cos >= 1) return true;
      if (cos <= -1) return false;
      gaps.push(Math.atan2(ny, nx), Math.acos(cos));
      return true;
    };
    if (!outside(-vy, vx, r - off) || !outside(vy, -vx, r + off)) return;
    if (!outside(vx, vy, length[f]! - along) || !outside(-vx, -vy, along)) return;
    this.#takeBetween(gaps);
  }

  /** Takes all of the circle but the gaps. */
  #takeBetween(gaps: readonly number[]): void {
    const turn = 2 * Math.PI;
    const ends: [from: number, to: number][] = [];
    for (let k = 0; k < gaps.length; k += 2) {
      let from = (gaps[k]! - gaps[k + 1]! - this.#from) % turn;
      if (from < 0) from += turn;
      const to = from + 2 * gaps[k + 1]!;
      ends.push([from, Math.min(to, turn)]);
      if (to > turn) ends.push([0, to - turn]);
    }
    ends.sort((a, b) => a[0] - b[0]);
    let at = 0;
    for (const [from, to] of ends) {
      if (from > at) this.#take(at, from);
      at = Math.max(at, to);
    }
    if (at < turn) this.#take(at, turn);
  }

  /** Takes what lies within a half-angle of a direction. */
  #takeAngles(direction: number, half: number): void {
    const turn = 2 * Math.PI;
    let from = (direction - half - this.#from) % turn;
    if (from < 0) from += turn;
    this.#take(from, from + 2 * half);
    this.#take(from - turn, from - turn + 2 * half);
  }

  /** Takes an interval out of what is open. */
  #take(from: number, to: number): void {
    const open = this.left;
    const n = this.count;
    let k = 0;
    while (k < n && !(open[k]! < to && from < open[k + 1]!)) k += 2;
    if (k >= n) return;
    this.#isTaken = true;
    const left = this.#spare;
    let m = 0;
    for (k = 0; k < n; k += 2) {
      const a = open[k]!;
      const b = open[k + 1]!;
      if (!(a < to && from < b)) {
        left[m++] = a;
        left[m++] = b;
        continue;
      }
      if (a < from) {
        left[m++] = a;
        left[m++] = from;
      }
      if (to < b) {
        left[m++] = to;
        left[m++] = b;
      }
    }
    this.#spare = open;
    this.left = left;
    this.count = m;
  }
}
