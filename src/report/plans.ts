// Plans: an Assessment -> drawings (SVG). In: an assessment and options; out: text.
// Terms: see report/options.ts. Every sink draws from the same result; the browser uses these as they are.

import type { Assessment, Siting } from '../model/index.js';
import { shownTrees } from '../write/index.js';
import type { PlanOptions } from './options.js';
import { drawEmptyPlan } from './sheets/empty.js';
import { drawPlan } from './sheets/plan.js';
import { drawSheets, type PlanSheet } from './sheets/plan-sheets.js';
import { drawSiting } from './sheets/siting-drawing.js';

/**
 * The plan as SVG, true to a stated scale on a stated sheet: lots, works, zones, rings, overlap, severed ground and trees,
 * with legend, scale bar and north arrow. User units are millimetres of paper. The same bytes every time.
 *
 * @throws InputError (usage) for a sheet or a scale that is not known, or at which the site does not fit
 * @example
 * toPlan(assessment, { sheet: 'A3', scale: '1:200' }).startsWith('<svg'); // true
 */
export function toPlan(assessment: Assessment, options: PlanOptions = {}): string {
  const shown = shownTrees(assessment, { only: options.only });
  return drawPlan(shown, options, false)?.svg ?? drawEmptyPlan(shown, options);
}

/**
 * The plan as numbered sheets: a drawing each, and cut with match lines and a key plan where the scale asked for does not fit.
 * The same bytes every time.
 *
 * @throws InputError (usage) for a sheet or a scale that is not known, or one that takes more than 80 sheets
 * @example
 * toPlanSheets(assessment, { sheet: 'A3', scale: '1:100', drawings: ['existing', 'protection'] }).map(({ svg }) => svg);
 */
export function toPlanSheets(assessment: Assessment, options: PlanOptions = {}): readonly PlanSheet[] {
  return drawSheets(shownTrees(assessment, { only: options.only }), options);
}

/**
 * A place of a siting drawn beside the works as drawn, as SVG: same ground, same scale; '' where there is no such place.
 *
 * @example
 * toSitingPlan(found, { units: 'us' }).startsWith('<svg'); // true
 */
export function toSitingPlan(siting: Siting, options: PlanOptions & { readonly rank?: number } = {}): string {
  return drawSiting(siting, options.rank ?? 1, options, true)?.svg ?? '';
}
