// Positions -> GeoJSON geometry text. In: lon/lat rings, or a row of a GeometryTable with lon/lat beside it;
// out: text of a geometry, RFC 7946: closed rings, shells anticlockwise, holes clockwise, cut at the antimeridian.
// Terms: flat = lon, lat, lon, lat, ... of one ring without its closing vertex, rounded as written.

import { GEOMETRY_KINDS, type GeometryKind, type GeometryTable, type LonLatPolygons } from '../types.js';
import { cutAtAntimeridian, spansAntimeridian } from './antimeridian.js';
import { degree } from './numbers.js';

type Flat = number[];

/** Text of a Point; 'null' when a coordinate is no number. */
export function pointText(lon: number | null, lat: number | null): string {
  if (lon === null || lat === null || !Number.isFinite(lon) || !Number.isFinite(lat)) return 'null';
  return `{"type":"Point","coordinates":[${degree(lon)},${degree(lat)}]}`;
}

/** Text of a Polygon or MultiPolygon; 'null' when nothing with an area is left after rounding. */
export function polygonsText(polygons: LonLatPolygons): string {
  const flats = polygons.map((rings) =>
    rings.map((ring) => {
      const flat: Flat = [];
      for (const [lon, lat] of ring) flat.push(lon, lat);
      return flat;
    }),
  );
  return flatPolygonsText(flats, false);
}

/** How the vertices of one feature become text, per kind; each gets the parts as rings of flat positions. */
const KIND_TEXT: Readonly<Record<GeometryKind, (parts: Flat[][]) => string>> = {
  none: () => 'null',
  broken: () => 'null',
  point: (parts) => positionsOf('Point', 'MultiPoint', vertices(parts), pair, parts.length > 1),
  multipoint: (parts) => positionsOf('Point', 'MultiPoint', vertices(parts), pair, true),
  line: (parts) => positionsOf('LineString', 'MultiLineString', lines(parts), path, parts.length > 1),
  multiline: (parts) => positionsOf('LineString', 'MultiLineString', lines(parts), path, true),
  polygon: (parts) => flatPolygonsText(parts, false),
  multipolygon: (parts) => flatPolygonsText(parts, true),
};

/**
 * Text of one row's geometry; 'null' when there is none that can be written.
 * `lonLat` holds pairs for the table's vertices from `firstVertex` on.
 */
export function rowText(table: GeometryTable, row: number, lonLat: Float64Array, firstVertex: number = 0): string {
  const kind = GEOMETRY_KINDS[table.kind[row] as number] ?? 'none';
  const parts: Flat[][] = [];
  for (let p = table.partStart[row] as number; p < (table.partStart[row + 1] as number); p++) {
    const rings: Flat[] = [];
    for (let r = table.ringStart[p] as number; r < (table.ringStart[p + 1] as number); r++) {
      const from = ((table.vertexStart[r] as number) - firstVertex) * 2;
      const to = ((table.vertexStart[r + 1] as number) - firstVertex) * 2;
      const flat = Array.from(lonLat.subarray(from, to));
      // A position that could not be placed makes the whole geometry unreadable: half a shape would mislead.
      if (!flat.every(Number.isFinite)) return 'null';
      rings.push(flat);
    }
    parts.push(rings);
  }
  return KIND_TEXT[kind](parts);
}

function flatPolygonsText(polygons: readonly (readonly Flat[])[], multi: boolean): string {
  const cut = polygons.some(spansAntimeridian);
  const source = cut ? polygons.flatMap(cutAtAntimeridian) : polygons;
  const texts: string[] = [];
  for (const rings of source) {
    const shell = ringText(rings[0] ?? [], true);
    if (shell === '') continue;
    const holes = rings.slice(1).map((hole) => ringText(hole, false));
    texts.push(`[${[shell, ...holes.filter((hole) => hole !== '')].join(',')}]`);
  }
  if (texts.length === 0) return 'null';
  if (texts.length === 1 && (!multi || cut)) return `{"type":"Polygon","coordinates":${texts[0]}}`;
  return `{"type":"MultiPolygon","coordinates":[${texts.join(',')}]}`;
}

/** Rounds, drops repeated vertices, turns the ring the right way, closes it; '' when no area is left. */
function ringText(ring: readonly number[], anticlockwise: boolean): string {
  const flat: Flat = [];
  for (let i = 0; i < ring.length; i += 2) {
    const lon = degree(ring[i] as number);
    const lat = degree(ring[i + 1] as number);
    if (flat.length > 0 && lon === flat[flat.length - 2] && lat === flat[flat.length - 1]) continue;
    flat.push(lon, lat);
  }
  while (flat.length > 2 && flat[0] === flat[flat.length - 2] && flat[1] === flat[flat.length - 1]) flat.length -= 2;
  const area = flat.length < 6 ? 0 : twiceArea(flat);
  if (area === 0) return '';
  const n = flat.length / 2;
  const keep = area > 0 === anticlockwise;
  // Turned rings keep their first vertex, so that the text does not depend on which way the source ran.
  // Joined, not added up: a string grown by += holds on to every piece it was made of.
  const out: string[] = [];
  for (let k = 0; k <= n; k++) {
    const i = keep ? k % n : (n - k) % n;
    out.push(`[${flat[i * 2]},${flat[i * 2 + 1]}]`);
  }
  return `[${out.join(',')}]`;
}

/** Twice the signed area about the first vertex (positions far from zero lose no digits that way). */
function twiceArea(flat: Flat): number {
  const x0 = flat[0] as number;
  const y0 = flat[1] as number;
  let sum = 0;
  for (let i = 2; i + 3 < flat.length; i += 2) {
    const ax = (flat[i] as number) - x0;
    const ay = (flat[i + 1] as number) - y0;
    sum += ax * ((flat[i + 3] as number) - y0) - ((flat[i + 2] as number) - x0) * ay;
  }
  return sum;
}

function positionsOf<T>(one: string, many: string, items: T[], text: (item: T) => string, multi: boolean): string {
  if (items.length === 0) return 'null';
  if (!multi) return `{"type":"${one}","coordinates":${text(items[0] as T)}}`;
  return `{"type":"${many}","coordinates":[${items.map(text).join(',')}]}`;
}

function pair(position: readonly number[]): string {
  return `[${degree(position[0] as number)},${degree(position[1] as number)}]`;
}

function path(flat: Flat): string {
  const out: string[] = [];
  for (let i = 0; i < flat.length; i += 2) out.push(pair([flat[i] as number, flat[i + 1] as number]));
  return `[${out.join(',')}]`;
}

function vertices(parts: Flat[][]): number[][] {
  const out: number[][] = [];
  for (const flat of parts.flat()) {
    for (let i = 0; i < flat.length; i += 2) out.push([flat[i] as number, flat[i + 1] as number]);
  }
  return out;
}

/** Lines of at least two positions: GeoJSON has no shorter ones. */
function lines(parts: Flat[][]): Flat[] {
  return parts.flat().filter((flat) => flat.length >= 4);
}
