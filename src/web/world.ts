// What `rootberth/crs/world` is outside Node: the systems of everywhere, and what works with them. In: nothing; out: the table,
// for `registerCrs`. Terms: see crs/crs-registry.ts.

import './systems.js';

export { world } from '../crs/tables/world.js';
