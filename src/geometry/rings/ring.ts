// One ring, not closed, or an edge of it. In: flat x, y pairs, a place; out: its area, its order turned, whether it holds the
// place. Terms: even-odd = a place is inside when an odd number of edges passes east of it. Cost: one pass over the ring.

/** A ring as flat x, y, not closed. */
export type Ring = readonly number[];
/** Polygons of one shape: each a shell (anticlockwise) followed by its holes (clockwise). */
export type Shape = readonly (readonly Ring[])[];

/** Twice the signed area of vertices from .. to, anticlockwise positive, in the square of the coordinates' unit. */
export function twiceArea(xy: ArrayLike<number>, from: number = 0, to: number = xy.length / 2): number {
  // differences from the first vertex: at 2,000,000 ft the plain sum would lose eight digits
  const x0 = xy[from * 2]!;
  const y0 = xy[from * 2 + 1]!;
  let sum = 0;
  let px = 0;
  let py = 0;
  for (let v = from + 1; v < to; v++) {
    const x = xy[v * 2]! - x0;
    const y = xy[v * 2 + 1]! - y0;
    sum += px * y - x * py;
    px = x;
    py = y;
  }
  return sum;
}

/** The signed area of vertices from .. to, anticlockwise positive. */
export function signedArea(xy: ArrayLike<number>, from?: number, to?: number): number {
  return twiceArea(xy, from, to) / 2;
}

/**
 * Whether the edge a-b passes east of a place: it crosses its level (the upper end does not count), and there it lies east.
 * By the sign of a cross product about a: interpolating the crossing in full coordinates would lose digits far from the
 * origin. A place on the edge is not west of it.
 */
export function passesEast(ax: number, ay: number, bx: number, by: number, x: number, y: number): boolean {
  if (ay > y === by > y) return false;
  const cross = (bx - ax) * (y - ay) - (by - ay) * (x - ax);
  return by > ay ? cross > 0 : cross < 0;
}

/** Whether a ring holds a place, by the even-odd rule; a place on its edge is held or not. */
export function ringHolds(ring: ArrayLike<number>, x: number, y: number): boolean {
  let inside = false;
  const n = ring.length;
  for (let i = 0, k = n - 2; i < n; k = i, i += 2) {
    if (passesEast(ring[k]!, ring[k + 1]!, ring[i]!, ring[i + 1]!, x, y)) inside = !inside;
  }
  return inside;
}

/** West, south, east, north of vertices from .. to; NaN where one of them is. */
export function ringBox(
  xy: ArrayLike<number>,
  from: number = 0,
  to: number = xy.length / 2,
): [west: number, south: number, east: number, north: number] {
  let [west, south, east, north] = [Infinity, Infinity, -Infinity, -Infinity];
  for (let v = from; v < to; v++) {
    const x = xy[v * 2]!;
    const y = xy[v * 2 + 1]!;
    west = Math.min(west, x);
    south = Math.min(south, y);
    east = Math.max(east, x);
    north = Math.max(north, y);
  }
  return [west, south, east, north];
}

/** The ring the other way round, beginning with its last corner. */
export function backwards(ring: readonly number[]): number[] {
  const out: number[] = [];
  for (let i = ring.length - 2; i >= 0; i -= 2) out.push(ring[i]!, ring[i + 1]!);
  return out;
}
