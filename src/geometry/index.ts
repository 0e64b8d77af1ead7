// The front of geometry/: what other rooms may import of it. In and out: see each name’s own file.

export { bulgeArc, centreArc, ellipseArc } from './arc.js';
export { BoxIndex, packedBoxes } from './box-index.js';
export { clothoid } from './clothoid.js';
export { FloatColumn, IndexColumn } from './column.js';
export { CrossingFinder, type Defect } from './crossings.js';
export { DEGREES_PER_METRE, eastward } from './degrees.js';
export { boxDistance2, Disc } from './disc.js';
export { distanceToArea, toSegment2 } from './distance.js';
export { fewerCorners } from './fewer-corners.js';
export { Meter, NEAREST_LIMIT_M } from './meter.js';
export { NearRings, type Rectangle } from './near-rings.js';
export { WorksToDraw } from './near-works.js';
export { circleRing, outsideRing, quartersRing } from './outline.js';
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
} from './pieces.js';
export { Probe } from './probe.js';
export { evenOddRepair, type RepairedRings, signedArea } from './repair.js';
export { backwards } from './ring.js';
export { rootIn, rootInFew } from './root.js';
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
  ringArea,
  ringBox,
  type Shape,
  shadowOf,
  shapeArea,
  simplerRing,
  stepsAcross,
  unionOfMany,
  unionRings,
  unionShape,
  widenedShape,
} from './shapes.js';
export { type Spline, splineFault, splineVertices } from './spline.js';
export { addBands, addLine, addMargin, addRound } from './strip.js';
export { compactParts } from './subdivide.js';
export { pairAt, quadAt } from './tuples.js';
export { twins } from './twins.js';
