// What can stand between a wall and the sun. In: a wall, a direction; out: a cheap test that never excludes something
// wrongly.
// Terms: corridor = the strip of ground that the wall's rays to the sun pass over: as wide as the wall looks from the sun,
// and as long as the rays stay below a height. It excludes most trees and walls before any ray is followed.

import type { Direction } from './solid.js';

export class Corridor {
  readonly #east: number; // towards the sun on the ground, of unit length
  readonly #north: number;
  readonly #rise: number; // metres up per metre along
  readonly #left: number;
  readonly #right: number;
  readonly #back: number;
  readonly #front: number;

  constructor(from: readonly [number, number], to: readonly [number, number], sun: Direction) {
    const flat = Math.hypot(sun.east, sun.north);
    this.#east = flat === 0 ? 0 : sun.east / flat;
    this.#north = flat === 0 ? 1 : sun.north / flat;
    this.#rise = flat === 0 ? Number.POSITIVE_INFINITY : sun.up / flat;
    const [a, b] = [this.across(from[0], from[1]), this.across(to[0], to[1])];
    const [c, d] = [this.along(from[0], from[1]), this.along(to[0], to[1])];
    this.#left = Math.min(a, b);
    this.#right = Math.max(a, b);
    this.#back = Math.min(c, d);
    this.#front = Math.max(c, d);
  }

  across(x: number, y: number): number {
    return x * this.#north - y * this.#east;
  }

  along(x: number, y: number): number {
    return x * this.#east + y * this.#north;
  }

  /** Whether something that spans these distances across and along, and is so high, may hide the sun. */
  holds(left: number, right: number, back: number, front: number, topM: number): boolean {
    if (right < this.#left || left > this.#right || front < this.#back) return false;
    const away = back - this.#front;
    return away <= 0 || away * this.#rise < topM;
  }
}
