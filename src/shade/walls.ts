// Walls that stand in the sun's way. In: outlines with heights; out: whether a ray to the sun is stopped by one.
// Terms: wall = an edge of an outline, upright, as high as its building; axes east, north, metres, flat ground.

import type { Corridor } from './corridor.js';
import type { Direction } from './solid.js';

/** Metres; a wall may not block the sun at a point on the wall itself. */
const TOUCH = 1e-6;
const EACH = 5; // from x, from y, along x, along y, height

export interface Outline {
  readonly xy: readonly number[]; // pairs; closed without repeating the first
  readonly heightM: number;
}

export class Walls {
  readonly #at: Float64Array;

  constructor(outlines: readonly Outline[]) {
    const at: number[] = [];
    for (const { xy, heightM } of outlines) {
      for (let i = 0; i < xy.length; i += 2) {
        const k = (i + 2) % xy.length;
        const [ax, ay] = [xy[i]!, xy[i + 1]!];
        at.push(ax, ay, xy[k]! - ax, xy[k + 1]! - ay, heightM);
      }
    }
    this.#at = Float64Array.from(at);
  }

  /** Fills `found` with the walls that may hide the sun from anywhere in a corridor. */
  within(corridor: Corridor, found: number[]): void {
    const at = this.#at;
    found.length = 0;
    for (let i = 0; i < at.length; i += EACH) {
      const [x, y] = [at[i]!, at[i + 1]!];
      const [x2, y2] = [x + at[i + 2]!, y + at[i + 3]!];
      const [a, b] = [corridor.across(x, y), corridor.across(x2, y2)];
      const [c, d] = [corridor.along(x, y), corridor.along(x2, y2)];
      if (corridor.holds(Math.min(a, b), Math.max(a, b), Math.min(c, d), Math.max(c, d), at[i + 4]!)) found.push(i);
    }
  }

  /** Whether the sun in that direction is hidden from a point by one of `among`, as `within` found them. */
  hide(among: readonly number[], x: number, y: number, z: number, sun: Direction): boolean {
    const at = this.#at;
    for (const i of among) {
      const top = at[i + 4]!;
      if (top <= z) continue;
      const alongX = at[i + 2]!;
      const alongY = at[i + 3]!;
      const across = sun.east * alongY - sun.north * alongX;
      if (across === 0) continue;
      const dx = at[i]! - x;
      const dy = at[i + 1]! - y;
      const t = (dx * alongY - dy * alongX) / across; // along the ray
      if (!(t > TOUCH)) continue;
      const u = (dx * sun.north - dy * sun.east) / across; // along the wall
      if (u >= 0 && u < 1 && z + t * sun.up < top) return true;
    }
    return false;
  }
}
