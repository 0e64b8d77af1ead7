// Figures -> verdicts. In: trees, zones, overlaps and the rule; out: verdict, consequence and reasons per tree.
// Terms: broken = more of an area taken than a limit allows. Order: stem-in-works, not-assessed, over-limit,
// untouched, within-limit. A verdict is never an approval; the consequence is the rule's own words.

import type { JudgedTree, OverlapTable, Rule, TreeTable, Verdict, ZoneTable } from '../../model/index.js';
import { ruleAreas } from '../areas.js';
import { NOT_ASSESSED, STEM_IN_WORKS } from '../consequences.js';
import {
  ALL,
  type AreaSource,
  type CompiledLimits,
  compileLimits,
  isBroken,
  mostAllowed,
  type Test,
} from './limits.js';

/** One tree's figures, in square metres; sets in the order of `ruleAreas(rule).sets`. */
export interface TreeFigures {
  /** Why it has no zone; empty for an assessed tree. Works on its trunk still give a verdict. */
  readonly rejected: readonly string[];
  /** Reasons it has already. */
  readonly notes: readonly string[];
  readonly zoneM2: number;
  readonly overlapM2: number;
  readonly severedM2: number;
  readonly stemInWorks: boolean;
  readonly setM2: readonly number[];
  /** Taken by works whose depth matters and is not known; default 0. */
  readonly unknownM2?: number;
  /** Hard today; default 0. */
  readonly existingM2?: number;
  /** Place of the tree's class in the rule, counted from 1; default 0, none. */
  readonly classNumber?: number;
  /** Per ring of the rule; NaN area where the ring does not apply. */
  readonly rings: readonly {
    readonly areaM2: number;
    readonly overlapM2: number;
    readonly setM2: readonly number[];
    readonly existingM2?: number;
  }[];
}

/** Words for a verdict where the rule has none. */
const CONSEQUENCES: Readonly<Record<Verdict, string>> = {
  untouched: 'No counted works reach the zone.',
  'within-limit': 'Works take part of the zone, within the rule’s limits. An arborist and the local code decide.',
  'over-limit':
    'Works take more than the rule allows. Move or change them, or ask an arborist and the local authority.',
  'stem-in-works': STEM_IN_WORKS,
  'not-assessed': NOT_ASSESSED,
};

/**
 * Percent of the zone taken or severed, 0 to 100; 100 where works stand on the trunk; NaN where not assessed.
 *
 * @example
 * affectedPct(20, 5, 100, false); // 25
 */
export function affectedPct(overlapM2: number, severedM2: number, zoneM2: number, stemInWorks: boolean): number {
  if (stemInWorks) return 100;
  return Math.min(100, ((overlapM2 + severedM2) / zoneM2) * 100);
}

/** Reads areas of one tree or ring; the columns behind it may hold a million. */
export interface Areas {
  all(row: number): number;
  set(index: number, row: number): number;
  existing(row: number): number;
}

export interface View {
  readonly zoneM2: (row: number) => number;
  readonly severedM2: (row: number) => number;
  readonly unknownM2: (row: number) => number;
  readonly stem: (row: number) => boolean;
  readonly classNumber: (row: number) => number;
  readonly zone: Areas;
  readonly rings: readonly { readonly areaM2: (row: number) => number; readonly areas: Areas }[];
}

export function areaOf(areas: Areas, source: AreaSource, row: number): number {
  return source === ALL ? areas.all(row) : areas.set(source, row);
}

/** What a share is taken of: the whole, or what of it is not hard today. */
function wholeOf(test: Test, whole: number, areas: Areas, row: number): number {
  return test.unsurfaced ? Math.max(whole - areas.existing(row), 0) : whole;
}

/**
 * The test of one limit: the area and what the limit allows, square metres. `ring`: the rule's, -1 for the zone; `place`:
 * the limit's among those of zone or ring; `allowance`: taken off the area already.
 */
export type Look = (test: Test, area: number, whole: number, ring: number, place: number, allowance: number) => void;

/** Looks at every limit of a tree's zone and rings. */
export function lookAtAll(view: View, row: number, limits: CompiledLimits, rule: Rule, look: Look): void {
  const zoneM2 = view.zoneM2(row);
  const tests = limits.zone[view.classNumber(row)] ?? [];
  for (let t = 0; t < tests.length; t++) {
    const test = tests[t]!;
    let area = areaOf(view.zone, test.source, row);
    let allowance = 0;
    if (test.source === ALL) {
      if (limits.allowance !== null) allowance = allowed(view, row, limits.allowance, area);
      area -= allowance;
      // Severed ground is known only for all works together, so only limits on all works can count it.
      if (rule.judge === 'affected') area = view.stem(row) ? zoneM2 : area + view.severedM2(row);
    }
    look(test, area, wholeOf(test, zoneM2, view.zone, row), -1, t, allowance);
  }
  for (let r = 0; r < limits.rings.length; r++) {
    const { areaM2, areas } = view.rings[r]!;
    const whole = areaM2(row);
    if (Number.isNaN(whole)) continue; // the ring does not apply
    const ringTests = limits.rings[r]?.tests ?? [];
    for (let t = 0; t < ringTests.length; t++) {
      const test = ringTests[t]!;
      look(test, areaOf(areas, test.source, row), wholeOf(test, whole, areas, row), r, t, 0);
    }
  }
}

/** What the limits say: none broken, some broken, or a needed area was never measured. */
type Outcome = 'kept' | 'broken' | 'unmeasured';

/** Tests every limit; adds the reasons of the broken ones and of cuts in rings where any cut is reported. */
function testAll(view: View, row: number, limits: CompiledLimits, rule: Rule, reasons: string[]): Outcome {
  let outcome: Outcome = 'kept';
  lookAtAll(view, row, limits, rule, (test, area, whole) => {
    if (isBroken(area, whole, test)) {
      outcome = 'broken';
      if (!reasons.includes(test.reason)) reasons.push(test.reason);
    } else if (Number.isNaN(area) && outcome === 'kept') outcome = 'unmeasured';
  });
  for (let r = 0; r < limits.rings.length; r++) {
    const cut = limits.rings[r]?.cut;
    const { areaM2, areas } = view.rings[r]!;
    const taken = { share: 0, tolerance: rule.tolerance };
    if (cut && isBroken(areaOf(areas, cut.source, row), areaM2(row), taken)) reasons.push(cut.reason);
  }
  return outcome;
}

/** The part of the overlap that an allowance takes off: ground under its kinds alone, up to its share of the zone. */
function allowed(
  view: View,
  row: number,
  { others, share }: NonNullable<CompiledLimits['allowance']>,
  overlap: number,
): number {
  const alone = Math.max(overlap - areaOf(view.zone, others, row), 0);
  return Math.min(alone, share * view.zoneM2(row));
}

function isUntouched(view: View, row: number): boolean {
  if (view.zone.all(row) > 0 || view.severedM2(row) > 0) return false;
  return view.rings.every(({ areas }) => !(areas.all(row) > 0));
}

/** Verdict and the reasons added to those a tree has. */
function decide(view: View, row: number, limits: CompiledLimits, rule: Rule, reasons: string[]): Verdict {
  // A zone that was sized but not measured must never count as untouched.
  if (!(view.zoneM2(row) > 0) || !(view.zone.all(row) >= 0)) {
    reasons.push('not-measured');
    return 'not-assessed';
  }
  const own = rule.classes?.[view.classNumber(row) - 1];
  if (own !== undefined) reasons.push(`class-${own.name}`);
  const stem = view.stem(row);
  if (stem) reasons.push('trunk-in-works');
  if (view.unknownM2(row) > 0) reasons.push('depth-unknown');
  const outcome = testAll(view, row, limits, rule, reasons);
  if (stem) return 'stem-in-works';
  if (outcome === 'broken') return 'over-limit';
  if (outcome === 'unmeasured') {
    reasons.push('not-measured');
    return 'not-assessed';
  }
  if (isUntouched(view, row)) return 'untouched';
  if (rule.withinReason !== undefined) reasons.push(rule.withinReason);
  return 'within-limit';
}

/** Trees of one verdict and the same reasons share one object. */
class Verdicts {
  readonly #rule: Rule;
  readonly #known = new Map<string, JudgedTree>();
  readonly #byList = new Map<Verdict, Map<readonly string[], JudgedTree>>();
  constructor(rule: Rule) {
    this.#rule = rule;
  }
  of(verdict: Verdict, reasons: readonly string[]): JudgedTree {
    const key = reasons.length === 0 ? verdict : `${verdict};${reasons.join(';')}`;
    let judged = this.#known.get(key);
    if (!judged) {
      const consequence = this.#rule.consequences[verdict] ?? CONSEQUENCES[verdict];
      judged = Object.freeze({ verdict, consequence, reasons: Object.freeze([...reasons]) });
      this.#known.set(key, judged);
    }
    return judged;
  }
  /** A zone without works to judge. */
  without(reasons: readonly string[]): JudgedTree {
    const key = `;${reasons.join(';')}`;
    let judged = this.#known.get(key);
    if (!judged) {
      judged = Object.freeze({ verdict: null, consequence: ZONE_ONLY, reasons: Object.freeze([...reasons]) });
      this.#known.set(key, judged);
    }
    return judged;
  }
  /** For a tree without a zone, all that can be said is whether works stand on its trunk. */
  withoutZone(stem: boolean, reasons: readonly string[]): JudgedTree {
    return stem ? this.of('stem-in-works', ['trunk-in-works', ...reasons]) : this.of('not-assessed', reasons);
  }
  /** The same for a list that many trees share, found by the list itself: no text is made per tree. */
  ofShared(verdict: Verdict, shared: readonly string[]): JudgedTree {
    let byList = this.#byList.get(verdict);
    if (!byList) {
      byList = new Map();
      this.#byList.set(verdict, byList);
    }
    let judged = byList.get(shared);
    if (!judged) {
      judged = this.of(verdict, shared);
      byList.set(shared, judged);
    }
    return judged;
  }
}

/** First mentions only, in order. */
function joined(first: readonly string[], second: readonly string[]): string[] {
  return [...new Set([...first, ...second])];
}

function viewOfOne(tree: TreeFigures): View {
  const areas = (f: { overlapM2: number; setM2: readonly number[]; existingM2?: number }): Areas => ({
    all: () => f.overlapM2,
    set: (index) => f.setM2[index] ?? Number.NaN,
    existing: () => f.existingM2 ?? 0,
  });
  return {
    zoneM2: () => tree.zoneM2,
    severedM2: () => tree.severedM2,
    unknownM2: () => tree.unknownM2 ?? 0,
    stem: () => tree.stemInWorks,
    classNumber: () => tree.classNumber ?? 0,
    zone: areas(tree),
    rings: tree.rings.map((ring) => ({ areaM2: () => ring.areaM2, areas: areas(ring) })),
  };
}

/**
 * How far one row of the tables passes the limit that it passes most, as a share of its zone: above 0 some limit is
 * broken, below it is the room left. Continuous in the areas, so that a root of it is where the verdict turns.
 *
 * @example
 * excess(zones, overlap, 3, rule, limits); // 0.05: works take 25 % of a zone, and 20 % is allowed
 */
export function excess(
  zones: ZoneTable,
  overlap: OverlapTable,
  row: number,
  rule: Rule,
  limits: CompiledLimits,
): number {
  return Math.max(-Infinity, ...excesses(zones, overlap, row, rule, limits));
}

/** The same of each limit by itself, in their order: one search can follow each of them. */
export function excesses(
  zones: ZoneTable,
  overlap: OverlapTable,
  row: number,
  rule: Rule,
  limits: CompiledLimits,
): number[] {
  const view = viewOf(zones, overlap);
  const out: number[] = [];
  lookAtAll(view, row, limits, rule, (test, area, whole) => {
    out.push((area - mostAllowed(whole, test)) / view.zoneM2(row));
  });
  return out;
}

/**
 * Judges one tree by its figures.
 *
 * @example
 * judge({ rejected: [], notes: [], zoneM2: 100, overlapM2: 25, severedM2: 0, stemInWorks: false, setM2: [25],
 *   rings: [{ areaM2: 6.25, overlapM2: 0, setM2: [0] }] }, builtinRule('foot-per-inch')).verdict; // 'over-limit'
 */
export function judge(tree: TreeFigures, rule: Rule): JudgedTree {
  const verdicts = new Verdicts(rule);
  const view = viewOfOne(tree);
  if (tree.rejected.length > 0) return verdicts.withoutZone(tree.stemInWorks, joined(tree.rejected, tree.notes));
  const reasons: string[] = [];
  const verdict = decide(view, 0, compileLimits(rule, ruleAreas(rule)), rule, reasons);
  return verdicts.of(verdict, [...tree.notes, ...reasons]);
}

/**
 * Judges every row of the tree table; row by row the same as `judge`.
 *
 * @returns one entry per tree, in order; trees of the same verdict and reasons share one frozen object.
 */
export function judgeAll(trees: TreeTable, zones: ZoneTable, overlap: OverlapTable, rule: Rule): readonly JudgedTree[] {
  const verdicts = new Verdicts(rule);
  const limits = compileLimits(rule, ruleAreas(rule));
  const view = viewOf(zones, overlap);
  const all = new Array<JudgedTree>(trees.count);
  const none: readonly string[] = [];
  const reasons: string[] = [];
  for (let row = 0; row < trees.count; row++) {
    const had = trees.notes.get(row) ?? none;
    const added = zones.notes.get(row) ?? none;
    const notes = added.length === 0 ? had : had.length === 0 ? added : joined(had, added);
    const rejected = zones.rejected.get(row) ?? trees.rejected.get(row);
    if (rejected) all[row] = verdicts.withoutZone(view.stem(row), joined(rejected, notes));
    else {
      if (reasons.length > 0) reasons.length = 0;
      const verdict = decide(view, row, limits, rule, reasons);
      // Only the zone stage's lists are shared between trees, so only they are cached by identity.
      if (reasons.length === 0 && had.length === 0) all[row] = verdicts.ofShared(verdict, notes);
      else all[row] = verdicts.of(verdict, [...notes, ...reasons]);
    }
  }
  return all;
}

const ZONE_ONLY = 'No works were given: this is the zone alone, and nothing was judged.';

/**
 * What can be said before there is a design: trees with a zone get no verdict, the others get the reasons for having no
 * zone.
 *
 * @returns one entry per tree, in order; the reasons end with `no-works`
 */
export function judgeWithoutWorks(trees: TreeTable, zones: ZoneTable, rule: Rule): readonly JudgedTree[] {
  const verdicts = new Verdicts(rule);
  return Array.from({ length: trees.count }, (_, row) => {
    const notes = joined(trees.notes.get(row) ?? [], zones.notes.get(row) ?? []);
    const rejected = zones.rejected.get(row) ?? trees.rejected.get(row);
    if (rejected !== undefined) return verdicts.withoutZone(false, joined(rejected, notes));
    const own = rule.classes?.[(zones.classNumber?.[row] ?? 0) - 1];
    return verdicts.without([...notes, ...(own === undefined ? [] : [`class-${own.name}`]), 'no-works']);
  });
}

/** The tables as one tree's figures. */
export function viewOf(zones: ZoneTable, overlap: OverlapTable): View {
  const at = (column: Float64Array | undefined, row: number): number => column?.[row] ?? Number.NaN;
  return {
    zoneM2: (row) => at(zones.areaM2, row),
    severedM2: (row) => at(overlap.severedM2, row),
    unknownM2: (row) => overlap.unknownM2?.[row] ?? 0,
    stem: (row) => overlap.stemInWorks[row] === 1,
    classNumber: (row) => zones.classNumber?.[row] ?? 0,
    zone: {
      all: (row) => at(overlap.overlapM2, row),
      set: (index, row) => at(overlap.setM2[index], row),
      existing: (row) => overlap.existingM2?.[row] ?? 0,
    },
    rings: zones.ringRadiusM.map((radius, r) => ({
      areaM2: (row) => Math.PI * at(radius, row) ** 2,
      areas: {
        all: (row) => at(overlap.ringOverlapM2[r], row),
        set: (index, row) => at(overlap.ringSetM2[r]?.[index], row),
        existing: (row) => overlap.ringExistingM2[r]?.[row] ?? 0,
      },
    })),
  };
}
