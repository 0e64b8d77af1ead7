// The front of geometry/: what other rooms may import of it. In and out: see each name’s own file.

export { BoxIndex, packedBoxes } from './box-index.js';
export { FloatColumn, IndexColumn } from './column.js';
export { bulgeArc, centreArc, ellipseArc } from './curves/arc.js';
export { arcRuns, type BulgedVertex } from './curves/arc-runs.js';
export { clothoid } from './curves/clothoid.js';
export { type Spline, splineFault, splineVertices } from './curves/spline.js';
export { DEGREES_PER_METRE, eastward } from './degrees.js';
export { discInRing } from './disc-area.js';
export { alongSegment, distanceToArea, toSegment2 } from './distance.js';
export { boxDistance2, Disc } from './kernel/disc.js';
export { Meter, NEAREST_LIMIT_M } from './kernel/meter.js';
export { eachEdge } from './kernel/piece-edges.js';
export {
  comparePieces,
  EXISTING,
  FIRST_CLASS,
  indexedPieces,
  MOST_CLASSES,
  PieceBuilder,
  type Pieces,
  type PieceTag,
  pieceRings,
  RETREATED,
  reachOf,
  WITHIN,
  WORKS,
} from './kernel/pieces.js';
export { Probe } from './kernel/probe.js';
export { addBands, addLine, addMargin, addRound } from './kernel/strip.js';
export { compactParts } from './kernel/subdivide.js';
export { CrossingFinder, type Defect } from './rings/crossings.js';
export { cutRing } from './rings/cut-ring.js';
export { fewerCorners } from './rings/fewer-corners.js';
export { clusters, edgesThatMeet } from './rings/meetings.js';
export { MovingBoundary, movedBoundary } from './rings/moved.js';
export { NearRings, type Rectangle } from './rings/near-rings.js';
export { WorksToDraw } from './rings/near-works.js';
export { circleRing, outsideRing, quartersRing } from './rings/outline.js';
export { evenOddRepair, type RepairedRings } from './rings/repair.js';
export { comesTwice } from './rings/repeats.js';
export { backwards, passesEast, ringBox, ringHolds, signedArea, twiceArea } from './rings/ring.js';
export {
  commonShape,
  distanceBetween,
  distanceToRings,
  insideOf,
  lessShape,
  lessTurned,
  movedRings,
  offsetShape,
  type Ring,
  type Shape,
  shadowOf,
  shapeArea,
  simplerRing,
  stepsAcross,
  unionOfMany,
  unionRings,
  unionShape,
  widenedShape,
} from './rings/shapes.js';
export { twins } from './rings/twins.js';
export { rootIn, rootOfMost, secantOfMost } from './root.js';
export { pairAt, quadAt } from './tuples.js';
