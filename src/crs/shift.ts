// In: a system and its projection; out: its way to WGS 84. Terms: see datum.ts.

import type { Crs } from '../model/index.js';
import { type DatumShift, datumShift, gridShift } from './datum.js';
import { type Projection, projection } from './projection.js';

/** A system's way to WGS 84: its grids, with its seven parameters outside them, or those alone. */
export function shiftOf(crs: Crs, p: Projection): DatumShift | null {
  const plain = datumShift(p);
  if (crs.grids === undefined) return plain;
  const grids = crs.grids.map(({ grid, onwards }) => ({
    grid,
    onwards: onwards === '' ? null : datumShift(projection(onwards)),
  }));
  return gridShift(grids, plain);
}
