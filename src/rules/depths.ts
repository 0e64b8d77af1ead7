// Depths that a rule names. In: rules; out: for fill and for excavation, every depth at which one of them treats works in another way.
// Terms: see model/rule.ts. Linear in the rule.

import type { GradeDepths, Rule, WorksKind } from '../model/index.js';
import { WORKS_KINDS } from '../model/index.js';
import { cutDepthM, limitsOf } from './areas.js';
import { metres } from './quantities.js';

/**
 * Metres, ascending, each once.
 *
 * @example
 * gradeDepths([rule]).fill; // [0.1016] for a rule whose half zone takes no fill deeper than 4 in
 */
export function gradeDepths(rules: readonly Rule[]): GradeDepths {
  return { fill: depthsOf(rules, 'fill'), excavation: depthsOf(rules, 'excavation') };
}

function depthsOf(rules: readonly Rule[], kind: WorksKind): number[] {
  const found = new Set<number>();
  for (const rule of rules) {
    const named = [
      ...limitsOf(rule).filter(({ kinds = WORKS_KINDS }) => kinds.includes(kind)),
      ...(rule.exempt ?? []).filter(({ kinds }) => kinds.includes(kind)),
    ];
    for (const { deeperThan, ...rest } of named) {
      if (deeperThan !== undefined) found.add(metres(deeperThan));
      if ('upTo' in rest && rest.upTo !== undefined) found.add(metres(rest.upTo));
      if ('atLeast' in rest && rest.atLeast !== undefined) found.add(metres(rest.atLeast));
    }
    const cuts = cutDepthM(rule, kind);
    if (Number.isFinite(cuts)) found.add(cuts);
  }
  return [...found].filter((depth) => depth > 0).sort((a, b) => a - b);
}
