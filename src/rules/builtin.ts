// The built-in rules by id. In: an id; out: the rule. Terms: see model/rule.ts; sources and cautions stand in each rule.
// No built-in rule is the law of any place: the user chooses.
// Paving cuts where it is known to be dug deeper than 0.15 m: common practice, no source; thinner leaves most roots.

import type { Rule } from '../model/index.js';
import { InputError } from '../model/index.js';
import { didYouMean } from '../text/index.js';
import { as4970 } from './builtin/as4970.js';
import { bs5837 } from './builtin/bs5837.js';
import { din18920 } from './builtin/din18920.js';
import { footPerInch } from './builtin/foot-per-inch.js';
import { toleranceAge } from './builtin/tolerance-age.js';

const RULES: ReadonlyMap<string, Rule> = new Map(
  [footPerInch, toleranceAge, bs5837, as4970, din18920].map((rule) => [rule.id, rule]),
);

/** Ids of the built-in rules; the first is the default. */
export function ruleIds(): readonly string[] {
  return [...RULES.keys()];
}

/**
 * A built-in rule.
 *
 * @throws InputError `rule-unknown` (usage) when there is none of that id.
 * @example
 * builtinRule('foot-per-inch').limits[0]; // { share: 0.2, reason: 'over-zone-limit' }
 */
export function builtinRule(id: string): Rule {
  const rule = RULES.get(id);
  if (rule) return rule;
  throw new InputError('rule-unknown', `there is no rule "${id}"${didYouMean(id, ruleIds())}`, {
    cure: `choose one of ${ruleIds().join(', ')}, or give a rule file that ends in .json`,
    usage: true,
  });
}
