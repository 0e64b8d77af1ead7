// What a union of polygons will cost, beforehand. In: boxes, or rings; out: which belong together, how often edges meet.
// Terms: cluster = boxes that meet each other, or by way of others; meeting = two edges that cross or touch, be it in
// a corner of their ring. Cost: n log n, and the pairs of edges whose boxes meet, up to the bound.

import { BoxIndex } from '../box-index.js';
import type { Ring } from './shapes.js';

/**
 * Boxes (west, south, east, north) in clusters, as their places in the list.
 *
 * @example
 * clusters([[0, 0, 2, 2], [5, 0, 6, 1], [1, 1, 3, 3]]); // [[0, 2], [1]]
 */
export function clusters(boxes: readonly (readonly [number, number, number, number])[]): number[][] {
  const index = new BoxIndex(Float64Array.from(boxes.flat()));
  const isSeen = new Uint8Array(boxes.length);
  const out: number[][] = [];
  boxes.forEach((_, first) => {
    if (isSeen[first] === 1) return;
    isSeen[first] = 1;
    const cluster = [first];
    for (let k = 0; k < cluster.length; k++) {
      const n = index.search(...boxes[cluster[k]!]!);
      for (let i = 0; i < n; i++) {
        const other = index.found[i]!;
        if (isSeen[other] === 1) continue;
        isSeen[other] = 1;
        cluster.push(other);
      }
    }
    out.push(cluster.sort((a, b) => a - b));
  });
  return out;
}

/** How often edges of some rings meet each other; any number above `most` where that is more often. */
export function edgesThatMeet(rings: readonly Ring[], most: number): number {
  const count = rings.reduce((sum, ring) => sum + ring.length / 2, 0);
  const ends = new Float64Array(count * 4);
  const boxes = new Float64Array(count * 4);
  let e = 0;
  for (const ring of rings) {
    for (let i = 0; i < ring.length; i += 2, e++) {
      const k = (i + 2) % ring.length;
      const [ax, ay, bx, by] = [ring[i]!, ring[i + 1]!, ring[k]!, ring[k + 1]!];
      ends.set([ax, ay, bx, by], e * 4);
      boxes.set([Math.min(ax, bx), Math.min(ay, by), Math.max(ax, bx), Math.max(ay, by)], e * 4);
    }
  }
  const index = new BoxIndex(boxes);
  let met = 0;
  for (let i = 0; i < count && met <= most; i++) {
    const n = index.search(boxes[i * 4]!, boxes[i * 4 + 1]!, boxes[i * 4 + 2]!, boxes[i * 4 + 3]!);
    for (let k = 0; k < n; k++) {
      const j = index.found[k]!;
      if (j > i && meet(ends, i * 4, j * 4)) met++;
    }
  }
  return met;
}

function meet(ends: Float64Array, i: number, j: number): boolean {
  return parted(ends, i, j) <= 0 && parted(ends, j, i) <= 0;
}

/** Above 0 where both ends of edge j lie on one side of the line of edge i. */
function parted(ends: Float64Array, i: number, j: number): number {
  const [ax, ay] = [ends[i]!, ends[i + 1]!];
  const [dx, dy] = [ends[i + 2]! - ax, ends[i + 3]! - ay];
  const one = dx * (ends[j + 1]! - ay) - dy * (ends[j]! - ax);
  const other = dx * (ends[j + 3]! - ay) - dy * (ends[j + 2]! - ax);
  return Math.sign(one) * Math.sign(other);
}
