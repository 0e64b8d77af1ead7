// Pieces as works. In: pieces with their cells; out: a layer of polygons, kind `fill` or `excavation`, with their depth. Terms: depth =
// the deepest in a piece; over, up to = the depths between which it lies. Linear in the corners.

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
  const numbers = { fill: 0, excavation: 0 };
  for (const { band, deepestM, polygons } of pieces) {
    into.begin(polygons.length > 1 ? 'multipolygon' : 'polygon');
    for (const polygon of polygons) {
      into.part();
      for (const ring of polygon) {
        into.ring();
        for (const p of [...ring, ring[0]!]) into.vertex(cells.x[p]! + about.origin[0], cells.y[p]! + about.origin[1]);
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
