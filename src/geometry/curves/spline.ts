// B-splines, rational ones too -> chords. In: degree, knots, control points, weights; out: vertices, ends included.
// Terms: span = between two knots that differ; blossom = the polar form of a span's polynomial, found by de Boor's
// algorithm with an argument of its own in each round (Ramshaw 1987); hull = the control points of a Bezier arc, between
// which the curve lies where no weight is below 0. Weighted points are kept as (wx, wy, wz, w), so that plain formulas
// apply.

import { alongSegment } from '../distance.js';
export interface Spline {
  readonly degree: number;
  readonly knots: readonly number[]; // ascending; as many as control points + degree + 1
  readonly points: readonly (readonly [x: number, y: number, z: number])[];
  readonly weights: readonly number[] | null; // above 0, one a point
}

type Weighted = readonly [number, number, number, number];

/** Halvings of a span at most: 4,096 chords keep within 1 mm of spans of tens of kilometres. */
const DEEPEST = 12;
const MOST_DEGREE = 25;

/** Why a spline can't be drawn, in words; undefined when it can. */
export function splineFault({ degree, knots, points, weights }: Spline): string | undefined {
  const n = points.length;
  if (!(Number.isInteger(degree) && degree >= 1 && degree <= MOST_DEGREE)) return `its degree is ${degree}`;
  if (n <= degree) return `it has ${n} control points, and needs ${degree + 1} for degree ${degree}`;
  if (knots.length !== n + degree + 1) return `it has ${knots.length} knots, and needs ${n + degree + 1}`;
  if (!knots.every((knot, i) => Number.isFinite(knot) && (i === 0 || knot >= knots[i - 1]!)))
    return 'its knots do not ascend';
  if (!(knots[n]! > knots[degree]!)) return 'its knots are all the same';
  if (weights !== null && !(weights.length === n && weights.every((w) => w > 0 && Number.isFinite(w))))
    return 'it needs one weight above 0 for each control point';
  return undefined;
}

/**
 * The vertices of a spline that is sound (`splineFault`), from its start to its end: every point of the curve lies
 * within `tolerance` of its chord, as seen from above.
 *
 * @returns whether the tolerance could be kept: a spline a thousand kilometres long has more chords than are made
 *
 * @example
 * splineVertices({ degree: 1, knots: [0, 0, 1, 1], points: [[0, 0, 0], [2, 1, 0]], weights: null }, 0.001, add);
 */
export function splineVertices(
  spline: Spline,
  tolerance: number,
  vertex: (x: number, y: number, z: number) => void,
): boolean {
  const { degree, knots, points } = spline;
  const [ox, oy] = points[0]!; // far from the origin digits would be lost
  const all = points.map(([x, y, z], i): Weighted => {
    const w = spline.weights?.[i] ?? 1;
    return [w * (x - ox), w * (y - oy), w * z, w];
  });
  const emit = ([x, y, z, w]: Weighted): void => vertex(x / w + ox, y / w + oy, z / w);
  let first = true;
  let kept = true;
  for (let span = degree; span < points.length; span++) {
    const [from, to] = [knots[span]!, knots[span + 1]!];
    if (!(to > from)) continue;
    const bezier = Array.from({ length: degree + 1 }, (_, k) => blossom(knots, all, degree, span, from, to, k));
    if (first) emit(bezier[0]!);
    first = false;
    kept = flatten(bezier, tolerance, DEEPEST, emit) && kept;
  }
  return kept;
}

/** The span's polar form at (degree - ends) times `from` and `ends` times `to`: a Bezier point. */
function blossom(
  knots: readonly number[],
  all: readonly Weighted[],
  degree: number,
  span: number,
  from: number,
  to: number,
  ends: number,
): Weighted {
  const d = all.slice(span - degree, span + 1);
  for (let round = 1; round <= degree; round++) {
    const at = round <= ends ? to : from;
    for (let j = degree; j >= round; j--) {
      const low = knots[span - degree + j]!;
      const high = knots[span + j - round + 1]!;
      d[j] = between(d[j - 1]!, d[j]!, (at - low) / (high - low));
    }
  }
  return d[degree]!;
}

function between(a: Weighted, b: Weighted, share: number): Weighted {
  const at = (i: 0 | 1 | 2 | 3): number => a[i] + (b[i] - a[i]) * share;
  return [at(0), at(1), at(2), at(3)];
}

/** Halves a Bezier arc (de Casteljau) until its hull lies along its chord; gives the end of each piece. */
function flatten(bezier: readonly Weighted[], tolerance: number, depth: number, emit: (p: Weighted) => void): boolean {
  const flat = isFlat(bezier, tolerance);
  if (depth === 0 || flat) {
    emit(bezier[bezier.length - 1]!);
    return flat;
  }
  const left: Weighted[] = [];
  const right: Weighted[] = [];
  let row = [...bezier];
  while (row.length > 0) {
    left.push(row[0]!);
    right.unshift(row[row.length - 1]!);
    row = row.slice(1).map((point, i) => between(row[i]!, point, 0.5));
  }
  const kept = flatten(left, tolerance, depth - 1, emit);
  return flatten(right, tolerance, depth - 1, emit) && kept;
}

/** Whether no control point is farther from the chord (as a segment) than the tolerance. */
function isFlat(bezier: readonly Weighted[], tolerance: number): boolean {
  const [ax, ay, , aw] = bezier[0]!;
  const [bx, by, , bw] = bezier[bezier.length - 1]!;
  const [x0, y0] = [ax / aw, ay / aw];
  const [dx, dy] = [bx / bw - x0, by / bw - y0];
  return bezier.slice(1, -1).every(([x, y, , w]) => {
    const [px, py] = [x / w - x0, y / w - y0];
    const along = alongSegment(0, 0, dx, dy, px, py);
    return Math.hypot(px - along * dx, py - along * dy) <= tolerance;
  });
}
