// The front of node/read/: what other rooms may import of it. In and out: see each name’s own file.

export { type FileReadOptions, inputBytes, readLayer } from './files.js';
export { readGrid } from './grid-file.js';
export { textFile } from './text-file.js';
export { readZip } from './zip.js';
