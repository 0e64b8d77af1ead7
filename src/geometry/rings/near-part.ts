// What matters of a long ring about a place: in: rings relative to it, a reach; out: rings with fewer corners that are the
// same within the reach. Terms: beyond = outside the square of half side `reach`, on one of its four sides.
// A road of 500 corners is clipped by every zone along it, and clipping costs time for each of them.

import type { Ring } from './ring.js';

const EAST = 1;
const WEST = 2;
const NORTH = 4;
const SOUTH = 8;

/**
 * The ring without corners that lie beyond the same side as the corners before and after them. What stands in for a run
 * of them stays beyond that side (a half-plane is convex), so within the square nothing moves: edges that meet it are kept
 * to the last bit, and so is how often the ring goes round any place in it.
 *
 * @example
 * nearPart([0, 0, 5, 0, 6, 1, 7, 0, 9, 3, 0, 3], 4); // [0, 0, 5, 0, 9, 3, 0, 3]
 */
export function nearPart(ring: Ring, reach: number): Ring {
  const n = ring.length / 2;
  if (n < 5) return ring; // nothing to gain
  const out: number[] = [];
  let start = 0;
  while (start < n) {
    let side = sideOf(ring, start, reach);
    let end = start;
    while (side !== 0 && end + 1 < n) {
      const both = side & sideOf(ring, end + 1, reach);
      if (both === 0) break;
      side = both;
      end++;
    }
    out.push(ring[start * 2]!, ring[start * 2 + 1]!);
    if (end > start) out.push(ring[end * 2]!, ring[end * 2 + 1]!);
    start = end + 1;
  }
  return out;
}

function sideOf(ring: Ring, v: number, reach: number): number {
  const x = ring[v * 2]!;
  const y = ring[v * 2 + 1]!;
  return (x > reach ? EAST : x < -reach ? WEST : 0) | (y > reach ? NORTH : y < -reach ? SOUTH : 0);
}
