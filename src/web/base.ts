// Registers the projections of the systems that a web page knows without any table. In: nothing; out: nothing, by being
// imported. Terms: see project/projection.ts; the others come with the first table (systems.ts).

import longlat from 'proj4/lib/projections/longlat.js';
import merc from 'proj4/lib/projections/merc.js';
import { useProjections } from '../project.js';

const BASE = [longlat, merc];
useProjections((name) => BASE.find((one) => one.names.includes(name)));
