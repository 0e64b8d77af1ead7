// Lines with width and polygons with working space, as sets of convex pieces whose union is the shape:
// in: vertices in the frame and a distance; out: pieces. Working space has mitred corners and flat ends; what lies
// within a distance has round ones, as chords.
// Terms: strip = the rectangle along one edge; mitre = the kite that fills the outer side of a bend (cut off square
// where it would reach farther than twice the distance); the kernel handles overlaps between the pieces.

import { chordCount } from '../curves/arc.js';
import { backwards } from '../rings/ring.js';
import type { PieceBuilder, PieceTag } from './pieces.js';

/** Chords of a round corner miss its arc by at most this, metres. */
const ROUND_M = 0.0005;

/** A mitre may reach this many times the distance from its corner; sharper bends are bevelled. */
const MITRE_LIMIT = 2;

/**
 * Adds a line of full width `width` (vertices `from` .. `to` of xy), its ends lengthened by `extend`.
 *
 * @example
 * addLine(builder, Float64Array.of(0, 0, 10, 0), 0, 2, 0.6, 0, tag); // a trench of 10 m x 0.6 m
 */
export function addLine(
  builder: PieceBuilder,
  xy: Float64Array,
  from: number,
  to: number,
  width: number,
  extend: number,
  tag: PieceTag,
): void {
  const h = width / 2;
  const closed = to - from > 3 && xy[from * 2] === xy[to * 2 - 2] && xy[from * 2 + 1] === xy[to * 2 - 1];
  for (let v = from; v + 1 < to; v++) {
    const [px, py, qx, qy, ux, uy] = edge(xy, v, v + 1);
    const back = v === from && !closed ? extend : 0;
    const ahead = v + 2 === to && !closed ? extend : 0;
    const ax = px - ux * back;
    const ay = py - uy * back;
    const bx = qx + ux * ahead;
    const by = qy + uy * ahead;
    const nx = -uy * h;
    const ny = ux * h;
    builder.add([[ax - nx, ay - ny, bx - nx, by - ny, bx + nx, by + ny, ax + nx, ay + ny]], tag);
    if (v > from) addBend(builder, xy, v - 1, v, v, v + 1, h, tag);
  }
  if (closed) addBend(builder, xy, to - 2, to - 1, from, from + 1, h, tag);
}

/**
 * Adds working space of `distance` round a polygon's rings (shell anticlockwise, holes clockwise, not closed):
 * a strip outside every edge and a mitre at every corner that points outwards. The polygon itself is not added.
 */
export function addMargin(
  builder: PieceBuilder,
  xy: Float64Array,
  from: number,
  to: number,
  distance: number,
  tag: PieceTag,
): void {
  const n = to - from;
  for (let i = 0; i < n; i++) {
    const a = from + i;
    const b = from + ((i + 1) % n);
    const c = from + ((i + 2) % n);
    const [px, py, qx, qy, ux, uy] = edge(xy, a, b);
    const nx = uy * distance; // to the right: outwards
    const ny = -ux * distance;
    builder.add([[px, py, px + nx, py + ny, qx + nx, qy + ny, qx, qy]], tag);
    const [, , , , vx, vy] = edge(xy, b, c);
    if (ux * vy - uy * vx > 0) addBend(builder, xy, a, b, b, c, distance, tag);
  }
}

/**
 * Adds all that lies within `distance` outside a ring (its inside on the left, not closed): a strip along every edge and
 * the sector of a circle at every corner that points outwards. Edges and corners farther than `reach` from the origin are
 * left out.
 * With `lap` the strips reach that far over the ring to its inside and past the ends of their edges.
 */
export function addRound(
  builder: PieceBuilder,
  ring: readonly number[],
  distance: number,
  reach: number,
  tag: PieceTag,
  lap: number = 0,
): void {
  const xy = Float64Array.from(ring);
  const n = xy.length / 2;
  for (let b = 0; b < n; b++) {
    const a = (b + n - 1) % n;
    const [px, py, qx, qy, ux, uy] = edge(xy, a, b);
    if (distanceOf(px, py, qx, qy, ux, uy) > reach) continue;
    const nx = uy * distance; // to the right: outwards
    const ny = -ux * distance;
    const [lx, ly] = [ux * lap, uy * lap]; // along the edge; a quarter turn to the left is (-ly, lx)
    builder.add(
      [
        [
          px - lx - ly,
          py - ly + lx,
          px - lx + nx,
          py - ly + ny,
          qx + lx + nx,
          qy + ly + ny,
          qx + lx - ly,
          qy + ly + lx,
        ],
      ],
      tag,
    );
    const [, , , , vx, vy] = edge(xy, b, (b + 1) % n);
    const turn = Math.atan2(ux * vy - uy * vx, ux * vx + uy * vy);
    if (turn > 0 && Math.hypot(qx, qy) <= reach) builder.add([sector(qx, qy, nx, ny, turn)], tag);
  }
}

/** A band bends by at most this, radians: less than half a turn, so that it never meets itself. */
const MOST_BEND = 2.5;

/**
 * As addRound, with fewer pieces: edges that follow each other round corners that point outwards share one band. For rings
 * of thousands of corners.
 */
export function addBands(
  builder: PieceBuilder,
  ring: readonly number[],
  distance: number,
  reach: number,
  tag: PieceTag,
  lap: number = 0,
): void {
  const xy = Float64Array.from(ring);
  const n = xy.length / 2;
  const inner: number[] = [];
  const outer: number[] = [];
  let bend = 0;
  const finish = (ux: number, uy: number): void => {
    if (inner.length === 0) return;
    const at = outer.length;
    // Past the end of the last edge.
    inner.push(inner.at(-2)! + ux * lap, inner.at(-1)! + uy * lap);
    outer.push(outer[at - 2]! + ux * lap, outer[at - 1]! + uy * lap);
    for (let i = inner.length - 2; i >= 0; i -= 2) outer.push(inner[i]!, inner[i + 1]!);
    builder.add([outer], tag);
    inner.length = outer.length = bend = 0;
  };
  for (let b = 0; b < n; b++) {
    const [px, py, qx, qy, ux, uy] = edge(xy, (b + n - 1) % n, b);
    const isNear = distanceOf(px, py, qx, qy, ux, uy) <= reach;
    const [nx, ny] = [uy * distance, -ux * distance]; // to the right: outwards
    const [lx, ly] = [-uy * lap, ux * lap]; // to the left
    if (isNear) {
      const back = inner.length === 0 ? lap : 0;
      inner.push(px - ux * back + lx, py - uy * back + ly, qx + lx, qy + ly);
      outer.push(px - ux * back + nx, py - uy * back + ny, qx + nx, qy + ny);
    }
    const [, , , , vx, vy] = edge(xy, b, (b + 1) % n);
    const turn = Math.atan2(ux * vy - uy * vx, ux * vx + uy * vy);
    const goesOn = isNear && turn > 0 && bend + turn <= MOST_BEND && b + 1 < n;
    if (goesOn) {
      bend += turn;
      outer.push(...sector(qx, qy, nx, ny, turn).slice(4));
    } else {
      finish(ux, uy);
      if (turn > 0 && Math.hypot(qx, qy) <= reach) builder.add([sector(qx, qy, nx, ny, turn)], tag);
    }
  }
}

/** Distance of an edge from the origin, by its ends and its direction. */
function distanceOf(px: number, py: number, qx: number, qy: number, ux: number, uy: number): number {
  if (px * ux + py * uy >= 0) return Math.hypot(px, py); // it runs away from the origin
  if (qx * ux + qy * uy <= 0) return Math.hypot(qx, qy); // it ends before it comes by
  return Math.abs(px * uy - py * ux);
}

/** A sector about a corner from a radius on, anticlockwise, as chords; area-true. */
function sector(x: number, y: number, nx: number, ny: number, turn: number): number[] {
  const radius = Math.hypot(nx, ny);
  const chords = chordCount(radius, turn, ROUND_M);
  const step = turn / chords;
  const scale = Math.sqrt(step / Math.sin(step)); // the ends stay true: the strips beside it are met
  const out = [x, y, x + nx, y + ny];
  for (let k = 1; k <= chords; k++) {
    const grown = k === chords ? 1 : scale;
    const cos = Math.cos(k * step) * grown;
    const sin = Math.sin(k * step) * grown;
    out.push(x + nx * cos - ny * sin, y + nx * sin + ny * cos);
  }
  return out;
}

/** Fills the outer side of the bend between edge a-b and edge c-d, which meet in b = c. */
function addBend(
  builder: PieceBuilder,
  xy: Float64Array,
  a: number,
  b: number,
  c: number,
  d: number,
  h: number,
  tag: PieceTag,
): void {
  const [, , x, y, ux, uy] = edge(xy, a, b);
  const [, , , , vx, vy] = edge(xy, c, d);
  const turn = ux * vy - uy * vx;
  if (turn === 0) return; // straight on, or straight back: nothing to fill
  const side = turn > 0 ? 1 : -1; // a left turn opens on the right
  const n1x = side * uy * h;
  const n1y = -side * ux * h;
  const n2x = side * vy * h;
  const n2y = -side * vx * h;
  const cosine = ux * vx + uy * vy;
  const half = Math.sqrt((1 + cosine) / 2); // cosine of half the turn; the mitre reaches h / half
  const corners = [x, y, x + n1x, y + n1y];
  if (half * MITRE_LIMIT >= 1) corners.push(x + (n1x + n2x) / (1 + cosine), y + (n1y + n2y) / (1 + cosine));
  corners.push(x + n2x, y + n2y);
  builder.add([side > 0 ? corners : backwards(corners)], tag);
}

/** Ends and unit direction of the edge between two vertices; the direction is 0, 0 for an edge without length. */
function edge(xy: Float64Array, a: number, b: number): readonly [number, number, number, number, number, number] {
  const px = xy[a * 2]!;
  const py = xy[a * 2 + 1]!;
  const qx = xy[b * 2]!;
  const qy = xy[b * 2 + 1]!;
  const length = Math.hypot(qx - px, qy - py);
  return length > 0 ? [px, py, qx, qy, (qx - px) / length, (qy - py) / length] : [px, py, qx, qy, 0, 0];
}
