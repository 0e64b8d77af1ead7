// The limb list in the run. In: its layer, the trees, the structures; out: results, counts, its record and findings.
// Terms: see crown/limbs.ts. A limb list has no coordinates and needs no coordinate system of its own.

import { checkLimbs } from '../check/index.js';
import { limbResults, type StructureSource } from '../crown/index.js';
import type {
  AssessOptions,
  Counts,
  CrsTransform,
  Finding,
  Frame,
  InputRecord,
  Layer,
  LimbResult,
  TreeTable,
} from '../model/index.js';

export interface LimbsInput {
  readonly trees: TreeTable;
  readonly treeLonLat: Float64Array;
  readonly trunkRadiusM: Float64Array;
  readonly transform: CrsTransform; // of the tree layer
  readonly structures: readonly StructureSource[];
  readonly clearanceM: number;
  frameAt(lon: number, lat: number): Frame;
}

export interface LimbsResult {
  readonly limbs: readonly LimbResult[];
  readonly counts: Pick<Counts, 'limbs'>;
  readonly inputs: readonly InputRecord[];
  readonly findings: readonly Finding[];
}

/** Empty without a list. */
export function limbsOf(layer: Layer | undefined, input: LimbsInput, options: AssessOptions): LimbsResult {
  if (layer === undefined) return { limbs: [], counts: {}, inputs: [], findings: [] };
  const { table, findings } = checkLimbs(layer, input.trees, options);
  const { transform } = input;
  const placed = limbResults({
    ...input,
    limbs: table,
    limitM: options.limbs?.limitM,
    convergence: (lon, lat) => (transform.crs.kind === 'geographic' ? null : transform.convergence(lon, lat)),
  });
  const accepted = placed.limbs.filter((limb) => limb.accepted).length;
  return {
    limbs: placed.limbs,
    counts: { limbs: { in: table.count, accepted, rejected: table.count - accepted } },
    inputs: [recordOf(layer)],
    findings: [...layer.findings, ...findings, ...placed.findings],
  };
}

function recordOf(layer: Layer): InputRecord {
  return {
    role: 'limbs',
    name: layer.name,
    format: layer.format,
    sha256: layer.sha256,
    crs: 'none',
    crsFrom: 'a list without coordinates',
    datumOperation: 'none needed',
    datumAccuracyM: null,
    features: layer.count,
  };
}
