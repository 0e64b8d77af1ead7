// The front of node/write/: what other rooms may import of it. In and out: see each name’s own file.

export { type DxfLayerNames, readLayerNames } from './dxf-layers.js';
export { OUT_FORMATS, type OutFormat } from './format.js';
export { anyKeptOver } from './over.js';
export { checkStyleFolder, styleFiles, writeStyles } from './styles.js';
export {
  assessmentPieces,
  checkWriteOptions,
  formatList,
  formatOf,
  outputSystem,
  type WriteOptions,
  type Written,
  writeAssessment,
} from './write-assessment.js';
export { checkPlace, drain, guarded, writePieces } from './write-file.js';
export { writeGeoJSON } from './write-geojson.js';
export { writeTables } from './xlsx.js';
