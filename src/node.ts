// Public entry of `rootberth/node`: everything of the core, and what touches files.
// In and out: see each function. Terms: see types.ts.

import './node/crs.js';

export * from './index.js';
export { type AssessFilesOptions, assessFiles, type WorksFile } from './node/assess-files.js';
export { type FileReadOptions, readLayer } from './node/files.js';
export { readGrid } from './node/grid-file.js';
export { type SitingFilesOptions, sitingFiles } from './node/siting-files.js';
export {
  formatList,
  OUT_FORMATS,
  type OutFormat,
  type WriteOptions,
  type Written,
  writeAssessment,
} from './node/write-assessment.js';
export { writeGeoJSON } from './node/write-geojson.js';
