// Which works can matter to a group of trees: in: works as lon/lat, the group's box and reach; out: rows of works.
// Terms: reach = metres from a tree within which works count or can be its nearest.

import { DEGREES_PER_METRE, eastward } from '../geometry/index.js';
import type { WorksTable } from '../model/index.js';

/** Lon/lat box of every row: west, south, east, north (east may exceed 180 where a row spans the antimeridian). */
export function worksBoxes(works: WorksTable, lonLat: Float64Array): Float64Array {
  const boxes = new Float64Array(works.count * 4);
  const { partStart, ringStart, vertexStart } = works.geometry;
  for (let w = 0; w < works.count; w++) {
    const from = vertexStart[ringStart[partStart[w]!]!]!;
    const to = vertexStart[ringStart[partStart[w + 1]!]!]!;
    const first = lonLat[from * 2]!;
    let west = Infinity;
    let south = Infinity;
    let east = -Infinity;
    let north = -Infinity;
    for (let v = from; v < to; v++) {
      const lon = unwrapped(lonLat[v * 2]!, first);
      const lat = lonLat[v * 2 + 1]!;
      if (lon < west) west = lon;
      if (lon > east) east = lon;
      if (lat < south) south = lat;
      if (lat > north) north = lat;
    }
    boxes.set([west, south, east, north], w * 4);
  }
  return boxes;
}

/**
 * Rows whose box comes within `reachM` of the group's box; rejected rows have no vertices and never do. Those that do not
 * count are left out where `counts` is given.
 */
export function worksNear(
  boxes: Float64Array,
  works: WorksTable,
  group: readonly [number, number, number, number],
  reachM: number,
  counts?: Uint8Array,
): Uint32Array {
  const [west, south, east, north] = group;
  const reach = reachM + widest(works);
  const dLat = reach * DEGREES_PER_METRE;
  const dLon = eastward(dLat, Math.max(Math.abs(south), Math.abs(north)));
  const rows: number[] = [];
  for (let w = 0; w < works.count; w++) {
    if (counts !== undefined && counts[w] === 0) continue;
    if (!(boxes[w * 4 + 3]! >= south - dLat && boxes[w * 4 + 1]! <= north + dLat)) continue;
    const lon0 = boxes[w * 4]!;
    const lon1 = boxes[w * 4 + 2]!;
    for (let shift = -360; shift <= 360; shift += 360) {
      if (lon1 + shift >= west - dLon && lon0 + shift <= east + dLon) {
        rows.push(w);
        break;
      }
    }
  }
  return Uint32Array.from(rows);
}

/** How far a row's measured shape can reach beyond its vertices: half its width and its working space, mitred. */
export function widest(works: WorksTable): number {
  let most = 0;
  for (let w = 0; w < works.count; w++) {
    const width = works.widthM[w]!;
    const overdig = works.overdigM[w]!;
    most = Math.max(most, orZero(width) / 2 + orZero(overdig));
  }
  return most * 2;
}

function unwrapped(lon: number, reference: number): number {
  if (lon - reference > 180) return lon - 360;
  if (lon - reference < -180) return lon + 360;
  return lon;
}

function orZero(value: number): number {
  return Number.isNaN(value) ? 0 : value;
}
