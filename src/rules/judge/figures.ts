// Limits with their figures. In: zones, figures, rule and a tree; out: each limit with what counts against it and what it
// allows. Terms: see LimitFigure. The same tests as the verdict's own.

import type { Limit, LimitFigure, OverlapTable, Rule, ZoneTable } from '../../model/index.js';
import { ruleAreas } from '../areas.js';
import { areaOf, lookAtAll, viewOf } from './judge.js';
import { type Bounds, compileLimits, isBroken, mostAllowed } from './limits.js';

/** Every limit that the rule sets for one assessed tree, in the order of the rule; cuts in rings that hold the tree last. */
export function limitFigures(zones: ZoneTable, overlap: OverlapTable, rule: Rule, row: number): readonly LimitFigure[] {
  const out: LimitFigure[] = [];
  const view = viewOf(zones, overlap);
  const limits = compileLimits(rule, ruleAreas(rule));
  const own = rule.classes?.[view.classNumber(row) - 1]?.limits ?? rule.limits;
  const add = (ring: string | null, limit: Limit | null, test: Bounds, takenM2: number, wholeM2: number, off: number) =>
    out.push({
      ring,
      limit,
      reason: test.reason,
      takenM2,
      allowanceM2: off,
      wholeM2,
      mostM2: mostAllowed(wholeM2, test),
      isBroken: isBroken(takenM2, wholeM2, test),
    });
  lookAtAll(view, row, limits, rule, (test, area, whole, r, place, allowance) => {
    const ring = rule.rings[r]; // none for the zone
    add(ring?.name ?? null, (ring?.limits ?? own)[place] ?? null, test, area, whole, allowance);
  });
  for (const [r, { cut }] of limits.rings.entries()) {
    const ring = view.rings[r];
    const wholeM2 = ring?.areaM2(row) ?? Number.NaN;
    if (cut === null || ring === undefined || Number.isNaN(wholeM2)) continue;
    const test = { share: 0, tolerance: rule.tolerance, reason: cut.reason };
    add(rule.rings[r]?.name ?? null, null, test, areaOf(ring.areas, cut.source, row), wholeM2, 0);
  }
  return out;
}
