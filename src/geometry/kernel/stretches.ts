// Edge parts about a centre, cut where they cross. In: parts of a Disc as angular spans; out: stretches, each with the one
// that lies behind it towards the circle, and the order of all that happens as a ray turns round.
// Terms: stretch = a part of an edge that nothing crosses, between two angles; parent = the stretch next to it on its far
// side when it begins (NONE: the circle); event = an angle at which stretches begin or end; cover = the set of pieces that
// hold a place, known here by a hash alone.
//
// A ray turns anticlockwise and keeps the spans it meets in order (Bentley and Ottmann 1979, IEEE Trans. Comput. 28:643,
// with a turning ray in place of a moving line): neighbours that will cross are put into a queue and swapped at their
// crossing. Rounding may put two spans that all but touch in the wrong order. So every stretch keeps the hash of the cover
// on either side, neighbours must agree on the ground between them; where they disagree, the stretches nearer to the centre
// are cut and started again with the right cover: an event in the wrong order costs a sliver, never a wrong answer.
// Cost: (n + crossings) log n for n spans.

import { doubled, doubledIntegers } from '../column.js';
import { CrossingQueue } from './crossing-queue.js';
import type { Disc } from './disc.js';
import { NONE, RayOrder } from './ray-order.js';
import { sortByKey } from './sorting.js';

/** Places closer to a line than this, in radii, are on it: some dozen roundings of coordinates within the disc. */
const ON_LINE = 1e-14;

/** Edge parts as angular spans, sorted by their start (see sweep.ts). */
export interface Spans {
  readonly count: number;
  readonly from: Float64Array;
  readonly to: Float64Array;
  readonly part: Int32Array;
  readonly order: Int32Array;
}

export class Stretches {
  // stretches
  count: number = 0;
  span: Int32Array = new Int32Array(256);
  parent: Int32Array = new Int32Array(256);
  begins: Int32Array = new Int32Array(256); // event
  ends: Int32Array = new Int32Array(256);
  x0: Float64Array = new Float64Array(256);
  y0: Float64Array = new Float64Array(256);
  x1: Float64Array = new Float64Array(256);
  y1: Float64Array = new Float64Array(256);

  // events; what begins at event e is numbered begun[e] .. begun[e + 1], what ends is ended[endedFrom[e] .. [e + 1]]
  events: number = 0;
  angle: Float64Array = new Float64Array(256);
  begun: Int32Array = new Int32Array(256);
  endedFrom: Int32Array = new Int32Array(256);
  ended: Int32Array = new Int32Array(256);
  /** How many of the circle's crossings lie at or before the event. */
  passed: Int32Array = new Int32Array(256);

  // spans: lines { p : cross(p, d) = c } with c >= 0, and their ends
  piece: Int32Array = new Int32Array(256);
  c: Float64Array = new Float64Array(256);
  dx: Float64Array = new Float64Array(256);
  dy: Float64Array = new Float64Array(256);
  #sx = new Float64Array(256);
  #sy = new Float64Array(256);
  #ex = new Float64Array(256);
  #ey = new Float64Array(256);
  #onLine = new Float64Array(256);
  #isRadial = new Uint8Array(256); // lies along a ray: left out
  #from: Float64Array = new Float64Array();
  #to: Float64Array = new Float64Array();
  #node = new Int32Array(256);
  #stretch = new Int32Array(256); // open now
  #isStale = new Uint8Array(256); // its neighbours have changed in this event
  #farHash = new Int32Array(256);
  #nearHash = new Int32Array(256);
  #byEnd = new Int32Array(256);

  readonly #order = new RayOrder();
  readonly #queue = new CrossingQueue();
  #touched: number[] = []; // nodes whose near side has a new neighbour; NONE for the circle
  #circleHash = 0;
  #theta = 0;
  #ux = 0;
  #uy = 0;
  #hasRay = false;
  #r = 0;
  /** Comparisons, exchanges and started stretches: the time grows with them. */
  steps: number = 0;

  /** Turns the ray from `first` to `last`; `toggles` are the disc's crossings in the order of their angles. */
  run(
    disc: Disc,
    spans: Spans,
    toggles: Int32Array,
    wraps: Uint8Array,
    pieces: number,
    first: number,
    last: number,
  ): void {
    this.#load(disc, spans, first);
    this.#order.clear();
    this.#queue.clear();
    this.count = this.events = this.#endedCount = 0;
    this.#r = disc.r;
    this.#circleHash = 0;
    for (let p = 0; p < pieces; p++) if (wraps[p]! !== 0) this.#circleHash ^= hashOf(p);
    const { order } = spans;
    const n = spans.count;
    let start = 0;
    let end = 0;
    let toggle = 0;
    for (let theta = first; ; ) {
      this.#begin(theta);
      do {
        this.#exchange();
        for (; end < n && this.#to[this.#byEnd[end]!]! <= theta; end++) this.#remove(this.#byEnd[end]!);
        for (; toggle < disc.crossings && disc.angle[toggles[toggle]!]! <= theta; toggle++) {
          this.#circleHash ^= hashOf(disc.crossingOf[toggles[toggle]!]!);
          this.#touched.push(NONE);
        }
        for (; start < n && this.#from[order[start]!]! <= theta; start++) {
          if (this.#to[order[start]!]! > theta && this.#isRadial[order[start]!] === 0) this.#insert(order[start]!);
        }
        this.#settle();
      } while (this.#queue.angle <= theta);
      this.#finish(toggle);
      theta = this.#queue.angle;
      if (start < n) theta = Math.min(theta, this.#from[order[start]!]!);
      if (end < n) theta = Math.min(theta, this.#to[this.#byEnd[end]!]!);
      if (toggle < disc.crossings) theta = Math.min(theta, disc.angle[toggles[toggle]!]!);
      if (!(theta < last)) break;
    }
    this.#begin(last);
    for (let node = this.#order.first; node !== NONE; node = this.#order.near[node]!) {
      this.#close(this.#order.span[node]!);
    }
    this.#finish(toggle);
  }

  #endedCount = 0;

  #load(disc: Disc, spans: Spans, first: number): void {
    const n = spans.count;
    if (n > this.piece.length) this.#roomFor(2 * n);
    this.#from = spans.from;
    this.#to = spans.to;
    for (let s = 0; s < n; s++) {
      const k = spans.part[s]!;
      const forward = disc.c[k]! >= 0;
      const sign = forward ? 1 : -1;
      const c = disc.c[k]! * sign;
      const dx = disc.dx[k]! * sign;
      const dy = disc.dy[k]! * sign;
      this.piece[s] = disc.partOf[k]!;
      this.c[s] = c;
      this.dx[s] = dx;
      this.dy[s] = dy;
      this.#onLine[s] = ON_LINE * disc.r * (Math.abs(dx) + Math.abs(dy));
      this.#node[s] = this.#stretch[s] = NONE;
      this.#isStale[s] = 0;
      this.#sx[s] = forward ? disc.x0[k]! : disc.x1[k]!;
      this.#sy[s] = forward ? disc.y0[k]! : disc.y1[k]!;
      this.#ex[s] = forward ? disc.x1[k]! : disc.x0[k]!;
      this.#ey[s] = forward ? disc.y1[k]! : disc.y0[k]!;
      // A part across the cut ray is two spans, which end and begin on it.
      if (spans.to[s] === Math.PI) {
        this.#ex[s] = -along(c, -dy, disc.r);
        this.#ey[s] = 0;
      }
      const from = spans.from[s]!;
      if (from === -Math.PI || from < first) {
        const ux = from < first ? Math.cos(first) : -1;
        const uy = from < first ? Math.sin(first) : 0;
        const rho = along(c, ux * dy - uy * dx, disc.r);
        this.#sx[s] = rho * ux;
        this.#sy[s] = rho * uy;
      }
      this.#byEnd[s] = s;
      this.#isRadial[s] = 0;
      if (c <= this.#onLine[s]!) this.#toCentre(s);
    }
    sortByKey(this.#byEnd, n, spans.to);
  }

  /**
   * A part on a line through the centre lies along the ray when it is met: it bounds nothing. Where it runs through the
   * centre it lies there while the ray turns by half a turn.
   */
  #toCentre(s: number): void {
    this.#isRadial[s] = this.#sx[s]! * this.#ex[s]! + this.#sy[s]! * this.#ey[s]! >= 0 ? 1 : 0;
    this.c[s] = this.#sx[s] = this.#sy[s] = this.#ex[s] = this.#ey[s] = 0;
  }

  #begin(theta: number): void {
    this.#theta = theta;
    this.#hasRay = false;
    this.#touched.length = 0;
    if (this.events + 1 >= this.angle.length) {
      this.angle = doubled(this.angle);
      this.begun = doubledIntegers(this.begun);
      this.endedFrom = doubledIntegers(this.endedFrom);
      this.passed = doubledIntegers(this.passed);
    }
    this.angle[this.events] = theta;
    this.begun[this.events] = this.count;
    this.endedFrom[this.events] = this.#endedCount;
  }

  #finish(passed: number): void {
    const { span, far } = this.#order;
    for (let k = this.begun[this.events]!; k < this.count; k++) {
      const before = far[this.#node[this.span[k]!]!]!;
      this.parent[k] = before === NONE ? NONE : this.#stretch[span[before]!]!;
    }
    this.passed[this.events++] = passed;
    this.begun[this.events] = this.count;
    this.endedFrom[this.events] = this.#endedCount;
  }

  /** Pairs that cross here change places. */
  #exchange(): void {
    const { span, far, near } = this.#order;
    for (; this.#queue.angle <= this.#theta; this.#queue.next()) {
      const a = this.#queue.far;
      const b = this.#queue.near;
      const nodeA = this.#node[a]!;
      const nodeB = this.#node[b]!;
      if (nodeA === NONE || nodeB === NONE || near[nodeA] !== nodeB) continue;
      this.#renew(a);
      this.#renew(b);
      span[nodeA] = b;
      span[nodeB] = a;
      this.#node[a] = nodeB;
      this.#node[b] = nodeA;
      this.#touched.push(far[nodeA]!, nodeA, nodeB);
      this.steps++;
    }
  }

  #remove(s: number): void {
    const node = this.#node[s]!;
    if (node === NONE) return;
    this.#close(s);
    this.#touched.push(this.#order.far[node]!);
    this.#order.remove(node);
    this.#node[s] = NONE;
    this.steps++;
  }

  #insert(s: number): void {
    const { left, right, span } = this.#order;
    let parent = NONE;
    let isNear = false;
    for (let at = this.#order.root; at !== NONE; at = isNear ? right[at]! : left[at]!) {
      parent = at;
      isNear = this.#isFarther(span[at]!, s);
    }
    const node = this.#order.insert(s, parent, isNear);
    this.#node[s] = node;
    this.#touched.push(this.#order.far[node]!, node);
  }

  /** Whether span t lies farther out than s where s begins; where it begins on t, over the range both share. */
  #isFarther(t: number, s: number): boolean {
    this.steps++;
    if (this.c[t] === 0) return false; // it lies in the centre
    const gap = this.c[t]! - (this.#sx[s]! * this.dy[t]! - this.#sy[s]! * this.dx[t]!);
    if (gap > this.#onLine[t]!) return true;
    if (gap < -this.#onLine[t]!) return false;
    return this.#atEnd(t, s) >= 0;
  }

  /** Above 0 where span a lies farther out than b at the end of the range both share, 0 where they meet there. */
  #atEnd(a: number, b: number): number {
    if (this.c[a] === 0 || this.c[b] === 0) return Math.sign(this.c[a]! - this.c[b]!);
    const isA = this.#to[a]! < this.#to[b]! || (this.#to[a] === this.#to[b] && a < b);
    const first = isA ? a : b;
    const other = isA ? b : a;
    const gap = this.c[other]! - (this.#ex[first]! * this.dy[other]! - this.#ey[first]! * this.dx[other]!);
    if (Math.abs(gap) <= this.#onLine[other]!) return 0;
    return isA ? -gap : gap;
  }

  /** Brings covers in order wherever neighbours have changed, and looks ahead for crossings of new neighbours. */
  #settle(): void {
    const { span, near } = this.#order;
    const touched = this.#touched;
    for (let i = 0; i < touched.length; i++) if (this.#isHere(touched[i]!)) this.#agree(touched[i]!);
    for (let i = 0; i < touched.length; i++) {
      const node = touched[i]!;
      if (node === NONE || !this.#isHere(node) || near[node] === NONE) continue;
      this.#lookAhead(span[node]!, span[near[node]!]!);
    }
    touched.length = 0;
  }

  /** Whether a node is still (or again) in the order. */
  #isHere(node: number): boolean {
    return node === NONE || this.#node[this.#order.span[node]!] === node;
  }

  /** From a node inwards: begins stretches until two neighbours agree on what covers the ground between them. */
  #agree(node: number): void {
    const { span, far, near, first } = this.#order;
    let at = node;
    while (at !== NONE && this.#isPending(span[at]!)) at = far[at]!;
    let hash = at === NONE ? this.#circleHash : this.#nearHash[span[at]!]!;
    for (at = at === NONE ? first : near[at]!; at !== NONE; at = near[at]!) {
      const s = span[at]!;
      if (!this.#isPending(s) && this.#farHash[s] === hash) return;
      this.#open(s);
      this.#farHash[s] = hash;
      hash ^= hashOf(this.piece[s]!);
      this.#nearHash[s] = hash;
    }
  }

  #isPending(s: number): boolean {
    return this.#stretch[s] === NONE || this.#isStale[s] === 1;
  }

  #lookAhead(far: number, near: number): void {
    this.steps++;
    if (this.#atEnd(far, near) >= 0) return;
    const wx = this.c[far]! * this.dx[near]! - this.c[near]! * this.dx[far]!;
    const wy = this.c[far]! * this.dy[near]! - this.c[near]! * this.dy[far]!;
    const end = Math.min(this.#to[far]!, this.#to[near]!);
    let angle = Math.atan2(wy + 0, wx);
    if (angle > end + Math.PI) angle -= 2 * Math.PI; // just after the cut ray
    this.#queue.add(Math.min(Math.max(angle, this.#theta), end), far, near);
  }

  /** The stretch of a span ends here or, if it began here, is checked once more. */
  #renew(s: number): void {
    const k = this.#stretch[s]!;
    if (k !== NONE && this.begins[k] === this.events) this.#isStale[s] = 1;
    else this.#close(s);
  }

  #open(s: number): void {
    this.#renew(s);
    if (this.#isStale[s] === 1) {
      this.#isStale[s] = 0;
      return;
    }
    const k = this.count++;
    if (k === this.span.length) this.#grow();
    this.#stretch[s] = k;
    this.span[k] = s;
    this.begins[k] = this.events;
    const rho = this.#theta === this.#from[s] ? -1 : this.#alongRay(s);
    this.x0[k] = rho < 0 ? this.#sx[s]! : rho * this.#ux;
    this.y0[k] = rho < 0 ? this.#sy[s]! : rho * this.#uy;
    this.steps++;
  }

  #close(s: number): void {
    const k = this.#stretch[s]!;
    if (k === NONE) return;
    this.#stretch[s] = NONE;
    this.ends[k] = this.events;
    const rho = this.#theta === this.#to[s] ? -1 : this.#alongRay(s);
    this.x1[k] = rho < 0 ? this.#ex[s]! : rho * this.#ux;
    this.y1[k] = rho < 0 ? this.#ey[s]! : rho * this.#uy;
    if (this.#endedCount === this.ended.length) this.ended = doubledIntegers(this.ended);
    this.ended[this.#endedCount++] = k;
  }

  /** Distance along the ray to a span. */
  #alongRay(s: number): number {
    if (!this.#hasRay) {
      this.#ux = Math.cos(this.#theta);
      this.#uy = Math.sin(this.#theta);
      this.#hasRay = true;
    }
    return along(this.c[s]!, this.#ux * this.dy[s]! - this.#uy * this.dx[s]!, this.#r);
  }

  #grow(): void {
    this.span = doubledIntegers(this.span);
    this.parent = doubledIntegers(this.parent);
    this.begins = doubledIntegers(this.begins);
    this.ends = doubledIntegers(this.ends);
    this.x0 = doubled(this.x0);
    this.y0 = doubled(this.y0);
    this.x1 = doubled(this.x1);
    this.y1 = doubled(this.y1);
  }

  #roomFor(n: number): void {
    this.piece = new Int32Array(n);
    this.c = new Float64Array(n);
    this.dx = new Float64Array(n);
    this.dy = new Float64Array(n);
    this.#sx = new Float64Array(n);
    this.#sy = new Float64Array(n);
    this.#ex = new Float64Array(n);
    this.#ey = new Float64Array(n);
    this.#onLine = new Float64Array(n);
    this.#isRadial = new Uint8Array(n);
    this.#node = new Int32Array(n);
    this.#stretch = new Int32Array(n);
    this.#isStale = new Uint8Array(n);
    this.#farHash = new Int32Array(n);
    this.#nearHash = new Int32Array(n);
    this.#byEnd = new Int32Array(n);
  }
}

/** Distance along a ray to a line, held between the centre and the circle; at a line along the ray the quotient is loose. */
export function along(c: number, cross: number, r: number): number {
  const rho = c / cross;
  return rho > 0 ? Math.min(rho, r) : 0; // also 0 for NaN (0 / 0)
}

/** A pseudo-random number of 32 bits for a piece: sets of pieces are told apart by the XOR of their numbers. */
function hashOf(piece: number): number {
  let h = Math.imul(piece + 1, 0x9e3779b1);
  h = Math.imul(h ^ (h >>> 16), 0x85ebca6b);
  h = Math.imul(h ^ (h >>> 13), 0xc2b2ae35);
  return h ^ (h >>> 16);
}
