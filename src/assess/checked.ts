// All layers of a job as tables. In: a job, its layers with their systems, its rules; out: checked tables, findings.
// Terms: see model/tables.ts. Linear in the vertices.

import { checkLots, checkTrees, checkWorks } from '../check/index.js';
import type { PlacedLayer } from '../crs/index.js';
import type {
  AssessOptions,
  Finding,
  Layer,
  LotTable,
  Rule,
  TreeTable,
  WorksInput,
  WorksTable,
} from '../model/index.js';
import { needsDiameter } from '../rules/index.js';
import type { AssessJob } from './job.js';

export interface Tables {
  readonly trees: TreeTable;
  readonly works: WorksTable;
  readonly existing: WorksTable | null;
  readonly lots: LotTable | null;
  /** How the layers were read: the options, and which layers are in degrees. */
  readonly reading: AssessOptions & { readonly degrees: ReadonlySet<Layer> };
  readonly findings: readonly Finding[];
  /** Whether the survey is so old that the date of the run is part of the result. */
  readonly isOld: boolean;
}

/** @throws InputError when a layer can't be used at all */
export function checkedTables(job: AssessJob, placed: readonly PlacedLayer[], rules: readonly Rule[]): Tables {
  const stop = (): void => job.signal?.throwIfAborted();
  // Single trees without a diameter are left to the rules.
  const diameter = rules.some(({ zone }) => needsDiameter(zone)) ? 'field' : 'optional';
  // Rings in degrees may run across 180.
  const inDegrees = placed.filter(({ transform }) => transform.crs.kind === 'geographic').map(({ layer }) => layer);
  const reading = { ...job.options, degrees: new Set(inDegrees) };
  stop();
  const trees = checkTrees(job.trees, { ...reading, diameter });
  stop();
  const works = checkWorks(job.works ?? [], reading);
  stop();
  const existing = job.existing === undefined ? null : checkWorks(existingInputs(job.existing), reading, 'existing');
  const lots = job.lots === undefined ? null : checkLots(job.lots, reading);
  return {
    trees: trees.table,
    works: works.table,
    existing: existing?.table ?? null,
    lots: lots?.table ?? null,
    reading,
    findings: [...trees.findings, ...works.findings, ...(existing?.findings ?? []), ...(lots?.findings ?? [])],
    isOld: trees.findings.some((one) => one.code === 'survey-old'),
  };
}

/** What stands today needs no kind: it is hard ground. */
function existingInputs(layers: readonly Layer[]): WorksInput[] {
  return layers.map((layer) => ({ layer, kind: 'paving' }));
}
