// Works as the kernel measures them: in: rows of works as lon/lat and a frame; out: Pieces in that frame.
// Terms: a polygon is a piece, a line with width several, working space adds strips round either.

import { PieceBuilder, type Pieces, type PieceTag } from '../geometry/pieces.js';
import { addLine, addMargin } from '../geometry/strip.js';
import { type Frame, GEOMETRY_KINDS, type WorksTable } from '../types.js';

const POLYGON = GEOMETRY_KINDS.indexOf('polygon');
const MULTIPOLYGON = GEOMETRY_KINDS.indexOf('multipolygon');

/** The given rows in one frame; `cuts` holds the bits of the kinds that sever what lies behind them. */
export function worksPieces(
  works: WorksTable,
  lonLat: Float64Array,
  rows: Uint32Array,
  frame: Frame,
  cuts: number,
): Pieces {
  const builder = new PieceBuilder();
  const { partStart, ringStart, vertexStart, kind } = works.geometry;
  for (const w of rows) {
    const kindBit = 1 << (works.kind[w] as number);
    const tag: PieceTag = { owner: w, kindBit, cuts: (kindBit & cuts) !== 0 && works.noDig[w] === 0 };
    const part0 = partStart[w] as number;
    const part1 = partStart[w + 1] as number;
    const first = vertexStart[ringStart[part0] as number] as number;
    const last = vertexStart[ringStart[part1] as number] as number;
    const xy = new Float64Array((last - first) * 2);
    frame.toFrame(lonLat.subarray(first * 2, last * 2), xy);
    const overdigM = works.overdigM[w] as number;
    const overdig = Number.isNaN(overdigM) ? 0 : overdigM;
    const isPolygon = kind[w] === POLYGON || kind[w] === MULTIPOLYGON;
    for (let p = part0; p < part1; p++) {
      const ring0 = ringStart[p] as number;
      const ring1 = ringStart[p + 1] as number;
      if (!isPolygon) {
        const width = (works.widthM[w] as number) + 2 * overdig;
        addLine(
          builder,
          xy,
          (vertexStart[ring0] as number) - first,
          (vertexStart[ring1] as number) - first,
          width,
          overdig,
          tag,
        );
        continue;
      }
      builder.addRings(xy, vertexStart, ring0, ring1, first, tag);
      if (overdig === 0) continue;
      for (let r = ring0; r < ring1; r++) {
        addMargin(
          builder,
          xy,
          (vertexStart[r] as number) - first,
          (vertexStart[r + 1] as number) - first,
          overdig,
          tag,
        );
      }
    }
  }
  return builder.finish();
}
