// Geometry -> well-known binary and well-known text. In: OutGeometry; out: WKB bytes (little-endian) or WKT.
// Terms: WKB, WKT = OGC 06-103r4, sections 8 and 7; a part = one member of a multi geometry.

import type { GeometryType, OutGeometry } from './shape.js';

/** WKB geometry codes (OGC 06-103r4, table 7). */
const WKB_CODE: Readonly<Record<GeometryType, number>> = {
  Point: 1,
  LineString: 2,
  Polygon: 3,
  MultiPoint: 4,
  MultiLineString: 5,
  MultiPolygon: 6,
};

const SINGLE: Readonly<Record<GeometryType, GeometryType>> = {
  Point: 'Point',
  LineString: 'LineString',
  Polygon: 'Polygon',
  MultiPoint: 'Point',
  MultiLineString: 'LineString',
  MultiPolygon: 'Polygon',
};

/** Bytes of the geometry, after `ahead` bytes left free for a header. */
export function wkb(geometry: OutGeometry, ahead: number = 0): Uint8Array {
  const single = SINGLE[geometry.type];
  const multi = single !== geometry.type;
  let size = ahead + (multi ? 9 : 0);
  for (const part of geometry.parts) size += partSize(single, part);
  const bytes = new Uint8Array(size);
  const view = new DataView(bytes.buffer);
  let at = ahead;
  if (multi) {
    bytes[at] = 1;
    view.setUint32(at + 1, WKB_CODE[geometry.type], true);
    view.setUint32(at + 5, geometry.parts.length, true);
    at += 9;
  }
  for (const part of geometry.parts) {
    bytes[at] = 1;
    view.setUint32(at + 1, WKB_CODE[single], true);
    at += 5;
    if (single === 'Polygon') {
      view.setUint32(at, part.length, true);
      at += 4;
    }
    for (const ring of part) {
      if (single !== 'Point') {
        view.setUint32(at, ring.length / 2, true);
        at += 4;
      }
      for (let i = 0; i < ring.length; i++, at += 8) view.setFloat64(at, ring[i]!, true);
    }
  }
  return bytes;
}

function partSize(single: GeometryType, part: readonly Float64Array[]): number {
  let size = 5 + (single === 'Polygon' ? 4 : 0);
  for (const ring of part) size += (single === 'Point' ? 0 : 4) + ring.length * 8;
  return size;
}

/** The geometry as well-known text: `POLYGON((0 0,1 0,1 1,0 0))`. */
export function wkt(geometry: OutGeometry): string {
  const single = SINGLE[geometry.type];
  const parts = geometry.parts.map((part) => {
    const rings = part.map(positions);
    return single === 'Polygon' ? `(${rings.map((ring) => `(${ring})`).join(',')})` : `(${rings[0] ?? ''})`;
  });
  const body = single === geometry.type ? (parts[0] ?? 'EMPTY') : `(${parts.join(',')})`;
  return `${geometry.type.toUpperCase()}${body}`;
}

function positions(ring: Float64Array): string {
  const out: string[] = [];
  for (let i = 0; i < ring.length; i += 2) out.push(`${ring[i]} ${ring[i + 1]}`);
  return out.join(',');
}
