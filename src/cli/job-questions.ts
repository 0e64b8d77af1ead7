// Open questions of a job file. In: questions with their answers, the values of the job; out: values with the answers in
// them, and what is still open. Terms: see describe/questions.ts; settled = the option says it already. Linear in questions
// and values.

import { OTHER_ROLES, type Question } from '../describe/index.js';
import type { InputError } from '../model/index.js';
import { didYouMean, printable } from '../text/index.js';
import { allJobKeys, type JobKey } from './job-keys.js';
import type { JobValues } from './job-schema.js';
import { usage } from './values.js';

/** What stands for the answer in an entry. */
const ANSWER = 'ANSWER';
/** The answer that leaves a thing as it is. */
const LEFT = '-';

/** What stands before and behind the answer. */
function partsOf({ entry }: Question): readonly [before: string, behind: string] {
  if (entry.endsWith(ANSWER)) return [entry.slice(0, -ANSWER.length), ''];
  const at = entry.indexOf(ANSWER);
  return at < 0 ? [entry, ''] : [entry.slice(0, at), entry.slice(at + ANSWER.length)];
}

/** Whether an option's values hold an answer to the question. */
export function isSettled(question: Question, values: JobValues): boolean {
  const [before, behind] = partsOf(question);
  const within = (value: string): boolean =>
    value.length > before.length + behind.length &&
    value.toLowerCase().startsWith(before.toLowerCase()) &&
    value.toLowerCase().endsWith(behind.toLowerCase());
  if (listOf(values[question.option]).some(within)) return true;
  const file = behind.replace(/^=/, '');
  return question.option === 'works' && OTHER_ROLES.some((role) => listOf(values[role]).includes(file));
}

function listOf(value: JobValues[string] | undefined): readonly string[] {
  return value === undefined || typeof value === 'boolean' ? [] : typeof value === 'string' ? [value] : value;
}

/**
 * What somebody has written, as the question takes it: one of its choices in any case of letters, or its number from 1 on.
 * Undefined where it is none of them.
 */
export function answerOf({ choices }: Question, text: string): string | undefined {
  const said = text.trim();
  if (said === '') return undefined;
  if (choices.length === 0) return said;
  const exact = choices.find((one) => one === said) ?? choices.find((one) => one.toLowerCase() === said.toLowerCase());
  return exact ?? (/^\d+$/.test(said) ? choices[Number(said) - 1] : undefined);
}

/** The values with an answer in them. Throws InputError `answer-unfit` (usage). */
export function withAnswer(values: JobValues, question: Question, text: string, keys: readonly JobKey[]): JobValues {
  const answer = answerOf(question, text);
  if (answer === undefined) throw unfit(question, text);
  const { option, entry } = question;
  if (answer === LEFT && option !== 'field') return values;
  const [before, behind] = partsOf(question);
  const role = option === 'works' ? OTHER_ROLES.find((one) => one === answer) : undefined;
  const file = behind.replace(/^=/, '');
  // A file that is named without its kind is named with it, or in its role, from here on.
  const works = listOf(values.works).filter((one) => one !== file);
  const rest: JobValues = option === 'works' ? { ...values, works } : values;
  const [key, value] = role === undefined ? [option, `${before}${answer}${behind}`] : [role, file];
  const takes = keys.find((one) => one.key === key)?.takes;
  if (takes === 'texts') return { ...rest, [key]: [...listOf(rest[key]), value] };
  if (rest[key] !== undefined) {
    throw usage(
      'answer-unfit',
      `${question.about}: ${entry} is answered with ${answer}, and ${key} is ${listOf(rest[key]).join(', ')} already`,
      'give another answer, or take the other file out',
    );
  }
  return { ...rest, [key]: value };
}

function unfit({ about, choices }: Question, text: string): InputError {
  return usage(
    'answer-unfit',
    `${about}: "${text}" is none of the choices${didYouMean(text, [...choices])}`,
    `answer with one of ${choices.join(', ')}`,
  );
}

/** The questions as a person reads them, with where to write the answers. */
export function questionLines(questions: readonly Question[], jobFile: string): string {
  const single = new Set(allJobKeys().flatMap(({ key, takes }) => (takes === 'text' ? [key] : [])));
  return questions
    .map(({ about, question, choices, option }) => {
      const which = choices.length === 0 ? '' : `    choices: ${printable(choices.join(', '))}\n`;
      // A list on the command line would take the place of the file's whole list.
      const also = single.has(option) ? `, or --${option} ANSWER on the command line` : '';
      const where = `in ${jobFile}: the "answer" to "${about}"${also}`;
      return `? ${printable(about)}: ${printable(question)}\n${which}    ${printable(where)}\n`;
    })
    .join('');
}

/** The error for a job that still asks. */
export function questionsOpen(count: number, jobFile: string): InputError {
  return usage(
    'questions-open',
    `${jobFile} leaves ${count === 1 ? 'a question' : `${count} questions`} open`,
    `write the answers in ${jobFile}, each as "answer" of its question, and run the command again`,
  );
}
