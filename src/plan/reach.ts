// Which lots a zone reaches. In: lots as lon/lat, a position, a radius in its frame and, of a zone that is not a disc, how to
// measure it; out: rows of lots. Terms: reach = the radius from the trunk's centre to the farthest corner of the zone.

import { BoxIndex, distanceToArea, FIRST_CLASS, Meter, PieceBuilder, pairAt } from '../geometry/index.js';
import type { Frame, LotTable } from '../model/index.js';

/** A zone that takes no more of a lot than this does not reach it, square metres: the smallest area that counts as taken. */
const LEAST_M2 = 1e-6;

/** What a zone that is not a disc takes of the ground that a meter holds, square metres. */
export type ZoneMeasure = (meter: Meter, x: number, y: number) => number;

interface Site {
  readonly xy: Float64Array;
  readonly index: BoxIndex;
}

/**
 * Finds every lot that has ground within a radius; with `measure` every lot of which a zone of another shape takes some.
 *
 * @example
 * const reached = lotsReached(lots, lotsLonLat);
 * reached(frame, [lon, lat], 9.1); // [4, 5]
 */
export function lotsReached(
  lots: LotTable,
  lonLat: Float64Array,
): (frame: Frame, position: readonly [number, number], radiusM: number, measure?: ZoneMeasure) => number[] {
  const { partStart, ringStart, vertexStart } = lots.geometry;
  const perFrame = new Map<number, Site>();
  const at = new Float64Array(2);
  return (frame, position, radiusM, measure) => {
    let site = perFrame.get(frame.key);
    if (site === undefined) {
      site = siteOf(lots, lonLat, frame);
      perFrame.set(frame.key, site);
    }
    at.set(position);
    frame.toFrame(at, at);
    const [x, y] = pairAt(at);
    const { xy, index } = site;
    const n = index.search(x - radiusM, y - radiusM, x + radiusM, y + radiusM);
    const rows = new Set<number>();
    for (const part of index.found.subarray(0, n)) {
      const from = ringStart[part]!;
      const to = ringStart[part + 1]!;
      if (!(distanceToArea(xy, vertexStart, from, to, x, y) < radiusM)) continue;
      if (measure !== undefined) {
        const builder = new PieceBuilder();
        builder.addRings(xy, vertexStart, from, to, 0, { owner: 0, classBit: FIRST_CLASS, cuts: false });
        if (!(measure(new Meter(builder.finish()), x, y) > LEAST_M2)) continue;
      }
      rows.add(rowOf(partStart, part));
    }
    return [...rows].sort((a, b) => a - b);
  };
}

/** The row a part belongs to: the last whose first part is not after it and that has parts. */
function rowOf(partStart: Uint32Array, part: number): number {
  let low = 0;
  let high = partStart.length - 1;
  while (low + 1 < high) {
    const middle = (low + high) >> 1;
    if (partStart[middle]! <= part) low = middle;
    else high = middle;
  }
  return low;
}

function siteOf(lots: LotTable, lonLat: Float64Array, frame: Frame): Site {
  const { ringStart, vertexStart } = lots.geometry;
  const xy = new Float64Array(lonLat.length);
  frame.toFrame(lonLat, xy);
  const parts = ringStart.length - 1;
  const boxes = new Float64Array(parts * 4);
  for (let part = 0; part < parts; part++) {
    let [west, south, east, north] = [Infinity, Infinity, -Infinity, -Infinity];
    const end = vertexStart[ringStart[part + 1]!]!;
    for (let i = vertexStart[ringStart[part]!]!; i < end; i++) {
      west = Math.min(west, xy[i * 2]!);
      east = Math.max(east, xy[i * 2]!);
      south = Math.min(south, xy[i * 2 + 1]!);
      north = Math.max(north, xy[i * 2 + 1]!);
    }
    boxes.set([west, south, east, north], part * 4);
  }
  return { xy, index: new BoxIndex(boxes) };
}
