// Plane geometry for invented data: in: rings and lines as [x, y] lists; out: areas, sides, distances, offsets.
// Terms: a ring is open here (its first corner is not repeated) and may run either way.
// Plain and slow on purpose: it lays out demo data and is no part of the library that measures it.

/** Is the point inside the ring? */
export function inRing([x, y], ring) {
  let inside = false;
  for (let i = 0, j = ring.length - 1; i < ring.length; j = i++) {
    const [xi, yi] = ring[i];
    const [xj, yj] = ring[j];
    if (yi > y !== yj > y && x < ((xj - xi) * (y - yi)) / (yj - yi) + xi) inside = !inside;
  }
  return inside;
}

/** Distance from a point to a line through the given corners. */
export function toLine([x, y], line) {
  let best = Infinity;
  for (let i = 1; i < line.length; i++) {
    const [ax, ay] = line[i - 1];
    const [bx, by] = line[i];
    const length2 = (bx - ax) ** 2 + (by - ay) ** 2;
    const along = length2 === 0 ? 0 : ((x - ax) * (bx - ax) + (y - ay) * (by - ay)) / length2;
    const t = Math.min(1, Math.max(0, along));
    best = Math.min(best, Math.hypot(x - ax - t * (bx - ax), y - ay - t * (by - ay)));
  }
  return best;
}

/** Distance from a point to a ring's edge, whichever side it is on. */
export function toEdge(point, ring) {
  return toLine(point, [...ring, ring[0]]);
}

/** Signed area: positive for an anticlockwise ring. */
export function signedArea(ring) {
  let sum = 0;
  for (let i = 0, j = ring.length - 1; i < ring.length; j = i++) {
    sum +=
      (ring[j][0] - ring[0][0]) * (ring[i][1] - ring[0][1]) - (ring[i][0] - ring[0][0]) * (ring[j][1] - ring[0][1]);
  }
  return sum / 2;
}

/** The ring run anticlockwise. */
export function anticlockwise(ring) {
  return signedArea(ring) < 0 ? [...ring].reverse() : ring;
}

/** Points on an arc from one angle to another (degrees), both ends included. */
export function arc([cx, cy], radius, from, to, steps) {
  const points = [];
  for (let i = 0; i <= steps; i++) {
    const angle = ((from + ((to - from) * i) / steps) * Math.PI) / 180;
    points.push([cx + radius * Math.cos(angle), cy + radius * Math.sin(angle)]);
  }
  return points;
}

/**
 * Share of a disc that lies in the union of some shapes, by 2,000 points spread like sunflower seeds (about 1 %).
 * A shape is `{ ring }` or `{ line, width }`.
 */
export function shareTaken(centre, radius, shapes) {
  const near = shapes.filter((s) =>
    s.ring ? inRing(centre, s.ring) || toEdge(centre, s.ring) < radius : toLine(centre, s.line) < radius + s.width / 2,
  );
  if (near.length === 0) return 0;
  const points = 2000;
  let taken = 0;
  for (let i = 0; i < points; i++) {
    const r = radius * Math.sqrt((i + 0.5) / points);
    const angle = i * 2.399963229728653; // the golden angle
    const p = [centre[0] + r * Math.cos(angle), centre[1] + r * Math.sin(angle)];
    if (near.some((s) => (s.ring ? inRing(p, s.ring) : toLine(p, s.line) <= s.width / 2))) taken++;
  }
  return taken / points;
}
