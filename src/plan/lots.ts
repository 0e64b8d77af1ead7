// Which lot a trunk stands on, and whether on its line. In: trees and lots as lon/lat; out: a row of lots per tree.
// Terms: line = the outline of a lot, whether or not another lot lies beyond it; reach = the trunk's radius, 1 cm at least.
// Costs a look at the lots whose boxes the trunk touches.

import { BoxIndex, Disc, FIRST_CLASS, PieceBuilder, type Pieces, pairAt } from '../geometry/index.js';
import type { Frame, LotTable } from '../model/index.js';

/** Survey coordinates are written to the centimetre: a trunk's centre this near to a line stands on it. */
const ON_LINE_M = 0.01;
/** Parts of one lot that should meet may have gaps of a millimetre. This much of a trunk's disc can fall into a gap. */
const SEAM_SHARE = 0.01;

export interface LotOfTree {
  readonly lot: number; // row of lots, -1 for none
  /** Whether the trunk stands on or crosses a line of its lot, or stands on no lot and crosses a lot's line. */
  readonly onLine: boolean;
}

/**
 * Finds lots for any number of trees; a trunk on the line of two lots belongs to the first by input order.
 *
 * @example
 * const find = lotFinder(lots, lotsLonLat);
 * find(frame, lonLatOfTree, 0.3); // { lot: 8, onLine: false }
 */
export function lotFinder(
  lots: LotTable,
  lonLat: Float64Array,
): (frame: Frame, position: readonly [number, number], trunkRadiusM: number) => LotOfTree {
  const perFrame = new Map<number, readonly [Pieces, BoxIndex]>();
  const disc = new Disc();
  const at = new Float64Array(2);
  return (frame, position, trunkRadiusM) => {
    let site = perFrame.get(frame.key);
    if (site === undefined) {
      const pieces = lotPieces(lots, lonLat, frame);
      site = [pieces, new BoxIndex(pieces.box)];
      perFrame.set(frame.key, site);
    }
    const [pieces, index] = site;
    at.set(position);
    frame.toFrame(at, at);
    const [x, y] = pairAt(at);
    const reach = Math.max(trunkRadiusM, ON_LINE_M);
    const n = index.search(x - reach, y - reach, x + reach, y + reach);
    let first = -1;
    const near = new Map<number, number>(); // lot whose outline the trunk meets -> its share of the trunk's disc, m2
    for (const piece of index.found.subarray(0, n)) {
      disc.start(x, y, reach);
      disc.add(pieces, piece, 0);
      const distance = Math.sqrt(disc.distance2);
      const row = pieces.owner[piece]!;
      if ((disc.holdsCentre || distance <= ON_LINE_M) && (first < 0 || row < first)) first = row;
      if (distance <= ON_LINE_M || distance < trunkRadiusM) near.set(row, (near.get(row) ?? 0) + disc.area);
    }
    // Where two parts of one lot meet there is no line: together they hold the whole disc.
    const whole = Math.PI * reach * reach * (1 - SEAM_SHARE);
    return { lot: first, onLine: [...near.values()].some((area) => area < whole) };
  };
}

function lotPieces(lots: LotTable, lonLat: Float64Array, frame: Frame): Pieces {
  const builder = new PieceBuilder();
  const { partStart, ringStart, vertexStart } = lots.geometry;
  const xy = new Float64Array(lonLat.length);
  frame.toFrame(lonLat, xy);
  for (let row = 0; row < lots.count; row++) {
    for (let p = partStart[row]!; p < partStart[row + 1]!; p++) {
      const tag = { owner: row, classBit: FIRST_CLASS, cuts: false };
      builder.addRings(xy, vertexStart, ringStart[p]!, ringStart[p + 1]!, 0, tag);
    }
  }
  return builder.finish();
}
