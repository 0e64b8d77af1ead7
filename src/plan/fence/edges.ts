// Edges of rings: which of them lie on another outline, and where. In: rings; out: runs of edges as open lines.
// Terms: run = neighbouring edges of a ring that all hold a test; a whole ring that does is no run but a circle.

import type { Ring, Shape } from '../../geometry/index.js';
import { BoxIndex, toSegment2 } from '../../geometry/index.js';

/** Points this near to an outline lie on it, metres: the grid is of 1 mm, and a rounded crossing is up to 0.7 mm off. */
const ON_EDGE_M = 0.004;

/** Finds which line, if any, a place lies on: outlines of shapes, or open lines, each with a number. */
export class Outline {
  readonly #ends: number[] = []; // ax, ay, bx, by
  readonly #owner: number[] = [];
  readonly #index: BoxIndex;

  /** Rings (closed) or lines (open) as flat x, y; `owners` has a number for each. */
  constructor(lines: readonly (readonly number[])[], owners: readonly number[], closed: boolean) {
    lines.forEach((line, o) => {
      const edges = closed ? line.length : line.length - 2;
      for (let i = 0; i < edges; i += 2) {
        const k = (i + 2) % line.length;
        this.#ends.push(line[i]!, line[i + 1]!, line[k]!, line[k + 1]!);
        this.#owner.push(owners[o]!);
      }
    });
    const boxes = new Float64Array(this.#ends.length);
    for (let i = 0; i < boxes.length; i += 4) {
      const [ax, ay, bx, by] = this.#edge(i / 4);
      boxes.set([Math.min(ax, bx), Math.min(ay, by), Math.max(ax, bx), Math.max(ay, by)], i);
    }
    this.#index = new BoxIndex(boxes);
  }

  /** The outlines of a shape, numbered by its polygons. */
  static of(shape: Shape): Outline {
    return new Outline(
      shape.flat(),
      shape.flatMap((polygon, i) => polygon.map(() => i)),
      true,
    );
  }

  /** The number of a line within `reach` of a place; -1 where there is none. */
  at(x: number, y: number, reach: number = ON_EDGE_M): number {
    const n = this.#index.search(x - reach, y - reach, x + reach, y + reach);
    for (const item of this.#index.found.subarray(0, n)) {
      if (toSegment2(...this.#edge(item), x, y) <= reach * reach) return this.#owner[item]!;
    }
    return -1;
  }

  /** The number of the shape a place is inside of (even-odd, so that holes are outside); -1 where there is none. */
  around(x: number, y: number): number {
    const odd = new Set<number>();
    const n = this.#index.search(x, y, Infinity, y);
    for (const item of this.#index.found.subarray(0, n)) {
      const [ax, ay, bx, by] = this.#edge(item);
      if (ay > y === by > y || x >= ax + ((y - ay) / (by - ay)) * (bx - ax)) continue;
      const owner = this.#owner[item]!;
      if (!odd.delete(owner)) odd.add(owner);
    }
    return odd.values().next().value ?? -1;
  }

  #edge(item: number): [number, number, number, number] {
    return this.#ends.slice(item * 4, item * 4 + 4) as [number, number, number, number];
  }
}

/** A run of edges as flat x, y; `closed` when it is the whole ring. */
export interface Run {
  readonly line: readonly number[];
  readonly lengthM: number;
  readonly closed: boolean;
}

/** The runs of a ring whose edges have their middle on an outline. */
export function runsOn(ring: Ring, outline: Outline): Run[] {
  const n = ring.length / 2;
  const at = (i: number): [number, number] => {
    const k = (i % n) * 2;
    return [ring[k]!, ring[k + 1]!];
  };
  const on = Array.from({ length: n }, (_, i) => {
    const [ax, ay] = at(i);
    const [bx, by] = at(i + 1);
    return outline.at((ax + bx) / 2, (ay + by) / 2) >= 0;
  });
  const off = on.indexOf(false);
  if (off < 0) return [{ line: ring, lengthM: ringLength(ring), closed: true }];
  const runs: Run[] = [];
  for (let step = 1; step <= n; step++) {
    if (on[(off + step) % n] !== true) continue;
    const line = [...at(off + step)];
    let lengthM = 0;
    for (; on[(off + step) % n] === true; step++) {
      const [ax, ay] = at(off + step);
      const [bx, by] = at(off + step + 1);
      line.push(bx, by);
      lengthM += Math.hypot(bx - ax, by - ay);
    }
    runs.push({ line, lengthM, closed: false });
  }
  return runs;
}

export function ringLength(ring: Ring): number {
  let sum = 0;
  eachEdge(ring, (length) => {
    sum += length;
  });
  return sum;
}

/** Lengths of a ring's edges, one after another. */
export function eachEdge(ring: Ring, tell: (length: number) => void): void {
  for (let i = 0; i < ring.length; i += 2) {
    const k = (i + 2) % ring.length;
    tell(Math.hypot(ring[k]! - ring[i]!, ring[k + 1]! - ring[i + 1]!));
  }
}
