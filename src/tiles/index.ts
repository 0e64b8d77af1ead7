// The split stage: a job as tiles that other machines run, and one result again. In: positions, boxes, bytes; out: plans,
// parts of layers, records in their order. Pure: it does not know files or the engines that run tiles (see docs/scale.md).
// Terms: tile = trees that are worked together, each owned by exactly one; halo = the rows of other layers that reach in.

export { boxesOf, rowsNear } from './halo.js';
export { interleaved, type RecordSource } from './interleave.js';
export { type LayerFacts, partOf, withFacts } from './part-layer.js';
export { partition } from './partition.js';
export { LineScanner, RangeScanner, type Ranges } from './ranges.js';
export { fromRuns, joinedRanges, runsOf } from './runs.js';
export { treeWitnesses, worksWitnesses } from './witnesses.js';
export { treeCosts } from './work.js';
