// Registers every coordinate reference system, what works with them, and proj4's projections: in Node all are available.
// In: nothing; out: nothing, by being imported. Terms: see crs/crs-registry.ts and crs/projection.ts.

import proj4 from 'proj4';
import type { ProjectionMethods } from '../crs/index.js';
import { ALL_TABLE_WORK, registerCrs, useProjections, useTableWork } from '../crs/index.js';
import { world } from '../crs/tables/world.js';

const { projections } = proj4.Proj as unknown as { projections: { get(name: string): ProjectionMethods | undefined } };
useProjections((name) => projections.get(name));
useTableWork(ALL_TABLE_WORK);
registerCrs(world);
