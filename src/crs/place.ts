// The project stage: what a layer says of its coordinates -> one vetted Crs -> lon/lat -> a true-to-size local frame.
// In: layers, codes, .prj texts; out: Crs, transformations and frames, findings about places. Terms: see model/.

import type { CrsTransform, Finding } from '../model/index.js';
import { assignCrs, type CrsOptions } from './assign.js';
import { checkPositions } from './positions.js';
import type { AssignedLayer, RoleLayer } from './stated.js';
import { transformFor } from './transform.js';

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
