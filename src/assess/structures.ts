// Works as structures in the air. In: a table of works, what counts of it and a clearance; out: a source for the crown
// stage. Terms: widened = with the clearance all round in place of the working space, which is below ground.

import type { StructureSource } from '../crown.js';
import { untagged, worksPieces } from '../overlap/pieces.js';
import type { WorksTable, WorksWeights } from '../types.js';

/** The buildings of the design option that is weighed, made into pieces when a crown comes near. */
export function structuresOf(
  works: WorksTable,
  lonLat: Float64Array,
  { whyNot }: WorksWeights,
  clearanceM: number,
): StructureSource {
  const rejected = new Map(works.rejected);
  for (const [row, why] of whyNot) if (why === 'other-option') rejected.set(row, [why]);
  let widened: WorksTable | undefined;
  return {
    works: { ...works, rejected },
    lonLat,
    pieces(rows, frame) {
      widened ??= { ...works, overdigM: new Float64Array(works.count).fill(clearanceM) };
      return worksPieces(untagged(widened, lonLat), rows, frame);
    },
  };
}
