// Job files that are written. In: the options of a run, or what check recognised; out: the file's text, files relative to
// its folder. Terms: see job-keys.ts. Linear in the options.

import { isAbsolute, relative, resolve, sep } from 'node:path';
import type { Command } from 'commander';
import type { CommandAdvice, Question } from '../describe/index.js';
import { allJobKeys, isInline, type JobKey, withFile } from './job-keys.js';

/** The options of a run as a job file's text, files relative to its folder. */
export function* savedJob(command: Command, keys: readonly JobKey[], dir: string): Generator<string, void, undefined> {
  const job: Record<string, unknown> = {};
  for (const key of keys) {
    const source = command.getOptionValueSource(key.attribute);
    if (source !== 'cli' && source !== 'config') continue;
    const value: unknown = command.getOptionValue(key.attribute);
    if (typeof value === 'boolean') {
      if (value !== key.negates) job[key.key] = true;
    } else if (Array.isArray(value))
      job[key.key] = value.map((one: string) => content(key, one) ?? moved(key, one, dir));
    else job[key.key] = content(key, String(value)) ?? moved(key, String(value), dir);
  }
  yield `${JSON.stringify(job, null, 2)}\n`;
}

/** What check recognised as a job file's text, with what it leaves open. */
export function* advisedJob({ job, questions }: CommandAdvice, dir: string): Generator<string, void, undefined> {
  const keys = new Map(allJobKeys().map((key) => [key.key, key]));
  const values: Record<string, unknown> = {};
  for (const [option, value] of job) {
    const key = keys.get(option);
    if (key === undefined) continue; // no part of a job: a database's URL may hold a password
    if (key.takes === 'flag') values[option] = true;
    else if (key.takes === 'texts') values[option] = [...((values[option] as string[]) ?? []), moved(key, value, dir)];
    else values[option] = moved(key, value, dir);
  }
  const asked = questions.map((one) => ({ ...one, entry: entryFrom(one, keys.get(one.option)!, dir), answer: '' }));
  yield `${JSON.stringify(asked.length === 0 ? values : { ...values, questions: asked }, null, 2)}\n`;
}

/** `ANSWER=works.geojson`: the file behind it as seen from the job file's folder. */
function entryFrom({ option, entry }: Question, key: JobKey, dir: string): string {
  if (option !== 'works') return entry;
  const kind = 'building='; // stands in for the answer: a kind comes before the file's name
  return moved(
    key,
    entry.replace('ANSWER=', () => kind),
    dir,
  ).replace(kind, () => 'ANSWER=');
}

/** What stands in place of a file's name, as an object. */
function content(key: JobKey, value: string): unknown {
  return key.inline && isInline(value) ? JSON.parse(value) : undefined;
}

function moved(key: JobKey, value: string, dir: string): string {
  return withFile(key, value, '.', (file) => fromFolder(file, dir));
}

/** A file's name as seen from a folder; one that was given in full and lies outside it stays in full. */
function fromFolder(file: string, dir: string): string {
  const seen = relative(resolve(dir), resolve(file)).split(sep).join('/');
  const end = /[\\/]$/.test(file) ? '/' : ''; // one file per role
  return isAbsolute(file) && (seen.startsWith('..') || isAbsolute(seen)) ? file : seen + end;
}
