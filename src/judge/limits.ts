// Limits as tests of areas. In: a rule; out: its limits in order, each with its bounds and where its area is found.
// Terms: floor = area below which a limit of 0 holds: 1e-6 m2 or the tolerance's share of the area it is taken of.

import type { ReasonCode } from '../reasons.js';
import type { Limit, Rule } from '../rule.js';
import { canonicalKinds, kindSets, setKey } from '../rules/kind-sets.js';
import { WORKS_KINDS } from '../types.js';

/** Where a limit's area stands in a tree's figures. */
export type AreaSource =
  | { readonly of: 'all' }
  | { readonly of: 'kind'; readonly index: number } // WORKS_KINDS
  | { readonly of: 'set'; readonly index: number }; // kindSets(rule)

export interface Test {
  readonly source: AreaSource;
  readonly share: number;
  readonly tolerance: number;
  readonly reason: string;
}

/** An area this small is rounding of the measurement, not ground: a square millimetre. */
const SMALLEST_M2 = 1e-6;

/**
 * Room for rounding in a comparison of areas, as a share: overlap and zone are each good to about 1e-12 of the
 * zone, so a plan drawn to take exactly 20 % may come out as 20.0000000001 %; a billionth is far under any survey.
 */
const SLACK = 1e-9;

/** Whether an area is over what a limit allows of the whole it is taken of. */
export function isBroken(area: number, whole: number, test: Pick<Test, 'share' | 'tolerance'>): boolean {
  if (test.share === 0) return area > Math.max(SMALLEST_M2, test.tolerance * whole);
  return area > test.share * whole * (1 + SLACK);
}

function sourceOf(limit: Limit, sets: readonly string[], singles: boolean): AreaSource {
  const kinds = canonicalKinds(limit.kinds ?? WORKS_KINDS);
  if (kinds.length === WORKS_KINDS.length) return { of: 'all' };
  if (singles && kinds.length === 1) return { of: 'kind', index: WORKS_KINDS.indexOf(kinds[0] as never) };
  return { of: 'set', index: sets.indexOf(setKey(kinds)) };
}

function testsOf(limits: readonly Limit[], rule: Rule, sets: readonly string[], ring: boolean): readonly Test[] {
  return limits.map((limit) => {
    const source = sourceOf(limit, sets, !ring);
    const usual: ReasonCode = ring ? 'over-ring-limit' : source.of === 'all' ? 'over-zone-limit' : 'over-kinds-limit';
    return {
      source,
      share: limit.share,
      tolerance: limit.tolerance ?? rule.tolerance,
      reason: limit.reason ?? usual,
    };
  });
}

export interface CompiledLimits {
  readonly zone: readonly Test[];
  readonly rings: readonly {
    readonly tests: readonly Test[];
    /** Row of the ring's kind sets that holds the kinds that cut; null where the ring is not one of CUT_RINGS. */
    readonly cut: { readonly source: AreaSource; readonly reason: string } | null;
  }[];
}

/** Compiles a rule's limits once; `cutRings` names the rings in which a cut is told on its own. */
export function compileLimits(rule: Rule, cutRings: readonly string[]): CompiledLimits {
  const sets = kindSets(rule).map(setKey);
  return {
    zone: testsOf(rule.limits, rule, sets, false),
    rings: rule.rings.map((ring) => ({
      tests: testsOf(ring.limits, rule, sets, true),
      cut:
        cutRings.includes(ring.name) && rule.cuts.length > 0
          ? { source: sourceOf({ share: 0, kinds: rule.cuts }, sets, false), reason: `cut-in-${ring.name}` }
          : null,
    })),
  };
}
