// A layer of works with one piece moved -> a file of works. In: the layer, its way to lon/lat, which feature and how far;
// out: GeoJSON bytes, which any tool and the command line read. Terms: frame = the true-to-size plane about the piece.
// Longitude and latitude (RFC 7946) unless the site is on a local ground system, which has none.

import type { CrsTransform, Layer } from '../core.js';
import type { Frame } from '../model/index.js';
import { carry } from '../siting/move.js';
import { mapped, piecesOf } from './plan/layer-edit.js';

export interface Move {
  readonly feature: number;
  readonly eastM: number;
  readonly northM: number;
  /** Clockwise about the centre. */
  readonly turnDeg: number;
  readonly centre: readonly [lon: number, lat: number];
  readonly frame: Frame;
}

/** The layer's features in their order with their own properties, one of them moved. Heights stay behind: nothing here uses them. */
export function movedWorks(layer: Layer, transform: CrsTransform, move: Move): Uint8Array {
  const pieces = piecesOf(layer, false).map((piece, feature) => {
    if (piece.geometry === null) return piece;
    const place = (xy: number[]): number[] => [
      ...placed(Float64Array.from(xy), transform, feature === move.feature ? move : null),
    ];
    return { ...piece, geometry: mapped(piece.geometry, place) };
  });
  const lines = pieces.map((piece) => JSON.stringify(piece));
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
