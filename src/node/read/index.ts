// The front of node/read/: what other rooms may import of it. In and out: see each name’s own file.

export { embeddedLayer, isEmbedded } from './embedded.js';
export { type FileReadOptions, readBytes, readLayer, readNotesFile } from './files.js';
export { readGeoPackageProvenance } from './gpkg.js';
export { readGrid } from './grid-file.js';
export { textFile } from './text-file.js';
export { readZip } from './zip.js';
