// Pieces as works. In: pieces with their cells; out: a layer of polygons, kind `fill` or `excavation`, with their depth. Terms: depth =
// the deepest in a piece; over, up to = the depths between which it lies. Linear in the corners.

import { CrossingFinder, evenOddRepair, signedArea } from '../geometry/index.js';
import { type Layer, LayerBuilder } from '../model/index.js';
import type { Cells } from './cells.js';
import type { Piece } from './stitch.js';

export interface WorksOf {
  readonly name: string;
  readonly existing: Layer;
  readonly proposed: Layer;
  readonly levels: readonly number[];
  /** The plane's origin in native coordinates. */
  readonly origin: readonly [number, number];
}

/** One feature a piece, in the order given; its properties say what it was made from. */
export function worksLayer(cells: Cells, pieces: readonly Piece[], about: WorksOf): Layer {
  const into = new LayerBuilder(about.name, 'geojson');
  const finder = new CrossingFinder();
  const numbers = { fill: 0, excavation: 0 };
  for (const { band, deepestM, polygons } of pieces) {
    const clean = polygons.flatMap((polygon) => cleaned(cells, polygon, about.origin, finder));
    if (clean.length === 0) continue;
    into.begin(clean.length > 1 ? 'multipolygon' : 'polygon');
    for (const polygon of clean) {
      into.part();
      for (const ring of polygon) {
        into.ring();
        for (let i = 0; i <= ring.length; i += 2) into.vertex(ring[i % ring.length]!, ring[(i % ring.length) + 1]!);
      }
    }
    const { kind, overM, upToM } = boundsOf(about.levels, band);
    numbers[kind]++;
    into.end({
      id: `${kind === 'fill' ? 'fill' : 'cut'}-${numbers[kind]}`,
      kind,
      depth_m: rounded(deepestM),
      depth_over_m: rounded(overM),
      ...(Number.isFinite(upToM) ? { depth_up_to_m: rounded(upToM) } : {}),
      made_from: `${about.existing.name} to ${about.proposed.name}`,
    });
  }
  return into.finish({ crs: about.existing.crs, sha256: null });
}

/** Less than this, square units, is a sliver of rounding. */
const SLIVER = 1e-5;

/**
 * A polygon in native coordinates whose rings do not cross: where surfaces are nearly the same, sides run within micrometres of each
 * other, and their crossings are rounded. The ground is the same.
 */
function cleaned(
  { x, y }: Cells,
  polygon: readonly (readonly number[])[],
  origin: readonly [number, number],
  finder: CrossingFinder,
): readonly (readonly ArrayLike<number>[])[] {
  const starts = [0];
  for (const ring of polygon) starts.push(starts.at(-1)! + ring.length);
  const xy = Float64Array.from(polygon.flat().flatMap((p) => [x[p]! + origin[0], y[p]! + origin[1]]));
  const cut = (from: Float64Array, start: ArrayLike<number>, r: number): Float64Array =>
    from.subarray(start[r]! * 2, start[r + 1]! * 2);
  if (signedArea(cut(xy, starts, 0)) < SLIVER) return [];
  if (finder.find(xy, starts, 0, polygon.length) === 'none') return [polygon.map((_, r) => cut(xy, starts, r))];
  const repaired = evenOddRepair(xy, starts, 0, polygon.length);
  if (repaired === null) return [polygon.map((_, r) => cut(xy, starts, r))]; // the check of works tells it
  const { ringStart, vertexStart } = repaired;
  return Array.from({ length: ringStart.length - 1 }, (_, part) =>
    Array.from({ length: ringStart[part + 1]! - ringStart[part]! }, (_, r) =>
      cut(repaired.xy, vertexStart, ringStart[part]! + r),
    ).filter((ring) => Math.abs(signedArea(ring)) > SLIVER),
  ).filter((rings) => rings.length > 0 && signedArea(rings[0]!) > 0);
}

/** What a band is: between which depths, of what. */
export function boundsOf(
  levels: readonly number[],
  band: number,
): { readonly kind: 'fill' | 'excavation'; readonly overM: number; readonly upToM: number } {
  const low = levels[band - 1] ?? -Infinity;
  const high = levels[band] ?? Infinity;
  return low >= 0 ? { kind: 'fill', overM: low, upToM: high } : { kind: 'excavation', overM: -high, upToM: -low };
}

/** A micrometre: less is rounding of the file's unit. */
function rounded(metres: number): number {
  return Math.round(metres * 1e6) / 1e6;
}
