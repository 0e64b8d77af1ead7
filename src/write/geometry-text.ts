// Geometry -> GeoJSON text, in lon/lat or in another output system. In: an output system or null; out: the functions that
// write a point, drawn polygons and a row of a table. Terms: see shape.ts. Lon/lat goes straight to text (geometry.ts):
// it is the common case and the fast one; other systems go through typed geometry. A test holds the two to the same bytes.

import type { GeometryTable, LonLatPolygons, LonLatRing } from '../model/index.js';
import { linesText, pointText, polygonsText, rowText } from './geometry.js';
import { type OutGeometry, type OutputSystem, Placer } from './shape.js';

export interface GeometryText {
  point(lon: number | null, lat: number | null): string;
  polygons(polygons: LonLatPolygons, simple?: boolean): string;
  /** Open or closed lines; 'null' for none. */
  lines(lines: readonly LonLatRing[]): string;
  row(table: GeometryTable, row: number, lonLat: Float64Array, firstVertex?: number): string;
}

/** The functions for an output system; null is lon/lat. */
export function geometryTextFor(output: OutputSystem | null): GeometryText {
  if (output === null) return { point: pointText, polygons: lastKept(polygonsText), lines: linesText, row: rowText };
  const place = new Placer(output);
  return {
    point: (lon, lat) => textOf(place.point(lon, lat)),
    polygons: lastKept((polygons, simple) => textOf(place.polygons(polygons, simple))),
    lines: (lines) => textOf(place.lines(lines)),
    row: (table, row, lonLat, firstVertex) => textOf(place.row(table, row, lonLat, firstVertex)),
  };
}

/** The text of the last polygons again where they are asked for again: trees of one clump share what is drawn of them. */
function lastKept(textFor: GeometryText['polygons']): GeometryText['polygons'] {
  let last: { readonly of: LonLatPolygons; readonly simple: boolean | undefined; readonly text: string } | undefined;
  return (of, simple) => {
    if (last === undefined || last.of !== of || last.simple !== simple)
      last = { of, simple, text: textFor(of, simple) };
    return last.text;
  };
}

/** Text of a geometry; 'null' for none. */
function textOf(geometry: OutGeometry | null): string {
  if (geometry === null) return 'null';
  const { type, parts } = geometry;
  const items = parts.map((part) => {
    const rings = part.map(positions);
    return type.endsWith('Polygon') ? `[${rings.map((ring) => `[${ring}]`).join(',')}]` : rings[0]!;
  });
  const bracketed = type.endsWith('LineString') ? items.map((item) => `[${item}]`) : items;
  const coordinates = type.startsWith('Multi') ? `[${bracketed.join(',')}]` : bracketed[0];
  return `{"type":"${type}","coordinates":${coordinates}}`;
}

function positions(ring: Float64Array): string {
  const out: string[] = [];
  for (let i = 0; i < ring.length; i += 2) out.push(`[${ring[i]},${ring[i + 1]}]`);
  return out.join(',');
}
