// Works, and what stands today, as structures in the air. In: a table, what counts of it and a clearance; out: a source
// for the crown stage. Terms: widened = with the clearance all round in place of the working space, which is below ground.

import type { StructureSource } from '../crown/index.js';
import { WORKS_KINDS, type WorksTable, type WorksWeights } from '../model/index.js';
import { untagged, worksPieces } from '../overlap/index.js';

const BUILDING = WORKS_KINDS.indexOf('building');

/** The buildings of the design option that is weighed, made into pieces when a crown comes near. */
export function structuresOf(
  works: WorksTable,
  lonLat: Float64Array,
  { whyNot }: WorksWeights,
  clearanceM: number,
): StructureSource {
  const rejected = new Map(works.rejected);
  for (const [row, why] of whyNot) if (why === 'other-option') rejected.set(row, [why]);
  return sourceOf({ ...works, rejected }, lonLat, clearanceM, (row) => works.kind[row] === BUILDING);
}

/** What stands today: buildings, and anything with a height. Hard ground without a height is not a structure. */
export function standing(works: WorksTable, lonLat: Float64Array, clearanceM: number): StructureSource {
  const isStructure = (row: number): boolean => works.kind[row] === BUILDING || works.heightM[row]! > 0;
  return sourceOf(works, lonLat, clearanceM, isStructure);
}

function sourceOf(
  works: WorksTable,
  lonLat: Float64Array,
  clearanceM: number,
  isStructure: StructureSource['isStructure'],
): StructureSource {
  let widened: WorksTable | undefined;
  return {
    works,
    lonLat,
    isStructure,
    pieces(rows, frame) {
      widened ??= { ...works, overdigM: new Float64Array(works.count).fill(clearanceM) };
      return worksPieces(untagged(widened, lonLat), rows, frame);
    },
  };
}
