// What `rootberth` is in Node (package.json, condition "node"): the core with every coordinate reference system at hand.
// In and out: see index.ts. Terms: see model/.

import './node/crs.js';

export * from './core.js';
