// Which rows of a layer can matter to a tile. In: boxes of lon/lat, a tile's box, a reach; out: rows, ascending.
// Terms: reach = metres from a tree within which a row can change one of its figures; more rows than needed do no harm.

import { BoxIndex, DEGREES_PER_METRE, eastward } from '../geometry/index.js';
import type { GeometryTable } from '../model/index.js';
import { firstVertex } from '../model/index.js';

/** West, south, east, north in degrees; of a local ground system in the columns that stand in their place. */
export type Box = readonly [west: number, south: number, east: number, north: number];

/** Boxes of all rows of a layer, 4 numbers each; of a row without vertices NaN. A row across the antimeridian goes round the short way. */
export function boxesOf(geometry: GeometryTable, lonLat: Float64Array): Float64Array {
  const count = geometry.partStart.length - 1;
  const boxes = new Float64Array(count * 4).fill(Number.NaN);
  for (let row = 0; row < count; row++) {
    const [from, to] = [firstVertex(geometry, row), firstVertex(geometry, row + 1)];
    if (from === to) continue;
    const first = lonLat[from * 2]!;
    let [west, south, east, north] = [Infinity, Infinity, -Infinity, -Infinity];
    for (let v = from; v < to; v++) {
      const lon = lonLat[v * 2]!;
      const lat = lonLat[v * 2 + 1]!;
      const near = lon - first > 180 ? lon - 360 : lon - first < -180 ? lon + 360 : lon;
      [west, east] = [Math.min(west, near), Math.max(east, near)];
      [south, north] = [Math.min(south, lat), Math.max(north, lat)];
    }
    boxes.set([west, south, east, north], row * 4);
  }
  return boxes;
}

/** A function that finds the rows whose box comes within a reach of a tile's. */
export function rowsNear(boxes: Float64Array): (tile: Box, reachM: number) => Uint32Array {
  // A row without vertices has no box: a point outside every query is used instead.
  const index = new BoxIndex(boxes.map((value) => (Number.isNaN(value) ? 1e9 : value)));
  return ([west, south, east, north], reachM) => {
    if (!(west <= east)) return new Uint32Array(); // no tree of the tile has a place
    const dLat = reachM * DEGREES_PER_METRE;
    const dLon = eastward(dLat, Math.max(Math.abs(south), Math.abs(north)));
    const rows = new Set<number>();
    for (const turn of [-360, 0, 360]) {
      const n = index.search(west - dLon + turn, south - dLat, east + dLon + turn, north + dLat);
      for (const row of index.found.subarray(0, n)) rows.add(row);
    }
    return Uint32Array.from(rows).sort();
  };
}
