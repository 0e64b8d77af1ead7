// Edges of a piece one by one. In: pieces, the number of one, how far it is displaced; out: calls with the two ends of each
// edge. Terms: see pieces.ts. Cost: one call an edge.

import type { Pieces } from './pieces.js';

/** Every edge of a piece, ring by ring, displaced by x, y; those without length are left out. */
export function eachEdge(
  { ringStart, vertexStart, xy }: Pieces,
  p: number,
  see: (ax: number, ay: number, bx: number, by: number) => void,
  x: number = 0,
  y: number = 0,
): void {
  for (let r = ringStart[p]!; r < ringStart[p + 1]!; r++) {
    const from = vertexStart[r]!;
    const to = vertexStart[r + 1]!;
    for (let v = from; v < to; v++) {
      const w = v + 1 === to ? from : v + 1;
      const ax = xy[v * 2]! + x;
      const ay = xy[v * 2 + 1]! + y;
      const bx = xy[w * 2]! + x;
      const by = xy[w * 2 + 1]! + y;
      if (ax !== bx || ay !== by) see(ax, ay, bx, by);
    }
  }
}
