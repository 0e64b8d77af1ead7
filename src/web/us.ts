// What `rootberth/crs/us` is outside Node: the systems of the United States and its territories, and what works with them. In: nothing; out: the table,
// for `registerCrs`. Terms: see crs/crs-registry.ts.

import './systems.js';

export { us } from '../crs/tables/us.js';
