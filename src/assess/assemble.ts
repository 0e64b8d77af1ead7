// The result. In: what every stage made; out: an Assessment, whose costly parts are made when they are asked for.
// Terms: see model/result.ts.

import {
  type Assessment,
  type AssessOptions,
  type Finding,
  finding,
  type GradesResult,
  hasWorks,
  type Job,
  keepTreeViews,
  type OtherReckoning,
  type StopSignal,
  type TreeResult,
  VERSION,
  verdictCounts,
  type WorksTable,
} from '../model/index.js';
import type { Air } from './air.js';
import type { Tables } from './checked.js';
import { drawing } from './drawing.js';
import { fencesOf } from './fences.js';
import type { LotPlan } from './lots.js';
import { reckoningsOf } from './reckoning.js';
import { inputRecords, type TreeRows, tally, worksResults } from './results.js';
import type { Rows } from './rows.js';
import type { Site } from './site.js';
import { stopped } from './stoppable.js';
import type { Variant } from './variant.js';
import type { Variants } from './variants.js';
import { worthFindings } from './worth.js';

export interface Made {
  readonly options: AssessOptions;
  readonly inputs: Parameters<typeof inputRecords>[0];
  readonly tables: Tables;
  readonly site: Site;
  readonly variants: Variants;
  readonly air: Air;
  readonly job: Job;
  readonly rows: Rows;
  readonly plan: LotPlan;
  readonly grades: { readonly result: GradesResult | null; readonly findings: readonly Finding[] };
  /** Findings about rules, layers and coordinates, made before anything is measured. */
  readonly before: readonly Finding[];
}

export function assembled({
  options,
  inputs,
  tables,
  site,
  variants,
  air,
  job,
  rows,
  plan,
  grades,
  before,
}: Made): Assessment {
  const { main, otherRules, otherOptions } = variants;
  let fences: Assessment['fences'] | undefined;
  const laidOut = (signal?: StopSignal): Assessment['fences'] => {
    fences ??= fencesOf(job, main.judged, options.fences, signal);
    return fences;
  };
  let ofMargins: readonly Finding[] | undefined;
  const marginsFound = (signal?: StopSignal): readonly Finding[] => {
    ofMargins ??= rows.lateFindings(signal);
    return ofMargins;
  };
  let everyTree: readonly TreeResult[] | undefined;
  let everyWorks: Assessment['works'] | undefined;
  const assessment: Assessment = {
    version: VERSION,
    rule: main.rule,
    options: tables.isOld ? options : undated(options),
    option: main.option,
    inputs: [...inputRecords(inputs), ...air.limbs.inputs],
    limbs: air.limbs.limbs,
    counts: {
      ...tally(main, tables.works, tables.existing, tables.lots),
      ...site.drawn.counts,
      ...air.limbs.counts,
    },
    findings: [...before, ...findingsOf({ tables, variants, site, air, rows, plan, grades })],
    get trees() {
      everyTree ??= rows.main.all();
      return everyTree;
    },
    tree: (row) => rows.main.at(row),
    eachTree: () => rows.main.eachOwn(),
    otherRules: otherRules.map((other) => reckoningOf(other, rows.of(other))),
    otherOptions: otherOptions.map((other) => reckoningOf(other, rows.of(other))),
    get works() {
      everyWorks ??= [...worksResults(tables.works, main.weights, main.rule)];
      return everyWorks;
    },
    eachWorks: () => worksResults(tables.works, main.weights, main.rule),
    ...(grades.result === null ? {} : { grades: grades.result }),
    lots: plan.lots,
    get totals() {
      return plan.totals;
    },
    get removals() {
      return plan.removals;
    },
    get fences() {
      return laidOut();
    },
    get marginFindings() {
      return marginsFound();
    },
    // Works on whatever object it is called on: an assessment may be spread, or wrapped by another.
    stoppedBy(signal) {
      return stopped(this, signal, { fences: laidOut, marginFindings: marginsFound });
    },
    job,
    reckoning: reckoningsOf(main),
    ...drawing(job, main.measured, rows.main),
  };
  keepTreeViews(assessment, rows.main);
  return assessment;
}

function findingsOf({
  tables,
  variants: { main, otherRules },
  site,
  air,
  rows,
  plan,
  grades,
}: Pick<Made, 'tables' | 'variants' | 'site' | 'air' | 'rows' | 'plan' | 'grades'>): Finding[] {
  return [
    ...tables.findings,
    ...main.findings,
    ...otherRules.flatMap((other) => other.findings),
    ...site.findings,
    ...air.findings,
    ...worksFindings(tables.works, [main, ...otherRules]),
    ...plan.findings,
    ...grades.findings,
    ...worthFindings({ trees: site.trees, zones: main.zones }),
    ...rows.findings,
  ];
}

/** A date that made no survey old is not part of the result, so the same job gives the same bytes tomorrow. */
function undated({ today: _, ...options }: AssessOptions): AssessOptions {
  return options;
}

function reckoningOf(variant: Variant, rows: TreeRows): OtherReckoning {
  const { rule, option, judged, zones, shapes } = variant;
  const reckoning: OtherReckoning = {
    rule,
    option,
    counts: verdictCounts(judged, ({ verdict }) => verdict),
    tree: (row) => rows.at(row),
    reckoning: reckoningsOf(variant),
    zones,
    zoneShapes: shapes,
  };
  keepTreeViews(reckoning, rows);
  return reckoning;
}

/** Works that do not count get a finding; nothing is skipped silently. */
function worksFindings(works: WorksTable, variants: readonly [Variant, ...Variant[]]): Finding[] {
  const [main] = variants;
  const { count, rejected, option } = works;
  if (!hasWorks(works)) {
    const message = 'no works were given: every tree has its zone, and none has a verdict';
    return [finding('no-works', {}, message, 'give the proposed works with --works F when there is a design')];
  }
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
    const cure = 'check their kinds and depths; ask an arborist about works that pass below the roots';
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
