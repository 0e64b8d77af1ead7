// The front of overlap/: what other rooms may import of it. In and out: see each name’s own file.

export { drawCrown, drawPieces, drawTree, NO_SHAPES } from './draw.js';
export type { Runner, Site } from './input.js';
export { type MovingWorks, movingWorks } from './moving.js';
export { widest, worksBoxes } from './nearby.js';
export { type Overlaps, overlaps } from './overlap.js';
export { addWorks, type PlacedWorks, untagged, worksPieces } from './pieces.js';
export { regrow } from './regrow.js';
export { type MeasureTask, measureWatched, meterOf } from './task.js';
