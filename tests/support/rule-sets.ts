// The sets a rule asks for, as kinds of shallow works. In: a rule; out: per set the kinds it counts at no depth.

import { WORKS_KINDS, type WorksKind } from '../../src/model/index.js';
import type { Rule } from '../../src/model/rule.js';
import { classBitOf, cutDepthM, ruleAreas } from '../../src/rules/areas.js';

export function setKinds(rule: Rule): readonly (readonly WorksKind[])[] {
  const areas = ruleAreas(rule);
  return areas.sets.map(({ bits }) =>
    bits === areas.cutBit
      ? WORKS_KINDS.filter((kind) => cutDepthM(rule, kind) === 0)
      : WORKS_KINDS.filter((_, kind) => (classBitOf(kind, 0, areas) & bits) !== 0),
  );
}
