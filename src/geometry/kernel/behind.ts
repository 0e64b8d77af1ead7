// Ground behind works that cut. In: stretches with what covers either side of them; out: its area.
// Terms: front = the stretch nearest to the centre with works that cut just behind it (the centre itself, where they stand
// on it); behind = beyond the front. Stretches that lie behind the front for part of the turn are summed for that part.
//
// The ray turns once more through the events of stretches.ts, now with a plain list: all places are known. A new front
// moves stretches between it and the last one behind or before it, and nothing else.
// Cost: n steps for n stretches, and one each time a ray through the end of a front passes a stretch in its shadow.

import type { Stretches } from './stretches.js';
import { along } from './stretches.js';

/** Bits of `flags`: whether ground on the far and the near side of a stretch can be severed, and whether works there cut. */
export const OPEN_FAR = 1;
export const OPEN_NEAR = 2;
export const CUT_FAR = 4;
export const CUT_NEAR = 8;

const BEFORE = 0;
const FRONT = 1;
const BEHIND = 2;
const NOT_THERE = 3;
const NONE = -1;

type OnSlab = (from: number, to: number, near0: number, near1: number) => void;

export class Behind {
  area: number = 0;
  #stretches!: Stretches;
  #flags: Uint8Array = new Uint8Array();
  #circle: Uint8Array = new Uint8Array(); // flags of the far side, after so many crossings of the circle
  #atTrunk: Uint8Array = new Uint8Array();
  #r = 0;
  #thin = 0;
  #far = new Int32Array(0);
  #near = new Int32Array(0);
  #place = new Uint8Array(0); // BEFORE, FRONT, BEHIND or NOT_THERE
  #since = new Int32Array(0); // event from which it has been there
  #edge = 0; // number of the circle in the list; the centre follows
  #centre = 0;
  #front = NONE;
  #lost = NONE; // the last one behind a front that has ended
  #event = 0;
  #changed: number[] = [];
  steps: number = 0;

  /** `atTrunk` by span: it goes through the trunk, and ground nearer than it has no real width; `thin` in metres. */
  run(
    stretches: Stretches,
    flags: Uint8Array,
    circle: Uint8Array,
    atTrunk: Uint8Array,
    r: number,
    thin: number,
    onSlab: OnSlab | null,
  ): void {
    this.#stretches = stretches;
    this.#flags = flags;
    this.#circle = circle;
    this.#atTrunk = atTrunk;
    this.#r = r;
    this.#thin = thin;
    this.#start(stretches.count);
    for (let e = 0; e < stretches.events; e++) {
      if (e > 0) this.#pass(e, onSlab);
      this.#event = e;
      this.#turn(e);
    }
  }

  #start(n: number): void {
    this.area = 0;
    this.#edge = n;
    this.#centre = n + 1;
    if (n + 2 > this.#far.length) {
      this.#far = new Int32Array(2 * n + 2);
      this.#near = new Int32Array(2 * n + 2);
      this.#place = new Uint8Array(2 * n + 2);
      this.#since = new Int32Array(2 * n + 2);
    }
    this.#place.fill(NOT_THERE, 0, n);
    this.#near[this.#edge] = this.#centre;
    this.#far[this.#centre] = this.#edge;
    this.#place[this.#edge] = this.#place[this.#centre] = BEFORE;
    this.#front = this.#lost = NONE;
    this.#event = 0;
  }

  /** Between the last event and this one. */
  #pass(e: number, onSlab: OnSlab | null): void {
    const { angle, passed } = this.#stretches;
    const from = angle[e - 1]!;
    const to = angle[e]!;
    if (this.#front !== NONE && (this.#circle[passed[e - 1]!]! & OPEN_FAR) !== 0) {
      this.area += 0.5 * this.#r * this.#r * (to - from);
    }
    if (onSlab !== null && to > from) onSlab(from, to, this.#frontAt(from), this.#frontAt(to));
  }

  #frontAt(angle: number): number {
    if (this.#front === NONE) return this.#r;
    if (this.#front === this.#centre) return 0;
    return this.#along(this.#front, Math.cos(angle), Math.sin(angle));
  }

  #along(k: number, ux: number, uy: number): number {
    const { span, c, dx, dy } = this.#stretches;
    const s = span[k]!;
    return along(c[s]!, ux * dy[s]! - uy * dx[s]!, this.#r);
  }

  /** Stretches end and begin; then the front is set again where necessary. */
  #turn(e: number): void {
    const { endedFrom, ended, begun } = this.#stretches;
    const changed = this.#changed;
    changed.length = 0;
    for (let i = endedFrom[e]!; i < endedFrom[e + 1]!; i++) this.#unlink(ended[i]!);
    for (let k = begun[e]!; k < begun[e + 1]!; k++) this.#link(k);
    changed.push(this.#centre);
    for (const k of changed) if (this.#place[k] === BEFORE && this.#cutsAt(k)) this.#advance(k);
    if (this.#lost !== NONE) {
      let at = this.#lost;
      while (this.#place[this.#near[at]!] === BEHIND) at = this.#near[at]!;
      this.#retreat(at);
    } else if (this.#front !== NONE && !this.#cutsAt(this.#front)) this.#retreat(this.#front);
  }

  #unlink(k: number): void {
    const far = this.#far[k]!;
    const near = this.#near[k]!;
    this.#settle(k);
    if (k === this.#front) {
      this.#lost = far;
      this.#front = NONE;
    } else if (k === this.#lost) this.#lost = far;
    this.#place[k] = NOT_THERE;
    this.#near[far] = near;
    this.#far[near] = far;
    this.#changed.push(near);
  }

  /** Links a stretch in behind its parent, which may itself begin here. */
  #link(k: number): void {
    const { parent } = this.#stretches;
    const chain: number[] = [];
    for (let at = k; at !== NONE && this.#place[at] === NOT_THERE; at = parent[at]!) chain.push(at);
    for (let i = chain.length - 1; i >= 0; i--) {
      const at = chain[i]!;
      const far = parent[at]! === NONE ? this.#edge : parent[at]!;
      const near = this.#near[far]!;
      this.#far[at] = far;
      this.#near[at] = near;
      this.#near[far] = at;
      this.#far[near] = at;
      this.#place[at] = this.#place[far] === BEHIND ? BEHIND : BEFORE;
      this.#since[at] = this.#event;
      this.#changed.push(at, near);
    }
  }

  /** Whether works that cut, and are no thinner than a hair, stand just behind a stretch (or on the centre). */
  #cutsAt(k: number): boolean {
    const { span, passed } = this.#stretches;
    const far = this.#far[k]!;
    const isAtEdge = far === this.#edge;
    if (k !== this.#centre) {
      if ((this.#flags[k]! & CUT_FAR) === 0) return false;
    } else if (isAtEdge) {
      if ((this.#circle[passed[this.#event]!]! & CUT_FAR) === 0) return false;
    } else if ((this.#flags[far]! & CUT_NEAR) === 0) return false;
    if (!isAtEdge && this.#atTrunk[span[far]!] === 1) return false;
    return this.#isWide(far, k);
  }

  /** Whether two neighbours lie apart, now or at the end of the range both share. */
  #isWide(far: number, near: number): boolean {
    const { angle, ends, events } = this.#stretches;
    const endOf = (k: number): number => (k < this.#edge ? ends[k]! : events - 1);
    for (const e of [Math.min(endOf(far), endOf(near)), this.#event]) {
      const ux = Math.cos(angle[e]!);
      const uy = Math.sin(angle[e]!);
      const outer = far === this.#edge ? this.#r : this.#along(far, ux, uy);
      const inner = near === this.#centre ? 0 : this.#along(near, ux, uy);
      if (outer - inner > this.#thin) return true;
    }
    return false;
  }

  /** A front nearer than the last: what lies between is behind it. */
  #advance(k: number): void {
    this.#put(k, FRONT);
    let at = this.#far[k]!;
    for (; at !== this.#edge && this.#place[at] === BEFORE; at = this.#far[at]!) this.#put(at, BEHIND);
    if (at === this.#edge) this.#place[at] = BEHIND;
    else if (this.#place[at] === FRONT) this.#put(at, BEHIND);
    this.#front = k;
    this.#lost = NONE;
  }

  /** The front has ended: the next farther one, from `start` on. */
  #retreat(start: number): void {
    this.#lost = NONE;
    let at = start;
    for (; at !== this.#edge && !this.#cutsAt(at); at = this.#far[at]!) this.#put(at, BEFORE);
    if (at === this.#edge) this.#place[at] = BEFORE;
    else this.#put(at, FRONT);
    this.#front = at === this.#edge ? NONE : at;
  }

  #put(k: number, place: number): void {
    this.steps++;
    if (k !== this.#centre) this.#settle(k);
    this.#place[k] = place;
  }

  /** Adds what a stretch has bounded in its place until now. */
  #settle(k: number): void {
    const { begins, ends, x0, y0, x1, y1, angle } = this.#stretches;
    const since = this.#since[k]!;
    const now = this.#event;
    this.#since[k] = now;
    const place = this.#place[k]!;
    if (place === BEFORE || since === now) return;
    const flags = this.#flags[k]!;
    const open = (place === BEHIND ? (flags & OPEN_NEAR) >> 1 : 0) - (flags & OPEN_FAR);
    if (open === 0) return;
    let [ax, ay, bx, by] = [x0[k]!, y0[k]!, x1[k]!, y1[k]!];
    if (since !== begins[k]) [ax, ay] = this.#placeAt(k, angle[since]!);
    if (now !== ends[k]) [bx, by] = this.#placeAt(k, angle[now]!);
    this.area += open * 0.5 * (ax * by - ay * bx);
  }

  #placeAt(k: number, angle: number): [number, number] {
    const ux = Math.cos(angle);
    const uy = Math.sin(angle);
    const rho = this.#along(k, ux, uy);
    return [rho * ux, rho * uy];
  }
}
