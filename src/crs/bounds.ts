// In: coordinates or a layer; out: boxes and tests on them. Terms: box = [west or min x, south or min y, east, north].
// Longitudes may wrap: a box whose west is greater than its east spans the antimeridian.

import { type Crs, GEOMETRY_KINDS, type GeometryKind, type Layer } from '../model/index.js';
import { transformFor } from './transform.js';

export type Box = readonly [number, number, number, number];

/** Smallest box round all finite pairs; null when there is none. */
export function boundsOf(xy: Float64Array): Box | null {
  let minX = Number.POSITIVE_INFINITY;
  let minY = Number.POSITIVE_INFINITY;
  let maxX = Number.NEGATIVE_INFINITY;
  let maxY = Number.NEGATIVE_INFINITY;
  for (let i = 0; i + 1 < xy.length; i += 2) {
    const x = xy[i]!;
    const y = xy[i + 1]!;
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

/** A vertex that is not a longitude, latitude, and how many there are of all. */
export interface OutsideDegrees {
  readonly feature: number;
  readonly path: string; // as GeoJSON nests its coordinates
  readonly position: readonly [number, number];
  readonly outside: number;
  readonly vertices: number;
}

/** The first vertex of a layer that does not fit degrees; null when all do. */
export function firstOutsideDegrees(layer: Layer): OutsideDegrees | null {
  const { xy } = layer.geometry;
  let first = -1;
  let outside = 0;
  for (let v = 0; v * 2 < xy.length; v++) {
    if (Math.abs(xy[v * 2]!) <= 180 && Math.abs(xy[v * 2 + 1]!) <= 90) continue;
    if (first < 0) first = v;
    outside++;
  }
  if (first < 0) return null;
  const position = [xy[first * 2]!, xy[first * 2 + 1]!] as const;
  return { ...placeOf(layer, first), position, outside, vertices: xy.length / 2 };
}

/** How GeoJSON nests the coordinates of each kind: by part, ring and vertex. */
const NESTING: Readonly<Record<GeometryKind, (part: number, ring: number, vertex: number) => string>> = {
  none: () => '',
  broken: () => '',
  point: () => '',
  multipoint: (part) => `[${part}]`,
  line: (_, __, vertex) => `[${vertex}]`,
  multiline: (part, _, vertex) => `[${part}][${vertex}]`,
  polygon: (_, ring, vertex) => `[${ring}][${vertex}]`,
  multipolygon: (part, ring, vertex) => `[${part}][${ring}][${vertex}]`,
};

function placeOf(layer: Layer, vertex: number): { readonly feature: number; readonly path: string } {
  const { kind, partStart, ringStart, vertexStart } = layer.geometry;
  const ring = lastAtOrBelow(vertexStart, vertex);
  const part = lastAtOrBelow(ringStart, ring);
  const feature = lastAtOrBelow(partStart, part);
  const nest = NESTING[GEOMETRY_KINDS[kind[feature]!] ?? 'broken'];
  const inPart = part - partStart[feature]!;
  const inRing = ring - ringStart[part]!;
  return { feature, path: `coordinates${nest(inPart, inRing, vertex - vertexStart[ring]!)}` };
}

/** The last entry of an ascending column that is not above `value`. */
function lastAtOrBelow(starts: Uint32Array, value: number): number {
  let low = 0;
  let high = starts.length - 1;
  while (low < high) {
    const middle = (low + high + 1) >> 1;
    if (starts[middle]! <= value) low = middle;
    else high = middle - 1;
  }
  return low;
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
      xy[(s * SIDE + k) * 2] = sides[s * 2]!;
      xy[(s * SIDE + k) * 2 + 1] = sides[s * 2 + 1]!;
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

/** Where a layer lies, and how many of its vertices are strays that the boxes leave out. */
export interface LayerBounds {
  readonly native: Box;
  readonly lonLat: Box;
  readonly strays: number;
}

/**
 * Boxes of a layer without its strays: vertices that are nowhere on earth or outside the area of use while most lie
 * inside. One such position (0,0, or latitude before longitude) would stretch the box over half a continent.
 * Where most lie outside, none counts as a stray: the system is probably wrong. Null without coordinates. A transformation
 * per vertex only for a layer whose box does not lie wholly inside.
 */
export function layerBounds(layer: Layer, crs: Crs): LayerBounds | null {
  const { xy } = layer.geometry;
  const native = boundsOf(xy);
  if (native === null) return null;
  const round = edge(native);
  transformFor(crs).toLonLat(round);
  const isPossible = (lon: number, lat: number): boolean =>
    (crs.kind !== 'geographic' || Math.abs(lon) <= 180) && (crs.areaOfUse === null || inArea(crs.areaOfUse, lon, lat));
  const whole = (): LayerBounds | null => {
    const lonLat = boundsOf(round);
    return lonLat === null ? null : { native, lonLat, strays: 0 };
  };
  if (crs.areaOfUse === null || everyPair(round, isPossible)) return whole();
  const lonLat = xy.slice();
  transformFor(crs).toLonLat(lonLat);
  const kept = xy.slice();
  let inside = 0;
  let strays = 0;
  for (let i = 0; i + 1 < xy.length; i += 2) {
    if (!Number.isFinite(xy[i]!) || !Number.isFinite(xy[i + 1]!)) continue;
    if (isPossible(lonLat[i]!, lonLat[i + 1]!)) inside++;
    else {
      kept[i] = Number.NaN; // boundsOf ignores it
      strays++;
    }
  }
  if (strays === 0 || strays >= inside) return whole();
  const own = boundsOf(kept)!;
  const edges = edge(own);
  transformFor(crs).toLonLat(edges);
  return { native: own, lonLat: boundsOf(edges)!, strays };
}

function everyPair(xy: Float64Array, holds: (x: number, y: number) => boolean): boolean {
  for (let i = 0; i + 1 < xy.length; i += 2) if (!holds(xy[i]!, xy[i + 1]!)) return false;
  return true;
}

/** Box of a layer in lon/lat, from the image of its native box, without its strays; null without coordinates. */
export function lonLatBounds(layer: Layer, crs: Crs): Box | null {
  return layerBounds(layer, crs)?.lonLat ?? null;
}
