// Does a ray meet a tree? In: a crown as a solid on its trunk, a point and a direction to the sun; out: yes or no.
// Terms: solid = four quarters of an ellipsoid (or of a cylinder) about the trunk's line, one for each pair of radii north,
// east, south, west; the trunk beneath is a cylinder. Metres, axes east, north, up, heights above the ground at the trunk.

export interface CrownSolid {
  readonly x: number;
  readonly y: number;
  readonly baseM: number;
  readonly topM: number;
  /** North, east, south, west. */
  readonly radii: readonly [number, number, number, number];
  readonly trunkRadiusM: number;
  readonly shape: 'ellipsoid' | 'cylinder';
}

/** A direction to the sun, of unit length. */
export interface Direction {
  readonly east: number;
  readonly north: number;
  readonly up: number;
}

/**
 * Whether the ray from a point to the sun passes through the crown.
 *
 * @example
 * crownMeets(crown, 10, 0, 1.5, { east: -0.9, north: 0, up: 0.436 }); // true
 */
export function crownMeets(crown: CrownSolid, x: number, y: number, z: number, sun: Direction): boolean {
  const [n, e, s, w] = crown.radii;
  const px = x - crown.x;
  const py = y - crown.y;
  if (n === e && e === s && s === w) return quarterMeets(crown, px, py, z, sun, n, n, 0, 0);
  return (
    quarterMeets(crown, px, py, z, sun, e, n, 1, 1) ||
    quarterMeets(crown, px, py, z, sun, e, s, 1, -1) ||
    quarterMeets(crown, px, py, z, sun, w, s, -1, -1) ||
    quarterMeets(crown, px, py, z, sun, w, n, -1, 1)
  );
}

/** The trunk from the ground to the crown's base. */
export function trunkMeets(crown: CrownSolid, x: number, y: number, z: number, sun: Direction): boolean {
  const r = crown.trunkRadiusM;
  if (!(r > 0) || !(crown.baseM > 0)) return false;
  const [from, to] = within(circle((x - crown.x) / r, (y - crown.y) / r, sun.east / r, sun.north / r), [0, Infinity]);
  const [low, high] = within([from, to], between(z, sun.up, 0, crown.baseM));
  return high > low;
}

type Span = readonly [from: number, to: number];
const NONE: Span = [1, 0];

/** Of the ellipsoid or cylinder with half axes a, b the part where x has the sign sx and y the sign sy; 0 = either. */
function quarterMeets(
  { baseM, topM, shape }: CrownSolid,
  px: number,
  py: number,
  z: number,
  sun: Direction,
  a: number,
  b: number,
  sx: number,
  sy: number,
): boolean {
  if (!(a > 0) || !(b > 0)) return false;
  const half = (topM - baseM) / 2;
  let span: Span;
  if (shape === 'cylinder') {
    span = within(circle(px / a, py / b, sun.east / a, sun.north / b), between(z, sun.up, baseM, topM));
  } else {
    const mid = (topM + baseM) / 2;
    span = ball(px / a, py / b, (z - mid) / half, sun.east / a, sun.north / b, sun.up / half);
  }
  span = within(span, [0, Infinity]);
  if (span[1] <= span[0]) return false;
  if (sx !== 0) span = within(span, side(px, sun.east, sx));
  if (sy !== 0) span = within(span, side(py, sun.north, sy));
  return span[1] > span[0];
}

/** Where |p + t d| <= 1 in space. */
function ball(px: number, py: number, pz: number, dx: number, dy: number, dz: number): Span {
  const a = dx * dx + dy * dy + dz * dz;
  return roots(a, px * dx + py * dy + pz * dz, px * px + py * py + pz * pz - 1);
}

/** Where |p + t d| <= 1 in the plane. */
function circle(px: number, py: number, dx: number, dy: number): Span {
  const a = dx * dx + dy * dy;
  const c = px * px + py * py - 1;
  if (a === 0) return c <= 0 ? [-Infinity, Infinity] : NONE; // sun overhead
  return roots(a, px * dx + py * dy, c);
}

/** Where a t^2 + 2 b t + c <= 0, a above 0. */
function roots(a: number, b: number, c: number): Span {
  const under = b * b - a * c;
  if (under <= 0) return NONE;
  const root = Math.sqrt(under);
  return [(-b - root) / a, (-b + root) / a];
}

/** Where low <= z + t up <= high; up is above 0 or 0. */
function between(z: number, up: number, low: number, high: number): Span {
  if (up === 0) return z >= low && z <= high ? [-Infinity, Infinity] : NONE;
  return [(low - z) / up, (high - z) / up];
}

/** Where p + t d has the sign asked for. */
function side(p: number, d: number, sign: number): Span {
  if (d === 0) return p * sign >= 0 ? [-Infinity, Infinity] : NONE;
  return d * sign > 0 ? [-p / d, Infinity] : [-Infinity, -p / d];
}

function within([a, b]: Span, [c, d]: Span): Span {
  return [Math.max(a, c), Math.min(b, d)];
}
