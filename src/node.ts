// Public entry of `rootberth/node`: everything of the core, and what touches files.
// In and out: see each function. Terms: see types.ts.

import './node/crs.js';

export * from './index.js';
export { type AssessFilesOptions, assessFiles, type WorksFile } from './node/assess-files.js';
export { type FileReadOptions, readLayer } from './node/files.js';
export { readGrid } from './node/grid-file.js';
export { type SitingFilesOptions, sitingFiles } from './node/siting-files.js';
export {
  type Manifest,
  type ManifestInput,
  type ManifestJob,
  type ManifestTile,
  type OutputFiles,
  readManifest,
} from './node/split/manifest.js';
export { type Merged, type MergeOptions, mergeTiles } from './node/split/merge.js';
export { missingTiles } from './node/split/reconcile.js';
export type { SectionSum, TileRecord } from './node/split/results.js';
export {
  type LineDone,
  type LineFailed,
  type LineResult,
  type RunLinesOptions,
  runLines,
} from './node/split/run-lines.js';
export { type RunTileOptions, runTile, type TileRun } from './node/split/run-tile.js';
export { type SplitOptions, splitJob } from './node/split/split-job.js';
export {
  formatList,
  OUT_FORMATS,
  type OutFormat,
  type WriteOptions,
  type Written,
  writeAssessment,
} from './node/write-assessment.js';
export { writeGeoJSON } from './node/write-geojson.js';
