// Rings of one row. In: a table, a row, the positions of its vertices; out: its parts, each a list of flat rings.
// Cost: one copy of each position.

import type { GeometryTable } from '../model/index.js';

/** `lonLat` holds pairs for the table's vertices from `firstVertex` on; null where a position could not be placed. */
export function rowRings(
  table: GeometryTable,
  row: number,
  lonLat: Float64Array,
  firstVertex: number,
): number[][][] | null {
  const parts: number[][][] = [];
  for (let p = table.partStart[row]!; p < table.partStart[row + 1]!; p++) {
    const rings: number[][] = [];
    for (let r = table.ringStart[p]!; r < table.ringStart[p + 1]!; r++) {
      const from = (table.vertexStart[r]! - firstVertex) * 2;
      const to = (table.vertexStart[r + 1]! - firstVertex) * 2;
      const flat = Array.from(lonLat.subarray(from, to));
      // If one position could not be placed, the whole geometry is left out: half a shape would mislead.
      if (!flat.every(Number.isFinite)) return null;
      rings.push(flat);
    }
    parts.push(rings);
  }
  return parts;
}
