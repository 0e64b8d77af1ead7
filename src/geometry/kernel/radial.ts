// Union of many polygons inside one disc, edge by edge. In: the edge parts and crossings a Disc has gathered; out: the
// figures of sweep.ts. Terms: stretch, parent as in stretches.ts; cover as in cover.ts.
//
// Every stretch bounds ground on its far and its near side, and the triangle between it and the centre belongs to the near
// ground and not to the far: areas are sums of such triangles, and of sectors along the circle (Green's theorem in polar
// coordinates). What covers a stretch's far side covers its parent's near side, so a walk through the tree of stretches
// meets every cover by entering or leaving one piece at a time.
// Cost: (n + crossings) log n for n edge parts, where sweep.ts takes every part again in every slab.

import { Behind, CUT_FAR, CUT_NEAR, OPEN_FAR, OPEN_NEAR } from './behind.js';
import { Cover } from './cover.js';
import type { Disc } from './disc.js';
import type { MaskAreas } from './mask-areas.js';
import { NONE } from './ray-order.js';
import { type Spans, Stretches } from './stretches.js';
import type { Touching } from './touching.js';

export interface RadialTask {
  readonly disc: Disc;
  readonly touching: Touching;
  readonly spans: Spans;
  /** The disc's crossings in the order of their angles. */
  readonly toggles: Int32Array;
  /** Areas by mask are added here, what owners cover alone to `touching` times `scale`. */
  readonly areas: MaskAreas;
  readonly scale: number;
  readonly first: number;
  readonly last: number;
  readonly within: number;
  /** Works thinner than this cut nothing, metres. */
  readonly thin: number;
  readonly onSlab: ((from: number, to: number, near0: number, near1: number) => void) | null;
  /** Whether an edge part goes through the trunk (sweep.ts). */
  readonly atTrunk: (part: number) => boolean;
}

export class Radial {
  severed: number = 0;
  readonly #stretches = new Stretches();
  readonly #cover = new Cover();
  readonly #behind = new Behind();
  #child = new Int32Array(0); // per stretch: the first whose parent it is, and the next with the same parent
  #sibling = new Int32Array(0);
  #flags = new Uint8Array(0);
  #circle = new Uint8Array(0);
  #atTrunk = new Uint8Array(0);

  /** Steps taken so far, over all runs: they grow like the time. */
  get steps(): number {
    return this.#stretches.steps + this.#behind.steps;
  }

  run(task: RadialTask): void {
    const { disc, touching, spans, toggles, first, last } = task;
    const stretches = this.#stretches;
    stretches.run(disc, spans, toggles, touching.wraps, touching.count, first, last);
    this.#walk(task);
    this.severed = 0;
    const { cuts, count } = touching;
    let cutting = false;
    for (let p = 0; p < count && !cutting; p++) cutting = cuts[p] === 1;
    if (!cutting && task.onSlab === null) return;
    if (spans.count > this.#atTrunk.length) this.#atTrunk = new Uint8Array(spans.count * 2);
    for (let s = 0; s < spans.count; s++) this.#atTrunk[s] = task.atTrunk(spans.part[s]!) ? 1 : 0;
    this.#behind.run(stretches, this.#flags, this.#circle, this.#atTrunk, disc.r, task.thin, task.onSlab);
    this.severed = this.#behind.area;
  }

  /** Along the circle from first to last, and from each place on it through the stretches that hang there. */
  #walk(task: RadialTask): void {
    const { disc, touching, toggles, first, last } = task;
    const { begins, passed } = this.#stretches;
    const cover = this.#cover;
    let root = this.#plant(disc.crossings);
    cover.start(touching, task.within);
    for (let t = 0, from = first; t <= disc.crossings; t++) {
      const to = t < disc.crossings ? Math.min(Math.max(disc.angle[toggles[t]!]!, first), last) : last;
      this.#circle[t] = (cover.isOpen ? OPEN_FAR : 0) | (cover.cuts ? CUT_FAR : 0);
      this.#add(task, 0.5 * disc.r * disc.r * (to - from));
      for (; root !== NONE && passed[begins[root]!]! <= t; root = this.#sibling[root]!) this.#descend(task, root);
      if (t < disc.crossings) cover.flip(disc.crossingOf[toggles[t]!]!);
      from = to;
    }
  }

  /** Hangs every stretch under its parent, in the order they begin; returns the first that hangs at the circle. */
  #plant(crossings: number): number {
    const { count, parent } = this.#stretches;
    if (count > this.#child.length) {
      this.#child = new Int32Array(count * 2);
      this.#sibling = new Int32Array(count * 2);
      this.#flags = new Uint8Array(count * 2);
    }
    if (crossings >= this.#circle.length) this.#circle = new Uint8Array(crossings * 2 + 1);
    this.#child.fill(NONE, 0, count);
    let root = NONE;
    for (let k = count - 1; k >= 0; k--) {
      const above = parent[k]!;
      this.#sibling[k] = above === NONE ? root : this.#child[above]!;
      if (above === NONE) root = k;
      else this.#child[above] = k;
    }
    return root;
  }

  /** A stretch and all that hang under it, each entered once and left once. */
  #descend(task: RadialTask, root: number): void {
    const { parent, span, piece, x0, y0, x1, y1 } = this.#stretches;
    const cover = this.#cover;
    for (let k = root; ; ) {
      const area = 0.5 * (x0[k]! * y1[k]! - y0[k]! * x1[k]!);
      let flags = (cover.isOpen ? OPEN_FAR : 0) | (cover.cuts ? CUT_FAR : 0);
      this.#add(task, -area);
      cover.flip(piece[span[k]!]!);
      flags |= (cover.isOpen ? OPEN_NEAR : 0) | (cover.cuts ? CUT_NEAR : 0);
      this.#add(task, area);
      this.#flags[k] = flags;
      if (this.#child[k] !== NONE) {
        k = this.#child[k]!;
        continue;
      }
      for (;;) {
        cover.flip(piece[span[k]!]!);
        if (k === root) return;
        if (this.#sibling[k] !== NONE) break;
        k = parent[k]!;
      }
      k = this.#sibling[k]!;
    }
  }

  /** Adds an area to the mask and owner that cover the place. */
  #add({ areas, touching, scale }: RadialTask, area: number): void {
    const cover = this.#cover;
    areas.add(cover.mask, area);
    const own = cover.own;
    if (own >= 0) touching.sole[own] = touching.sole[own]! + area * scale;
  }
}
