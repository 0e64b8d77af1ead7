// In: coordinates or a layer; out: boxes and tests on them. Terms: box = [west or min x, south or min y, east, north].
// Longitudes may wrap: a box whose west is greater than its east spans the antimeridian.

import type { Crs, Layer } from '../types.js';
import { transformFor } from './transform.js';

export type Box = readonly [number, number, number, number];

/** Smallest box round all finite pairs; null when there is none. */
export function boundsOf(xy: Float64Array): Box | null {
  let minX = Number.POSITIVE_INFINITY;
  let minY = Number.POSITIVE_INFINITY;
  let maxX = Number.NEGATIVE_INFINITY;
  let maxY = Number.NEGATIVE_INFINITY;
  for (let i = 0; i + 1 < xy.length; i += 2) {
    const x = xy[i] as number;
    const y = xy[i + 1] as number;
    if (!Number.isFinite(x) || !Number.isFinite(y)) continue;
    if (x < minX) minX = x;
    if (x > maxX) maxX = x;
    if (y < minY) minY = y;
    if (y > maxY) maxY = y;
  }
  return minX <= maxX ? [minX, minY, maxX, maxY] : null;
}

/** Whether every number of a box could be a longitude or a latitude. */
export function fitsDegrees([minX, minY, maxX, maxY]: Box): boolean {
  return minX >= -180 && maxX <= 180 && minY >= -90 && maxY <= 90;
}

const SIDE = 16; // points along each side of a box: its image may bulge between the corners

/** Points round the edge of a box, as pairs. */
export function edge([minX, minY, maxX, maxY]: Box): Float64Array {
  const xy = new Float64Array(SIDE * 8);
  for (let k = 0; k < SIDE; k++) {
    const t = k / SIDE;
    const x = minX + (maxX - minX) * t;
    const y = minY + (maxY - minY) * t;
    const sides = [x, minY, maxX, y, maxX - (x - minX), maxY, minX, maxY - (y - minY)];
    for (let s = 0; s < 4; s++) {
      xy[(s * SIDE + k) * 2] = sides[s * 2] as number;
      xy[(s * SIDE + k) * 2 + 1] = sides[s * 2 + 1] as number;
    }
  }
  return xy;
}

const SLACK = 0.05; // degrees (some 5 km): areas of use are drawn by county, surveys run over the line

/** Whether a position lies in an area of use, or just beside it. */
export function inArea(area: Box, lon: number, lat: number): boolean {
  const [west, south, east, north] = area;
  if (!(lat >= south - SLACK && lat <= north + SLACK)) return false;
  const span = east >= west ? east - west : east + 360 - west;
  const from = (((lon - west + SLACK) % 360) + 360) % 360;
  return from <= span + 2 * SLACK;
}

/** Box of a layer in lon/lat, from the image of its native box; null without coordinates. */
export function lonLatBounds(layer: Layer, crs: Crs): Box | null {
  const native = boundsOf(layer.geometry.xy);
  if (native === null) return null;
  const round = edge(native);
  transformFor(crs).toLonLat(round);
  return boundsOf(round);
}
