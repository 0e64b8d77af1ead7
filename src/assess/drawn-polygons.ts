// Drawn zones and crowns in the run. In: placed layers, trees with their positions; out: what the job holds of each
// layer, counts and findings. Terms: see model/ (DrawnTable).

import { checkDrawn, trunksOutside } from '../check/index.js';
import type { PlacedLayer } from '../crs/index.js';
import type { AssessOptions, Counts, DrawnPolygons, DrawnTable, Finding, Layer, TreeTable } from '../model/index.js';
import { lonLatOf } from './positions.js';

export interface DrawnResult {
  readonly zonePolygons: DrawnPolygons | null;
  readonly crownPolygons: DrawnPolygons | null;
  readonly counts: Pick<Counts, 'zones' | 'crowns'>;
  readonly findings: readonly Finding[];
}

/** Checks the layers of both roles, joins them to the trees and checks where the trunks stand. */
export function drawnPolygons(
  placed: readonly PlacedLayer[],
  { trees, treeLonLat }: { readonly trees: TreeTable; readonly treeLonLat: Float64Array },
  options: AssessOptions & { readonly degrees: ReadonlySet<Layer> },
): DrawnResult {
  const findings: Finding[] = [];
  const polygons = (role: DrawnTable['role']): DrawnPolygons | null => {
    const one = placed.find((layer) => layer.role === role);
    if (one === undefined) return null;
    const { table, findings: checked } = checkDrawn(one.layer, role, trees, options);
    const lonLat = lonLatOf(table.geometry.xy, one.transform);
    findings.push(...checked, ...trunksOutside(table, lonLat, treeLonLat));
    return { table, lonLat };
  };
  const zonePolygons = polygons('zones');
  const crownPolygons = polygons('crowns');
  return {
    zonePolygons,
    crownPolygons,
    counts: {
      ...(zonePolygons === null ? {} : { zones: tallyOf(zonePolygons.table) }),
      ...(crownPolygons === null ? {} : { crowns: tallyOf(crownPolygons.table) }),
    },
    findings,
  };
}

function tallyOf({ count, rejected }: DrawnTable): NonNullable<Counts['zones']> {
  return { in: count, joined: count - rejected.size, rejected: rejected.size };
}
