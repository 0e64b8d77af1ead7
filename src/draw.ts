// Figures -> shapes on the map. In: one tree's place among the works and its exact figures; out: polygons as lon/lat.
// Terms: drawn shapes are made on a millimetre grid and held against the exact figure; they never feed back into it.

import { type Finding, finding } from './findings.js';
import type { Meter } from './geometry/meter.js';
import { circleRing, quartersRing } from './geometry/outline.js';
import { insideOf, type Ring, type Shape, shadowOf, unionShape } from './geometry/shapes.js';
import type { Frame, LonLatPolygons, TreeShapes } from './types.js';

/** Where a tree stands and what was measured there. */
export interface DrawnTree {
  readonly frame: Frame;
  readonly meter: Meter;
  readonly x: number; // in the frame
  readonly y: number;
  readonly radiusM: number;
  readonly quarters: readonly [number, number, number, number] | undefined;
  readonly rings: readonly { readonly name: string; readonly radiusM: number }[];
  readonly overlapM2: number;
  readonly severedM2: number;
  readonly stemInWorks: boolean;
  readonly layer: string;
  readonly feature: number;
  readonly key: string;
}

/** Nothing to draw: a tree that was not assessed. */
export const NO_SHAPES: TreeShapes = { zone: [], rings: [], overlap: [], severed: [], findings: [] };

/** Zone, rings, overlap and severed ground of one tree. */
export function drawTree(tree: DrawnTree): TreeShapes {
  const { meter, x, y, radiusM, quarters } = tree;
  const turn = quarters ? (-tree.frame.convergence(x, y) * Math.PI) / 180 : 0;
  const outline = quarters ? quartersRing(quarters, turn) : circleRing(radiusM);
  const findings: Finding[] = [];
  const place = (shape: Shape): LonLatPolygons => toLonLat(shape, tree.frame, x, y);
  const checked = (what: string, drawn: { shape: Shape; ok: boolean }): Shape => {
    if (!drawn.ok) findings.push(approximate(tree, what));
    return drawn.shape;
  };
  const near = tree.overlapM2 > 0 || tree.severedM2 > 0 ? meter.piecesNear(x, y, radiusM) : [];
  const overlap = tree.overlapM2 > 0 ? checked('overlap', insideOf(near, outline, tree.overlapM2)) : [];
  const shadow = tree.severedM2 > 0 ? shadowShape(tree, outline, turn) : [];
  const severed = tree.severedM2 > 0 ? checked('severed', shadowOf(shadow, near, outline, tree.severedM2)) : [];
  return {
    zone: place([[outline]]),
    rings: tree.rings.map((ring) => ({ name: ring.name, shape: place([[circleRing(ring.radiusM)]]) })),
    overlap: place(overlap),
    severed: place(severed),
    findings,
  };
}

/** A crown from above: four quarter ellipses about true north (area-true), or the union of what was drawn. */
export function drawCrown(
  crown: readonly [number, number, number, number] | readonly (readonly Ring[])[],
  frame: Frame,
  x: number,
  y: number,
): LonLatPolygons {
  if (!isQuarters(crown)) return drawPieces(crown, frame, x, y);
  const turn = (-frame.convergence(x, y) * Math.PI) / 180;
  return toLonLat([[quartersRing(crown, turn)]], frame, x, y);
}

function isQuarters(
  crown: readonly [number, number, number, number] | readonly (readonly Ring[])[],
): crown is readonly [number, number, number, number] {
  return typeof crown[0] === 'number';
}

/** A trunk in the works loses its whole zone, by rule; else what lies behind the nearest works that cut. */
function shadowShape(tree: DrawnTree, outline: Ring, turn: number): Shape {
  if (tree.stemInWorks) return [[outline]];
  return tree.meter.shadow(tree.x, tree.y, tree.radiusM, tree.quarters, turn);
}

/** Union of convex pieces (a line with width, a polygon with working space) as lon/lat polygons. */
export function drawPieces(pieces: readonly (readonly Ring[])[], frame: Frame, x: number, y: number): LonLatPolygons {
  return toLonLat(unionShape(pieces), frame, x, y);
}

function approximate(tree: DrawnTree, what: string): Finding {
  return finding(
    'shape-approximate',
    { layer: tree.layer, feature: tree.feature, id: tree.key },
    `the drawn ${what} of tree ${tree.key} differs from the exact figure by more than its drawing tolerance`,
    'trust the figure, not the shape; look for slivers or near-coincident edges in the works there',
  );
}

function toLonLat(shape: Shape, frame: Frame, x: number, y: number): LonLatPolygons {
  return shape.map((polygon) =>
    polygon.map((ring) => {
      const xy = Float64Array.from(ring, (value, i) => value + (i % 2 === 0 ? x : y));
      frame.toLonLat(xy, xy);
      const out: [number, number][] = [];
      for (let i = 0; i < xy.length; i += 2) out.push([xy[i] as number, xy[i + 1] as number]);
      out.push(out[0] as [number, number]);
      return out;
    }),
  );
}
