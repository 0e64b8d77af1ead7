// Positions -> GeoJSON geometry text. In: lon/lat rings, or a row of a GeometryTable with lon/lat beside it;
// out: text of a geometry, RFC 7946: closed rings, shells anticlockwise, holes clockwise, cut at the antimeridian.
// Terms: flat = lon, lat, lon, lat, ... of one ring or line.

import { twiceArea } from '../geometry/index.js';
import {
  GEOMETRY_KINDS,
  type GeometryKind,
  type GeometryTable,
  type LonLatPolygons,
  type LonLatRing,
} from '../model/index.js';
import { cutAtAntimeridian, cutLine, spansAntimeridian } from './antimeridian.js';
import { degree } from './numbers.js';
import { openPinches } from './pinch.js';
import { rowRings } from './row-rings.js';

type Flat = number[];

/** Text of a Point; 'null' when a coordinate is not a number. */
export function pointText(lon: number | null, lat: number | null): string {
  if (lon === null || lat === null || !Number.isFinite(lon) || !Number.isFinite(lat)) return 'null';
  return `{"type":"Point","coordinates":[${degree(lon)},${degree(lat)}]}`;
}

/**
 * Text of a Polygon or MultiPolygon; 'null' when nothing with an area is left after rounding.
 * `simple`: the rings are known not to touch themselves (circles), which spares looking.
 */
export function polygonsText(polygons: LonLatPolygons, simple: boolean = false): string {
  const flats = polygons.map((rings) =>
    rings.map((ring) => {
      const flat: Flat = [];
      for (const [lon, lat] of ring) flat.push(lon, lat);
      return flat;
    }),
  );
  return flatPolygonsText(flats, false, simple);
}

/** Text of a LineString or MultiLineString; 'null' for none. */
export function linesText(lines: readonly LonLatRing[]): string {
  const flats = lines.flatMap((line) => cutLine(line.flat())).filter((flat) => flat.length >= 4);
  return positionsOf('LineString', 'MultiLineString', flats, path, flats.length > 1);
}

/** How the vertices of one feature become text, per kind; each gets the parts as rings of flat positions. */
const KIND_TEXT: Readonly<Record<GeometryKind, (parts: Flat[][]) => string>> = {
  none: () => 'null',
  broken: () => 'null',
  point: (parts) => positionsOf('Point', 'MultiPoint', vertices(parts), pair, parts.length > 1),
  multipoint: (parts) => positionsOf('Point', 'MultiPoint', vertices(parts), pair, true),
  line: (parts) => lineText(lines(parts), parts.length > 1),
  multiline: (parts) => lineText(lines(parts), true),
  polygon: (parts) => flatPolygonsText(parts, false),
  multipolygon: (parts) => flatPolygonsText(parts, true),
};

/**
 * Text of one row's geometry; 'null' when there is none that can be written.
 * `lonLat` holds pairs for the table's vertices from `firstVertex` on.
 */
export function rowText(table: GeometryTable, row: number, lonLat: Float64Array, firstVertex: number = 0): string {
  const kind = GEOMETRY_KINDS[table.kind[row]!] ?? 'none';
  const parts = rowRings(table, row, lonLat, firstVertex);
  return parts === null ? 'null' : KIND_TEXT[kind](parts);
}

function flatPolygonsText(polygons: readonly (readonly Flat[])[], multi: boolean, simple = false): string {
  const cut = polygons.some(spansAntimeridian);
  const texts: string[] = [];
  let split = cut;
  for (const rings of cut ? polygons.flatMap(cutAtAntimeridian) : polygons) {
    const flats = rings.map(rounded);
    const opened = simple ? [flats] : openPinches(flats);
    split ||= opened.length !== 1;
    for (const [shell = [], ...holes] of opened) {
      const text = ringText(shell, true);
      if (text === '') continue;
      const inner = holes.map((hole) => ringText(hole, false)).filter((hole) => hole !== '');
      texts.push(`[${[text, ...inner].join(',')}]`);
    }
  }
  if (texts.length === 0) return 'null';
  if (texts.length === 1 && (!multi || split)) return `{"type":"Polygon","coordinates":${texts[0]}}`;
  return `{"type":"MultiPolygon","coordinates":[${texts.join(',')}]}`;
}

function positionsOf<T>(one: string, many: string, items: T[], text: (item: T) => string, multi: boolean): string {
  if (items.length === 0) return 'null';
  if (!multi) return `{"type":"${one}","coordinates":${text(items[0]!)}}`;
  return `{"type":"${many}","coordinates":[${items.map(text).join(',')}]}`;
}

function pair(position: readonly number[]): string {
  return `[${degree(position[0]!)},${degree(position[1]!)}]`;
}

function path(flat: Flat): string {
  const out: string[] = [];
  for (let i = 0; i < flat.length; i += 2) out.push(pair([flat[i]!, flat[i + 1]!]));
  return `[${out.join(',')}]`;
}

function vertices(parts: Flat[][]): number[][] {
  const out: number[][] = [];
  for (const flat of parts.flat()) {
    for (let i = 0; i < flat.length; i += 2) out.push([flat[i]!, flat[i + 1]!]);
  }
  return out;
}

/** Lines of at least two positions (GeoJSON has no shorter ones), cut at the antimeridian. */
function lines(parts: Flat[][]): Flat[] {
  return parts
    .flat()
    .flatMap(cutLine)
    .filter((flat) => flat.length >= 4);
}

function lineText(flats: Flat[], multi: boolean): string {
  return positionsOf('LineString', 'MultiLineString', flats, path, multi || flats.length > 1);
}

/** Rounded as written, without repeated neighbours and without the closing vertex. */
function rounded(ring: readonly number[]): number[] {
  const flat: number[] = [];
  for (let i = 0; i < ring.length; i += 2) {
    const lon = degree(ring[i]!);
    const lat = degree(ring[i + 1]!);
    if (flat.length > 0 && lon === flat[flat.length - 2] && lat === flat[flat.length - 1]) continue;
    flat.push(lon, lat);
  }
  while (flat.length > 2 && flat[0] === flat[flat.length - 2] && flat[1] === flat[flat.length - 1]) flat.length -= 2;
  return flat;
}

/** Text of a rounded ring, turned the right way and closed; '' when it has no area. */
function ringText(flat: readonly number[], anticlockwise: boolean): string {
  const area = flat.length < 6 ? 0 : twiceArea(flat);
  if (area === 0) return '';
  const n = flat.length / 2;
  const keep = area > 0 === anticlockwise;
  // Turned rings keep their first vertex, so that the text does not depend on which way the source ran.
  // Joined, not built with +=: such a string keeps every piece that it was made of.
  const out: string[] = [];
  for (let k = 0; k <= n; k++) {
    const i = keep ? k % n : (n - k) % n;
    out.push(`[${flat[i * 2]},${flat[i * 2 + 1]}]`);
  }
  return `[${out.join(',')}]`;
}
