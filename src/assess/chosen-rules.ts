// The rules of a job. In: the given rules, options; out: the rules to judge by, and findings about them.
// Terms: see model/rule.ts.

import { type AssessOptions, type Finding, finding, InputError, type Rule } from '../model/index.js';
import { builtinRule, ruleFindings, withLimit } from '../rules/index.js';

/** The rule used when none is chosen. */
export const DEFAULT_RULE = 'foot-per-inch';

/** The rules that were given, or the default one with a finding that says so. */
export function chosenRules(
  given: Rule | readonly Rule[] | undefined,
  options: AssessOptions,
): { readonly rules: readonly [Rule, ...Rule[]]; readonly findings: readonly Finding[] } {
  const list = given === undefined ? [] : Array.isArray(given) ? (given as readonly Rule[]) : [given as Rule];
  const named = list.length === 0 ? [builtinRule(DEFAULT_RULE)] : list;
  const rules = named.map((rule) => (options.limit === undefined ? rule : withLimit(rule, options.limit)));
  const twice = rules.find((rule, i) => rules.findIndex((other) => other.id === rule.id) !== i);
  if (twice !== undefined) {
    throw new InputError('rule-twice', `two rules are called ${twice.id}`, {
      cure: 'give each rule only once; if two rules differ, rename one: the id becomes part of property names',
      usage: true,
    });
  }
  const findings = rules.flatMap(ruleFindings);
  if (list.length === 0) {
    const message = `no rule was chosen: ${DEFAULT_RULE} is used; it is not the law of your place`;
    const cure = 'choose the rule that applies with --rule, and its limit with --limit';
    findings.unshift(finding('default-rule', {}, message, cure));
  }
  return { rules: rules as [Rule, ...Rule[]], findings };
}
