// What every table of systems brings to a web page: the projections, and the work that only makes sense with tables.
// In: nothing; out: nothing, by being imported. Terms: see crs/table-work.ts.

import './projections.js';
import { ALL_TABLE_WORK, useTableWork } from '../crs/index.js';

useTableWork(ALL_TABLE_WORK);
