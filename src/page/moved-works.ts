// A layer of works with one piece moved -> a file of works. In: the layer, its way to lon/lat, which feature and how far;
// out: GeoJSON bytes, which any tool and the command line read. Terms: frame = the true-to-size plane about the piece.
// Longitude and latitude (RFC 7946) unless the site is on a local ground system, which has none.

import type { CrsTransform, Layer } from '../core.js';
import { type Frame, GEOMETRY_KINDS } from '../model/index.js';
import { carry } from '../siting/move.js';

export interface Move {
  readonly feature: number;
  readonly eastM: number;
  readonly northM: number;
  /** Clockwise about the centre. */
  readonly turnDeg: number;
  readonly centre: readonly [lon: number, lat: number];
  readonly frame: Frame;
}

type Position = [number, number];

/** The layer's features in their order with their own properties, one of them moved. */
export function movedWorks(layer: Layer, transform: CrsTransform, move: Move): Uint8Array {
  const lines: string[] = [];
  for (let feature = 0; feature < layer.count; feature++) {
    const id = layer.id(feature);
    const geometry =
      layer.setAside?.has(feature) === true
        ? null
        : geometryOf(layer, feature, (xy) => placed(xy, transform, feature === move.feature ? move : null));
    const text = JSON.stringify({
      type: 'Feature',
      ...(id === undefined ? {} : { id }),
      properties: layer.properties(feature),
      geometry,
    });
    lines.push(text);
  }
  return new TextEncoder().encode(`{"type":"FeatureCollection","features":[\n${lines.join(',\n')}\n]}\n`);
}

/** Native pairs to those of the file: untouched where they need no conversion and are not moved. */
function placed(xy: Float64Array, transform: CrsTransform, move: Move | null): Float64Array {
  if (move === null && transform.isLonLat) return xy;
  const out = xy.slice();
  const local = transform.crs.kind === 'local';
  if (move === null && local) return out;
  transform.toLonLat(out);
  if (move !== null) {
    move.frame.toFrame(out, out);
    const middle = Float64Array.from(move.centre);
    move.frame.toFrame(middle, middle);
    carry(out, [middle[0] as number, middle[1] as number], move, out);
    move.frame.toLonLat(out, out);
  }
  if (local) transform.fromLonLat(out);
  const digits = local ? 1e6 : 1e9; // a tenth of a millimetre, and less
  return out.map((value) => Math.round(value * digits) / digits);
}

function geometryOf(
  layer: Layer,
  feature: number,
  place: (xy: Float64Array) => Float64Array,
): { type: string; coordinates: unknown } | null {
  const { kind, partStart, ringStart, vertexStart, xy } = layer.geometry;
  const line = (ring: number): Position[] => {
    const from = (vertexStart[ring] as number) * 2;
    const flat = place(xy.slice(from, (vertexStart[ring + 1] as number) * 2));
    return Array.from(
      { length: flat.length / 2 },
      (_, i): Position => [flat[i * 2] as number, flat[i * 2 + 1] as number],
    );
  };
  const closed = (ring: number): Position[] => {
    const out = line(ring);
    const [first, last] = [out[0], out.at(-1)];
    if (first && last && (first[0] !== last[0] || first[1] !== last[1])) out.push([...first]);
    return out;
  };
  const parts = [...range(partStart[feature] as number, partStart[feature + 1] as number)];
  const rings = (part: number): number[] => [...range(ringStart[part] as number, ringStart[part + 1] as number)];
  const first = parts[0];
  const name = GEOMETRY_KINDS[kind[feature] as number];
  if (first === undefined || name === undefined) return null;
  const lines = (): Position[][] => parts.flatMap((part) => rings(part).map(line));
  const polygons = (): Position[][][] => parts.map((part) => rings(part).map(closed));
  switch (name) {
    case 'point':
      return { type: 'Point', coordinates: lines()[0]?.[0] };
    case 'multipoint':
      return { type: 'MultiPoint', coordinates: lines().flat() };
    case 'line':
      return { type: 'LineString', coordinates: lines()[0] };
    case 'multiline':
      return { type: 'MultiLineString', coordinates: lines() };
    case 'polygon':
      return { type: 'Polygon', coordinates: polygons()[0] };
    case 'multipolygon':
      return { type: 'MultiPolygon', coordinates: polygons() };
    default:
      return null;
  }
}

function* range(from: number, to: number): Generator<number> {
  for (let i = from; i < to; i++) yield i;
}
