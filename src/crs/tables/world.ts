// Public entry of `rootberth/crs/world`: every coordinate reference system the library knows, 110 kB compressed.
// In: the generated table; out: the same under one name, for `registerCrs`. Terms: see crs/crs-registry.ts.

import { AREAS, CONVERSIONS, DATUMS, REASONS, REFUSED, ROWS, TEMPLATES } from './all.js';
import type { CrsTable } from './table.js';

/** Every system of the EPSG registry that is computed right. Node has it registered already. */
export const world: CrsTable = {
  name: 'world',
  complete: true,
  templates: TEMPLATES,
  datums: DATUMS,
  areas: AREAS,
  conversions: CONVERSIONS,
  rows: ROWS,
  refused: REFUSED,
  reasons: REASONS,
};
