// Under which bearings polygons stand in a crown. In: pieces, a trunk, the crown's radii; out: arcs of bearings.
// Terms: span = the bearings an edge's part inside the crown covers as seen from the trunk; a ray that meets a polygon
// inside the crown crosses its edge there, unless the trunk itself is inside: so the spans of the edges give the whole
// answer.

import type { Pieces } from '../geometry/index.js';
import { eachEdge } from '../geometry/index.js';
import type { Four } from './shape.js';

const DEGREES = 180 / Math.PI;
/** Spans nearer than this are joined, degrees: pieces of one building share corners. */
const JOIN = 1e-7;
/** A span this narrow is no more than a touch, degrees. */
const LEAST = 1e-6;

/** Collects spans of bearings and joins them. */
export class BearingArcs {
  readonly #spans: [from: number, to: number][] = []; // from in [0, 360), to up to 360 more

  /** Whether anything wider than rounding was added. */
  get isOpen(): boolean {
    return this.#spans.some(([from, to]) => to - from > LEAST);
  }

  /** Takes over what another has collected. */
  addAll(other: BearingArcs): void {
    this.#spans.push(...other.#spans);
  }

  /** Clockwise from one bearing through `width` degrees. */
  add(from: number, width: number): void {
    if (!(width > 0)) return;
    const start = ((from % 360) + 360) % 360;
    this.#spans.push([start, start + Math.min(width, 360)]);
  }

  /** Arcs that do not touch, clockwise from north, each [from, to] in [0, 360); all round is [0, 360]. */
  merged(): readonly (readonly [number, number])[] {
    // What runs past north is cut there, and joined again at the end.
    const cut = this.#spans.flatMap(([from, to]): [number, number][] =>
      to <= 360
        ? [[from, to]]
        : [
            [from, 360],
            [0, to - 360],
          ],
    );
    cut.sort((a, b) => a[0] - b[0]);
    const out: [number, number][] = [];
    for (const [from, to] of cut) {
      const last = out.at(-1);
      if (last !== undefined && from <= last[1] + JOIN) last[1] = Math.max(last[1], to);
      else out.push([from, to]);
    }
    const first = out[0];
    const last = out.at(-1);
    if (first === undefined || last === undefined) return [];
    if (first[0] <= JOIN && last[1] >= 360 - JOIN) {
      if (first === last) return [[0, 360]];
      out.shift();
      last[1] = first[1];
    }
    return out;
  }
}

/** Adds the spans of every edge of pieces `from` .. `to` inside the crown of four quarter ellipses (Meter.quarters). */
export function edgesInQuarters(
  pieces: Pieces,
  [from, to]: readonly [number, number],
  x: number,
  y: number,
  four: Four,
  turn: number,
  arcs: BearingArcs,
): void {
  const reach = Math.max(...four);
  const sin = Math.sin(turn);
  const cos = Math.cos(turn);
  for (let p = from; p < to; p++) {
    const { box } = pieces;
    if (box[p * 4]! > x + reach || box[p * 4 + 2]! < x - reach) continue;
    if (box[p * 4 + 1]! > y + reach || box[p * 4 + 3]! < y - reach) continue;
    eachEdge(pieces, p, (ax, ay, bx, by) => {
      // turned so that north is +y
      edgeInQuarters(
        (ax - x) * cos - (ay - y) * sin,
        (ax - x) * sin + (ay - y) * cos,
        (bx - x) * cos - (by - y) * sin,
        (bx - x) * sin + (by - y) * cos,
        four,
        arcs,
      );
    });
  }
}

/** Cuts an edge at the crown's axes; each part lies in one quarter and is compared with its ellipse. */
function edgeInQuarters(ax: number, ay: number, bx: number, by: number, four: Four, arcs: BearingArcs): void {
  const [n, e, s, w] = four;
  const dx = bx - ax;
  const dy = by - ay;
  const atY = dx === 0 ? 2 : -ax / dx; // where it crosses the axis north-south
  const atX = dy === 0 ? 2 : -ay / dy;
  const cuts = [0, ...[atX, atY].filter((t) => t > 0 && t < 1).sort((p, q) => p - q), 1];
  for (let i = 0; i + 1 < cuts.length; i++) {
    const t0 = cuts[i]!;
    const t1 = cuts[i + 1]!;
    const middle = (t0 + t1) / 2;
    const a = ax + middle * dx >= 0 ? e : w;
    const b = ay + middle * dy >= 0 ? n : s;
    if (!(a > 0 && b > 0)) continue;
    const inside = withinUnit(ax / a, ay / b, dx / a, dy / b, t0, t1);
    if (inside === null) continue;
    addSpan(ax + inside[0] * dx, ay + inside[0] * dy, ax + inside[1] * dx, ay + inside[1] * dy, arcs);
  }
}

/** The part of t0 .. t1 for which p + t d lies in the unit disc. */
function withinUnit(
  px: number,
  py: number,
  dx: number,
  dy: number,
  t0: number,
  t1: number,
): readonly [number, number] | null {
  const dd = dx * dx + dy * dy;
  if (dd === 0) return null;
  const along = -(px * dx + py * dy) / dd;
  const half2 = (1 - (px + along * dx) ** 2 - (py + along * dy) ** 2) / dd;
  if (!(half2 > 0)) return null;
  const half = Math.sqrt(half2);
  const from = Math.max(t0, along - half);
  const to = Math.min(t1, along + half);
  return to > from ? [from, to] : null;
}

/** The bearings between two ends of a straight part that does not pass through the trunk, x east and y north. */
export function addSpan(ax: number, ay: number, bx: number, by: number, arcs: BearingArcs): void {
  const turn = Math.atan2(ax * by - ay * bx, ax * bx + ay * by) * DEGREES; // anticlockwise from a to b
  const [x, y] = turn > 0 ? [bx, by] : [ax, ay];
  arcs.add(Math.atan2(x, y) * DEGREES, Math.abs(turn));
}
