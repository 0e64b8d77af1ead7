// Registers every coordinate reference system: in Node all of them are at hand. In: nothing; out: nothing, by being imported.
// Terms: see project/crs-registry.ts.

import { world } from '../crs/world.js';
import { registerCrs } from '../project.js';

registerCrs(world);
