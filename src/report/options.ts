// Options of the drawing and of the report, as a caller gives them. In: names and plain values; out: checked values.
// Terms: stamp = words laid over everything ("invented data"); cards = how many trees get a card of their own.

import {
  type Assessment,
  type Finding,
  hasWorks,
  InputError,
  type Packet,
  type Protection,
  type ShadeResult,
  type Siting,
} from '../model/index.js';
import type { Units } from '../write/index.js';
import type { Drawing } from './drawing/drawings.js';

/** Options of `toPlan`. */
export interface PlanOptions {
  /** `us`: feet and inches first; metric otherwise (default). */
  readonly units?: Units | undefined;
  /** A3, A2, letter, tabloid, ... with -portrait or -landscape; default A3 (tabloid in us units), lying as fits best. */
  readonly sheet?: string | undefined;
  /** 1:200, 1in=20ft; default the largest round scale at which everything fits. */
  readonly scale?: string | undefined;
  /** Drawings of the set that `toPlanSheets` draws, in this order; default: one that shows all. */
  readonly drawings?: readonly Drawing[] | undefined;
  /** Words on the drawing that say what it is not: 'invented data'. */
  readonly stamp?: string | undefined;
  /** Which trees are drawn and listed, as in `toGeoJSON`: `protected`, `over-limit`, `lot=7`. Counts stay those of all. */
  readonly only?: readonly string[] | undefined;
  /** Heading of the title block; default 'Trees and proposed works'. */
  readonly title?: string | undefined;
  /** Who hands in what, for where: fields that are not given print as lines to fill in. */
  readonly packet?: Packet | undefined;
}

/** Options of `toReport`. */
export interface ReportOptions extends PlanOptions {
  /** Trees over their limit that get a card: first those that a change of the design can save; default 40. */
  readonly cards?: number | undefined;
  /** Rows of the inventory; default 800. The rest is in the inventory file. */
  readonly rows?: number | undefined;
  /** Where the works could stand: a section with the best place drawn beside the works as drawn. */
  readonly siting?: Siting | undefined;
  /** Findings of drawing and writing, listed after the assessment's own. */
  readonly more?: readonly Finding[] | undefined;
  /** Sheet of the plan in the report; default: `sheet`. */
  readonly reportSheet?: string | undefined;
  /** Parts of the report, in the order of PARTS whatever the order here; default: all of them. */
  readonly parts?: readonly Part[] | undefined;
  /** Sun and shade of the facades, where they were computed. */
  readonly shade?: ShadeResult | undefined;
  /** What the protection sheet says; default the built-in notes. Spacings that the job’s own fences have win. */
  readonly protection?: Protection | undefined;
}

/** The title where none is given. */
export function titleOf(assessment: Assessment, { title }: { readonly title?: string | undefined }): string {
  return (
    title ?? (hasWorks(assessment.job.works) ? 'Trees and proposed works' : 'Trees and their root protection zones')
  );
}

/** So many of each keep the packet of a subdivision under 60 pages: two cards or some 30 rows of a full inventory stand on one. */
export const CARDS_AT_MOST = 40;
export const ROWS_AT_MOST = 800;

/** Parts of the report, in their order. */
export const PARTS = [
  'answer',
  'siting',
  'plan',
  'cards',
  'worth',
  'inventory',
  'removals',
  'lots',
  'designs',
  'protection',
  'shade',
  'signoff',
  'appendix',
] as const;

export type Part = (typeof PARTS)[number];

/** Said wherever a figure could be read as a promise. */
export const NOT_A_VERDICT =
  'Informs a decision. A qualified arborist and the local code decide. A percent of area is not stability.';

/** The unit system asked for; throws InputError (usage) on one that is not known. */
export function unitsOf(options: PlanOptions): Units {
  const units = options.units ?? 'metric';
  if (units !== 'metric' && units !== 'us') {
    throw new InputError('units-unknown', `units "${String(units)}" are not known`, {
      cure: 'choose from metric, us',
      usage: true,
    });
  }
  return units;
}
