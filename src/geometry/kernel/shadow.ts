// The ground behind works that cut, as polygons for drawing: in: the distance of the nearest cutting edge, slab by
// slab (Sweep.onSlab); out: rings about the centre that reach beyond the circle, to be clipped by the zone's outline.
// Terms: run = neighbouring slabs that are all in shadow; map = the affine map the sweep worked in (identity mostly).

import { backwards, type Ring, type Shape } from '../rings/ring.js';

const BEYOND = 1.3; // the outer chain's distance in radii: clear of the circle for steps up to MAX_STEP
const MAX_STEP = 0.25; // radians
const TOGETHER = 1e-12; // angles closer than this are one

interface Run {
  from: number;
  to: number;
  inner: number[]; // x, y anticlockwise
}

/** Collects slabs; pass `slab` to Sweep.onSlab, then take the shape. */
export class Shadow {
  readonly #r: number;
  readonly #runs: Run[] = [];

  constructor(r: number) {
    this.#r = r;
  }

  slab(from: number, to: number, near0: number, near1: number): void {
    if (near0 >= this.#r && near1 >= this.#r) return;
    const ends = [near0 * Math.cos(from), near0 * Math.sin(from), near1 * Math.cos(to), near1 * Math.sin(to)];
    const last = this.#runs.at(-1);
    if (last !== undefined && Math.abs(last.to - from) < TOGETHER) {
      last.inner.push(...ends);
      last.to = to;
    } else {
      this.#runs.push({ from, to, inner: ends });
    }
  }

  /** The shadow's polygons, mapped back by `unmap`. */
  shape(unmap: (x: number, y: number) => readonly [number, number]): Shape {
    const runs = [...this.#runs];
    const first = runs[0];
    const last = runs.at(-1);
    if (first === undefined || last === undefined) return [];
    const mapped = (ring: number[]): Ring => {
      const out: number[] = [];
      for (let i = 0; i < ring.length; i += 2) out.push(...unmap(ring[i]!, ring[i + 1]!));
      return out;
    };
    if (first === last && first.from <= -Math.PI && first.to >= Math.PI) {
      return [[mapped(this.#arc(-Math.PI, Math.PI).slice(0, -2)), mapped(backwards(first.inner))]];
    }
    if (first !== last && first.from <= -Math.PI && last.to >= Math.PI) {
      runs.shift();
      runs.pop();
      runs.push({ from: last.from, to: first.to + 2 * Math.PI, inner: [...last.inner, ...first.inner] });
    }
    return runs.map((run) => [mapped([...this.#arc(run.from, run.to), ...backwards(run.inner)])]);
  }

  #arc(from: number, to: number): number[] {
    const steps = Math.max(Math.ceil((to - from) / MAX_STEP), 1);
    const out: number[] = [];
    for (let i = 0; i <= steps; i++) {
      const angle = from + ((to - from) * i) / steps;
      out.push(BEYOND * this.#r * Math.cos(angle), BEYOND * this.#r * Math.sin(angle));
    }
    return out;
  }
}
