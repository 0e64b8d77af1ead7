// Boolean operations for drawn shapes: in: polygons relative to a tree, metres; out: polygons (shell, then holes).
// Terms: grid = whole millimetres from the tree, on which clipper2 works; turned = the same once more with everything turned
// by an angle, on another grid as it were: asked when the first result's area is not the exact figure.

// By module, not by the package's entry: that one brings half as much again that is not used here into every web page.
import { ClipType, FillRule, type Path64, PathType, type Point64 } from 'clipper2-ts/dist/Core.js';
import { Clipper64, type PolyPath64, PolyTree64 } from 'clipper2-ts/dist/Engine.js';
import { ClipperOffset, EndType, JoinType } from 'clipper2-ts/dist/Offset.js';
import { toSegment2 } from '../distance.js';
import { standingAlone } from './alone.js';
import { type Look, overlay, type Sets } from './overlay.js';
import { backwards, type Ring, ringBox, type Shape, signedArea } from './ring.js';
import { simplified } from './simplify.js';

export { stepsAcross } from './steps.js';
export type { Ring, Shape };

const PER_METRE = 1000;
/** A mitre may reach this many times the distance from its corner. */
const MITRE_LIMIT = 2;
/** Round corners are drawn as chords that miss the arc by at most this, millimetres. */
const ARC_MM = 0.25;
/** So many pieces are united at once, however deep they lie. */
const FEW_PIECES = 32;
/** Pieces that lie so deep on each other are united by halves. */
const DEEP = 16;
/** Shapes under a square centimetre are not drawn. */
const SMALLEST_M2 = 1e-4;

/** What is inside `clip` of the union of `pieces`, less the union of `spared`. */
export function insideOf(
  pieces: readonly (readonly Ring[])[],
  clip: Shape,
  exact: number,
  spared: readonly (readonly Ring[])[] = [],
  look?: Look,
): { shape: Shape; ok: boolean } {
  const [whole, others] = spared.length === 0 ? standingAlone(pieces, clip) : [[], pieces];
  const { shape, ok } = agreed(exact - shapeArea(whole), clip, (at) =>
    overlay({ subject: at(others.flat()), clip: at(clip.flat()), less: at(spared.flat()) }, setsOnGrid, look),
  );
  return { shape: whole.length === 0 ? shape : [...whole, ...shape], ok };
}

/** What is inside `clip` of `shadow`, less the union of `pieces`. */
export function shadowOf(
  shadow: Shape,
  pieces: readonly (readonly Ring[])[],
  clip: Shape,
  exact: number,
  look?: Look,
): { shape: Shape; ok: boolean } {
  return agreed(exact, clip, (at) =>
    overlay({ subject: at(shadow.flat()), clip: at(clip.flat()), less: at(pieces.flat()) }, setsOnGrid, look),
  );
}

/** The union of pieces, on the millimetre grid. */
export function unionShape(pieces: readonly (readonly Ring[])[], look?: Look): Shape {
  return overlay({ subject: pieces.flat(), clip: null, less: [] }, setsOnGrid, look);
}

/**
 * The same of very many pieces. Where they lie many deep, halves are united first, and what they cover twice is gone
 * before they meet: the engine looks at every edge that is open at a level, so its cost grows with the depth. Not so where
 * they cross so often that a few of them united have more corners than before (trenches in all directions).
 */
export function unionOfMany(pieces: readonly (readonly Ring[])[], look?: Look): Shape {
  if (pieces.length <= FEW_PIECES || depthOf(pieces) < DEEP || growUnited(pieces)) return unionShape(pieces, look);
  const middles = pieces.map((rings) => middleOf(rings[0] ?? []));
  const all = pieces.map((_, i) => i);
  const unite = (rows: readonly number[], axis: 0 | 1): Shape => {
    if (rows.length <= FEW_PIECES)
      return unionShape(
        rows.map((i) => pieces[i]!),
        look,
      );
    const sorted = [...rows].sort((a, b) => middles[a]![axis] - middles[b]![axis] || a - b);
    const half = sorted.length >> 1;
    const next = axis === 0 ? 1 : 0;
    return unionShape([...unite(sorted.slice(0, half), next), ...unite(sorted.slice(half), next)], look);
  };
  return unite(all, 0);
}

/** Whether some of the pieces, united, have more corners than they had: told by a few from all over them. */
export function growUnited(pieces: readonly (readonly Ring[])[]): boolean {
  const step = Math.max(Math.floor(pieces.length / FEW_PIECES), 1);
  const some = pieces.filter((_, i) => i % step === 0).slice(0, FEW_PIECES);
  return lengthOf(unionShape(some)) > lengthOf(some);
}

function lengthOf(shape: Shape): number {
  return shape.reduce((sum, rings) => sum + rings.reduce((all, ring) => all + ring.length, 0), 0);
}

/** How deep pieces lie on each other: the sum of their boxes against the box of all. */
function depthOf(pieces: readonly (readonly Ring[])[]): number {
  const boxes = pieces.map((rings) => ringBox(rings[0] ?? [])).filter((box) => box[0] <= box[2]);
  const areaOf = ([west, south, east, north]: Box): number => (east - west) * (north - south);
  const whole = boxes.reduce(joined, NO_BOX);
  const sum = boxes.reduce((total, box) => total + areaOf(box), 0);
  return sum > 0 ? sum / areaOf(whole) : 0;
}

type Box = readonly [number, number, number, number];
const NO_BOX: Box = [Infinity, Infinity, -Infinity, -Infinity];

function joined(a: Box, b: Box): Box {
  return [Math.min(a[0], b[0]), Math.min(a[1], b[1]), Math.max(a[2], b[2]), Math.max(a[3], b[3])];
}

function middleOf(ring: Ring): readonly [number, number] {
  const [west, south, east, north] = ringBox(ring);
  return [(west + east) / 2, (south + north) / 2];
}

/** What two shapes have in common, on the millimetre grid. */
export function commonShape(a: Shape, b: Shape, look?: Look): Shape {
  if (a.length === 0 || b.length === 0) return [];
  return overlay({ subject: a.flat(), clip: b.flat(), less: [] }, setsOnGrid, look);
}

/** What is left of a shape without another, on the millimetre grid. */
export function lessShape(a: Shape, b: Shape, look?: Look): Shape {
  return b.length === 0 ? a : overlay({ subject: a.flat(), clip: null, less: b.flat() }, setsOnGrid, look);
}

/** The same, turned. */
export function lessTurned(a: Shape, b: Shape, look?: Look): Shape {
  return backAgain(lessShape(a.map(turned), b.map(turned), look));
}

/**
 * A shape grown by a distance all round, on the millimetre grid: corners are mitred, and squared off at no less than the
 * distance where a mitre would reach farther than twice of it.
 *
 * @example
 * shapeArea(widenedShape([[[0, 0, 4, 0, 4, 4, 0, 4]]], 1)); // 36
 */
export function widenedShape(shape: Shape, distance: number): Shape {
  if (distance <= 0 || shape.length === 0) return shape;
  const rings = shape.flatMap(([shell = [], ...holes]) => [
    shell,
    ...holes.filter((hole) => staysOpen(hole, distance)),
  ]);
  return moved(rings, distance, JoinType.Miter);
}

/**
 * Whether anything can be left of a hole when its sides close in by a distance. Of one no wider than twice the distance, one way
 * or the other, nothing is: every point of it is that near to one of its sides.
 */
function staysOpen(hole: Ring, distance: number): boolean {
  const [west, south, east, north] = ringBox(hole);
  return Math.min(east - west, north - south) > 2 * distance;
}

/** A ring with the corners left out that lie within a tolerance of the line without them (Ramer, Douglas, Peucker). */
export function simplerRing(ring: Ring, tolerance: number): Ring {
  const path = toPath(ring);
  return path.length < 5 ? ring : flatPath(simplified(path, tolerance * PER_METRE));
}

/**
 * The union of rings with its boundary moved outwards by a distance (inwards by one below 0), corners rounded; on the
 * millimetre grid. Chords miss the arcs by at most `arcMm`.
 *
 * @example
 * shapeArea(offsetShape([[0, 0, 4, 0, 4, 4, 0, 4]], 1)); // 16 + 16 + pi
 */
export function offsetShape(rings: readonly Ring[], distance: number, arcMm: number = ARC_MM): Shape {
  return moved(onGrid(ClipType.Union, rings, []).flat(), distance, JoinType.Round, arcMm);
}

/** The rings of the union of rings, without their nesting: by the even-odd rule, or by their turn, all together the same ground. */
export function unionRings(rings: readonly Ring[]): Ring[] {
  const engine = new Clipper64();
  engine.addPaths(toPaths(rings), PathType.Subject);
  const out: Path64[] = [];
  engine.execute(ClipType.Union, FillRule.NonZero, out);
  return out.map(flatPath).filter(isDrawn);
}

/**
 * `offsetShape` of rings that `unionRings` or this has made, without their nesting: no union before and none after, which is
 * most of what `offsetShape` costs.
 */
export function movedRings(rings: readonly Ring[], distance: number, arcMm: number = ARC_MM): Ring[] {
  const offset = new ClipperOffset(MITRE_LIMIT, arcMm);
  offset.addPaths(toPaths(rings), JoinType.Round, EndType.Polygon);
  const out: Path64[] = [];
  offset.execute(distance * PER_METRE, out);
  return out.map(flatPath).filter(isDrawn);
}

function isDrawn(ring: Ring): boolean {
  return Math.abs(signedArea(ring)) > SMALLEST_M2;
}

function moved(rings: readonly Ring[], distance: number, join: JoinType, arcMm: number = ARC_MM): Shape {
  const offset = new ClipperOffset(MITRE_LIMIT, arcMm);
  offset.addPaths(toPaths(rings), join, EndType.Polygon);
  const out: Path64[] = [];
  offset.execute(distance * PER_METRE, out);
  return onGrid(ClipType.Union, out.map(flatPath), []);
}

/** The shortest way between two areas: its length (0 where they share ground) and where it leads from the first. */
export function distanceBetween(
  a: readonly Ring[],
  b: readonly Ring[],
): { readonly distance: number; readonly dx: number; readonly dy: number } | null {
  if (a.length === 0 || b.length === 0) return null;
  if (commonShape([a], [b]).length > 0) return { distance: 0, dx: Number.NaN, dy: Number.NaN };
  const there = cornersToEdges(a, b);
  const back = cornersToEdges(b, a);
  return there.distance <= back.distance ? there : { distance: back.distance, dx: -back.dx, dy: -back.dy };
}

/** The shortest way from a corner of `from` to an edge of `to`. */
function cornersToEdges(from: readonly Ring[], to: readonly Ring[]): { distance: number; dx: number; dy: number } {
  const best = { distance: Infinity, dx: Number.NaN, dy: Number.NaN };
  for (const corners of from) {
    for (let c = 0; c < corners.length; c += 2) {
      const [x, y] = [corners[c]!, corners[c + 1]!];
      for (const ring of to) {
        for (let i = 0; i < ring.length; i += 2) {
          const k = (i + 2) % ring.length;
          const [ax, ay] = [ring[i]! - x, ring[i + 1]! - y];
          const [ex, ey] = [ring[k]! - x - ax, ring[k + 1]! - y - ay];
          const length2 = ex * ex + ey * ey;
          const t = length2 > 0 ? Math.min(Math.max(-(ax * ex + ay * ey) / length2, 0), 1) : 0;
          const [dx, dy] = [ax + t * ex, ay + t * ey];
          const distance = Math.hypot(dx, dy);
          if (distance < best.distance) Object.assign(best, { distance, dx, dy });
        }
      }
    }
  }
  return best;
}

/** Distance from the origin to the nearest of some rings; Infinity without any. */
export function distanceToRings(rings: readonly Ring[]): number {
  let nearest2 = Infinity;
  for (const ring of rings) {
    for (let i = 0; i < ring.length; i += 2) {
      const k = (i + 2) % ring.length;
      const [ax, ay, bx, by] = [ring[i]!, ring[i + 1]!, ring[k]!, ring[k + 1]!];
      nearest2 = Math.min(nearest2, toSegment2(ax, ay, bx, by, 0, 0));
    }
  }
  return Math.sqrt(nearest2);
}

/** Area of a shape, square metres. */
export function shapeArea(shape: Shape): number {
  let sum = 0;
  for (const polygon of shape) for (const ring of polygon) sum += signedArea(ring);
  return sum;
}

type Rings = readonly Ring[];

/** Draws as things lie, then turned; `ok` tells whether the area agrees with the exact figure. */
function agreed(
  exact: number,
  clip: Shape,
  draw: (at: (rings: Rings) => Rings) => Shape,
): { shape: Shape; ok: boolean } {
  // A grid of 1 mm and a chord error of 1 cm can move a boundary that is at most a few times the zone's own length.
  const zone = shapeArea(clip);
  const allowed = 0.004 * Math.sqrt(zone) + 0.0005 * zone;
  const agrees = (shape: Shape): boolean => Math.abs(shapeArea(shape) - exact) <= allowed;
  const first = draw((rings) => rings);
  if (agrees(first)) return { shape: first, ok: true };
  const second = backAgain(draw(turned));
  if (agrees(second)) return { shape: second, ok: true };
  return { shape: first.length === 0 ? second : first, ok: false };
}

/** A turn of exact numbers (5, 12 and 13 are the sides of a right-angled triangle), along which no drawing is laid out. */
const [COS, SIN] = [12 / 13, 5 / 13];

function turned(rings: Rings): Rings {
  return rings.map((ring) => turnedBy(ring, SIN));
}

function backAgain(shape: Shape): Shape {
  return shape.map((polygon) => polygon.map((ring) => turnedBy(ring, -SIN)));
}

function turnedBy(ring: Ring, sin: number): Ring {
  const out: number[] = [];
  for (let i = 0; i < ring.length; i += 2) {
    const [x, y] = [ring[i]!, ring[i + 1]!];
    out.push(COS * x - sin * y, sin * x + COS * y);
  }
  return out;
}

/** What is in the subject and in the clip, but not in the rest, by one call of the engine or two. */
export function setsOnGrid({ subject, clip, less }: Sets): Shape {
  if (clip === null) return onGrid(less.length === 0 ? ClipType.Union : ClipType.Difference, subject, less);
  const inside = onGrid(ClipType.Intersection, subject, clip);
  return less.length === 0 ? inside : onGrid(ClipType.Difference, inside.flat(), less);
}

function onGrid(type: ClipType, subject: readonly Ring[], clip: readonly Ring[]): Shape {
  const tree = new PolyTree64();
  const engine = new Clipper64();
  engine.addPaths(toPaths(subject), PathType.Subject);
  if (clip.length > 0) engine.addPaths(toPaths(clip), PathType.Clip);
  engine.execute(type, FillRule.NonZero, tree);
  const out: Ring[][] = [];
  collect(tree, out);
  return out;
}

/** Walks the nesting: children of the root are shells, their children holes, theirs shells again. */
function collect(node: PolyTree64 | PolyPath64, out: Ring[][]): void {
  for (let i = 0; i < node.count; i++) {
    const shell = node.child(i);
    const rings = [fromPath(shell.poly!, true)];
    for (let k = 0; k < shell.count; k++) {
      const hole = shell.child(k);
      rings.push(fromPath(hole.poly!, false));
      collect(hole, out);
    }
    if (Math.abs(signedArea(rings[0]!)) > SMALLEST_M2) out.push(rings);
  }
}

function toPaths(rings: readonly Ring[]): Path64[] {
  return rings.map(toPath).filter((path) => path.length > 2);
}

function toPath(ring: Ring): Path64 {
  const path: Path64 = [];
  for (let i = 0; i < ring.length; i += 2) {
    path.push({ x: Math.round(ring[i]! * PER_METRE), y: Math.round(ring[i + 1]! * PER_METRE) });
  }
  return withoutSpikes(path);
}

/**
 * Drops corners where a ring turns straight back along itself, which rounding to millimetres can make of a thin tip.
 * clipper2-ts 2.0.1 does not come to an end on some rings that hold them.
 */
function withoutSpikes(path: Path64): Path64 {
  const out: Path64 = [];
  const isSpike = (a: Point64, b: Point64, c: Point64): boolean => {
    const cross = (b.x - a.x) * (c.y - b.y) - (b.y - a.y) * (c.x - b.x);
    return cross === 0 && (b.x - a.x) * (c.x - b.x) + (b.y - a.y) * (c.y - b.y) <= 0;
  };
  for (const point of path) {
    out.push(point);
    while (out.length > 2 && isSpike(out.at(-3)!, out.at(-2)!, out.at(-1)!)) {
      out.splice(-2, 1);
      if (out.length > 1 && same(out.at(-2)!, out.at(-1)!)) out.pop();
    }
  }
  for (let trimmed = true; trimmed && out.length > 2; ) {
    trimmed = false;
    if (isSpike(out.at(-2)!, out.at(-1)!, out[0]!)) {
      out.pop();
      trimmed = true;
    } else if (isSpike(out.at(-1)!, out[0]!, out[1]!)) {
      out.shift();
      trimmed = true;
    }
  }
  return out.length > 2 ? out : [];
}

function same(a: Point64, b: Point64): boolean {
  return a.x === b.x && a.y === b.y;
}

function fromPath(path: Path64, shell: boolean): Ring {
  return wound(flatPath(path), shell);
}

function flatPath(path: readonly Point64[]): number[] {
  const ring: number[] = [];
  for (const point of path) ring.push(point.x / PER_METRE, point.y / PER_METRE);
  return ring;
}

function wound(ring: number[], shell: boolean): number[] {
  return signedArea(ring) > 0 === shell ? ring : backwards(ring);
}
