// How fast ground taken changes as works move. In: pieces that move and pieces that stay, about a tree, and its zone; out:
// the exact derivative of the area taken by shift and turn. Terms: open stretch = a part of a moving piece's edge inside
// the zone where stepping over it enters or leaves the ground taken; only such stretches sweep up new ground.
//
// d(area) = sum over open stretches of the integral of (velocity . outward normal): on a straight stretch the normal is
// constant and a rigid motion's velocity is linear, so the value at its middle times its length is the integral, exactly
// (the transport theorem for a region with a moving boundary; Flanders 1973, Am. Math. Monthly 80:615).

import type { Pieces } from '../geometry/index.js';
import { boxDistance2, eachEdge, passesEast } from '../geometry/index.js';

/** What is measured, about the tree: a disc, four quarter ellipses (north, east, south, west; `turn` clockwise), polygons. */
export type Zone =
  | { readonly radiusM: number }
  | { readonly quarters: readonly [number, number, number, number]; readonly turn: number; readonly radiusM: number }
  | { readonly polygons: Pieces; readonly x: number; readonly y: number; readonly radiusM: number };

/** Ground of any of the classes `bits` and of none of `without`. */
export interface Taken {
  readonly bits: number;
  readonly without: number;
}

/** Pieces and where they are laid: displaced by x, y. */
export interface Laid {
  readonly pieces: Pieces;
  readonly x: number;
  readonly y: number;
}

/** Square metres a metre east, a metre north, and a radian anticlockwise about the moving pieces' own origin. */
export interface Slope {
  east: number;
  north: number;
  turn: number;
}

/** How far beside an edge ground is looked at, metres: far under what a survey resolves, far over rounding. */
const BESIDE_M = 1e-7;

/**
 * The derivative of the ground taken of a zone about (x, y) by `moving` pieces among those that `stay` (numbers of pieces
 * near the zone). Where moving and staying edges lie on each other, one of the two one-sided derivatives.
 *
 * @example
 * // a half plane of works east of the tree, its edge a chord of 8 m: each metre west takes 8 m2 more
 * slopeOf({ radiusM: 5 }, 0, 0, { pieces: halfPlane, x: 3, y: 0 }, none, [], { bits: WORKS, without: 0 }).east; // -8
 */
export function slopeOf(
  zone: Zone,
  x: number,
  y: number,
  moving: Laid,
  staying: Laid,
  stay: ArrayLike<number>,
  taken: Taken,
): Slope {
  const out: Slope = { east: 0, north: 0, turn: 0 };
  const about = (laid: Laid): Laid => ({ pieces: laid.pieces, x: laid.x - x, y: laid.y - y });
  const [own, others] = [about(moving), about(staying)];
  const near: number[] = [];
  const r2 = zone.radiusM ** 2;
  for (let p = 0; p < own.pieces.count; p++) {
    if (boxDistance2(own.pieces.box, p * 4, -own.x, -own.y) <= r2) near.push(p);
  }
  const cuts: number[] = [];
  for (const p of near) {
    eachEdgeOf(own, p, (ax, ay, bx, by) => {
      for (const [t0, t1] of insideZone(zone, ax, ay, bx, by)) {
        cuts.length = 0;
        cuts.push(t0, t1);
        for (const q of near) if (q !== p) addCrossings(own, q, ax, ay, bx, by, t0, t1, cuts);
        for (let i = 0; i < stay.length; i++) addCrossings(others, stay[i]!, ax, ay, bx, by, t0, t1, cuts);
        if (cuts.length > 2) cuts.sort((a, b) => a - b);
        addStretches(out, own, p, near, others, stay, taken, ax, ay, bx, by, cuts);
      }
    });
  }
  return out;
}

function addStretches(
  out: Slope,
  own: Laid,
  p: number,
  near: readonly number[],
  others: Laid,
  stay: ArrayLike<number>,
  taken: Taken,
  ax: number,
  ay: number,
  bx: number,
  by: number,
  cuts: readonly number[],
): void {
  const length = Math.hypot(bx - ax, by - ay);
  const nx = (by - ay) / length; // to the right of the edge: outwards
  const ny = -(bx - ax) / length;
  for (let i = 0; i + 1 < cuts.length; i++) {
    const [t0, t1] = [cuts[i]!, cuts[i + 1]!];
    if (!(t1 > t0)) continue;
    const t = (t0 + t1) / 2;
    const mx = ax + t * (bx - ax);
    const my = ay + t * (by - ay);
    let inner = own.pieces.classBit[p]!;
    let outer = 0;
    let counted = false; // held by an earlier moving piece whose edge also lies here
    const look = (laid: Laid, q: number, moves: boolean): void => {
      const within = holds(laid, q, mx - nx * BESIDE_M, my - ny * BESIDE_M);
      const beyond = holds(laid, q, mx + nx * BESIDE_M, my + ny * BESIDE_M);
      const bit = laid.pieces.classBit[q]!;
      if (within) inner |= bit;
      if (beyond) outer |= bit;
      if (moves && q < p && within !== beyond) counted = true;
    };
    for (const q of near) if (q !== p) look(own, q, true);
    for (let k = 0; k < stay.length; k++) look(others, stay[k]!, false);
    const step = counted ? 0 : isTaken(inner, taken) - isTaken(outer, taken);
    if (step === 0) continue;
    const swept = step * (t1 - t0) * length;
    out.east += swept * nx;
    out.north += swept * ny;
    out.turn += swept * ((mx - own.x) * ny - (my - own.y) * nx);
  }
}

function isTaken(mask: number, { bits, without }: Taken): number {
  return (mask & bits) !== 0 && (mask & without) === 0 ? 1 : 0;
}

function eachEdgeOf(
  { pieces, x, y }: Laid,
  p: number,
  see: (ax: number, ay: number, bx: number, by: number) => void,
): void {
  eachEdge(pieces, p, see, x, y);
}

/** Whether a piece holds a place, by the even-odd rule. */
function holds(laid: Laid, p: number, px: number, py: number): boolean {
  const { box } = laid.pieces;
  const [x, y] = [px - laid.x, py - laid.y];
  if (x < box[p * 4]! || y < box[p * 4 + 1]!) return false;
  if (x > box[p * 4 + 2]! || y > box[p * 4 + 3]!) return false;
  let inside = false;
  eachEdgeOf(laid, p, (ax, ay, bx, by) => {
    if (passesEast(ax, ay, bx, by, px, py)) inside = !inside;
  });
  return inside;
}

/** Adds where between t0 and t1 the edge a-b crosses edges of a piece. */
function addCrossings(
  laid: Laid,
  q: number,
  ax: number,
  ay: number,
  bx: number,
  by: number,
  t0: number,
  t1: number,
  out: number[],
): void {
  const dx = bx - ax;
  const dy = by - ay;
  eachEdgeOf(laid, q, (cx, cy, ex, ey) => {
    const fx = ex - cx;
    const fy = ey - cy;
    const det = dx * fy - dy * fx;
    if (det === 0) {
      // The edges lie along each other: where one ends, the other may continue.
      const l2 = dx * dx + dy * dy;
      for (const [px, py] of [
        [cx, cy],
        [ex, ey],
      ] as const) {
        const t = ((px - ax) * dx + (py - ay) * dy) / l2;
        if (t > t0 && t < t1) out.push(t);
      }
      return;
    }
    const t = ((cx - ax) * fy - (cy - ay) * fx) / det;
    const s = ((cx - ax) * dy - (cy - ay) * dx) / det;
    // Slightly beyond the ends: an extra cut costs nothing, a missing cut gives a wrong stretch.
    if (t > t0 && t < t1 && s > -1e-9 && s < 1 + 1e-9) out.push(t);
  });
}

/** The parts of an edge that lie inside the zone, as spans of 0..1. */
function insideZone(zone: Zone, ax: number, ay: number, bx: number, by: number): [number, number][] {
  if ('polygons' in zone) return insidePolygons(zone, ax, ay, bx, by);
  if (!('quarters' in zone)) {
    const span = insideCircle(ax, ay, bx, by, zone.radiusM);
    return span === null ? [] : [span];
  }
  const [north, east, south, west] = zone.quarters;
  const [sin, cos] = [Math.sin(zone.turn), Math.cos(zone.turn)];
  const spans: [number, number][] = [];
  for (const [across, along, sx, sy] of [
    [east, north, 1, 1],
    [west, north, -1, 1],
    [west, south, -1, -1],
    [east, south, 1, -1],
  ] as const) {
    if (!(across > 0 && along > 0)) continue;
    // To the unit circle of this quarter, as the meter does it.
    const mapped = (x: number, y: number): readonly [number, number] => [
      (cos * x - sin * y) / across,
      (sin * x + cos * y) / along,
    ];
    const [px, py] = mapped(ax, ay);
    const [qx, qy] = mapped(bx, by);
    const span = insideCircle(px, py, qx, qy, 1);
    if (span === null) continue;
    const cut = onSide(onSide(span, sx * px, sx * qx), sy * py, sy * qy);
    if (cut[1] > cut[0]) spans.push(cut);
  }
  return spans;
}

/** What of a span has a value, linear from a to b over 0..1, above 0. */
function onSide([t0, t1]: [number, number], a: number, b: number): [number, number] {
  if (a >= 0 && b >= 0) return [t0, t1];
  if (a <= 0 && b <= 0) return [t0, t0];
  const t = a / (a - b);
  return a < 0 ? [Math.max(t0, t), t1] : [t0, Math.min(t1, t)];
}

function insideCircle(ax: number, ay: number, bx: number, by: number, r: number): [number, number] | null {
  const dx = bx - ax;
  const dy = by - ay;
  const dd = dx * dx + dy * dy;
  const along = -(ax * dx + ay * dy);
  const cross = ax * by - ay * bx;
  const half2 = r * r * dd - cross * cross;
  if (!(half2 > 0)) return null;
  const half = Math.sqrt(half2);
  const t0 = Math.max((along - half) / dd, 0);
  const t1 = Math.min((along + half) / dd, 1);
  return t1 > t0 ? [t0, t1] : null;
}

function insidePolygons(
  { polygons, x, y }: Extract<Zone, { polygons: Pieces }>,
  ax: number,
  ay: number,
  bx: number,
  by: number,
): [number, number][] {
  const laid: Laid = { pieces: polygons, x: -x, y: -y };
  const cuts = [0, 1];
  for (let p = 0; p < polygons.count; p++) addCrossings(laid, p, ax, ay, bx, by, 0, 1, cuts);
  cuts.sort((a, b) => a - b);
  const spans: [number, number][] = [];
  for (let i = 0; i + 1 < cuts.length; i++) {
    const [t0, t1] = [cuts[i]!, cuts[i + 1]!];
    const t = (t0 + t1) / 2;
    const [mx, my] = [ax + t * (bx - ax), ay + t * (by - ay)];
    let inside = false;
    for (let p = 0; p < polygons.count && !inside; p++) inside = holds(laid, p, mx, my);
    if (inside && t1 > t0) spans.push([t0, t1]);
  }
  return spans;
}
