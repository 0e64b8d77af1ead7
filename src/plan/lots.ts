// Which lot a trunk stands on. In: trees and lots as lon/lat; out: a row of lots per tree, and who shares a trunk.
// Terms: shared = another lot comes within the trunk's radius: the trunk crosses or touches the line between them.

import { BoxIndex, Disc, FIRST_CLASS, PieceBuilder, type Pieces, pairAt } from '../geometry/index.js';
import type { Frame, LotTable } from '../model/index.js';

/** Survey coordinates are written to the centimetre: a trunk's centre this near to a line stands on it. */
const ON_LINE_M = 0.01;

export interface LotOfTree {
  readonly lot: number; // row of lots, -1 for none
  readonly shared: readonly number[]; // every lot within the trunk's radius, when there are several
}

/**
 * Finds lots for any number of trees; a trunk on the line of two lots belongs to the first by input order.
 *
 * @example
 * const find = lotFinder(lots, lotsLonLat);
 * find(frame, lonLatOfTree, 0.3); // { lot: 8, shared: [] }
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
    const inside = new Set<number>();
    const touched = new Set<number>();
    for (const piece of index.found.subarray(0, n)) {
      disc.start(x, y, reach);
      disc.add(pieces, piece, 0);
      const distance = Math.sqrt(disc.distance2);
      const row = pieces.owner[piece]!;
      if (disc.holdsCentre || distance <= ON_LINE_M) inside.add(row);
      if (disc.holdsCentre || distance < reach) touched.add(row);
    }
    const first = inside.size > 0 ? Math.min(...inside) : -1;
    return { lot: first, shared: touched.size > 1 ? [...touched].sort((a, b) => a - b) : [] };
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
