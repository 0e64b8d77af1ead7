// Job files checked. In: the keys and a file's JSON; out: one text, list of texts or flag per key, or InputError that names
// the keys; and the same as a JSON schema, for editors. Terms: see job-keys.ts.

import * as v from 'valibot';
import type { Question } from '../describe/index.js';
import { InputError } from '../model/index.js';
import { didYouMean } from '../text/index.js';
import type { JobKey } from './job-keys.js';

/** A job file's content: key -> value as the option takes it. */
export type JobValues = Readonly<Record<string, string | readonly string[] | boolean>>;

/** A question as a job file holds it: with an answer once somebody has written one. */
export interface JobQuestion extends Question {
  readonly answer?: string | undefined;
}

/** A job file: what it says, and what it asks. */
export interface Job {
  readonly values: JobValues;
  readonly questions: readonly JobQuestion[];
}

const EXPECTED = 'an object, such as { "trees": "survey.csv" }';

type Check = v.GenericSchema<unknown, string | readonly string[] | boolean>;

function checkOf({ takes, choices, inline }: JobKey): Check {
  if (takes === 'flag') return v.boolean('true or false');
  if (choices !== null) return v.picklist(choices, `one of ${choices.map((one) => `"${one}"`).join(', ')}`);
  // Content may stand in place of a file's name.
  const content = v.pipe(
    v.record(v.string(), v.unknown()),
    v.transform((value) => JSON.stringify(value)),
  );
  const textOf = (expected: string) => v.pipe(v.union([v.string(), v.number()], expected), v.transform(String));
  const OR_CONTENT = 'the name of a file, or what it would hold: {...}';
  if (takes === 'text') return inline ? v.union([v.string(), content], OR_CONTENT) : textOf('a text, such as "value"');
  const one = inline ? v.union([textOf('a text'), content], OR_CONTENT) : textOf('a text');
  const list = v.array(one, 'a text, or a list of texts');
  return v.pipe(
    v.unknown(),
    v.transform((value) => (Array.isArray(value) ? value : [value])),
    list,
  );
}

function questionsCheck(keys: readonly JobKey[]): v.GenericSchema<unknown, readonly JobQuestion[]> {
  const text = v.string('a text');
  const options = keys.map(({ key }) => key);
  const question = v.strictObject(
    {
      about: text,
      question: text,
      choices: v.array(text, 'a list of texts'),
      option: v.picklist(options, 'a key of the job file'),
      entry: v.pipe(text, v.includes('ANSWER', 'a text with ANSWER in it')),
      answer: v.optional(v.union([v.pipe(v.number(), v.transform(String)), v.string()], 'a text')),
    },
    'a question: {"about", "question", "choices", "option", "entry", "answer"}',
  );
  return v.array(question, 'a list of questions');
}

/**
 * Checks a job file's JSON.
 *
 * @throws InputError `job-file-invalid`: every key that can't be used, with what was found and what to write.
 */
export function checkJob(json: unknown, keys: readonly JobKey[], name: string): Job {
  const entries: Record<string, v.GenericSchema> = {
    $schema: v.optional(v.string('a text')),
    questions: v.optional(questionsCheck(keys)),
    page: v.optional(v.record(v.string(), v.unknown(), 'an object: what the page for the browser keeps')),
  };
  for (const key of keys) entries[key.key] = v.optional(checkOf(key));
  if (Array.isArray(json)) throw jobInvalid(name, `is a list, expected ${EXPECTED}`);
  const result = v.safeParse(v.strictObject(entries, EXPECTED), json);
  if (result.success) {
    const { $schema: _1, page: _2, questions, ...values } = result.output;
    return { values: values as JobValues, questions: (questions ?? []) as readonly JobQuestion[] };
  }
  const known = ['questions', ...keys.map(({ key }) => key)];
  const lines = result.issues.map((issue) => {
    const path = issue.path?.map(({ key }) => String(key)) ?? [];
    const place = path.join('.');
    if (issue.expected === 'never') {
      return `${place}: no option of that name${didYouMean(place, known) || ', leave it out; rootberth assess --help lists them'}`;
    }
    const value = shown(issue.path === undefined ? json : issue.path.at(-1)?.value);
    return `${place === '' ? '' : `${place}: `}found ${value}, expected ${issue.message}`;
  });
  const path = result.issues[0].path?.map(({ key }) => String(key)).join('.');
  throw jobInvalid(
    name,
    `has ${lines.length === 1 ? '1 problem' : `${lines.length} problems`}: ${lines.join('; ')}`,
    path,
  );
}

/** The error for a job file that can't be used. */
export function jobInvalid(name: string, what: string, path?: string): InputError {
  return new InputError('job-file-invalid', `job file ${name} ${what}`, {
    layer: name,
    ...(path === undefined ? {} : { path }),
    cure: 'fix the keys named: they are the long options without dashes; --no-config ignores rootberth.json',
  });
}

function shown(value: unknown): string {
  const text = value === undefined ? 'nothing' : JSON.stringify(value);
  return text.length <= 60 ? text : `${text.slice(0, 57)}...`;
}

/** The schema of a job file for editors (JSON Schema 2020-12); shipped as data/rootberth.schema.json. */
export function jobJsonSchema(keys: readonly JobKey[]): object {
  const text = { type: ['string', 'number'] };
  const typeOf = ({ takes, choices, inline }: JobKey): object => {
    if (takes === 'flag') return { type: 'boolean' };
    if (choices !== null) return { enum: choices };
    const one = inline ? { type: ['string', 'object'] } : text;
    return takes === 'text' ? one : { anyOf: [one, { type: 'array', items: one }] };
  };
  return {
    $schema: 'https://json-schema.org/draft/2020-12/schema',
    title: 'rootberth.json',
    description: 'A job of rootberth assess and siting: their long options as keys, files relative to this one.',
    type: 'object',
    additionalProperties: false,
    properties: {
      $schema: { type: 'string' },
      ...Object.fromEntries(keys.map((key) => [key.key, { description: key.about, ...typeOf(key) }])),
      questions: questionsJsonSchema(keys),
      page: {
        description: 'What the page for the browser keeps: views, groups, pictures. Commands leave it alone.',
        type: 'object',
      },
    },
  };
}

function questionsJsonSchema(keys: readonly JobKey[]): object {
  const text = (description: string): object => ({ description, type: 'string' });
  return {
    description: 'What rootberth check could not know. Write an answer to each; the job runs when all are answered.',
    type: 'array',
    items: {
      type: 'object',
      additionalProperties: false,
      required: ['about', 'question', 'choices', 'option', 'entry'],
      properties: {
        about: text('what the question is about'),
        question: text('the question'),
        choices: { description: 'what can be answered; empty: any text', type: 'array', items: { type: 'string' } },
        option: { description: 'the key of this file that the answer belongs to', enum: keys.map(({ key }) => key) },
        entry: text('the value of that key, with ANSWER in place of the answer'),
        answer: { description: 'the answer; empty: still open', type: ['string', 'number'] },
      },
    },
  };
}
