// The whole pipeline on one page: surveyed trees + works + rule -> zones -> exact overlap -> verdicts.
// In: layers as read, a rule, options; out: an Assessment, plain readonly data in metres and percent.
// Terms: see model/, which has the record passed at each arrow. This file alone joins the stages.

import { checkLots, checkTrees, checkValues, checkWorks } from '../check/index.js';
import { crowns } from '../crown/index.js';
import { frameAt, placeLayers, planeFrame } from '../crs/index.js';
import type { Rule } from '../model/index.js';
import {
  type Assessment,
  type AssessOptions,
  type CrsTransform,
  type Finding,
  finding,
  InputError,
  type Job,
  keepTreeViews,
  type Layer,
  type LayerRole,
  type OtherReckoning,
  type Progress,
  type StemAtFace,
  type StopSignal,
  stakesNeedPlane,
  type TreeResult,
  type TreeTable,
  VERDICTS,
  VERSION,
  type WorksInput,
  type WorksTable,
} from '../model/index.js';
import type { Runner } from '../overlap/index.js';
import { lotFinder } from '../plan/index.js';
import { builtinRule, diametersUsed, needsDiameter, ruleFindings, withLimit } from '../rules/index.js';
import { drawing } from './drawing.js';
import { drawnPolygons } from './drawn-polygons.js';
import { drawnZones } from './drawn-zones.js';
import { fencesOf } from './fences.js';
import { groupOutlines } from './groups.js';
import { limbsOf } from './limbs.js';
import { lotPlan } from './lots.js';
import { Margins } from './margin.js';
import { lonLatOf, treeLonLat, worksLonLat } from './positions.js';
import { reckoningsOf } from './reckoning.js';
import { inputRecords, TreeRows, tally, verdictCounts, worksResults } from './results.js';
import { type Holds, offBy, type Reckoned, steadiness } from './steady.js';
import { type Stems, stemCentres } from './stems.js';
import { stopped } from './stoppable.js';
import { standing, structuresOf } from './structures.js';
import { type Ground, type Variant, variantOf } from './variant.js';

/** What `assess` is given: layers as read, and how to judge them. */
export interface AssessJob {
  readonly trees: Layer;
  readonly works: readonly WorksInput[];
  readonly lots?: Layer;
  /** Hard surfaces and structures that stand today. */
  readonly existing?: readonly Layer[];
  /** Zones that an arborist drew, joined to the trees by id. */
  readonly zones?: Layer;
  /** Crowns that an arborist drew, the same. */
  readonly crowns?: Layer;
  /** A limb list: a table without coordinates, joined to the trees by name. */
  readonly limbs?: Layer;
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

/** Margins take milliseconds a tree: jobs of up to this many trees work them out by default. */
const MARGINS_UNASKED = 1000;

/** The rule used when none is chosen. */
export const DEFAULT_RULE = 'foot-per-inch';

/**
 * Assesses every tree against all works together. Pure and synchronous; touches no file.
 *
 * @returns metres, square metres and percent (0 to 100); every feature read is in it, assessed or with its reasons.
 * @throws InputError when a layer can't be used at all (no coordinate system, no diameter field, unit unknown).
 * @example
 * const assessment = assess({ trees, works: [{ layer: house, kind: 'building' }], options: { crs: 'EPSG:2913' } });
 * assessment.trees[0]?.overlapPct; // 12.4
 */
export function assess(job: AssessJob): Assessment {
  const options = job.options ?? {};
  checkValues(options.values);
  const chosen = chosenRules(job.rule, options);
  const [rule] = chosen.rules;

  const { placed, findings: crsFindings } = placeLayers(rolesOf(job), options);
  // Single trees without a diameter are left to the rules.
  const diameter = chosen.rules.some(({ zone }) => needsDiameter(zone)) ? 'field' : 'optional';
  // Rings in degrees may run across 180.
  const inDegrees = placed.filter(({ transform }) => transform.crs.kind === 'geographic').map(({ layer }) => layer);
  const reading = { ...options, degrees: new Set(inDegrees) };
  job.signal?.throwIfAborted();
  const trees = checkTrees(job.trees, { ...reading, diameter });
  job.signal?.throwIfAborted();
  const works = checkWorks(job.works, reading);
  job.signal?.throwIfAborted();
  const existing = job.existing === undefined ? null : checkWorks(existingInputs(job.existing), reading, 'existing');
  const lots = job.lots === undefined ? null : checkLots(job.lots, reading);

  const transformsOf = (role: LayerRole): CrsTransform[] => {
    return placed.filter((layer) => layer.role === role).map((layer) => layer.transform);
  };
  const [transform] = transformsOf('trees') as [CrsTransform];
  const [lotsTransform] = transformsOf('lots');
  if (options.fences?.stakesInSurvey === true && transform.crs.kind === 'geographic') throw stakesNeedPlane();
  // A local ground system is one plane; the earth is a lattice of true-to-size frames.
  const frames = transform.crs.kind === 'local' ? () => planeFrame : frameAt;
  const stems = stemsOf(trees.table, rule, transform, options.stemAt, frames);
  const positions = {
    treeLonLat: stems.treeLonLat,
    worksLonLat: worksLonLat(works.table, transformsOf('works')),
    lotsLonLat: lots && lotsTransform ? lonLatOf(lots.table.geometry.xy, lotsTransform) : new Float64Array(),
  };
  const hard =
    existing === null ? null : { works: existing.table, lonLat: worksLonLat(existing.table, transformsOf('existing')) };
  const drawn = drawnPolygons(placed, stems, reading);
  const ground: Ground = {
    ...positions,
    trees: stems.trees,
    works: works.table,
    existing: hard && { ...hard, use: options.existingUse ?? 'counted' },
    shapes: drawnZones(drawn.zonePolygons, positions.treeLonLat, frames),
    groups: {
      outlines: groupOutlines({ trees: stems.trees, treeLonLat: stems.treeLonLat, transform, frameAt: frames }),
      transform,
    },
    runner: job.runner,
    frameAt: frames,
    tick(done) {
      job.onProgress?.({ stage: 'measure', name: job.trees.name, done, total: job.trees.count });
      job.signal?.throwIfAborted();
    },
    look: () => job.signal?.throwIfAborted(),
  };
  const [option, ...otherOptions] = designOptions(works.table);
  const main = judgedBy(job.verdicts, variantOf(ground, rule, option));
  const otherRules = chosen.rules.slice(1).map((other) => variantOf(ground, other, option));
  const others = otherOptions.map((other) => variantOf(ground, rule, other));
  const clearanceM = options.clearanceM ?? 0;
  const air = {
    trees: stems.trees,
    treeLonLat: positions.treeLonLat,
    structures: [
      structuresOf(works.table, positions.worksLonLat, main.weights, clearanceM),
      ...(hard === null ? [] : [standing(hard.works, hard.lonLat, clearanceM)]),
    ],
    clearanceM,
    frameAt: frames,
  };
  const crowned = crowns({ ...air, crownPolygons: drawn.crownPolygons });
  const limbs = limbsOf(job.limbs, { ...air, trunkRadiusM: main.zones.trunkRadiusM, transform }, options);

  const jobTables: Job = {
    ...positions,
    trees: stems.trees,
    works: works.table,
    lots: lots?.table ?? null,
    existing: hard,
    zones: main.zones,
    zoneShapes: main.shapes,
    zonePolygons: drawn.zonePolygons,
    crownPolygons: drawn.crownPolygons,
    crowns: crowned?.table ?? null,
    frameAt: frames,
    treeLayerToLonLat: transform.toLonLat,
    treeTransform: transform,
  };
  const findLot = lots === null ? null : lotFinder(lots.table, positions.lotsLonLat);
  const withMargins = options.margins ?? trees.table.count <= MARGINS_UNASKED;
  const rowsOf = (variant: Variant, margins: Margins | null, holds: Holds | null): TreeRows => {
    const { zones, measured, judged } = variant;
    const margin = margins && ((row: number) => margins.at(row));
    return new TreeRows({ ...jobTables, zones, overlap: measured.table, judged, findLot, transform, margin, holds });
  };
  const marginsOf = (variant: Variant): Margins | null => (withMargins ? new Margins(variant) : null);
  const margins = marginsOf(main);
  const off = options.dbhAccuracyM ?? 0;
  const thinner = margins === null || off === 0 ? [] : [-off, off].map((by) => reckoned(ground, by, rule, option));
  const holds = margins && steadiness(stems.trees, [{ variant: main, margins }, ...thinner]);
  const rows = rowsOf(main, margins, holds);
  const otherRows = (variant: Variant): TreeRows => rowsOf(variant, marginsOf(variant), null);
  const planned = lotPlan(jobTables, main.judged, findLot, options.mitigation);
  let fences: Assessment['fences'] | undefined;
  const laidOut = (signal?: StopSignal): Assessment['fences'] => {
    fences ??= fencesOf(jobTables, main.judged, options.fences, signal);
    return fences;
  };
  let everyTree: readonly TreeResult[] | undefined;
  let everyWorks: Assessment['works'] | undefined;
  const assessment: Assessment = {
    version: VERSION,
    rule,
    options: trees.findings.some((one) => one.code === 'survey-old') ? options : undated(options),
    option,
    inputs: [...inputRecords(placed), ...limbs.inputs],
    limbs: limbs.limbs,
    counts: {
      ...tally(main, works.table, existing?.table ?? null, lots?.table ?? null),
      ...drawn.counts,
      ...limbs.counts,
    },
    findings: [
      ...chosen.findings,
      ...rolesOf(job).flatMap(({ layer }) => layer.findings),
      ...crsFindings,
      ...trees.findings,
      ...works.findings,
      ...(existing?.findings ?? []),
      ...(lots?.findings ?? []),
      ...main.findings,
      ...otherRules.flatMap((other) => other.findings),
      ...stems.findings,
      ...drawn.findings,
      ...(crowned?.findings ?? []),
      ...limbs.findings,
      ...worksFindings(works.table, [main, ...otherRules]),
      ...planned.findings,
      // Stay silent if margins were switched off.
      ...(withMargins || options.margins === false ? [] : [marginsSkipped(trees.table.count)]),
    ],
    get trees() {
      everyTree ??= rows.all();
      return everyTree;
    },
    tree: (row) => rows.at(row),
    eachTree: () => rows.eachOwn(),
    otherRules: otherRules.map((other) => reckoningOf(other, otherRows(other))),
    otherOptions: others.map((other) => reckoningOf(other, otherRows(other))),
    get works() {
      everyWorks ??= [...worksResults(works.table, main.weights, rule)];
      return everyWorks;
    },
    eachWorks: () => worksResults(works.table, main.weights, rule),
    lots: planned.lots,
    get totals() {
      return planned.totals;
    },
    get fences() {
      return laidOut();
    },
    // Of whatever it is asked of: an assessment may be spread, or stand behind another.
    stoppedBy(signal) {
      return stopped(this, signal, laidOut);
    },
    job: jobTables,
    reckoning: reckoningsOf(main),
    ...drawing(jobTables, main.measured, rows),
  };
  keepTreeViews(assessment, rows);
  return assessment;
}

/** A date that made no survey old is not part of the result, so the same job gives the same bytes tomorrow. */
function undated({ today: _, ...options }: AssessOptions): AssessOptions {
  return options;
}

function rolesOf(job: AssessJob): { readonly role: LayerRole; readonly layer: Layer }[] {
  const single = (role: LayerRole, layer: Layer | undefined) => (layer === undefined ? [] : [{ role, layer }]);
  return [
    ...single('trees', job.trees),
    ...job.works.map(({ layer }) => ({ role: 'works' as const, layer })),
    ...single('lots', job.lots),
    ...(job.existing ?? []).map((layer) => ({ role: 'existing' as const, layer })),
    ...single('zones', job.zones),
    ...single('crowns', job.crowns),
  ];
}

/** What stands today needs no kind: it is hard ground. */
function existingInputs(layers: readonly Layer[]): WorksInput[] {
  return layers.map((layer) => ({ layer, kind: 'paving' }));
}

/** Trunk centres: as surveyed, or moved from the face by half the diameter that the rule uses. */
function stemsOf(
  trees: TreeTable,
  rule: Rule,
  transform: CrsTransform,
  stemAt: StemAtFace | undefined,
  frames: Job['frameAt'],
): Stems {
  const shot = treeLonLat(trees, transform);
  if (stemAt === undefined) return { trees, treeLonLat: shot, findings: [] };
  return stemCentres({ trees, dbhM: diametersUsed(trees, rule), treeLonLat: shot, transform, stemAt, frameAt: frames });
}

/** Design options in order of first mention; one that is undefined where works have none. */
function designOptions({ option, rejected }: WorksTable): readonly (string | undefined)[] {
  const names = new Set(option.filter((name, row) => name !== undefined && !rejected.has(row)));
  return names.size === 0 ? [undefined] : [...names];
}

/** The variant, with verdicts found elsewhere. */
function judgedBy(verdicts: Uint8Array | undefined, variant: Variant): Variant {
  if (verdicts === undefined) return variant;
  const of = VERDICTS.map((verdict) => ({ verdict, consequence: '', reasons: [] }));
  return { ...variant, judged: Array.from(verdicts, (index) => of[index]!) };
}

/** The same trees with diameters that are all off by a length. */
function reckoned(ground: Ground, byM: number, rule: Rule, option: string | undefined): Reckoned {
  const variant = variantOf({ ...ground, trees: offBy(ground.trees, byM) }, rule, option);
  return { variant, margins: new Margins(variant) };
}

function marginsSkipped(count: number): Finding {
  const message = `margins were not found for ${count} trees: each takes milliseconds, and they are left out of jobs of more than ${MARGINS_UNASKED}`;
  return finding('margins-skipped', {}, message, 'ask for them with --margins all');
}

function reckoningOf(variant: Variant, rows: TreeRows): OtherReckoning {
  const { rule, option, judged, zones, shapes } = variant;
  const reckoning: OtherReckoning = {
    rule,
    option,
    counts: verdictCounts(judged),
    tree: (row) => rows.at(row),
    reckoning: reckoningsOf(variant),
    zones,
    zoneShapes: shapes,
  };
  keepTreeViews(reckoning, rows);
  return reckoning;
}

function chosenRules(
  given: Rule | readonly Rule[] | undefined,
  options: AssessOptions,
): { readonly rules: readonly [Rule, ...Rule[]]; readonly findings: readonly Finding[] } {
  const list = given === undefined ? [] : Array.isArray(given) ? (given as readonly Rule[]) : [given as Rule];
  const named = list.length === 0 ? [builtinRule(DEFAULT_RULE)] : list;
  const rules = named.map((rule) => (options.limit === undefined ? rule : withLimit(rule, options.limit)));
  const twice = rules.find((rule, i) => rules.findIndex((other) => other.id === rule.id) !== i);
  if (twice !== undefined) {
    throw new InputError('rule-twice', `two rules are called ${twice.id}`, {
      cure: 'give each rule once; rename one that differs: its id becomes part of property names',
      usage: true,
    });
  }
  const findings = rules.flatMap(ruleFindings);
  if (list.length === 0) {
    const message = `no rule was chosen: ${DEFAULT_RULE} is used; it is not the law of your place`;
    const cure = 'choose the rule that applies with --rule, and its limit with --limit';
    findings.unshift(finding('default-rule', {}, message, cure));
  }
  return { rules: rules as [Rule, ...Rule[]], findings };
}

/** Works that do not count get a finding; nothing is skipped silently. */
function worksFindings({ count, rejected, option }: WorksTable, variants: readonly [Variant, ...Variant[]]): Finding[] {
  const [main] = variants;
  if (count === rejected.size) {
    const message =
      count === 0
        ? 'there are no works: every tree is untouched'
        : count === 1
          ? 'the one piece of works cannot be measured'
          : `none of the ${count} works can be measured`;
    return [finding('no-works', {}, message, 'give the proposed works with --works F')];
  }
  const findings: Finding[] = [];
  for (const { weights, rule } of variants) {
    const exempt = [...weights.whyNot].filter(([row, why]) => why !== 'other-option' && !rejected.has(row));
    if (exempt.length === 0) continue;
    const whys = [...new Set(exempt.map(([, why]) => why))].join(', ');
    const message = `works that do not count under rule ${rule.id}: ${exempt.length} of ${count} (${whys})`;
    const cure = 'check their kinds and depths; ask an arborist about what passes below the roots';
    findings.push(finding('works-exempt', { path: `rule.${rule.id}` }, message, cure));
  }
  const options = [...new Set(option.filter((name) => name !== undefined))];
  if (options.length > 1) {
    const others = options.slice(1);
    const message = `the figures are for design option ${main.option}; ${others.join(', ')} ${others.length === 1 ? 'is' : 'are'} shown beside them`;
    findings.push(finding('options-compared', {}, message, 'put the option you favour first'));
  }
  return findings;
}

export { assessmentData } from './data.js';
export { lonLatOf } from './positions.js';
export { flagSignal } from './stoppable.js';
