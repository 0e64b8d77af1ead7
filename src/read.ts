// The read stage: in: the bytes of one file; out: a Layer (native coordinates, own properties, nothing dropped).
// The format comes from the option, else from content and name (read/formats.ts). Terms: layer = one file's features.

export { readLayer } from './read/at-once.js';
export { type Box, boxesMeet } from './read/box.js';
export { tellFormat } from './read/formats.js';
export { GeoJsonStream } from './read/geojson.js';
export { readLayerAsync } from './read/on-demand.js';
export type { ReadOptions } from './read/options.js';
export type { ShapefilePart, ShapefileParts } from './read/shapefile.js';
export { type ByteSource, blockSource } from './read/source.js';
export { readWkb } from './read/wkb.js';
