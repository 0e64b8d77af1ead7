// Curves of many short pieces as few longer ones that lie outside them. In: a ring, how far outside; out: a ring round it.
// Terms: outside = to the right of a ring's direction (shells anticlockwise, holes clockwise); bulging piece = one whose
// two corners both turn left: lengthening its neighbours until they meet leaves it inside.

import type { Ring } from './ring.js';

/**
 * Takes out bulging pieces as long as no place lies more than `outside` beyond the ring given. Nothing of the ground
 * inside is lost; a ring whose corners are far apart stays as it is.
 *
 * @param ring - flat x, y, not closed
 * @example
 * fewerCorners(circleRing(10, 0.0001), 0.08).length / 2; // some 30 corners in place of 704
 */
export function fewerCorners(ring: Ring, outside: number): Ring {
  let corners = cornersOf(ring);
  for (let before = Number.POSITIVE_INFINITY; corners.length < before; ) {
    before = corners.length;
    corners = onePass(corners, outside);
  }
  return corners.length * 2 === ring.length ? ring : corners.flatMap(({ x, y }) => [x, y]);
}

interface Corner {
  readonly x: number;
  readonly y: number;
  readonly outM: number; // how far beyond the ring given, at most
}

function cornersOf(ring: Ring): Corner[] {
  const out: Corner[] = [];
  for (let i = 0; i < ring.length; i += 2) out.push({ x: ring[i]!, y: ring[i + 1]!, outM: 0 });
  return out;
}

/** Every other piece at most, so that corners move evenly along a curve. */
function onePass(corners: readonly Corner[], outside: number): Corner[] {
  const n = corners.length;
  const at = (i: number): Corner => corners[i % n]!;
  const out: Corner[] = [];
  let i = 0;
  // The piece from the last corner to the first stays: its far neighbour may have gone already.
  out.push(at(0));
  for (i = 1; i < n; i++) {
    const met =
      i + 1 < n && out.length + (n - i) > 4 ? meeting(out.at(-1)!, at(i), at(i + 1), at(i + 2), outside) : null;
    if (met === null) {
      out.push(at(i));
      continue;
    }
    out.push(met);
    i++;
    if (i + 1 < n) out.push(at(++i));
  }
  return out;
}

/** Where a-b and d-c meet beyond b-c, where both corners turn left and that is near enough. */
function meeting(a: Corner, b: Corner, c: Corner, d: Corner, outside: number): Corner | null {
  const [ux, uy] = [b.x - a.x, b.y - a.y];
  const [vx, vy] = [c.x - b.x, c.y - b.y];
  const [wx, wy] = [d.x - c.x, d.y - c.y];
  const turnB = ux * vy - uy * vx;
  const turnC = vx * wy - vy * wx;
  const both = ux * wy - uy * wx; // above 0 while they turn less than half round together
  if (!(turnB > 0 && turnC > 0 && both > 0)) return null;
  const t = turnC / both; // b + t u = c - s w
  const [x, y] = [b.x + t * ux, b.y + t * uy];
  const outM = Math.max(b.outM, c.outM) + (t * turnB) / Math.hypot(vx, vy);
  return outM <= outside && Number.isFinite(outM) ? { x, y, outM } : null;
}
