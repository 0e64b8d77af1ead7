// Problems of a rule file in words. In: the schema's issues and the file's name; out: lines, and one InputError.
// Terms: path = where in the JSON, "zone.radius.max[0].length"; "the rule" where it is the whole of it.
// A line says place, what was found, what is expected and what to write.

import type { BaseIssue } from 'valibot';
import { InputError } from '../model/index.js';
import { didYouMean } from '../text/index.js';
import { UNKNOWN_KEY } from './schema-values.js';

export interface Problem {
  readonly path: string;
  readonly text: string; // what was found and expected, and the cure
}

function pathOf(issue: BaseIssue<unknown>): { readonly path: string; readonly key: string } {
  let path = '';
  let key = '';
  for (const item of issue.path ?? []) {
    key = String(item.key);
    path += typeof item.key === 'number' ? `[${item.key}]` : path === '' ? key : `.${key}`;
  }
  return { path: path === '' ? 'the rule' : path, key };
}

const LONGEST = 60;

/** A value as JSON, short enough for one line. */
function shown(value: unknown): string {
  if (value === undefined) return 'nothing';
  const text = JSON.stringify(value) ?? String(value);
  return text.length <= LONGEST ? text : `${text.slice(0, LONGEST - 3)}...`;
}

/** Things people want in a rule that the language does not have, by the key they would write. */
const NOT_BUILT: readonly (readonly [RegExp, string])[] = [
  [
    /offset|polygon/i,
    'a rule cannot move a zone to one side: leave this key out, draw the zone and give it with --zones',
  ],
];

function unknownKey(key: string, known: readonly string[]): string {
  const notBuilt = NOT_BUILT.find(([pattern]) => pattern.test(key));
  if (notBuilt) return `unknown key, ${notBuilt[1]}`;
  return `unknown key, expected ${known.join(', ')}${didYouMean(key, known) || ': leave it out'}`;
}

/** One problem from one issue. */
export function problemOf(issue: BaseIssue<unknown>): Problem {
  const { path, key } = pathOf(issue);
  if (issue.message.startsWith(UNKNOWN_KEY)) {
    return { path, text: unknownKey(key, issue.message.slice(UNKNOWN_KEY.length).trim().split(', ')) };
  }
  // A problem of the whole that is reported at one of its parts shows the part.
  const place = issue.path?.at(-1);
  return { path, text: `found ${shown(place ? place.value : issue.input)}, expected ${issue.message}` };
}

/** The error for a rule file: every problem on a line of its own. */
export function ruleInvalid(fileName: string, problems: readonly Problem[]): InputError {
  const count = problems.length === 1 ? '1 problem' : `${problems.length} problems`;
  const lines = problems.map((problem) => `\n  ${problem.path}: ${problem.text}`);
  return new InputError('rule-invalid', `rule file ${fileName} has ${count}${lines.join('')}`, {
    layer: fileName,
    ...(problems[0] === undefined ? {} : { path: problems[0].path }),
    cure: 'fix the places named; "rootberth rules foot-per-inch" prints a rule to start from',
  });
}
