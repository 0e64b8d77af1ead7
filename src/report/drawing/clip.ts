// What of a ring a drawing shows. In: a ring (flat x, y) and a box; out: the ring inside the box, edges along the box
// where it was cut (Sutherland and Hodgman 1974). Terms: a road kilometres long costs a card of 84 mm no more than its piece.

import type { Box } from './ground.js';

/** The part of a ring inside a box; [] when there is none. A ring that lies inside comes back as it is. */
export function clippedRing(ring: readonly number[], box: Box): readonly number[] {
  let inside = true;
  for (let i = 0; inside && i < ring.length; i += 2) {
    const x = ring[i]!;
    const y = ring[i + 1]!;
    inside = x >= box.x0 && x <= box.x1 && y >= box.y0 && y <= box.y1;
  }
  if (inside) return ring;
  let out = ring;
  out = cutBy(out, 0, box.x0, 1);
  out = cutBy(out, 0, box.x1, -1);
  out = cutBy(out, 1, box.y0, 1);
  out = cutBy(out, 1, box.y1, -1);
  return out;
}

/** Keeps what lies on the side where sign * (coordinate - at) is not negative. */
function cutBy(ring: readonly number[], axis: 0 | 1, at: number, sign: 1 | -1): number[] {
  const out: number[] = [];
  const n = ring.length;
  for (let i = 0; i < n; i += 2) {
    const k = (i + 2) % n;
    const a = sign * (ring[i + axis]! - at);
    const b = sign * (ring[k + axis]! - at);
    if (a >= 0) out.push(ring[i]!, ring[i + 1]!);
    if (a >= 0 === b >= 0) continue;
    const share = a / (a - b);
    const x = ring[i]! + share * (ring[k]! - ring[i]!);
    const y = ring[i + 1]! + share * (ring[k + 1]! - ring[i + 1]!);
    out.push(axis === 0 ? at : x, axis === 1 ? at : y);
  }
  return out;
}
