// The front of node/tiles/: what other rooms may import of it. In and out: see each name’s own file.

export {
  type Manifest,
  type ManifestInput,
  type ManifestJob,
  type ManifestTile,
  type OutputFiles,
  readManifest,
} from './manifest.js';
export { type Merged, type MergeOptions, mergeTiles } from './merge.js';
export { missingTiles } from './reconcile.js';
export type { SectionSum, TileRecord } from './results.js';
export { type LineDone, type LineFailed, type LineResult, type RunLinesOptions, runLines } from './run-lines.js';
export { type RunTileOptions, runTile, type TileRun } from './run-tile.js';
export { splitJob } from './split-job.js';
export type { SplitOptions } from './split-options.js';
