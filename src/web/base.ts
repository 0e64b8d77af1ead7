// Registers the projections of the systems that a web page knows without any table, and that of the frame in which everything is
// measured. In: nothing; out: nothing, by being imported. Terms: see crs/projection.ts; the others come with the first table (systems.ts).

import longlat from 'proj4/lib/projections/longlat.js';
import merc from 'proj4/lib/projections/merc.js';
import { useProjections } from '../crs/index.js';
import { tmerc } from './transverse.js';

const BASE = [longlat, merc, tmerc];
useProjections((name) => BASE.find((one) => one.names.includes(name)));
