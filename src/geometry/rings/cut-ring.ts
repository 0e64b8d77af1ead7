// A ring cut to a rectangle. In: a ring, the sides of a rectangle; out: the ring of what lies in it. Terms: what lies beyond a
// side is drawn back onto it (Sutherland, Hodgman 1974): how often the ring goes round any place within stays as it is, and
// edges along the side lie on it to the last bit. Cost: the corners, for each side that the ring crosses.

import { type Ring, ringBox } from './ring.js';

/** The sides of a rectangle; those that are endless cut nothing. */
export interface Limits {
  readonly west: number;
  readonly south: number;
  readonly east: number;
  readonly north: number;
}

export const EVERYWHERE: Limits = { west: -Infinity, south: -Infinity, east: Infinity, north: Infinity };

/**
 * The ring within the limits; empty where nothing is.
 *
 * @example
 * cutRing([0, 0, 4, 0, 4, 2, 0, 2], { ...EVERYWHERE, east: 1 }); // [0, 0, 1, 0, 1, 2, 0, 2]
 */
export function cutRing(ring: Ring, { west, south, east, north }: Limits): Ring {
  const [left, low, right, high] = ringBox(ring);
  if (right <= west || left >= east || high <= south || low >= north) return [];
  let out = ring;
  if (left < west) out = cutAt(out, 0, west, 1);
  if (right > east) out = cutAt(out, 0, east, -1);
  if (low < south) out = cutAt(out, 1, south, 1);
  if (high > north) out = cutAt(out, 1, north, -1);
  return out;
}

/** What lies on the side of greater (`sign` 1) or lesser (-1) numbers of a line along an axis. */
function cutAt(ring: Ring, axis: 0 | 1, line: number, sign: 1 | -1): number[] {
  const out: number[] = [];
  const n = ring.length;
  const other = 1 - axis;
  let before = n - 2;
  for (let i = 0; i < n; before = i, i += 2) {
    const [a, b] = [(ring[before + axis]! - line) * sign, (ring[i + axis]! - line) * sign];
    if (a * b < 0) {
      // From the western end, so that a strip and the one beside it find the same place to the last bit.
      const [from, to] =
        ring[before]! < ring[i]! || (ring[before] === ring[i] && ring[before + 1]! < ring[i + 1]!)
          ? [before, i]
          : [i, before];
      const t = (line - ring[from + axis]!) / (ring[to + axis]! - ring[from + axis]!);
      const at = ring[from + other]! + t * (ring[to + other]! - ring[from + other]!);
      out.push(axis === 0 ? line : at, axis === 0 ? at : line);
    }
    if (b >= 0) out.push(ring[i]!, ring[i + 1]!);
  }
  return out;
}
