// The front of crs/: what other rooms may import of it. In and out: see each name’s own file.

export { ALL_TABLE_WORK } from './all-table-work.js';
export { assignCrs, resolveStatement } from './assign.js';
export { boundsOf, layerBounds } from './bounds.js';
export { registerCrs } from './crs-registry.js';
export { CRS84, findCrs } from './find.js';
export { CELL, cellOf, frameAt, frameKey, frameOf, planeFrame } from './frame.js';
export { type GridAbout, type GridPart, shiftGrid } from './grid.js';
export { readNtv2 } from './ntv2.js';
export { type PlacedLayer, placeLayers } from './place.js';
export { checkPositions, compareLayers } from './positions.js';
export { type ProjectionMethods, useProjections } from './projection.js';
export type { AssignedLayer } from './stated.js';
export { useTableWork } from './table-work.js';
export type { CrsTable } from './tables/table.js';
export { PLANE_STEP, transformFor } from './transform.js';
export { esriWkt } from './wkt/esri-wkt.js';
export { projjson } from './wkt/projjson-text.js';
export { crsFromWkt } from './wkt/wkt.js';
