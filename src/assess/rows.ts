// Results by row, of every variant. In: the job's tables, variants, options; out: rows of the main variant and of the others.
// Terms: margins take milliseconds a tree; each is calculated when its row is asked for.

import {
  type AssessOptions,
  type Finding,
  finding,
  type GradesResult,
  type Job,
  type Rule,
  type StopSignal,
} from '../model/index.js';
import type { lotFinder } from '../plan/index.js';
import { counted, listOf } from '../text/index.js';
import { Margins } from './margin.js';
import { TreeRows } from './results.js';
import type { Site } from './site.js';
import { type Holds, offBy, type Reckoned, steadiness } from './steady.js';
import { type Ground, type Variant, variantOf } from './variant.js';
import type { Variants } from './variants.js';

export interface Rows {
  readonly main: TreeRows;
  of(other: Variant): TreeRows;
  readonly findings: readonly Finding[];
  /** What is to be said of margins that were given up. Finds all margins of the main variant, where they are on. */
  lateFindings(signal?: StopSignal): readonly Finding[];
}

/** Jobs of up to this many trees work out margins by default. */
const MARGINS_UNASKED = 1000;

export function treeRows(
  job: Job,
  { ground, transform }: Site,
  { main }: Variants,
  findLot: ReturnType<typeof lotFinder> | null,
  options: AssessOptions,
  grades: GradesResult | null = null,
): Rows {
  const { count } = job.trees;
  const withMargins = options.margins ?? count <= MARGINS_UNASKED;
  const rowsOf = (variant: Variant, margins: Margins | null, holds: Holds | null): TreeRows => {
    const { zones, measured, judged } = variant;
    const margin = margins && ((row: number) => margins.at(row));
    const isTooDear = margins && ((row: number) => margins.isTooDear(row));
    const hasExisting = job.existing !== null;
    const input = {
      ...job,
      hasExisting,
      zones,
      overlap: measured.table,
      judged,
      findLot,
      transform,
      margin,
      isTooDear,
      isGradeUnknown: grades && ((row: number) => isUnknown(grades, row)),
      holds,
    };
    return new TreeRows(input);
  };
  const marginsOf = (variant: Variant): Margins | null => (withMargins ? new Margins(variant) : null);
  const margins = marginsOf(main);
  const off = options.dbhAccuracyM ?? 0;
  const thinner =
    margins === null || off === 0 ? [] : [-off, off].map((by) => reckoned(ground, by, main.rule, main.option));
  const holds = margins && steadiness(job.trees, [{ variant: main, margins }, ...thinner]);
  return {
    main: rowsOf(main, margins, holds),
    of: (other) => rowsOf(other, marginsOf(other), null),
    // Stay silent if margins were switched off.
    findings: withMargins || options.margins === false ? [] : [marginsSkipped(count)],
    lateFindings: (signal) => (margins === null ? [] : marginsNotFound(givenUp(job.trees, margins, signal))),
  };
}

/** Whether ground in a tree's zone, or its trunk, lies outside the surfaces. */
function isUnknown({ trees }: GradesResult, row: number): boolean {
  const { changeM, unknownM2 } = trees[row]!;
  return unknownM2 === null ? changeM === null : unknownM2 > 0;
}

/** Names of the trees whose margins were given up, in input order. */
function* givenUp({ count, key }: Job['trees'], margins: Margins, signal?: StopSignal): Generator<string> {
  for (let row = 0; row < count; row++) {
    signal?.throwIfAborted();
    margins.at(row);
    if (margins.isTooDear(row)) yield key.at(row) ?? '';
  }
}

/** Trees named one by one; the rest are counted. */
const NAMED = 5;

/** One finding for all trees whose margins were given up; none without any. */
export function marginsNotFound(trees: Iterable<string>): Finding[] {
  const all = [...trees];
  if (all.length === 0) return [];
  const message = `the margins of ${counted(all.length, 'tree')} were not found, because the works about them are so intricate: ${listOf(all, NAMED)}; all other figures stand`;
  const cure =
    'simplify the outlines of those works, or give works that cross each other as one outline; --margins none leaves all margins out';
  return [finding('margin-not-found', {}, message, cure)];
}

/** The same trees with diameters that are all off by a length. */
function reckoned(ground: Ground, byM: number, rule: Rule, option: string | undefined): Reckoned {
  const variant = variantOf({ ...ground, trees: offBy(ground.trees, byM) }, rule, option);
  return { variant, margins: new Margins(variant) };
}

function marginsSkipped(count: number): Finding {
  const message = `margins were not calculated for ${count} trees: each takes milliseconds, so they are left out of jobs with more than ${MARGINS_UNASKED}`;
  return finding('margins-skipped', {}, message, 'ask for them with --margins all');
}
