// What `rootberth/crs/oceania` is outside Node: the systems of Australia and New Zealand, and what works with them. In: nothing; out: the table,
// for `registerCrs`. Terms: see crs/crs-registry.ts.

import './systems.js';

export { oceania } from '../crs/tables/oceania.js';
