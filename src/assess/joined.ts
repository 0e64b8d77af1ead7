// Outlines that touch, with their corners in common. In: polygons as rings, metres; out: the same rings, with a corner of
// another put into every edge that it lies on. Terms: on = closer to it than a step of the grid on which unions are found.
// A line with width is a chain of rectangles and mitres, and the corner between two of them lies in the middle of an edge:
// rounded to a grid on its own, it would leave a slit. Works that draw back would then draw back along the slit too.
// Cost: n log n for n corners that lie on few edges each.

import type { Ring } from '../geometry/index.js';
import { BoxIndex } from '../geometry/index.js';

/** Corners closer to an edge than this are on it, metres: a step of the grid. */
const ON_EDGE_M = 0.00001;

/** Puts the corners of all polygons that lie on edges of others into those edges. */
export function joined(polygons: readonly (readonly Ring[])[]): Ring[][] {
  if (polygons.length < 2) return polygons.map((rings) => [...rings]);
  const edges = edgesOf(polygons);
  const index = new BoxIndex(edges.box);
  const put = new Map<number, number[]>(); // per edge: place along it, x, y of each corner
  polygons.forEach((rings, polygon) => {
    for (const ring of rings) {
      for (let i = 0; i < ring.length; i += 2) {
        const [x, y] = [ring[i]!, ring[i + 1]!];
        const n = index.search(x - ON_EDGE_M, y - ON_EDGE_M, x + ON_EDGE_M, y + ON_EDGE_M);
        for (let k = 0; k < n; k++) {
          const edge = index.found[k]!;
          if (edges.polygon[edge] === polygon) continue;
          const along = placeOn(edges.ends, edge * 4, x, y);
          if (along === null) continue;
          const list = put.get(edge);
          if (list === undefined) put.set(edge, [along, x, y]);
          else list.push(along, x, y);
        }
      }
    }
  });
  let edge = 0;
  return polygons.map((rings) =>
    rings.map((ring) => {
      const out: number[] = [];
      for (let i = 0; i < ring.length; i += 2, edge++) {
        out.push(ring[i]!, ring[i + 1]!);
        const corners = put.get(edge);
        if (corners !== undefined) pushInOrder(out, corners);
      }
      return out;
    }),
  );
}

/** Corners in the order of their places along the edge. */
function pushInOrder(out: number[], corners: readonly number[]): void {
  const order = Array.from({ length: corners.length / 3 }, (_, k) => k * 3);
  order.sort((a, b) => corners[a]! - corners[b]!);
  for (const k of order) out.push(corners[k + 1]!, corners[k + 2]!);
}

/** How far along an edge (0 to 1) a corner lies on it; null beside it and at its ends. */
function placeOn(ends: Float64Array, at: number, x: number, y: number): number | null {
  const [dx, dy] = [ends[at + 2]! - ends[at]!, ends[at + 3]! - ends[at + 1]!];
  const [px, py] = [x - ends[at]!, y - ends[at + 1]!];
  const length = Math.hypot(dx, dy);
  const along = (px * dx + py * dy) / length;
  if (!(along > ON_EDGE_M && along < length - ON_EDGE_M)) return null;
  return Math.abs(px * dy - py * dx) / length <= ON_EDGE_M ? along / length : null;
}

interface Edges {
  readonly ends: Float64Array; // ax, ay, bx, by
  readonly box: Float64Array;
  readonly polygon: Uint32Array;
}

function edgesOf(polygons: readonly (readonly Ring[])[]): Edges {
  let count = 0;
  for (const rings of polygons) for (const ring of rings) count += ring.length / 2;
  const ends = new Float64Array(count * 4);
  const box = new Float64Array(count * 4);
  const polygon = new Uint32Array(count);
  let e = 0;
  polygons.forEach((rings, p) => {
    for (const ring of rings) {
      for (let i = 0; i < ring.length; i += 2, e++) {
        const k = (i + 2) % ring.length;
        const [ax, ay, bx, by] = [ring[i]!, ring[i + 1]!, ring[k]!, ring[k + 1]!];
        ends.set([ax, ay, bx, by], e * 4);
        box.set([Math.min(ax, bx), Math.min(ay, by), Math.max(ax, bx), Math.max(ay, by)], e * 4);
        polygon[e] = p;
      }
    }
  });
  return { ends, box, polygon };
}
