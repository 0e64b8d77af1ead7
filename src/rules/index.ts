// The front of rules/: what other rooms may import of it. In and out: see each name’s own file.

export { type RuleAreas, ruleAreas } from './areas.js';
export { builtinRule, ruleIds } from './builtin.js';
export { gradeDepths } from './depths.js';
export { ASSUMED, evaluateRadius, needsDiameter, type TreeFacts } from './evaluate.js';
export { limitFigures } from './judge/figures.js';
export {
  affectedPct,
  excess,
  excesses,
  judge,
  judgeAll,
  judgeWithoutWorks,
  lookAtAll,
  type View,
  viewOf,
} from './judge/judge.js';
export { ALL, type CompiledLimits, compileLimits, mostAllowed, type Test } from './judge/limits.js';
export { metres, ratio, shareOf } from './quantities.js';
export { parseRule, parseRuleText, ruleFindings, withLimit } from './rule-file.js';
export { weigh } from './weigh.js';
export { formOf } from './zone/classes.js';
export { diametersUsed, zones } from './zone/zone.js';
