// The job as it is given. In: layers as read and how to judge them; out: its type, its layers by role.
// Terms: see model/.

import type {
  AssessOptions,
  Grades,
  Layer,
  LayerRole,
  Progress,
  Rule,
  StopSignal,
  WorksInput,
} from '../model/index.js';
import type { Runner } from '../overlap/index.js';

/** What `assess` is given: layers as read, and how to judge them. */
export interface AssessJob {
  readonly trees: Layer;
  /** The proposed works. Without any (left out, or an empty list) there are zones and no verdicts: a survey before a design. */
  readonly works?: readonly WorksInput[] | undefined;
  readonly lots?: Layer;
  /** Hard surfaces and structures that stand today. */
  readonly existing?: readonly Layer[];
  /** Zones that an arborist drew, joined to the trees by id. */
  readonly zones?: Layer;
  /** Crowns that an arborist drew, the same. */
  readonly crowns?: Layer;
  /** A limb list: a table without coordinates, joined to the trees by name. */
  readonly limbs?: Layer;
  /** Surfaces of the ground as it is and as it is to be; made by `gradesOf`. What they change counts as fill and excavation. */
  readonly grades?: Grades | undefined;
  /**
   * Default: the built-in `foot-per-inch`, with a finding that says so. Of several, the first makes the plain figures;
   * the others are shown beside them.
   */
  readonly rule?: Rule | readonly Rule[];
  readonly options?: AssessOptions;
  /**
   * Verdicts of all trees, by index into VERDICTS, where tiles of the job have judged them already.
   * Lots, totals and fences use them.
   */
  readonly verdicts?: Uint8Array;
  /** Who measures: default the calling thread; `threadRunner` of rootberth/node for several. */
  readonly runner?: Runner;
  /** Called with the progress of the job; an exception from it stops the job. */
  readonly onProgress?: ((progress: Progress) => void) | undefined;
  /** Stops the job with the signal's reason; checked between stages and batches of trees. */
  readonly signal?: StopSignal | undefined;
}

/** Every layer that has positions, with its role. */
export function layersOf(job: AssessJob): { readonly role: LayerRole; readonly layer: Layer }[] {
  const single = (role: LayerRole, layer: Layer | undefined) => (layer === undefined ? [] : [{ role, layer }]);
  return [
    ...single('trees', job.trees),
    ...(job.works ?? []).map(({ layer }) => ({ role: 'works' as const, layer })),
    ...single('lots', job.lots),
    ...(job.existing ?? []).map((layer) => ({ role: 'existing' as const, layer })),
    ...single('zones', job.zones),
    ...single('crowns', job.crowns),
    ...gradeLayers(job.grades).map((layer) => ({ role: 'grades' as const, layer })),
  ];
}

/** The layers of both surfaces; one where both came from one. */
function gradeLayers(grades: Grades | undefined): readonly Layer[] {
  if (grades === undefined) return [];
  return grades.existing === grades.proposed ? [grades.existing] : [grades.existing, grades.proposed];
}
