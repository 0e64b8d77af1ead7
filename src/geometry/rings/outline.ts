// Circles and quarter ellipses as polygons for drawing, never for measuring: in: radii; out: rings of the true area.
// Terms: chord error = how far a straight piece lies inside the curve; area-true = corners moved outwards so that the
// many-sided figure has the curve's exact area (a plain 32-gon would show 0.64 % too little).

/** The default chord error of drawn outlines, metres. */
export const CHORD_ERROR_M = 0.01;

/** Straight pieces a full turn needs: a multiple of 4, at least 16. */
export function segmentsFor(radius: number, chordError: number = CHORD_ERROR_M): number {
  if (!(radius > chordError)) return 16;
  return Math.max(4 * Math.ceil(Math.PI / (4 * Math.acos(1 - chordError / radius))), 16);
}

/**
 * A circle about the origin as a ring (flat x, y, anticlockwise, not closed) of exactly its area.
 *
 * @example
 * circleRing(10).length / 2; // 72 corners for a chord error of 1 cm
 */
export function circleRing(radius: number, chordError: number = CHORD_ERROR_M): number[] {
  return quartersRing([radius, radius, radius, radius], 0, chordError);
}

/**
 * Four quarter ellipses with the radii north, east, south, west (north = +y turned clockwise by `turn` radians),
 * anticlockwise from east, of exactly their area.
 */
export function quartersRing(
  radii: readonly [number, number, number, number],
  turn: number,
  chordError: number = CHORD_ERROR_M,
): number[] {
  const [north, east, south, west] = radii;
  const n = segmentsFor(Math.max(north, east, south, west), chordError);
  const step = (2 * Math.PI) / n;
  const scale = Math.sqrt(step / Math.sin(step));
  const sin = Math.sin(turn);
  const cos = Math.cos(turn);
  const ring: number[] = [];
  for (let i = 0; i < n; i++) {
    const c = Math.cos(i * step);
    const s = Math.sin(i * step);
    const x = scale * c * (c >= 0 ? east : west);
    const y = scale * s * (s >= 0 ? north : south);
    ring.push(x * cos + y * sin, y * cos - x * sin);
  }
  return ring;
}

/**
 * Four quarter ellipses as a ring that lies wholly outside them: every side touches the curve, and no corner is farther than
 * `outside` from it (of a circle; about that of an ellipse). For lines that must not come nearer than the curve.
 *
 * @example
 * outsideRing([6, 6, 6, 6], 0, 0.08).length / 2; // 20 corners
 */
export function outsideRing(radii: readonly [number, number, number, number], turn: number, outside: number): number[] {
  const largest = Math.max(...radii);
  const sides = largest > 0 ? Math.PI / Math.acos(largest / (largest + outside)) : 0;
  const n = Math.max(4 * Math.ceil(sides / 4), 8);
  const ring: number[] = [];
  const scale = 1 / Math.cos(Math.PI / n);
  const [north, east, south, west] = radii;
  const sin = Math.sin(turn);
  const cos = Math.cos(turn);
  for (let i = 0; i < n; i++) {
    const c = Math.cos((2 * Math.PI * i) / n);
    const s = Math.sin((2 * Math.PI * i) / n);
    const x = scale * c * (c >= 0 ? east : west);
    const y = scale * s * (s >= 0 ? north : south);
    ring.push(x * cos + y * sin, y * cos - x * sin);
  }
  return ring;
}
