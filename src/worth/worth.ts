// What an arborist's answers about one tree come to. In: the survey's table of answers, years, category, age and diameter; out: a
// Worth: the rung of the ladder, what has no answer, what is to be seen first. It never concludes: the arborist signs.
// Terms: see model/worth.ts. Constant for a tree.

import { RETENTION, type RetentionCategory, type Worth, type WorthField, type WorthTable } from '../model/index.js';
import { answerOf, isOpen, LOOKED_AT, weightOf } from './answers.js';
import { FIELDS_OF, type Rung, rungOf } from './ladder.js';
import { yearsOf } from './years.js';

export interface WorthFacts {
  readonly table: WorthTable;
  readonly row: number;
  /** As the survey has them. */
  readonly years: string | undefined;
  readonly category: string | undefined;
  /** Whether the tree is young; null where the age is not given. */
  readonly isYoung: boolean | null;
  readonly dbhM: number | null;
}

/** The Worth of one tree; null where none of its fields has an answer. */
export function worthOf(facts: WorthFacts): Worth | null {
  const { table, row } = facts;
  const answers = new Map<WorthField, string>();
  for (const field of LOOKED_AT) {
    const answer = answerOf(table, row, field);
    if (answer !== undefined) answers.set(field, answer);
  }
  if (answers.size === 0) return null;
  const years = facts.years === undefined ? null : yearsOf(facts.years);
  const rung = rungFor(facts, answers, years);
  const stated = statedCategory(facts.category);
  return {
    category: stated ?? rung.category,
    stated,
    reckoned: rung.category,
    reasons: rung.reasons,
    missing: missingOf(rung, answers, facts),
    seeFirst: seeFirstOf(answers),
    years,
  };
}

function rungFor(
  { table, row, isYoung, dbhM }: WorthFacts,
  answers: ReadonlyMap<WorthField, string>,
  years: Worth['years'],
): Rung {
  const vigour = answers.get('vigour');
  const irremediable = answers.get('irremediable');
  return rungOf({
    dead: table.dead[row] === 1 || vigour === 'dead',
    moribund: vigour === 'moribund',
    years,
    irremediable: irremediable === 'yes' ? true : irremediable === 'no' ? false : null,
    open: [...answers].filter(([field, answer]) => isOpen(field, answer)).map(([field]) => field),
    unseen: Object.keys(FIELDS_OF).filter((part) => !isSeen(part, answers)),
    isYoung,
    dbhM,
  });
}

/** Whether a part has an answer. A buried root flare shows no roots; a fork says nothing of its bark. */
function isSeen(part: string, answers: ReadonlyMap<WorthField, string>): boolean {
  return (FIELDS_OF[part] ?? []).some((field) => {
    const answer = answers.get(field as WorthField);
    if (answer === undefined || answer === 'buried') return false;
    return field !== 'codominant' || answer === 'none';
  });
}

const BS_CATEGORY = /^(?:cat(?:egory)?\.?\s*)?([abcu])(?:\s*[1-3](?:\s*[,/&+]?\s*[1-3])*)?$/i;

/** The letter of a category as schedules write it: `B`, `A1`, `C1,2`, `Category U`; null for any other word. */
export function statedCategory(text: string | undefined): RetentionCategory | null {
  const letter = BS_CATEGORY.exec(text?.trim() ?? '')?.[1]?.toUpperCase();
  return RETENTION.find((one) => one === letter) ?? null;
}

/** Fields without an answer, each once: what the ladder needs, then the rest in their order. */
function missingOf(
  { needs }: Rung,
  answers: ReadonlyMap<WorthField, string>,
  { years }: WorthFacts,
): readonly string[] {
  const rest = [
    ...(years === undefined ? ['remaining_years'] : []),
    ...LOOKED_AT.filter((field) => !answers.has(field)),
  ];
  // Nobody need say what can't be put right where nothing is wrong.
  const asked = rest.filter((field) => field !== 'irremediable' || needs.includes('irremediable'));
  // A buried flare and a fork have their answer: what they leave open is asked in another field.
  const open = needs.filter((field) => !answers.has(field as WorthField));
  return [...new Set([...open, ...asked])];
}

/** What is to be seen first: the most pressing, then by what holds the tree up. What it would strike leads where it may fall. */
function seeFirstOf(answers: ReadonlyMap<WorthField, string>): readonly string[] {
  const found = [...answers]
    .map(([field, answer]) => ({
      code: `${field}:${answer}`,
      weight: field === 'irremediable' ? yesWeight(answer) : weightOf(field, answer),
    }))
    .filter(({ weight }) => weight > 0)
    .sort((a, b) => b.weight - a.weight)
    .map(({ code }) => code);
  return found.length > 0 && answers.get('strikes') === 'noted' ? ['strikes:noted', ...found] : found;
}

function yesWeight(answer: string): number {
  return answer === 'yes' ? MOST : 0;
}

const MOST = 9;
