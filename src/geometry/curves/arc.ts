// Circular arcs -> chords. In: an arc by its ends and bulge, or by its centre; out: the vertices between its ends.
// Terms: bulge = tangent of a quarter of the angle the arc turns through, positive anticlockwise (as drawings keep it);
// sagitta = the most that a chord lies inside its arc.

/** Told each vertex between the ends, in order; `share` runs from 0 at the start to 1 at the end. */
export type ArcVertex = (x: number, y: number, share: number) => void;

/** No arc gets more chords than this. */
const MOST_CHORDS = 100_000;

/**
 * Number of chords that keep within `sagitta` of an arc: sagitta = r (1 - cos(step / 2)).
 *
 * @param radius and `sagitta` in one unit
 * @param turn angle in radians, either sign
 */
export function chordCount(radius: number, turn: number, sagitta: number): number {
  const step = sagitta < radius ? 2 * Math.acos(1 - sagitta / radius) : Math.PI;
  // For radii of thousands of kilometres, 1 - s/r rounds to 1, and acos to 0.
  const safe = step > 0 ? step : 2 * Math.sqrt((2 * sagitta) / radius);
  const count = Math.ceil(Math.abs(turn) / Math.min(safe, Math.PI / 4) - 1e-9);
  return Math.min(Math.max(count, 1), MOST_CHORDS);
}

/**
 * Vertices between the ends of an arc from (x0, y0) to (x1, y1) with a bulge; none for a bulge of 0 or equal ends.
 *
 * @example
 * bulgeArc(0, 0, 2, 0, 1, 0.001, (x, y) => ring.push([x, y])); // the half circle below the x axis
 */
export function bulgeArc(
  x0: number,
  y0: number,
  x1: number,
  y1: number,
  bulge: number,
  sagitta: number,
  vertex: ArcVertex,
): void {
  const dx = x1 - x0;
  const dy = y1 - y0;
  const chord = Math.hypot(dx, dy);
  // The arc is bulge * chord / 2 high: if that is within the sagitta, the chord will do. A tiny bulge has no usable centre.
  if (bulge === 0 || chord === 0 || Math.abs(bulge) * chord <= 2 * sagitta) return;
  // The centre lies on the chord's perpendicular, to its left for an anticlockwise arc of less than half a turn.
  const offset = (1 - bulge * bulge) / (4 * bulge);
  const cx = x0 + dx / 2 - dy * offset;
  const cy = y0 + dy / 2 + dx * offset;
  turnArc(x0 - cx, y0 - cy, cx, cy, 4 * Math.atan(bulge), 1, sagitta, vertex);
}

/**
 * Vertices between the ends of an arc about a centre; `anticlockwise` says which way it runs. Equal ends make a full
 * circle. Where the ends are not equally far from the centre, the radius changes evenly from one to the other.
 */
export function centreArc(
  start: readonly [number, number],
  end: readonly [number, number],
  centre: readonly [number, number],
  anticlockwise: boolean,
  sagitta: number,
  vertex: ArcVertex,
): void {
  const [cx, cy] = centre;
  const ax = start[0] - cx;
  const ay = start[1] - cy;
  const bx = end[0] - cx;
  const by = end[1] - cy;
  if (!(Math.hypot(ax, ay) > 0)) return; // a radius too small to show beside its coordinates
  let turn = Math.atan2(ax * by - ay * bx, ax * bx + ay * by);
  if (anticlockwise && turn <= 0) turn += 2 * Math.PI;
  if (!anticlockwise && turn >= 0) turn -= 2 * Math.PI;
  turnArc(ax, ay, cx, cy, turn, Math.hypot(bx, by) / Math.hypot(ax, ay), sagitta, vertex);
}

/** From the arm (ax, ay) about (cx, cy) through `turn`; the arm's length ends `growth` times as long. */
function turnArc(
  ax: number,
  ay: number,
  cx: number,
  cy: number,
  turn: number,
  growth: number,
  sagitta: number,
  vertex: ArcVertex,
): void {
  const count = chordCount(Math.hypot(ax, ay) * Math.max(1, growth), turn, sagitta);
  for (let i = 1; i < count; i++) {
    const share = i / count;
    const cos = Math.cos(turn * share) * (1 + (growth - 1) * share);
    const sin = Math.sin(turn * share) * (1 + (growth - 1) * share);
    vertex(cx + ax * cos - ay * sin, cy + ay * cos + ax * sin, share);
  }
}

/**
 * Vertices between the ends of an arc of an ellipse: centre + major cos t + minor sin t, t running from `from` to `to`.
 * The image of a circle's chords: none lies farther off than those of the circle of the longer half axis.
 */
export function ellipseArc(
  centre: readonly [number, number],
  major: readonly [number, number],
  minor: readonly [number, number],
  from: number,
  to: number,
  sagitta: number,
  vertex: ArcVertex,
): void {
  const longest = Math.max(Math.hypot(...major), Math.hypot(...minor));
  const count = chordCount(longest, to - from, sagitta);
  for (let i = 1; i < count; i++) {
    const share = i / count;
    const t = from + (to - from) * share;
    const [cos, sin] = [Math.cos(t), Math.sin(t)];
    vertex(centre[0] + major[0] * cos + minor[0] * sin, centre[1] + major[1] * cos + minor[1] * sin, share);
  }
}
