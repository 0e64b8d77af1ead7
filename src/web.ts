// What `rootberth` is outside Node (package.json, condition "default"): the core with the systems it knows without a table.
// In and out: see index.ts. Terms: see crs/projection.ts. Only a bundler can load this: proj4's modules ask for one.

import './web/base.js';

export * from './core.js';
