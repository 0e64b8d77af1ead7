// The whole pipeline as one sentence: surveyed trees + works + rule -> zones -> exact overlap -> verdicts.
// In: layers as read, a rule, options; out: an Assessment, readonly data in metres and percent with methods beside it.
// Terms: see model/, which has the record passed at each arrow. This room alone, and siting/, joins the stages.

import { checkValues } from '../check/index.js';
import { placeLayers } from '../crs/index.js';
import type { Assessment, Job } from '../model/index.js';
import { lotFinder } from '../plan/index.js';
import { type Air, inTheAir } from './air.js';
import { assembled } from './assemble.js';
import { checkedTables, type Tables } from './checked.js';
import { chosenRules } from './chosen-rules.js';
import { findingsOnce, measuredGrades, withGrades } from './grades.js';
import { type AssessJob, layersOf } from './job.js';
import { lotPlan } from './lots.js';
import { treeRows } from './rows.js';
import { type Site, siteOf } from './site.js';
import type { Variant } from './variant.js';
import { variantsOf } from './variants.js';

/**
 * Assesses every tree against all works together. Pure and synchronous; touches no file.
 *
 * @returns metres, square metres and percent (0 to 100); every feature read is in it, assessed or with its reasons.
 * @throws InputError when a layer can't be used at all (no coordinate system, no diameter field, unit unknown).
 * @example
 * const assessment = assess({ trees, works: [{ layer: house, kind: 'building' }], options: { crs: 'EPSG:2913' } });
 * assessment.trees[0]?.overlapPct; // 12.4
 */
export function assess(given: AssessJob): Assessment {
  const options = given.options ?? {};
  checkValues(options.values);
  const { rules, findings } = chosenRules(given.rule, options);
  const layers = layersOf(given);
  const places = placeLayers(layers, options);
  const graded = withGrades(given, places.placed, rules);
  const tables = checkedTables(graded.job, graded.placed, rules);
  const site = siteOf(graded.job, graded.placed, tables, rules[0]);
  const variants = variantsOf(site.ground, rules, given.verdicts);
  const air = inTheAir(given, site, variants.main);
  const job = jobOf(tables, site, variants.main, air);
  const findLot = tables.lots === null ? null : lotFinder(tables.lots, job.lotsLonLat);
  const grades = measuredGrades(graded, job);
  const rows = treeRows(job, site, variants, findLot, options, grades.result);
  const plan = lotPlan(job, variants.main.judged, findLot, options.mitigation);
  const before = [...findings, ...findingsOnce(layers), ...places.findings];
  return assembled({ options, inputs: places.placed, tables, site, variants, air, job, rows, plan, grades, before });
}

/** The tables that writers and drawings use. */
function jobOf(tables: Tables, site: Site, main: Variant, air: Air): Job {
  return {
    ...site.positions,
    trees: site.trees,
    works: tables.works,
    lots: tables.lots,
    existing: site.existing,
    zones: main.zones,
    zoneShapes: main.shapes,
    zonePolygons: site.drawn.zonePolygons,
    crownPolygons: site.drawn.crownPolygons,
    crowns: air.crowns,
    frameAt: site.frameAt,
    treeLayerToLonLat: site.transform.toLonLat,
    treeTransform: site.transform,
  };
}

export { DEFAULT_RULE } from './chosen-rules.js';
export { assessmentData } from './data.js';
export type { AssessJob } from './job.js';
export { lonLatOf } from './positions.js';
export { marginsNotFound } from './rows.js';
export { flagSignal } from './stoppable.js';
