// Union of several polygons inside one disc: in: the edge parts and crossings a Disc has gathered; out: exact areas
// by combination of classes, what works that cut leave severed behind them, and what each owner alone covers.
// Terms: slab = the angle between two neighbouring events; mask = the set of classes that cover a place, one bit each
// (pieces.ts); shadow = what lies beyond the nearest edge of works that cut; sole = covered by one owner's works only.
//
// Events are the ends of the edge parts, their pairwise crossings and the places where edges cross the circle. Within
// a slab no two parts cross, so along its middle ray the parts sort by distance. The walk goes from the circle
// inwards, where the depth is known from the crossings, flipping each piece's parity at its parts; between two parts
// lies a four-sided area, the difference of two triangles. No topology is built: two events in the wrong order cost
// a sliver between them, never a wrong answer. The depth is never determined at the centre, where a trunk may stand on a
// corner of a footprint.

import { doubled, doubledIntegers } from '../column.js';
import { canBeSevered, isOpen } from './cover.js';
import type { Disc } from './disc.js';
import { MaskAreas } from './mask-areas.js';
import { EXISTING, WITHIN } from './pieces.js';
import { Radial } from './radial.js';
import { sortByKey } from './sorting.js';
import type { Touching } from './touching.js';

/**
 * Works that only touch the trunk with an edge or a corner cut nothing off behind it. An edge passes through the
 * trunk when it comes this close, in radii: half a micrometre at 5 m, where degrees in doubles resolve a few nanometres
 * and no survey resolves a tenth of a millimetre. Otherwise rounding would decide between nothing severed and everything.
 */
const AT_TRUNK = 1e-7;
/**
 * Where ground that is hard today is spared, works that stick out of it by less than this along a ray, in radii, cut
 * nothing: 50 nanometres at 5 m, where degrees in doubles resolve a few. Otherwise rounding would decide, where a building
 * stands on a slab of the same outline, whether a strip of no width cuts off all that lies behind it.
 */
const THIN = 1e-8;
/** Half a turn, and room for rounding, radians. */
const HALF_TURN = 3.2;
/**
 * From so many edge parts on, radial.ts measures: slabs times the parts open in each is then more than its own sorting.
 */
const MANY_SPANS = 96;

/** What one sweep has measured, square metres; a member of Sweep, overwritten by the next `run`. */
export class Sweep {
  readonly areas: MaskAreas = new MaskAreas();
  severed: number = 0;
  /** When set before `run`: called for every slab with the distance of the nearest edge of works that cut (r: none). */
  onSlab: ((from: number, to: number, near0: number, near1: number) => void) | null = null;

  // edge parts as angular spans, sorted by their start
  #spans = 0;
  #from = new Float64Array(256);
  #to = new Float64Array(256);
  #part = new Int32Array(256);
  #order = new Int32Array(256);

  #events = 0;
  #event = new Float64Array(1024);
  #toggleOrder = new Int32Array(256);

  #active = new Int32Array(256);
  #rho = new Float64Array(256); // at the middle ray, by position in #active

  #atCircle = new Uint8Array(64); // parity at the circle, per piece
  #here = new Uint8Array(64); // parity on the way in
  // the cover where a slab meets the circle
  #owners = 0;
  #ownerSum = 0;
  #cutting = 0;
  #mask = 0;
  #radial: Radial | null = null;
  readonly #many: number;
  #depth = new Int32Array(64); // how many pieces of an owner cover the place

  /** `many` is for tests: 0 measures everything with radial.ts, Infinity nothing. */
  constructor(many: number = MANY_SPANS) {
    this.#many = many;
  }

  /** Steps taken by radial.ts, over all runs: they grow like the time. */
  get steps(): number {
    return this.#radial?.steps ?? 0;
  }

  /**
   * Measures what `disc` holds between the angles `first` and `last` (-pi to pi for the whole disc). Its pieces are
   * those of `touching`, by their places there; what each owner covers alone is added up there too, times `scale`.
   * With `within` only what lies in the piece of that bit counts as severed or as an owner's own.
   */
  run(
    disc: Disc,
    touching: Touching,
    scale: number = 1,
    first: number = -Math.PI,
    last: number = Math.PI,
    within: boolean = false,
  ): void {
    const pieces = touching.count;
    this.severed = 0;
    let present = 0;
    for (let i = 0; i < pieces; i++) present |= touching.classBit[i]!;
    this.areas.clear(present);
    this.#gatherSpans(disc);
    if (this.#spans >= this.#many) {
      this.#runRadial(disc, touching, scale, first, last, within ? WITHIN : 0);
      return;
    }
    if (pieces > this.#atCircle.length) {
      this.#atCircle = new Uint8Array(pieces * 2);
      this.#here = new Uint8Array(pieces * 2);
    }
    if (touching.owners > this.#depth.length) this.#depth = new Int32Array(touching.owners * 2);
    for (let i = 0; i < pieces; i++) this.#atCircle[i] = touching.wraps[i]! & 1;
    this.#gatherEvents(disc, first, last);
    this.#slabs(disc, touching, scale, first, last, within ? WITHIN : 0);
  }

  #runRadial(disc: Disc, touching: Touching, scale: number, first: number, last: number, within: number): void {
    this.#radial ??= new Radial();
    this.#sortToggles(disc);
    const hair2 = (AT_TRUNK * disc.r) ** 2;
    this.#radial.run({
      disc,
      touching,
      spans: { count: this.#spans, from: this.#from, to: this.#to, part: this.#part, order: this.#order },
      toggles: this.#toggleOrder,
      areas: this.areas,
      scale,
      first,
      last,
      within,
      thin: this.#thin(disc, touching),
      onSlab: this.onSlab,
      atTrunk: (part) => isAtTrunk(disc, part, hair2),
    });
    this.severed = this.#radial.severed;
  }

  /** Edge parts as anticlockwise spans; a part across the cut ray becomes two, a part along a ray none. */
  #gatherSpans(disc: Disc): void {
    this.#spans = 0;
    for (let k = 0; k < disc.parts; k++) {
      const forward = disc.c[k]! >= 0;
      const ax = (forward ? disc.x0[k] : disc.x1[k])!;
      const ay = (forward ? disc.y0[k] : disc.y1[k])! + 0;
      const bx = (forward ? disc.x1[k] : disc.x0[k])!;
      const by = (forward ? disc.y1[k] : disc.y0[k])! + 0;
      const a = Math.atan2(ay, ax);
      const b = Math.atan2(by, bx);
      // Rounding can reverse a short part: along the cut ray, or across the opposite ray, it then looks like a full turn.
      // No true part spans more than half of one.
      if (b >= a) {
        if (b - a <= HALF_TURN) this.#span(a, b, k);
      } else if (ay >= 0 && by < 0 && b + 2 * Math.PI - a <= HALF_TURN) {
        this.#span(a, Math.PI, k);
        this.#span(-Math.PI, b, k);
      }
    }
    sortByKey(this.#order, this.#spans, this.#from);
  }

  #span(from: number, to: number, part: number): void {
    if (!(to > from)) return;
    const k = this.#spans++;
    if (k === this.#from.length) {
      this.#from = doubled(this.#from);
      this.#to = doubled(this.#to);
      this.#part = doubledIntegers(this.#part);
      this.#order = doubledIntegers(this.#order);
      this.#active = doubledIntegers(this.#active);
      this.#rho = doubled(this.#rho);
    }
    this.#from[k] = from;
    this.#to[k] = to;
    this.#part[k] = part;
    this.#order[k] = k;
  }

  #gatherEvents(disc: Disc, first: number, last: number): void {
    this.#events = 0;
    this.#addEvent(-Math.PI);
    this.#addEvent(Math.PI);
    if (first > -Math.PI) this.#addEvent(first);
    if (last < Math.PI) this.#addEvent(last);
    for (let k = 0; k < this.#spans; k++) {
      this.#addEvent(this.#from[k]!);
      this.#addEvent(this.#to[k]!);
    }
    for (let k = 0; k < disc.crossings; k++) this.#addEvent(disc.angle[k]!);
    this.#sortToggles(disc);
    this.#crossSpans(disc);
    sortNumbers(this.#event, this.#events);
  }

  #sortToggles(disc: Disc): void {
    if (disc.crossings > this.#toggleOrder.length) this.#toggleOrder = new Int32Array(disc.crossings * 2);
    for (let k = 0; k < disc.crossings; k++) this.#toggleOrder[k] = k;
    sortByKey(this.#toggleOrder, disc.crossings, disc.angle);
  }

  #addEvent(angle: number): void {
    if (this.#events === this.#event.length) this.#event = doubled(this.#event);
    this.#event[this.#events++] = angle;
  }

  /** Adds the angle of every crossing of two parts of different pieces. */
  #crossSpans(disc: Disc): void {
    const reach = disc.r * disc.r * (1 + 1e-9);
    for (let i = 0; i < this.#spans; i++) {
      const a = this.#order[i]!;
      const partA = this.#part[a]!;
      const end = this.#to[a]!;
      const cA = disc.c[partA]!;
      const dxA = disc.dx[partA]!;
      const dyA = disc.dy[partA]!;
      for (let j = i + 1; j < this.#spans; j++) {
        const b = this.#order[j]!;
        const fromB = this.#from[b]!;
        if (fromB >= end) break; // sorted by start: none further on overlaps a
        const partB = this.#part[b]!;
        if (disc.partOf[partA] === disc.partOf[partB]) continue;
        const dxB = disc.dx[partB]!;
        const dyB = disc.dy[partB]!;
        const det = dxA * dyB - dyA * dxB;
        if (det === 0) continue;
        const cB = disc.c[partB]!;
        const x = (cB * dxA - cA * dxB) / det;
        const y = (cB * dyA - cA * dyB) / det;
        if (!(x * x + y * y <= reach)) continue;
        const angle = Math.atan2(y + 0, x);
        if (angle > fromB && angle < end && angle < this.#to[b]!) this.#addEvent(angle);
      }
    }
  }

  #slabs(disc: Disc, touching: Touching, scale: number, first: number, last: number, within: number): void {
    let next = 0; // span to come
    let active = 0;
    let toggle = 0;
    for (let k = 0; k + 1 < this.#events; k++) {
      const from = this.#event[k]!;
      const to = this.#event[k + 1]!;
      if (!(to > from)) continue;
      for (; toggle < disc.crossings; toggle++) {
        const t = this.#toggleOrder[toggle]!;
        if (disc.angle[t]! > from) break;
        const piece = disc.crossingOf[t]!;
        this.#atCircle[piece] = this.#atCircle[piece]! ^ 1;
      }
      let kept = 0;
      for (let i = 0; i < active; i++) {
        const span = this.#active[i]!;
        if (this.#to[span]! > from) this.#active[kept++] = span;
      }
      active = kept;
      for (; next < this.#spans; next++) {
        const span = this.#order[next]!;
        if (this.#from[span]! > from) break;
        if (this.#to[span]! > from) this.#active[active++] = span;
      }
      if (from >= first && to <= last) this.#slab(disc, from, to, active, touching, scale, within);
    }
  }

  /** How thick works must be to cut, metres; below 0 where all do. */
  #thin(disc: Disc, { spare }: Touching): number {
    return (spare & EXISTING) !== 0 ? THIN * disc.r : -1;
  }

  #slab(disc: Disc, from: number, to: number, active: number, touching: Touching, scale: number, within: number): void {
    const { count: pieces, classBit, cuts, owner, sole } = touching;
    const { areas } = this;
    const byMask = areas.array;
    const r = disc.r;
    const middle = (from + to) / 2;
    this.#sortActive(disc, active, Math.cos(middle), Math.sin(middle));
    const [ux, uy, vx, vy] = [Math.cos(from), Math.sin(from), Math.cos(to), Math.sin(to)];
    const halfSine = 0.5 * (ux * vy - uy * vx);

    const depth = this.#depth;
    this.#startAtCircle(touching);
    let here = this.#owners; // owners whose works cover the place, and the sum of their numbers: of one owner, its number
    let sum = this.#ownerSum;
    let cutting = this.#cutting;
    let mask = this.#mask;
    let outer = 0.5 * r * r * (to - from);
    let gap = 0; // ground without works passed since the last works that cut
    let [near0, near1] = [r, r];
    let atTrunk = false; // whether the edge passed last goes through the trunk: the ground inside it has no real width
    const hair2 = (AT_TRUNK * r) ** 2;
    const thin = this.#thin(disc, touching);
    let [outer0, outer1] = [r, r]; // the edge passed last, on either ray of the slab
    for (let i = 0; i < active; i++) {
      const part = this.#part[this.#active[i]!]!;
      const c = disc.c[part]!;
      const dx = disc.dx[part]!;
      const dy = disc.dy[part]!;
      const rho0 = bounded(c / (ux * dy - uy * dx), r);
      const rho1 = bounded(c / (vx * dy - vy * dx), r);
      const inner = halfSine * rho0 * rho1;
      const area = outer - inner;
      const counts = (mask & within) === within;
      const spared = (mask & touching.spare) !== 0;
      if (byMask === null) areas.add(mask, area);
      else byMask[mask] = byMask[mask]! + area;
      if (isOpen(mask)) gap += canBeSevered(mask, touching.spare, within) ? area : 0;
      else {
        if (here === 1 && counts && !spared) sole[sum] = sole[sum]! + area * scale;
        if (cutting > 0 && !atTrunk && !spared && (outer0 - rho0 > thin || outer1 - rho1 > thin)) {
          this.severed += gap;
          gap = 0;
          near0 = rho0;
          near1 = rho1;
        }
      }
      outer = inner;
      outer0 = rho0;
      outer1 = rho1;
      atTrunk = isAtTrunk(disc, part, hair2);
      const piece = disc.partOf[part]!;
      const o = owner[piece]!;
      if (this.#here[piece] === 0) {
        this.#here[piece] = 1;
        cutting += cuts[piece]!;
        mask |= classBit[piece]!;
        if (o >= 0 && depth[o]!++ === 0) {
          here++;
          sum += o;
        }
      } else {
        this.#here[piece] = 0;
        cutting -= cuts[piece]!;
        mask = this.#maskHere(pieces, classBit);
        if (o >= 0 && --depth[o]! === 0) {
          here--;
          sum -= o;
        }
      }
    }
    if (byMask === null) areas.add(mask, outer);
    else byMask[mask] = byMask[mask]! + outer;
    const isTaken = !isOpen(mask) && (mask & touching.spare) === 0; // what holds the centre
    if (isTaken && here === 1 && (mask & within) === within) sole[sum] = sole[sum]! + outer * scale;
    if (isTaken && cutting > 0 && !atTrunk && (outer0 > thin || outer1 > thin)) {
      this.severed += gap;
      near0 = near1 = 0;
    }
    this.onSlab?.(from, to, near0, near1);
  }

  /** What covers the slab where it meets the circle. */
  #startAtCircle({ count, classBit, cuts, owner, owners }: Touching): void {
    const depth = this.#depth;
    for (let o = 0; o < owners; o++) depth[o] = 0;
    this.#owners = this.#ownerSum = this.#cutting = this.#mask = 0;
    for (let i = 0; i < count; i++) {
      const parity = this.#atCircle[i]!;
      this.#here[i] = parity;
      if (parity === 0) continue;
      this.#mask |= classBit[i]!;
      this.#cutting += cuts[i]!;
      const o = owner[i]!;
      if (o >= 0 && depth[o]!++ === 0) {
        this.#owners++;
        this.#ownerSum += o;
      }
    }
  }

  #maskHere(pieces: number, classBit: ArrayLike<number>): number {
    let mask = 0;
    for (let i = 0; i < pieces; i++) if (this.#here[i] === 1) mask |= classBit[i]!;
    return mask;
  }

  /** Sorts the active spans by their distance along a ray, farthest first; ties keep the order of their start. */
  #sortActive(disc: Disc, active: number, ux: number, uy: number): void {
    for (let i = 0; i < active; i++) {
      const span = this.#active[i]!;
      const part = this.#part[span]!;
      const rho = disc.c[part]! / (ux * disc.dy[part]! - uy * disc.dx[part]!);
      let k = i;
      for (; k > 0 && this.#rho[k - 1]! < rho; k--) {
        this.#rho[k] = this.#rho[k - 1]!;
        this.#active[k] = this.#active[k - 1]!;
      }
      this.#rho[k] = rho;
      this.#active[k] = span;
    }
  }
}

/** Whether a part comes within the square root of hair2 of the trunk. */
function isAtTrunk(disc: Disc, part: number, hair2: number): boolean {
  const c = disc.c[part]!;
  const dx = disc.dx[part]!;
  const dy = disc.dy[part]!;
  if (c * c > hair2 * (dx * dx + dy * dy)) return false; // not even its line does
  const x0 = disc.x0[part]!;
  const y0 = disc.y0[part]!;
  const x1 = disc.x1[part]!;
  const y1 = disc.y1[part]!;
  if (x0 * x0 + y0 * y0 <= hair2 || x1 * x1 + y1 * y1 <= hair2) return true;
  return x0 * x1 + y0 * y1 < 0; // its ends lie on opposite sides of the trunk
}

/** A distance along a ray, held between the centre and the circle; at a part along the ray the quotient is loose. */
function bounded(rho: number, r: number): number {
  return rho > 0 ? Math.min(rho, r) : 0; // also 0 for NaN (0 / 0)
}

const SHORT = 48; // insertion sort up to here: no allocation, and quicker than the built-in sort

function sortNumbers(values: Float64Array, n: number): void {
  if (n > SHORT) {
    values.subarray(0, n).sort();
    return;
  }
  for (let i = 1; i < n; i++) {
    const v = values[i]!;
    let j = i;
    for (; j > 0 && values[j - 1]! > v; j--) values[j] = values[j - 1]!;
    values[j] = v;
  }
}
