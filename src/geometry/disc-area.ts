// A small polygon against a disc, where nothing but the area is wanted. In: a ring about the disc's centre, the radius; out: the area they
// have in common, in closed form. Terms: as in kernel/disc.ts, which also keeps edges and crossings. Linear in the corners.

/**
 * The area of a disc about the origin inside a ring (flat x, y, not closed); negative for a clockwise ring.
 *
 * @example
 * discInRing([-9, -9, 9, -9, 9, 9, -9, 9], 1); // 3.14159...
 */
export function discInRing(ring: ArrayLike<number>, radius: number): number {
  let sum = 0;
  for (let i = 0, k = ring.length - 2; i < ring.length; k = i, i += 2) {
    sum += sector(ring[k]!, ring[k + 1]!, ring[i]!, ring[i + 1]!, radius);
  }
  return sum;
}

/** Signed area of the disc inside the triangle of the origin and an edge. */
function sector(ax: number, ay: number, bx: number, by: number, r: number): number {
  const [dx, dy] = [bx - ax, by - ay];
  const dd = dx * dx + dy * dy;
  if (dd === 0) return 0;
  const cross = ax * by - ay * bx;
  const along = -(ax * dx + ay * dy) / dd;
  const half2 = r * r * dd - cross * cross;
  if (half2 <= 0) return (r * r * between(ax, ay, bx, by)) / 2;
  const half = Math.sqrt(half2) / dd;
  const from = Math.min(Math.max(along - half, 0), 1);
  const to = Math.min(Math.max(along + half, 0), 1);
  if (from >= to) return (r * r * between(ax, ay, bx, by)) / 2;
  const [px, py] = [ax + from * dx, ay + from * dy];
  const [qx, qy] = [ax + to * dx, ay + to * dy];
  const round = (from > 0 ? between(ax, ay, px, py) : 0) + (to < 1 ? between(qx, qy, bx, by) : 0);
  return (r * r * round + (px * qy - py * qx)) / 2;
}

function between(ax: number, ay: number, bx: number, by: number): number {
  return Math.atan2(ax * by - ay * bx, ax * bx + ay * by);
}
