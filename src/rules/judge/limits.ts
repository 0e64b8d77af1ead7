// Limits as tests of areas. In: a rule; out: its limits in order, each with its bounds and where its area is found.
// Terms: floor = area below which a limit of 0 holds: 1e-6 m2 or the tolerance's share of the area it is taken of.

import type { Limit, ReasonCode, Rule } from '../../model/index.js';
import { type AreaSet, beyondAllowance, CUT_RINGS, cutSet, placeOf, type RuleAreas, setOf } from '../areas.js';

/** Row of a tree's set columns where a limit's area stands; ALL for the whole overlap. */
export type AreaSource = number;
export const ALL: AreaSource = -1;

/** How much of an area is too much. */
export interface Bounds {
  readonly share: number;
  readonly tolerance: number;
  readonly reason: string;
}

export interface Test extends Bounds {
  readonly source: AreaSource;
  /** Whether the share is of the ground that is not hard today. */
  readonly unsurfaced: boolean;
}

/** An area this small is rounding of the measurement, not ground: a square millimetre. */
const SMALLEST_M2 = 1e-6;

/**
 * Room for rounding in a comparison of areas, as a share: overlap and zone are each good to about 1e-12 of the
 * zone, so a plan drawn to take exactly 20 % may give 20.0000000001 %. A billionth is far below the accuracy of any survey.
 */
const SLACK = 1e-9;

/** The area up to which a limit holds, of the whole it is taken of. */
export function mostAllowed(whole: number, test: Pick<Test, 'share' | 'tolerance'>): number {
  if (test.share === 0) return Math.max(SMALLEST_M2, test.tolerance * whole);
  return test.share * whole * (1 + SLACK);
}

/** Whether an area is over what a limit allows of the whole it is taken of. */
export function isBroken(area: number, whole: number, test: Pick<Test, 'share' | 'tolerance'>): boolean {
  return area > mostAllowed(whole, test);
}

function sourceOf(set: AreaSet | null, areas: RuleAreas): AreaSource {
  return set === null ? ALL : placeOf(set, areas);
}

function testsOf(limits: readonly Limit[], rule: Rule, areas: RuleAreas, ring: boolean): readonly Test[] {
  return limits.map((limit) => {
    const isOverall = limit.kinds === undefined && limit.deeperThan === undefined;
    const usual: ReasonCode = ring ? 'over-ring-limit' : isOverall ? 'over-zone-limit' : 'over-kinds-limit';
    return {
      source: sourceOf(setOf(limit, areas), areas),
      unsurfaced: limit.of === 'unsurfaced',
      share: limit.share,
      tolerance: limit.tolerance ?? rule.tolerance,
      reason: limit.reason ?? usual,
    };
  });
}

export interface CompiledLimits {
  /** The rule's own, then those of its classes in order: row 0 is for trees of no class. */
  readonly zone: readonly (readonly Test[])[];
  readonly rings: readonly {
    readonly tests: readonly Test[];
    /** Where the area of the works that cut stands; null where the ring is not one of CUT_RINGS. */
    readonly cut: { readonly source: AreaSource; readonly reason: string } | null;
  }[];
  /** Ground that only some kinds take is not counted up to a share: where the rest stands. */
  readonly allowance: { readonly others: AreaSource; readonly share: number } | null;
}

/** Compiles a rule's limits once. */
export function compileLimits(rule: Rule, areas: RuleAreas): CompiledLimits {
  const cut = cutSet(areas);
  const others = beyondAllowance(rule, areas);
  const own = testsOf(rule.limits, rule, areas, false);
  return {
    zone: [
      own,
      ...(rule.classes ?? []).map((one) => (one.limits === undefined ? own : testsOf(one.limits, rule, areas, false))),
    ],
    rings: rule.rings.map((ring) => ({
      tests: testsOf(ring.limits, rule, areas, true),
      cut:
        CUT_RINGS.includes(ring.name) && cut !== null
          ? { source: sourceOf(cut, areas), reason: `cut-in-${ring.name}` }
          : null,
    })),
    allowance: others === null ? null : { others: sourceOf(others, areas), share: rule.allowance?.share ?? 0 },
  };
}
