// How much work a tree is. In: positions of trees, boxes and corners of works; out: a cost per tree, in trees without works.
// Terms: cell = a square of the ground in which corners of works are counted; corner = a vertex of works.
// An estimate: it balances tiles and never affects a result.

import { DEGREES_PER_METRE, quadAt } from '../geometry/index.js';
import type { GeometryTable } from '../model/index.js';
import { firstVertex } from '../model/index.js';

const CELL_M = 60;
/** A tree among works costs this much more for each corner in its cell: drawing and measuring grow with them. */
const COST_PER_CORNER = 0.15;
/** The most cells in which one row of works is counted: a motorway is not followed to its end. */
const MOST_CELLS = 4096;

/** Costs of all trees; one without a place costs as much as one without works. */
export function treeCosts(
  lonLat: Float64Array,
  works: { readonly boxes: Float64Array; readonly geometry: GeometryTable },
): Float64Array {
  const size = CELL_M * DEGREES_PER_METRE;
  const corners = new Map<number, number>();
  const cell = (x: number, y: number): number => Math.floor(y / size) * 4e7 + Math.floor(x / size);
  const { geometry } = works;
  for (let row = 0; row < geometry.partStart.length - 1; row++) {
    const [west, south, east, north] = quadAt(works.boxes, row * 4);
    if (!(west <= east)) continue;
    const across = Math.floor(east / size) - Math.floor(west / size) + 1;
    const up = Math.floor(north / size) - Math.floor(south / size) + 1;
    const step = Math.max(1, Math.ceil(Math.sqrt((across * up) / MOST_CELLS)));
    const share = (firstVertex(geometry, row + 1) - firstVertex(geometry, row)) / Math.min(across * up, MOST_CELLS);
    for (let j = 0; j < up; j += step) {
      for (let i = 0; i < across; i += step) {
        const key = cell(west + i * size, south + j * size);
        corners.set(key, (corners.get(key) ?? 0) + Math.max(share, 1));
      }
    }
  }
  const costs = new Float64Array(lonLat.length / 2);
  for (let t = 0; t < costs.length; t++) {
    const near = corners.get(cell(lonLat[t * 2]!, lonLat[t * 2 + 1]!)) ?? 0;
    costs[t] = 1 + COST_PER_CORNER * near;
  }
  return costs;
}
