// What `rootberth/crs/europe` is outside Node: the systems of Europe, and what works with them. In: nothing; out: the table,
// for `registerCrs`. Terms: see crs/crs-registry.ts.

import './systems.js';

export { europe } from '../crs/tables/europe.js';
