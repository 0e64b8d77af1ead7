// The boundary of a union moved by a distance, by itself. In: rings of the union, ground on their left; out: the rings of all
// ground within the distance of it, or of what is left where ground within the distance of its boundary is given up.
// Terms: strip = what lies within the distance beside an edge, on both sides; piece = an edge moved sideways, or the arc about
// a corner that opens to that side; open = not yet covered; link = what follows a stretch of a piece that stays open.
//
// The moved boundary is all that lies at the distance from the old one and nowhere nearer. So each piece is cut by the strips
// and the discs about the corners that come near it, and what stays open is strung together. A general clipping engine
// would make all pieces meet first, by the million where teeth or holes are narrower than the distance.
// Cost: an index of the edges, and for each piece what comes within the distance of what is still open of it; mostly its
// neighbours have covered it. Each look is counted, and the caller says when it is enough.

import { BoxIndex } from '../box-index.js';
import { Stretches } from './open-stretches.js';
import type { Ring } from './shapes.js';

/** Chords of round corners miss their arc by at most this, metres. */
const ROUND_M = 0.0002;
/** What is nearer than the distance less this covers, metres: where two edges face each other at twice the distance, both stay. */
const TIE_M = 1e-9;
/** Rings of less width than this are such ties, metres. */
const LEAST_WIDTH_M = 1e-8;
/** Which edges before and after its own are tried on a piece before the index is asked: each farther off by half as much again. */
const NEIGHBOURS = [1, 2, 3, 4, 6, 9, 14, 21, 32, 48, 72, 108, 162, 243, 365, 548, 822, 1233] as const;
/** Boxes that are looked at in the time of one step. */
const BOXES_A_STEP = 4;
/** Stretches shorter than this are rounding, metres. */
const LEAST_STRETCH_M = 1e-9;

/**
 * The boundary moved outwards by a distance, or inwards below 0; corners are rounded, their chords hold the area of the arc. Null
 * where the open stretches do not close: where rings cross each other, which those of a union do not.
 *
 * @param look is told of steps before they are taken; it may throw
 * @example
 * movedBoundary([[0, 0, 4, 0, 4, 4, 0, 4]], -1, () => {}); // [[1, 1, 3, 1, 3, 3, 1, 3]]
 */
export function movedBoundary(rings: readonly Ring[], by: number, look: (steps: number) => void): Ring[] | null {
  const edges = new Edges(rings);
  if (edges.count === 0) return [];
  const cover = new Cover(edges, by, look);
  const out = new Stretches();
  for (let e = 0; e < edges.count; e++) {
    cover.side(e, out);
    cover.corner(e, out);
  }
  return out.rings(ROUND_M)?.filter(hasWidth) ?? null;
}

function hasWidth(ring: Ring): boolean {
  let area = 0;
  let length = 0;
  for (let i = 0; i < ring.length; i += 2) {
    const k = (i + 2) % ring.length;
    area += ring[i]! * ring[k + 1]! - ring[i + 1]! * ring[k]!;
    length += Math.hypot(ring[k]! - ring[i]!, ring[k + 1]! - ring[i + 1]!);
  }
  return Math.abs(area) > LEAST_WIDTH_M * length;
}

/** Edges of all rings as columns, those without length left out. */
class Edges {
  readonly count: number;
  readonly x: Float64Array;
  readonly y: Float64Array;
  readonly ux: Float64Array;
  readonly uy: Float64Array;
  readonly length: Float64Array;
  readonly next: Int32Array;
  /** The ring of each: its first edge and the one behind its last. */
  readonly first: Int32Array;
  readonly end: Int32Array;
  /** Mean length, metres. */
  readonly mean: number;
  readonly box: Float64Array;
  readonly index: BoxIndex;

  constructor(rings: readonly Ring[]) {
    const most = rings.reduce((n, ring) => n + ring.length / 2, 0);
    const column = (): Float64Array => new Float64Array(most);
    [this.x, this.y, this.ux, this.uy, this.length] = [column(), column(), column(), column(), column()];
    this.next = new Int32Array(most);
    this.first = new Int32Array(most);
    this.end = new Int32Array(most);
    let n = 0;
    for (const ring of rings) n = this.#add(ring, n);
    this.count = n;
    this.mean = this.length.reduce((sum, length) => sum + length, 0) / Math.max(n, 1);
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
    for (let e = first; e < n; e++) {
      this.next[e] = e + 1 < n ? e + 1 : first;
      this.first[e] = first;
      this.end[e] = n;
    }
    return n;
  }

  /** The edge so many edges farther along the ring. */
  along(e: number, by: number): number {
    const [first, end] = [this.first[e]!, this.end[e]!];
    const count = end - first;
    const place = (e - first + by) % count;
    return first + (place < 0 ? place + count : place);
  }
}

/** Covers pieces of a moved boundary one after another. */
class Cover {
  readonly #edges: Edges;
  readonly #look: (steps: number) => void;
  readonly #side: 1 | -1;
  readonly #by: number;
  readonly #r: number; // of what covers
  // Open stretches of the piece at hand, as pairs: metres along an edge, radians about a corner.
  #open: number[] = [];
  #spare: number[] = [];
  // The piece: a point and a direction, or a centre and the angle at which its arc begins.
  #x = 0;
  #y = 0;
  #ux = 0;
  #uy = 0;
  #isArc = false;
  #from = 0;
  #helped = 0; // how many edges from its own the one was that covered the last piece

  constructor(edges: Edges, by: number, look: (steps: number) => void) {
    this.#edges = edges;
    this.#look = look;
    this.#side = by < 0 ? -1 : 1;
    this.#by = Math.abs(by);
    this.#r = Math.max(this.#by - TIE_M, this.#by * 0.999);
  }

  /** The edge moved to its side. */
  side(e: number, out: Stretches): void {
    const { x, y, ux, uy, length } = this.#edges;
    const d = this.#by * this.#side;
    this.#isArc = false;
    [this.#ux, this.#uy] = [ux[e]!, uy[e]!];
    [this.#x, this.#y] = [x[e]! + this.#uy * d, y[e]! - this.#ux * d]; // to the right: outwards
    this.#open = [0, length[e]!];
    this.#coverAll(e);
    const last = this.#open.length - 2;
    for (let k = 0; k <= last; k += 2) {
      const [a, b] = [this.#open[k]!, this.#open[k + 1]!];
      if (b - a < LEAST_STRETCH_M) continue;
      out.line(this.#x + a * this.#ux, this.#y + a * this.#uy, this.#x + b * this.#ux, this.#y + b * this.#uy);
    }
  }

  /** The arc about the corner at an edge's end, where it opens to the side. */
  corner(e: number, out: Stretches): void {
    const { x, y, ux, uy, next } = this.#edges;
    const f = next[e]!;
    const turn = this.#turn(e);
    if (!(turn > 0)) return;
    const d = this.#by * this.#side;
    this.#isArc = true;
    [this.#x, this.#y] = [x[f]!, y[f]!];
    // A corner that opens inwards is gone round clockwise: its arc is laid out anticlockwise, and run backwards.
    const first = this.#side > 0 ? e : f;
    this.#from = Math.atan2(-ux[first]! * d, uy[first]! * d);
    this.#open = [0, turn];
    this.#coverAll(e);
    const r = this.#by;
    for (let k = 0; k < this.#open.length; k += 2) {
      const [a, b] = [this.#open[k]!, this.#open[k + 1]!];
      if ((b - a) * r < LEAST_STRETCH_M) continue;
      if (this.#side > 0) out.arc(this.#x, this.#y, r, this.#from + a, this.#from + b);
      else out.arc(this.#x, this.#y, r, this.#from + b, this.#from + a);
    }
  }

  /** How far the corner at an edge's end opens to the side, radians. */
  #turn(e: number): number {
    const { ux, uy, next } = this.#edges;
    const f = next[e]!;
    const cross = ux[e]! * uy[f]! - uy[e]! * ux[f]!;
    const dot = ux[e]! * ux[f]! + uy[e]! * uy[f]!;
    if (cross === 0) return dot < 0 ? Math.PI : 0; // straight back opens to both sides
    return Math.atan2(cross, dot) * this.#side;
  }

  /** Covers the piece of an edge, or of the corner at its end, by what comes near what is open of it. */
  #coverAll(e: number): void {
    const helper = e + this.#helped;
    if (this.#helped !== 0 && helper >= 0 && helper < this.#edges.count && this.#try(e, helper)) return;
    for (const away of NEIGHBOURS) {
      // Neighbours so far off along the ring hardly come near any more.
      if (away > 4 && away * this.#edges.mean > 2 * this.#by) break;
      if (this.#try(e, this.#edges.along(e, away)) || this.#try(e, this.#edges.along(e, -away))) return;
    }
    for (let k = 0; k < this.#open.length; ) {
      const [a, b] = [this.#open[k]!, this.#open[k + 1]!];
      this.#coverNear(e, a, b);
      // On to what is open behind this stretch, which may have been cut or have gone.
      k = 0;
      while (k < this.#open.length && this.#open[k]! < b) k += 2;
    }
  }

  /** Whether an edge covers what is still open of a piece. */
  #try(e: number, f: number): boolean {
    this.#look(1);
    this.#cover(e, f);
    return this.#open.length === 0;
  }

  /** Covers one open stretch by what the index finds about it. */
  #coverNear(e: number, a: number, b: number): void {
    const { index, box } = this.#edges;
    const [west, south, east, north] = this.#boxOf(a, b);
    const r = this.#r;
    const n = index.search(west - r, south - r, east + r, north + r);
    this.#look(n / BOXES_A_STEP);
    for (let k = 0; k < n; k++) {
      const f = index.found[k]!;
      const dx = Math.max(box[f * 4]! - east, west - box[f * 4 + 2]!, 0);
      const dy = Math.max(box[f * 4 + 1]! - north, south - box[f * 4 + 3]!, 0);
      if (dx * dx + dy * dy >= r * r) continue;
      this.#cover(e, f);
      if (this.#open.length === 0) {
        this.#helped = f - e; // it may cover the next one too
        return;
      }
    }
  }

  /** Box about an open stretch of the piece; of an arc, that of a disc about its middle. */
  #boxOf(a: number, b: number): readonly [number, number, number, number] {
    if (this.#isArc) {
      const angle = this.#from + (a + b) / 2;
      const half = ((b - a) / 2) * this.#by;
      const [x, y] = [this.#x + this.#by * Math.cos(angle), this.#y + this.#by * Math.sin(angle)];
      return [x - half, y - half, x + half, y + half];
    }
    const [x0, y0] = [this.#x + a * this.#ux, this.#y + a * this.#uy];
    const [x1, y1] = [this.#x + b * this.#ux, this.#y + b * this.#uy];
    return [Math.min(x0, x1), Math.min(y0, y1), Math.max(x0, x1), Math.max(y0, y1)];
  }

  /** Covers the piece of edge e, or of the corner at its end, by the strip of edge f and the disc about its start. */
  #cover(e: number, f: number): void {
    const { next } = this.#edges;
    if (this.#isArc) {
      // An arc keeps from its own two edges: it runs from the one to the other.
      if (f === e) this.#disc(f);
      else if (f !== next[e]) {
        this.#disc(f);
        this.#arcByStrip(f);
      }
      return;
    }
    if (f === e) return;
    const isNext = f === next[e];
    if (!isNext) this.#disc(f); // its start is the end of this one
    if (isNext && this.#turn(e) >= 0) return;
    if (next[f] === e && this.#turn(f) >= 0) return;
    this.#lineByStrip(f);
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
    const open = this.#open;
    let meets = false;
    for (let k = 0; k < open.length && !meets; k += 2) meets = open[k]! < to && from < open[k + 1]!;
    if (!meets) return;
    const left = this.#spare;
    left.length = 0;
    for (let k = 0; k < open.length; k += 2) {
      const [a, b] = [open[k]!, open[k + 1]!];
      if (!(a < to && from < b)) left.push(a, b);
      else {
        if (a < from) left.push(a, from);
        if (to < b) left.push(to, b);
      }
    }
    this.#spare = open;
    this.#open = left;
  }
}
