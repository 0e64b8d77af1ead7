// Public entry of `rootberth/node`: everything of the core, and what touches files.
// In and out: see each function. Terms: see model/.

import './node/crs.js';

export * from './core.js';
export {
  type AssessFilesOptions,
  assessFiles,
  type GradeFiles,
  readAssessed,
  type SitingFilesOptions,
  sitingFiles,
  type WorksFile,
} from './node/index.js';
export { type FileReadOptions, readGrid, readLayer } from './node/read/index.js';
export type { SectionSum, TileRecord } from './node/tiles/index.js';
export {
  type LineDone,
  type LineFailed,
  type LineResult,
  type Manifest,
  type ManifestInput,
  type ManifestJob,
  type ManifestTile,
  type Merged,
  type MergeOptions,
  mergeTiles,
  missingTiles,
  type OutputFiles,
  type RunLinesOptions,
  type RunTileOptions,
  readManifest,
  runLines,
  runTile,
  type SplitOptions,
  splitJob,
  type TileRun,
} from './node/tiles/index.js';
export {
  type DxfLayerNames,
  formatList,
  OUT_FORMATS,
  type OutFormat,
  type WriteOptions,
  type Written,
  writeAssessment,
  writeGeoJSON,
  writeStyles,
} from './node/write/index.js';
