// Drawn zones as shapes to measure. In: zones drawn by an arborist, joined to trees; out: by tree row, polygons in the
// frame of the tree with their reach and area. Terms: several polygons of one tree are one zone: their union.

import { FIRST_CLASS, indexedPieces, Meter, PieceBuilder, type Pieces, reachOf, WITHIN } from '../geometry/index.js';
import type { DrawnPolygons, Frame, ZoneShape, ZoneShapes } from '../model/index.js';

const NO_SHAPES: ZoneShapes = new Map();

/** The shapes of all trees that a drawn zone names; trees without a position have none. */
export function drawnZones(
  drawn: DrawnPolygons | null,
  treeLonLat: Float64Array,
  frameAt: (lon: number, lat: number) => Frame,
): ZoneShapes {
  if (drawn === null) return NO_SHAPES;
  const shapes = new Map<number, ZoneShape>();
  for (const [tree, rows] of drawn.table.rowOfTree) {
    const at = treeLonLat.slice(tree * 2, tree * 2 + 2);
    if (Number.isNaN(at[0])) continue;
    const frame = frameAt(at[0]!, at[1]!);
    frame.toFrame(at, at);
    const shape = shapeOf(drawn, rows, frame, at[0]!, at[1]!);
    if (shape.areaM2 > 0) shapes.set(tree, shape);
  }
  return shapes;
}

function shapeOf(
  { table, lonLat }: DrawnPolygons,
  rows: readonly number[],
  frame: Frame,
  x: number,
  y: number,
): ZoneShape {
  const builder = new PieceBuilder();
  for (const owner of rows) {
    builder.addRow(table.geometry, lonLat, owner, frame.toFrame, { owner, classBit: WITHIN, cuts: false });
  }
  const pieces = builder.finish();
  const reachM = reachOf(pieces, x, y);
  return { pieces, reachM, areaM2: unionArea(pieces, x, y, reachM) };
}

/** The area of overlapping polygons, by the same kernel that measures works. */
function unionArea(pieces: Pieces, x: number, y: number, reachM: number): number {
  const asWorks = indexedPieces({ ...pieces, classBit: pieces.classBit.map(() => FIRST_CLASS) });
  return new Meter(asWorks).disc(x, y, reachM * (1 + 1e-9));
}
