// Zones grown round ground that is hard today. In: zones and that ground; out: zones whose area less the hard ground is
// the area the rule gives. Terms: free area = area of the disc that is not hard; nominal = the rule's own area.

import { EXISTING, Meter, type Pieces, type PieceTag, pairAt, rootIn } from '../geometry/index.js';
import type { Frame, WorksTable, ZoneTable } from '../model/index.js';
import { worksBoxes, worksNear } from './nearby.js';
import { worksPieces } from './pieces.js';

/** A zone that is not met by then stands in a street; radii. */
const FARTHEST = 10;

export interface Hard {
  readonly works: WorksTable;
  readonly lonLat: Float64Array;
  readonly treeLonLat: Float64Array;
  frameAt(lon: number, lat: number): Frame;
}

/**
 * Grows each round zone until its free area is its nominal area; zones of another shape stay as they are. Free area never
 * falls as a radius grows, so the root is bracketed; where it stays level the smallest radius is taken.
 *
 * @returns the zones, and the rows that ten radii do not satisfy: they keep their own radius.
 */
export function regrow(zones: ZoneTable, hard: Hard): { readonly table: ZoneTable; readonly unreached: number[] } {
  const radiusM = zones.radiusM.slice();
  const areaM2 = zones.areaM2.slice();
  const unreached: number[] = [];
  const at = new Float64Array(2);
  for (const { frame, rows, pieces } of sitesOf(zones, hard)) {
    const meter = new Meter(pieces);
    for (const row of rows) {
      at[0] = hard.treeLonLat[row * 2]!;
      at[1] = hard.treeLonLat[row * 2 + 1]!;
      frame.toFrame(at, at);
      const [x, y] = pairAt(at);
      const grown = grownRadius(meter, x, y, radiusM[row]!, areaM2[row]!);
      if (grown === null) unreached.push(row);
      else {
        radiusM[row] = grown;
        areaM2[row] = Math.PI * grown * grown;
      }
    }
  }
  unreached.sort((a, b) => a - b);
  return { table: { ...zones, radiusM, areaM2 }, unreached };
}

/** The smallest radius whose free area is the nominal one; null when there is none within FARTHEST radii. */
export function grownRadius(meter: Meter, x: number, y: number, radius: number, nominalM2: number): number | null {
  const lacking = (r: number): number => {
    meter.disc(x, y, r);
    return nominalM2 - (Math.PI * r * r - meter.coveredBy(EXISTING));
  };
  if (lacking(radius) <= 0) return radius;
  const most = radius * FARTHEST;
  return lacking(most) > 0 ? null : rootIn(lacking, radius, most, radius * 1e-12);
}

interface Site {
  readonly frame: Frame;
  readonly rows: number[];
  readonly pieces: Pieces;
}

/** Round zones by frame, with the hard ground that they can reach. */
function* sitesOf(zones: ZoneTable, hard: Hard): Generator<Site> {
  const byFrame = new Map<number, { frame: Frame; rows: number[] }>();
  for (let row = 0; row < zones.radiusM.length; row++) {
    if (Number.isNaN(zones.radiusM[row]!) || zones.quarters.has(row) || zones.shaped?.[row] === 1) continue;
    const frame = hard.frameAt(hard.treeLonLat[row * 2]!, hard.treeLonLat[row * 2 + 1]!);
    const site = byFrame.get(frame.key);
    if (site === undefined) byFrame.set(frame.key, { frame, rows: [row] });
    else site.rows.push(row);
  }
  const boxes = worksBoxes(hard.works, hard.lonLat);
  const tagOf = (owner: number): PieceTag => ({ owner, classBit: EXISTING, cuts: false });
  for (const { frame, rows } of byFrame.values()) {
    let [west, south, east, north, radius] = [Infinity, Infinity, -Infinity, -Infinity, 0];
    for (const row of rows) {
      const lon = hard.treeLonLat[row * 2]!;
      const lat = hard.treeLonLat[row * 2 + 1]!;
      [west, east] = [Math.min(west, lon), Math.max(east, lon)];
      [south, north] = [Math.min(south, lat), Math.max(north, lat)];
      radius = Math.max(radius, zones.radiusM[row]!);
    }
    const near = worksNear(boxes, hard.works, [west, south, east, north], radius * FARTHEST);
    yield { frame, rows, pieces: worksPieces({ works: hard.works, lonLat: hard.lonLat, tagOf }, near, frame, true) };
  }
}
