// What a clipping of rings takes. In: rings; out: a count of steps. Terms: open = an edge at a height between its two ends.
// Cost: n log n for n corners.

import type { Ring } from './ring.js';

/**
 * Steps that a move or a union of rings takes, nearly: the engine goes from one height of a corner to the next, and at each
 * through all edges that are open there.
 */
export function stepsAcross(rings: readonly Ring[]): number {
  const all = Float64Array.from(rings.flatMap((ring) => ring.filter((_, i) => i % 2 === 1))).sort();
  const heights = all.filter((height, i) => height !== all[i - 1]);
  let steps = 0;
  for (const ring of rings) {
    let before = placeIn(heights, ring.at(-1) ?? 0);
    for (let i = 1; i < ring.length; i += 2) {
      const place = placeIn(heights, ring[i]!);
      steps += 1 + Math.abs(place - before);
      before = place;
    }
  }
  return steps;
}

/** How many of the sorted numbers are smaller than this one. */
function placeIn(sorted: Float64Array, value: number): number {
  let [from, to] = [0, sorted.length];
  while (from < to) {
    const middle = (from + to) >> 1;
    if (sorted[middle]! < value) from = middle + 1;
    else to = middle;
  }
  return from;
}
