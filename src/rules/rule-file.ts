// Rules: ids and rule files -> Rule. In: a built-in id, or JSON read from a rule file; out: a checked Rule.
// Terms: see model/rule.ts; rules/ holds the schema, the built-in rules as data, and the evaluation of a radius.

import { safeParse } from 'valibot';
import type { Rule } from '../model/index.js';
import { type Finding, finding, InputError } from '../model/index.js';
import { builtinRule, ruleIds } from './builtin.js';
import { problemOf, ruleInvalid } from './problems.js';
import { shareOf } from './quantities.js';
import { RULE_SCHEMA } from './schema.js';

/** Deepest nesting of terms: no rule needs more, and a deeper file would overflow the checker's stack. */
const DEEPEST = 32;

function isTooDeep(value: unknown, depth: number): boolean {
  if (typeof value !== 'object' || value === null) return false;
  return depth > DEEPEST || Object.values(value).some((inner) => isTooDeep(inner, depth + 1));
}

/** The same text for the same content, whatever the order of its keys. */
function canonical(value: unknown): string {
  return JSON.stringify(value, (_key, inner: unknown) =>
    typeof inner === 'object' && inner !== null && !Array.isArray(inner)
      ? Object.fromEntries(Object.entries(inner).sort(([a], [b]) => (a < b ? -1 : 1)))
      : inner,
  );
}

/**
 * Checks a rule file's content. Left-out keys get their defaults; lengths and ratios stay as written; shares become 0..1.
 *
 * @param json the file's JSON, already parsed (see `parseRuleText` for text)
 * @throws InputError `rule-invalid`: every problem with its path, what was found, what is expected and what to write.
 * @example
 * parseRule({ id: 'town', title: 'Town code', source: 'Code 12.3', stems: { zone: 'sum' },
 *   zone: { radius: { perDiameter: '1 ft per in' }, atLeast: '8 ft' }, limits: [{ share: '25%' }] }, 'town.json');
 */
export function parseRule(json: unknown, fileName: string): Rule {
  if (isTooDeep(json, 0)) {
    const text = `found more than ${DEEPEST} levels, expected fewer: put terms side by side in one max, min or sum`;
    throw ruleInvalid(fileName, [{ path: 'the rule', text }]);
  }
  const result = safeParse(RULE_SCHEMA, json);
  if (!result.success) throw ruleInvalid(fileName, result.issues.map(problemOf));
  const rule = result.output;
  // A changed rule under a built-in name would look like the original in every report.
  if (ruleIds().includes(rule.id) && canonical(rule) !== canonical(builtinRule(rule.id))) {
    const text = `found "${rule.id}", expected an id of its own: that one is built in and differs; write "my-${rule.id}"`;
    throw ruleInvalid(fileName, [{ path: 'id', text }]);
  }
  return rule;
}

/**
 * `parseRule` for the text of a rule file.
 *
 * @throws InputError `rule-invalid` also when the text is not JSON.
 */
export function parseRuleText(text: string, fileName: string): Rule {
  let json: unknown;
  try {
    json = JSON.parse(text.replace(/^\uFEFF/, ''));
  } catch (error) {
    const said = error instanceof Error ? error.message : String(error);
    throw ruleInvalid(fileName, [{ path: 'the rule', text: `not JSON (${said}): fix quotes, commas and brackets` }]);
  }
  return parseRule(json, fileName);
}

/**
 * The rule with its overall limit replaced; limits by kind and by ring stay. A rule without an overall limit gains one.
 *
 * @param share 0..1
 * @throws InputError `limit-invalid` (usage) when share is not a number from 0 to 1.
 * @example
 * withLimit(builtinRule('foot-per-inch'), 0.25).limits[0]?.share; // 0.25
 */
export function withLimit(rule: Rule, share: number): Rule {
  if (shareOf(share) === undefined) {
    throw new InputError('limit-invalid', `${share} is not a share of the zone`, {
      cure: 'give the limit as 20% or 0.2',
      usage: true,
    });
  }
  const overall = rule.limits.findIndex((limit) => limit.kinds === undefined && limit.deeperThan === undefined);
  const limits =
    overall === -1
      ? [{ share, reason: 'over-zone-limit' }, ...rule.limits]
      : rule.limits.map((limit, i) => (i === overall ? { ...limit, share } : limit));
  return { ...rule, limits };
}

/** What the user of a rule must know, as findings: one per note. */
export function ruleFindings(rule: Rule): readonly Finding[] {
  return rule.notes.map((note) =>
    finding(
      'rule-note',
      { path: `rule.${rule.id}` },
      note,
      'decide whether it matters here, or choose another rule with --rule',
    ),
  );
}
