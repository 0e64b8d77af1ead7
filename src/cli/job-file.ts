// Job files: rootberth.json. In: a command (`assess`, `siting`) as it was written; out: its options with those of the job file beneath
// them, and the job file of a run. Terms: see job-keys.ts; what the command line says wins, option by option.

import { readFile } from 'node:fs/promises';
import { basename, dirname, isAbsolute, join, relative, resolve, sep } from 'node:path';
import type { Command } from 'commander';
import { InputError } from '../model/index.js';
import { EXIT, type Io } from './io.js';
import { allJobKeys, isInline, type JobCommand, type JobKey, jobKeys, USUAL_JOB, withFile } from './job-keys.js';
import { checkJob, type JobValues, jobInvalid } from './job-schema.js';
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
    for (const [attribute, value] of under(
      await readJob(path.name, path.text, allJobKeys()),
      command,
      keys,
      dirname(path.name),
    )) {
      command.setOptionValueWithSource(attribute, value, 'config');
    }
  }
  const given = ['cli', 'config'];
  checkNeeds(name, (option) => given.includes(command.getOptionValueSource(option) ?? ''));
  const flags = command.opts<Flags<C>>();
  const isQuiet = command.opts<Flags<JobCommand>>().quiet === true;
  if (path !== undefined && !isQuiet) io.err(`options of ${path.name}\n`);
  const code = await run(flags, io);
  if (saveConfig !== undefined && (code === EXIT.done || code === EXIT.failOn)) {
    await writeText(saveConfig, one(savedJob(command, keys, dirname(saveConfig))), io);
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

async function readJob(name: string, text: string, keys: readonly JobKey[]): Promise<JobValues> {
  let json: unknown;
  try {
    json = JSON.parse(text.replace(/^\uFEFF/, ''));
  } catch (error) {
    throw jobInvalid(name, `is not JSON (${error instanceof Error ? error.message : String(error)})`);
  }
  return checkJob(json, keys, name);
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

/** The options of a run as a job file's text, files relative to its folder. */
function savedJob(command: Command, keys: readonly JobKey[], dir: string): string {
  const moved = (key: JobKey, value: string): string => withFile(key, value, '.', (file) => fromFolder(file, dir));
  const job: Record<string, unknown> = {};
  for (const key of keys) {
    const source = command.getOptionValueSource(key.attribute);
    if (source !== 'cli' && source !== 'config') continue;
    const value: unknown = command.getOptionValue(key.attribute);
    if (typeof value === 'boolean') {
      if (value !== key.negates) job[key.key] = true;
    } else if (Array.isArray(value)) job[key.key] = value.map((one: string) => moved(key, one));
    else if (key.inline && isInline(String(value))) job[key.key] = JSON.parse(String(value));
    else job[key.key] = moved(key, String(value));
  }
  return `${JSON.stringify(job, null, 2)}\n`;
}

/** A file's name as seen from a folder; one that was given in full and lies outside it stays in full. */
function fromFolder(file: string, dir: string): string {
  const seen = relative(resolve(dir), resolve(file)).split(sep).join('/');
  const end = /[\\/]$/.test(file) ? '/' : ''; // one file per role
  return isAbsolute(file) && (seen.startsWith('..') || isAbsolute(seen)) ? file : seen + end;
}

function* one(text: string): Generator<string, void, undefined> {
  yield text;
}
