// In: a position in lon/lat; out: the Frame of the lattice cell it lies in, a true-to-size plane in metres.
// Terms: cell = a square of CELL degrees that includes its west and south edges; key = row * columns + column.
// A frame depends on the cell alone, so figures do not depend on how a job is split.

import type { Frame } from '../model/index.js';
import { projection } from './projection.js';
import { PLANE_STEP } from './transform.js';

/** Side of a lattice cell in degrees. */
export const CELL = 0.25;
const COLUMNS = 360 / CELL;
const ROWS = 180 / CELL;
const RAD = Math.PI / 180;
const SECOND_ECCENTRICITY2 = 0.00673949674227643; // WGS 84: (a^2 - b^2) / b^2
const CACHE_LIMIT = 4096; // frames kept; a city needs a handful

/**
 * The cell of a position; longitude is taken modulo 360 (180 is -180), latitude is held to -90..90 (the poles belong
 * to the last rows). NaN in gives NaN out.
 *
 * @example
 * frameKey(-122.7, 45.4) === frameKey(-122.6, 45.3); // true
 */
export function frameKey(lon: number, lat: number): number {
  // Dividing by a quarter is exact, so a position never falls on the wrong side of an edge.
  const column = (((Math.floor(lon / CELL) + COLUMNS / 2) % COLUMNS) + COLUMNS) % COLUMNS;
  const row = Math.min(ROWS - 1, Math.max(0, Math.floor(lat / CELL) + ROWS / 2));
  return row * COLUMNS + column;
}

/** The edges of a cell in degrees. */
export function cellOf(key: number): { west: number; south: number; east: number; north: number } {
  const row = Math.floor(key / COLUMNS);
  const west = -180 + (key - row * COLUMNS) * CELL;
  const south = -90 + row * CELL;
  return { west, south, east: west + CELL, north: south + CELL };
}

const cache = new Map<number, Frame>();

/**
 * The frame of the cell a position lies in: transverse Mercator of scale 1 through the cell's middle on the WGS 84
 * ellipsoid, metres, x east and y north. Scale over the cell and 1 km beyond: within 1.3e-6 of true.
 *
 * @throws RangeError when the position is not a number.
 * @example
 * const frame = frameAt(-122.7, 45.4);
 * const xy = Float64Array.of(-122.7, 45.4);
 * frame.toFrame(xy, xy); // metres from the middle of the cell
 */
export function frameAt(lon: number, lat: number): Frame {
  const key = frameKey(lon, lat);
  if (Number.isNaN(key)) throw new RangeError(`no frame at ${lon}, ${lat}`);
  return frameOf(key);
}

/** The frame of a cell, by its key. */
export function frameOf(key: number): Frame {
  let frame = cache.get(key);
  if (frame === undefined) {
    if (cache.size >= CACHE_LIMIT) cache.clear();
    frame = makeFrame(key);
    cache.set(key, frame);
  }
  return frame;
}

function makeFrame(key: number): Frame {
  const cell = cellOf(key);
  const lon0 = cell.west + CELL / 2;
  const lat0 = cell.south + CELL / 2;
  const p = projection(`+proj=tmerc +lat_0=${lat0} +lon_0=${lon0} +k=1 +x_0=0 +y_0=0 +ellps=WGS84 +units=m +no_defs`);
  const point = { x: 0, y: 0 }; // proj4's transverse Mercator writes its result into the point it is given
  const home = new Float64Array(4);

  function toFrame(lonLat: Float64Array, out: Float64Array): void {
    for (let i = 0; i + 1 < lonLat.length; i += 2) {
      point.x = lonLat[i]! * RAD;
      point.y = lonLat[i + 1]! * RAD;
      p.forward(point);
      const reached = Number.isFinite(point.x); // proj4 makes infinity of NaN and of places beyond its reach
      out[i] = reached ? point.x : Number.NaN;
      out[i + 1] = reached ? point.y : Number.NaN;
    }
  }

  function toLonLat(xy: Float64Array, out: Float64Array): void {
    for (let i = 0; i + 1 < xy.length; i += 2) {
      point.x = xy[i]!;
      point.y = xy[i + 1]!;
      p.inverse(point);
      const reached = Number.isFinite(point.x);
      out[i] = reached ? point.x / RAD : Number.NaN;
      out[i + 1] = reached ? point.y / RAD : Number.NaN;
    }
  }

  function convergence(x: number, y: number): number {
    home[0] = x;
    home[1] = y;
    toLonLat(home.subarray(0, 2), home);
    const step = 1e-4; // degrees; see transform.ts
    const lon = home[0];
    const lat = home[1];
    home[1] = lat - step;
    home[2] = lon;
    home[3] = lat + step;
    toFrame(home, home);
    return -Math.atan2(home[2] - home[0], home[3] - home[1]) / RAD;
  }

  // Series of the transverse Mercator (L. P. Lee 1976; also in any survey handbook) in the difference of longitude:
  // numerical differences would cost three projections a tree.
  function convergenceAt(lon: number, lat: number): number {
    const d = (((lon - lon0 + 540) % 360) - 180) * RAD;
    const cos2 = Math.cos(lat * RAD) ** 2;
    const eta2 = SECOND_ECCENTRICITY2 * cos2;
    return (d * Math.sin(lat * RAD) * (1 + ((d * d * cos2) / 3) * (1 + 3 * eta2 + 2 * eta2 * eta2))) / RAD;
  }

  return { key, lon0, lat0, toFrame, toLonLat, convergence, convergenceAt };
}

/**
 * The one frame of a local ground system: its own axes in metres. Takes and gives the columns `transformFor` makes of
 * a local system; y points to grid north, and there is no other north.
 */
export const planeFrame: Frame = {
  key: -1,
  lon0: 0,
  lat0: 0,
  toFrame(columns, out) {
    for (let i = 0; i < columns.length; i++) out[i] = columns[i]! * PLANE_STEP;
  },
  toLonLat(xy, out) {
    for (let i = 0; i < xy.length; i++) out[i] = xy[i]! / PLANE_STEP;
  },
  convergence: () => 0,
  convergenceAt: () => 0,
};
