// How far a point is from an area of rings: in: flat x, y pairs, ranges of vertices and a point; out: a distance.
// Terms: inside = by the even-odd rule over all rings of the area, so that holes are outside.

import { passesEast } from './rings/ring.js';

/**
 * Distance from a point to an area, 0 inside it. Rings `from` .. `to` of `start` (vertex numbers, not closed) are one area.
 *
 * @example
 * distanceToArea(Float64Array.of(0, 0, 4, 0, 4, 4, 0, 4), [0, 4], 0, 1, 7, 4); // 3
 */
export function distanceToArea(
  xy: ArrayLike<number>,
  start: ArrayLike<number>,
  from: number,
  to: number,
  x: number,
  y: number,
): number {
  let nearest2 = Infinity;
  let inside = false;
  for (let r = from; r < to; r++) {
    const first = start[r]!;
    const end = start[r + 1]!;
    let ax = xy[end * 2 - 2]!;
    let ay = xy[end * 2 - 1]!;
    for (let i = first; i < end; i++) {
      const bx = xy[i * 2]!;
      const by = xy[i * 2 + 1]!;
      if (passesEast(ax, ay, bx, by, x, y)) inside = !inside;
      const d2 = toSegment2(ax, ay, bx, by, x, y);
      if (d2 < nearest2) nearest2 = d2;
      ax = bx;
      ay = by;
    }
  }
  return inside ? 0 : Math.sqrt(nearest2);
}

/** Square of the distance from a point to a segment. */
export function toSegment2(ax: number, ay: number, bx: number, by: number, x: number, y: number): number {
  // Written out: through alongSegment the loop over an area's edges takes 5 % longer.
  const ux = bx - ax;
  const uy = by - ay;
  const length2 = ux * ux + uy * uy;
  const t = length2 === 0 ? 0 : Math.min(Math.max(((x - ax) * ux + (y - ay) * uy) / length2, 0), 1);
  const dx = ax + t * ux - x;
  const dy = ay + t * uy - y;
  return dx * dx + dy * dy;
}

/** Where on a segment the place nearest to a point lies: 0 at a, 1 at b. */
export function alongSegment(ax: number, ay: number, bx: number, by: number, x: number, y: number): number {
  const ux = bx - ax;
  const uy = by - ay;
  const length2 = ux * ux + uy * uy;
  return length2 === 0 ? 0 : Math.min(Math.max(((x - ax) * ux + (y - ay) * uy) / length2, 0), 1);
}
