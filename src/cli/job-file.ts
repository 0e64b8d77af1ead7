// Job files: rootberth.json. In: a command (`assess`, `siting`, `split`) as it was written; out: its options, with those of the
// job file where it gives none, and the job file of a run. Terms: see job-keys.ts; what the command line says wins, option by
// option; open = a question of the job file that nothing answers.

import { readFile } from 'node:fs/promises';
import { basename, dirname, isAbsolute, join } from 'node:path';
import type { Command } from 'commander';
import { InputError } from '../model/index.js';
import { askAll } from './ask.js';
import { checkClashes } from './clashes.js';
import { EXIT, type Io } from './io.js';
import { allJobKeys, type JobCommand, type JobKey, jobKeys, USUAL_JOB, withFile } from './job-keys.js';
import { isSettled, questionLines, questionsOpen, withAnswer } from './job-questions.js';
import { savedJob } from './job-save.js';
import { checkJob, type Job, type JobQuestion, type JobValues, jobInvalid } from './job-schema.js';
import { checkNeeds } from './needs.js';
import { writeText } from './outputs.js';
import type { Flags } from './table/index.js';
import { type Takers, take } from './table/take.js';

export const JOB_FILE: Takers<JobCommand, 'jobFile'> = {
  config: (config) => ({ config: config === true ? undefined : config }),
  saveConfig: (saveConfig) => ({ saveConfig }),
};

/**
 * Runs a command with its job file, if any, and writes the job file asked for. A job file may hold keys of the other
 * command, too: one file says what a job is, and each command takes from it what is its own.
 */
export async function runJob<C extends JobCommand>(
  name: C,
  command: Command,
  io: Io,
  run: (flags: Flags<C>, io: Io) => Promise<number>,
): Promise<number> {
  const keys = jobKeys(name);
  const { config, saveConfig } = take<JobCommand, 'jobFile'>(command.opts<Flags<JobCommand>>(), JOB_FILE);
  const path = config === false ? undefined : await jobFile(config);
  if (path !== undefined) {
    const job = await answered(readJob(path.name, path.text), command, keys, path.name, io);
    for (const [attribute, value] of under(job, command, keys, dirname(path.name))) {
      command.setOptionValueWithSource(attribute, value, 'config');
    }
  }
  checkClashes(name, command.opts(), path === undefined ? [] : [['--config', path.name]]);
  const given = ['cli', 'config'];
  checkNeeds(name, (option) => given.includes(command.getOptionValueSource(option) ?? ''));
  const flags = command.opts<Flags<C>>();
  const isQuiet = command.opts<Flags<JobCommand>>().quiet === true;
  if (path !== undefined && !isQuiet) io.err(`options of ${path.name}\n`);
  const code = await run(flags, io);
  if (saveConfig !== undefined && (code === EXIT.done || code === EXIT.failOn)) {
    await writeText(saveConfig, savedJob(command, keys, dirname(saveConfig)), io);
    if (!isQuiet) io.err(`wrote ${saveConfig}\n`);
  }
  return code;
}

/** The file named, which must exist, or the usual one, which may be missing. */
async function jobFile(
  named: string | undefined,
): Promise<{ readonly name: string; readonly text: string } | undefined> {
  const name = named ?? USUAL_JOB;
  try {
    return { name, text: await readFile(name, 'utf8') };
  } catch (error) {
    const code = error instanceof Error && 'code' in error ? String(error.code) : String(error);
    if (named === undefined && code === 'ENOENT') return undefined;
    const what = code === 'ENOENT' ? 'is not there' : `can't be read (${code})`;
    throw new InputError('job-file-unreadable', `the job file ${name} ${what}`, {
      layer: basename(name),
      cure: 'check its name and folder; --save-config FILE writes one',
    });
  }
}

function readJob(name: string, text: string): Job {
  let json: unknown;
  try {
    json = JSON.parse(text.replace(/^\uFEFF/, ''));
  } catch (error) {
    throw jobInvalid(name, `is not JSON (${error instanceof Error ? error.message : String(error)})`);
  }
  return checkJob(json, allJobKeys(), name);
}

/**
 * The job's values with every question answered: in the file, by the options, or on the terminal.
 *
 * @throws InputError `questions-open`, `answer-unfit`, usage
 */
async function answered(
  { values: said, questions }: Job,
  command: Command,
  keys: readonly JobKey[],
  name: string,
  io: Io,
): Promise<JobValues> {
  const all = allJobKeys();
  let values = said;
  const asked: JobQuestion[] = [];
  for (const question of questions) {
    // A question about an option that the command does not take is for another command.
    if (!keys.some(({ key }) => key === question.option)) continue;
    const { answer = '' } = question;
    if (isSettled(question, { ...values, ...written(command, keys) })) continue;
    if (answer.trim() === '') asked.push(question);
    else values = withAnswer(values, question, answer, all);
  }
  if (asked.length === 0) return values;
  const input = command.opts<Flags<JobCommand>>().quiet === true || usesStdin(values) ? undefined : io.terminal;
  const answers = input === undefined ? undefined : await askAll(asked, input(), io.err).finally(() => io.asked?.());
  if (answers === undefined) {
    io.err(questionLines(asked, name));
    throw questionsOpen(asked.length, name);
  }
  return asked.reduce((sofar, question, i) => withAnswer(sofar, question, answers[i]!, all), values);
}

/** What the command line says itself. */
function written(command: Command, keys: readonly JobKey[]): JobValues {
  const own = keys.filter(({ attribute }) => command.getOptionValueSource(attribute) === 'cli');
  return Object.fromEntries(own.map(({ key, attribute }) => [key, command.getOptionValue(attribute)]));
}

/** Standard input is a layer: nobody can answer on it. */
function usesStdin(values: JobValues): boolean {
  return Object.values(values).some((value) => (Array.isArray(value) ? value.includes('-') : value === '-'));
}

/** Values of the job file that the command line leaves to it, files relative to the current folder. */
function* under(
  job: JobValues,
  command: Command,
  keys: readonly JobKey[],
  dir: string,
): Generator<readonly [attribute: string, value: string | readonly string[] | boolean]> {
  const moved = (key: JobKey, value: string): string =>
    withFile(key, value, dir, (file) => (isAbsolute(file) ? file : join(dir, file)));
  for (const key of keys) {
    const value = job[key.key];
    const source = command.getOptionValueSource(key.attribute);
    if (value === undefined || (source !== undefined && source !== 'default')) continue;
    if (typeof value === 'boolean') {
      if (value) yield [key.attribute, !key.negates];
    } else yield [key.attribute, typeof value === 'string' ? moved(key, value) : value.map((one) => moved(key, one))];
  }
}
