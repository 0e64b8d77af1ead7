// The whole pipeline on one page: surveyed trees + works + rule -> zones -> exact overlap -> verdicts.
// In: layers as read, a rule, options; out: an Assessment, plain readonly data in metres and percent.
// Terms: see types.ts, which has the record passed at each arrow. This file alone joins the stages.

import { drawing } from './assess/drawing.js';
import { drawnPolygons } from './assess/drawn-polygons.js';
import { fencesOf } from './assess/fences.js';
import { limbsOf } from './assess/limbs.js';
import { lotPlan } from './assess/lots.js';
import { lonLatOf, treeLonLat, worksLonLat } from './assess/positions.js';
import { inputRecords, TreeRows, tally, worksResults } from './assess/results.js';
import { type Stems, stemCentres } from './assess/stems.js';
import { structuresOf } from './assess/structures.js';
import { checkLots, checkTrees, checkWorks } from './check.js';
import { crowns } from './crown.js';
import { type Finding, finding } from './findings.js';
import { judgeAll } from './judge.js';
import { overlaps, type Runner } from './overlap.js';
import { lotFinder } from './plan/lots.js';
import { frameAt, placeLayers, planeFrame } from './project.js';
import type { Rule } from './rule.js';
import { builtinRule, kindSets, needsDiameter, ruleFindings, withLimit } from './rules.js';
import type {
  Assessment,
  AssessOptions,
  Job,
  Layer,
  LayerRole,
  Progress,
  TreeResult,
  WorksInput,
  WorksTable,
} from './types.js';
import { VERSION } from './version.js';
import { zones } from './zone.js';

/** What `assess` is given: layers as read, and how to judge them. */
export interface AssessJob {
  readonly trees: Layer;
  readonly works: readonly WorksInput[];
  readonly lots?: Layer;
  /** Zones that an arborist drew, joined to the trees by id. */
  readonly zones?: Layer;
  /** Crowns that an arborist drew, the same. */
  readonly crowns?: Layer;
  /** A limb list: a table without coordinates, joined to the trees by name. */
  readonly limbs?: Layer;
  /** Default: the built-in `foot-per-inch`, with a finding that says so. */
  readonly rule?: Rule;
  readonly options?: AssessOptions;
  /** Who measures: default the calling thread; `threadRunner` of rootberth/node for several. */
  readonly runner?: Runner;
  /** Told how far it has come; what it throws stops the job. */
  readonly onProgress?: ((progress: Progress) => void) | undefined;
  /** Stops the job with the signal's reason; looked at between batches of trees. */
  readonly signal?: AbortSignal | undefined;
}

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
  const rule = chosenRule(job.rule, options);

  const { placed, findings: crsFindings } = placeLayers(rolesOf(job), options);
  const diameter = needsDiameter(rule.rule.zone) ? 'field' : 'optional'; // the rule sees to single trees without one
  const trees = checkTrees(job.trees, { ...options, diameter });
  const works = checkWorks(job.works, options);
  const lots = job.lots === undefined ? null : checkLots(job.lots, options);

  const [treeLayer, ...rest] = placed as readonly [(typeof placed)[0], ...typeof placed];
  const worksLayers = rest.slice(0, job.works.length);
  const lotsLayer = rest[job.works.length];
  // A local ground system is one plane; the earth is a lattice of true-to-size frames.
  const frames = treeLayer.crs.kind === 'local' ? () => planeFrame : frameAt;
  const shot = treeLonLat(trees.table, treeLayer.transform);
  const zoned = zones(trees.table, rule.rule);
  const stems: Stems =
    options.stemAt === undefined
      ? { trees: trees.table, treeLonLat: shot, findings: [] }
      : stemCentres({
          trees: trees.table,
          dbhM: zoned.table.dbhM,
          treeLonLat: shot,
          transform: treeLayer.transform,
          stemAt: options.stemAt,
          frameAt: frames,
        });
  const positions = {
    treeLonLat: stems.treeLonLat,
    worksLonLat: worksLonLat(
      works.table,
      worksLayers.map((w) => w.transform),
    ),
    lotsLonLat: lots && lotsLayer ? lonLatOf(lots.table.geometry.xy, lotsLayer.transform) : new Float64Array(),
  };

  const drawn = drawnPolygons(placed, stems, options);
  const measured = overlaps({
    ...positions,
    zones: zoned.table,
    works: works.table,
    cuts: rule.rule.cuts,
    kindSets: kindSets(rule.rule),
    ...(job.runner === undefined ? {} : { runner: job.runner }),
    tick(done) {
      job.onProgress?.({ stage: 'measure', name: job.trees.name, done, total: job.trees.count });
      job.signal?.throwIfAborted();
    },
    frameAt: frames,
  });
  const judged = judgeAll(trees.table, zoned.table, measured.table, rule.rule);
  const air = {
    trees: stems.trees,
    treeLonLat: positions.treeLonLat,
    structures: [structuresOf(works.table, positions.worksLonLat, options.clearanceM ?? 0)],
    clearanceM: options.clearanceM ?? 0,
    frameAt: frames,
  };
  const crowned = crowns({ ...air, crownPolygons: drawn.crownPolygons });
  const limbList = { ...air, trunkRadiusM: zoned.table.trunkRadiusM, transform: treeLayer.transform };
  const limbs = limbsOf(job.limbs, limbList, options);
  const findLot = lots === null ? null : lotFinder(lots.table, positions.lotsLonLat);

  const jobTables: Job = {
    ...positions,
    trees: stems.trees,
    works: works.table,
    lots: lots?.table ?? null,
    zones: zoned.table,
    zonePolygons: drawn.zonePolygons,
    crownPolygons: drawn.crownPolygons,
    crowns: crowned?.table ?? null,
    frameAt: frames,
    treeLayerToLonLat: treeLayer.transform.toLonLat,
    treeTransform: treeLayer.transform,
  };
  const rows = new TreeRows({
    ...jobTables,
    overlap: measured.table,
    judged,
    findLot,
    transform: treeLayer.transform,
  });
  const planned = lotPlan(jobTables, judged, findLot, options.mitigation);
  let fences: Assessment['fences'] | undefined;
  let everyTree: readonly TreeResult[] | undefined;
  let everyWorks: Assessment['works'] | undefined;
  return {
    version: VERSION,
    rule: rule.rule,
    options: trees.findings.some((one) => one.code === 'survey-old') ? options : undated(options),
    inputs: [...inputRecords(placed), ...limbs.inputs],
    limbs: limbs.limbs,
    counts: { ...tally(judged, works.table, lots?.table ?? null), ...drawn.counts, ...limbs.counts },
    findings: [
      ...rule.findings,
      ...rolesOf(job).flatMap(({ layer }) => layer.findings),
      ...crsFindings,
      ...trees.findings,
      ...works.findings,
      ...(lots?.findings ?? []),
      ...zoned.findings,
      ...stems.findings,
      ...drawn.findings,
      ...(crowned?.findings ?? []),
      ...limbs.findings,
      ...worksFindings(works.table),
      ...planned.findings,
    ],
    get trees() {
      everyTree ??= rows.all();
      return everyTree;
    },
    tree: (row) => rows.at(row),
    eachTree: () => rows.each(),
    get works() {
      everyWorks ??= [...worksResults(works.table)];
      return everyWorks;
    },
    eachWorks: () => worksResults(works.table),
    lots: planned.lots,
    get totals() {
      return planned.totals;
    },
    get fences() {
      fences ??= fencesOf(jobTables, judged, options.fences);
      return fences;
    },
    job: jobTables,
    ...drawing(jobTables, measured, rows),
  };
}

/** A date that made no survey old is no part of the result: the same job gives the same bytes tomorrow. */
function undated({ today: _, ...options }: AssessOptions): AssessOptions {
  return options;
}

function rolesOf(job: AssessJob): { readonly role: LayerRole; readonly layer: Layer }[] {
  const works = job.works.map(({ layer }) => ({ role: 'works' as const, layer }));
  const lots = job.lots === undefined ? [] : [{ role: 'lots' as const, layer: job.lots }];
  const zones = job.zones === undefined ? [] : [{ role: 'zones' as const, layer: job.zones }];
  const crowns = job.crowns === undefined ? [] : [{ role: 'crowns' as const, layer: job.crowns }];
  return [{ role: 'trees', layer: job.trees }, ...works, ...lots, ...zones, ...crowns];
}

function chosenRule(given: Rule | undefined, options: AssessOptions): { rule: Rule; findings: Finding[] } {
  const base = given ?? builtinRule(DEFAULT_RULE);
  const rule = options.limit === undefined ? base : withLimit(base, options.limit);
  const findings: Finding[] = [...ruleFindings(rule)];
  if (given === undefined) {
    const message = `no rule was chosen: ${rule.id} is used; no rule and no limit is the law of a place`;
    findings.unshift(
      finding('default-rule', {}, message, 'choose the rule that applies with --rule, and its limit with --limit'),
    );
  }
  return { rule, findings };
}

/** What this version does not weigh is said, never passed over in silence. */
function worksFindings({ count, rejected, depthM, option }: WorksTable): Finding[] {
  if (count === rejected.size) {
    const message =
      count === 0
        ? 'there are no works: every tree is untouched'
        : count === 1
          ? 'the one piece of works can not be measured'
          : `none of the ${count} works can be measured`;
    return [finding('no-works', {}, message, 'give the proposed works with --works F')];
  }
  const findings: Finding[] = [];
  const deep = depthM.reduce((n, depth) => (Number.isNaN(depth) ? n : n + 1), 0);
  if (deep > 0) {
    const message = `${deep} works give a depth; this version counts every piece in full, bores too, whatever its depth`;
    findings.push(
      finding(
        'depth-not-judged',
        {},
        message,
        'leave out works that pass below the roots, with an arborist’s word for it',
      ),
    );
  }
  const options = [...new Set(option.filter((name) => name !== undefined))];
  if (options.length > 1) {
    const message = `works of the options ${options.join(', ')} are counted together; this version does not compare options`;
    findings.push(finding('options-together', {}, message, 'assess each option in a run of its own'));
  }
  return findings;
}
