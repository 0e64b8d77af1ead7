// What takes a tree's zone, piece by piece. In: an assessment and a tree; out: rows of works with the area each takes alone.
// Terms: alone = as if the others were not there; pieces that lie on each other add up to more than the overlap.
// The figures come from `reckoning` (see model/): here they are only put in order.

import { type Assessment, type TreeResult, WORKS_KINDS, type WorksKind } from '../../model/index.js';

export interface PieceShare {
  readonly key: string;
  readonly kind: WorksKind;
  readonly areaM2: number;
  readonly pct: number; // of the zone
}

/** Every counted row of works that takes some of the zone, the largest first; null for a tree that was not assessed. */
export function piecesOf(assessment: Assessment, { row, zoneAreaM2 }: TreeResult): PieceShare[] | null {
  const reckoning = assessment.reckoning(row);
  if (reckoning === null || zoneAreaM2 === null) return null;
  const { works } = assessment.job;
  return reckoning.pieces
    .filter(({ whyNot }) => whyNot === null)
    .map(
      ({ works: w, ownM2 }): PieceShare => ({
        key: works.key.at(w)!,
        kind: WORKS_KINDS[works.kind[w]!]!,
        areaM2: ownM2,
        pct: (100 * ownM2) / zoneAreaM2,
      }),
    )
    .sort((a, b) => b.areaM2 - a.areaM2);
}
