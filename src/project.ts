// The project stage: what a layer says of its coordinates -> one vetted Crs -> lon/lat -> a true-to-size local frame.
// In: layers, codes, .prj texts; out: Crs, transformations and frames, findings about places. Terms: see types.ts.

import type { Finding } from './findings.js';
import { type AssignedLayer, assignCrs, type CrsOptions, type RoleLayer } from './project/assign.js';
import { checkPositions } from './project/positions.js';
import { transformFor } from './project/transform.js';
import type { CrsTransform } from './types.js';

export { ALL_TABLE_WORK } from './project/all-table-work.js';
export { type AssignedLayer, assignCrs, type CrsOptions, type RoleLayer, resolveStatement } from './project/assign.js';
export { boundsOf, lonLatBounds } from './project/bounds.js';
export { type CrsTable, registerCrs } from './project/crs-registry.js';
export { CRS84, findCrs } from './project/find.js';
export { CELL, cellOf, frameAt, frameKey, frameOf, planeFrame } from './project/frame.js';
export { type GridAbout, type GridPart, shiftGrid } from './project/grid.js';
export { readNtv2 } from './project/ntv2.js';
export { checkPositions, compareLayers } from './project/positions.js';
export { useProjections } from './project/projection.js';
export { useTableWork } from './project/table-work.js';
export { PLANE_STEP, transformFor } from './project/transform.js';
export { crsFromWkt } from './project/wkt.js';

/** A layer with its system and the way to lon/lat. */
export interface PlacedLayer extends AssignedLayer {
  readonly transform: CrsTransform;
}

/**
 * Assigns every layer its coordinate system and looks at where the layers lie.
 *
 * @throws InputError as `assignCrs` does.
 * @example
 * const { placed, findings } = placeLayers([{ role: 'trees', layer }], { crs: 'EPSG:2913' });
 */
export function placeLayers(
  layers: readonly RoleLayer[],
  options: CrsOptions = {},
): { readonly placed: readonly PlacedLayer[]; readonly findings: readonly Finding[] } {
  const { assigned, findings } = assignCrs(layers, options);
  return {
    placed: assigned.map((one) => ({ ...one, transform: transformFor(one.crs) })),
    findings: [...findings, ...checkPositions(assigned)],
  };
}
