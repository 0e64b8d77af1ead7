// Works as structures in the air. In: a table of works and a clearance; out: a source for the crown stage.
// Terms: widened = with the clearance all round in place of the working space, which is below ground.

import type { StructureSource } from '../crown.js';
import { worksPieces } from '../overlap/pieces.js';
import type { WorksTable } from '../types.js';

/** The buildings of a table, each row made into pieces when a crown comes near. */
export function structuresOf(works: WorksTable, lonLat: Float64Array, clearanceM: number): StructureSource {
  let widened: WorksTable | undefined;
  return {
    works,
    lonLat,
    pieces(row, frame) {
      widened ??= { ...works, overdigM: new Float64Array(works.count).fill(clearanceM) };
      return worksPieces(widened, lonLat, Uint32Array.of(row), frame, 0);
    },
  };
}
