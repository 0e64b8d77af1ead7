// Which lots a zone reaches. In: lots as lon/lat, a position and a radius in its frame; out: rows of lots.
// Terms: reach = the zone's radius from the trunk's centre (of a zone that follows the crown, its largest).

import { BoxIndex } from '../geometry/box-index.js';
import { distanceToArea } from '../geometry/distance.js';
import type { Frame, LotTable } from '../types.js';

interface Site {
  readonly xy: Float64Array;
  readonly index: BoxIndex;
}

/**
 * Finds every lot that has ground within a radius.
 *
 * @example
 * const reached = lotsReached(lots, lotsLonLat);
 * reached(frame, [lon, lat], 9.1); // [4, 5]
 */
export function lotsReached(
  lots: LotTable,
  lonLat: Float64Array,
): (frame: Frame, position: readonly [number, number], radiusM: number) => number[] {
  const { partStart, ringStart, vertexStart } = lots.geometry;
  const perFrame = new Map<number, Site>();
  const at = new Float64Array(2);
  return (frame, position, radiusM) => {
    let site = perFrame.get(frame.key);
    if (site === undefined) {
      site = siteOf(lots, lonLat, frame);
      perFrame.set(frame.key, site);
    }
    at.set(position);
    frame.toFrame(at, at);
    const [x, y] = at as unknown as readonly [number, number];
    const { xy, index } = site;
    const n = index.search(x - radiusM, y - radiusM, x + radiusM, y + radiusM);
    const rows = new Set<number>();
    for (const part of index.found.subarray(0, n)) {
      const from = ringStart[part] as number;
      if (distanceToArea(xy, vertexStart, from, ringStart[part + 1] as number, x, y) < radiusM)
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
    if ((partStart[middle] as number) <= part) low = middle;
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
    const end = vertexStart[ringStart[part + 1] as number] as number;
    for (let i = vertexStart[ringStart[part] as number] as number; i < end; i++) {
      west = Math.min(west, xy[i * 2] as number);
      east = Math.max(east, xy[i * 2] as number);
      south = Math.min(south, xy[i * 2 + 1] as number);
      north = Math.max(north, xy[i * 2 + 1] as number);
    }
    boxes.set([west, south, east, north], part * 4);
  }
  return { xy, index: new BoxIndex(boxes) };
}
