// What `rootberth` is outside Node (package.json, condition "default"): the core with the projections of its systems.
// In and out: see index.ts. Terms: see project/projection.ts. Only a bundler can load this: proj4's modules ask for one.

import './web/projections.js';

export * from './index.js';
