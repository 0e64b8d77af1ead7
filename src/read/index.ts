// The read stage: in: the bytes of one file; out: a Layer (native coordinates, own properties, nothing dropped).
// The format comes from the option, else from content and name (read/formats.ts). Terms: layer = one file's features.

export type { FieldNotes } from '../notes/index.js';
export { readLayer } from './at-once.js';
export { base64 } from './base64.js';
export { type Box, boxesMeet, outsideBox } from './box.js';
export { crc32 } from './crc32.js';
export { delimiterOf } from './csv.js';
export { POSITION_NAMES } from './csv-columns.js';
export { tellFormat } from './formats.js';
export { GeoJsonStream } from './geojson.js';
export {
  brokenGeoPackage,
  type Query,
  readFeatureTable,
  type TableReadOptions,
  withoutWriteAhead,
} from './geopackage.js';
export { readNotes } from './notes.js';
export { readLayerAsync } from './on-demand.js';
export type { ReadOptions } from './options.js';
export { peer } from './peer.js';
export { readShapefile, type ShapefilePart, type ShapefileParts } from './shapefile.js';
export { type ByteSource, blockSource } from './source.js';
export { holdsSurfaces, readSurface, type SurfaceReadOptions } from './surfaces.js';
export { topMember } from './top-member.js';
export { readWkb } from './wkb.js';
export { brokenWorkbook, readSheetNotes, readSheets, type Sheet } from './workbook.js';
export { archivesIn, candidatesOf, type Member, matching, theOne } from './zip-choose.js';
