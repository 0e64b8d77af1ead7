// Options of the drawing and of the report, as a caller gives them. In: names and plain values; out: checked values.
// Terms: stamp = words laid over everything ("invented data"); cards = how many trees get a card of their own.

import type { ShadeResult, Siting } from '../model/index.js';
import { type Finding, InputError } from '../model/index.js';
import type { Units } from '../write/index.js';

/** Options of `toPlan`. */
export interface PlanOptions {
  /** `us`: feet and inches first; metric otherwise (default). */
  readonly units?: Units | undefined;
  /** A3, A2, letter, tabloid, ... with -portrait or -landscape; default A3 (tabloid in us units), lying as fits best. */
  readonly sheet?: string | undefined;
  /** 1:200, 1in=20ft; default the largest round scale at which everything fits. */
  readonly scale?: string | undefined;
  /** Words on the drawing that say what it is not: 'invented data'. */
  readonly stamp?: string | undefined;
  /** Which trees are drawn and listed, as in `toGeoJSON`: `protected`, `over-limit`, `lot=7`. Counts stay those of all. */
  readonly only?: readonly string[] | undefined;
  /** Heading of the title block; default 'Trees and proposed works'. */
  readonly title?: string | undefined;
}

/** Options of `toReport`. */
export interface ReportOptions extends PlanOptions {
  /** Trees over their limit that get a card, worst first; default 200. */
  readonly cards?: number | undefined;
  /** Rows of the schedule; default 5000. The rest is in the CSV. */
  readonly rows?: number | undefined;
  /** Where the works could stand: a section with the best place drawn beside the works as drawn. */
  readonly siting?: Siting | undefined;
  /** Findings of drawing and writing, listed after the assessment's own. */
  readonly more?: readonly Finding[] | undefined;
  /** Sun and shade of the facades, where they were computed. */
  readonly shade?: ShadeResult | undefined;
}

export const TITLE = 'Trees and proposed works';
export const CARDS_AT_MOST = 200;
export const ROWS_AT_MOST = 5000;

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
