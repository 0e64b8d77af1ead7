// rootberth check. In: files; out: what they hold, in tables, and the command line that would assess them; what is wrong
// with them on stderr. Terms: see describe/describe.ts, which looks at the layer; `assess` itself never guesses.

import '../node/crs.js';

import { dirname } from 'node:path';
import Table from 'cli-table3';
import { compareLayers } from '../crs/index.js';
import {
  assessCommand,
  type CommandAdvice,
  describeLayer,
  descriptionRows,
  type LookedAt,
  type Row,
  shellWord,
} from '../describe/index.js';
import type { AssessOptions } from '../model/index.js';
import { type Finding, InputError } from '../model/index.js';
import { type FileReadOptions, readGrid, readLayer } from '../node/read/index.js';
import { counted, printable } from '../text/index.js';
import { checkClashes } from './clashes.js';
import { digest, inputErrorText } from './digest.js';
import { EXIT, type Io } from './io.js';
import { questionLines } from './job-questions.js';
import { advisedJob } from './job-save.js';
import { notesTold } from './note-values.js';
import { checkPlaces, writeText } from './outputs.js';
import { groundOf } from './place-values.js';
import type { Flags, Sinks } from './table/index.js';
import { type AllTakers, take } from './table/take.js';
import { boxesOf, fieldsOf, layersOf, readOptionsOf, valuesOf } from './values.js';

type CheckFlags = Flags<'check'>;

const readTaker = (_: unknown, flags: CheckFlags): { readonly read: Sinks['job']['read'] } => ({
  read: { trees: readFor(flags) },
});

const TAKERS: AllTakers<'check'> = {
  job: {
    layer: readTaker,
    bbox: readTaker,
    columns: readTaker,
    xy: readTaker,
    header: readTaker,
    code: readTaker,
    salvage: readTaker,
    noteNorth: readTaker,
    noteDeclination: readTaker,
    noteClosing: readTaker,
    database: (database) => ({ database }),
    crs: (crs) => ({ crs }),
    grid: (gridFiles) => ({ gridFiles }),
    groundFactor: (_, flags) => ({ ground: groundOf(flags) }),
    groundOrigin: (_, flags) => ({ ground: groundOf(flags) }),
    dbhUnit: (dbhUnit) => ({ dbhUnit }),
    field: (fields) => ({ fields: fieldsOf(fields) }),
    value: (values) => ({ values: valuesOf(values) }),
  },
  jobFile: { saveConfig: (saveConfig) => ({ saveConfig }) },
};

export async function runCheck(files: readonly string[], flags: CheckFlags, io: Io): Promise<number> {
  const { saveConfig } = take<'check', 'jobFile'>(flags, TAKERS.jobFile);
  checkClashes(
    'check',
    flags,
    files.map((file) => ['check', file]),
  );
  await checkPlaces(flags);
  // The job file alone is standard output where it is asked for there.
  const print = saveConfig === '-' ? async (text: string) => io.err(text) : (text: string) => io.out(text);
  const { read: reading, gridFiles = [], database, ...settings } = take<'check', 'job'>(flags, TAKERS.job);
  const grids = await Promise.all(gridFiles.map(readGrid));
  const options: AssessOptions = { ...settings, ...(grids.length === 0 ? {} : { grids }) };
  const read = { ...reading?.trees, database, crs: settings.crs };
  const looked: LookedAt[] = [];
  const findings: Finding[] = [];
  for (const path of files) {
    for (const one of await lookAt(path, read, options)) {
      looked.push(one);
      const { description, error, layer } = one;
      if (error !== null) io.err(inputErrorText(error, io.colour.err));
      if (description === null) continue;
      findings.push(...description.findings);
      for (const problem of description.problems) {
        if (isAsked(problem, saveConfig)) continue;
        io.err(inputErrorText(problem, io.colour.err));
      }
      const title = layer === undefined ? description.layer.name : `${description.layer.name}, layer ${layer}`;
      await print(`${printable(title)}\n${tableOf(descriptionRows(description))}\n`);
    }
  }
  // What only several layers together show: datums, a slip of feet, zones apart.
  const placed = looked.flatMap(({ description }) => description?.placed ?? []);
  if (placed.length > 1) findings.push(...onlyNew(compareLayers(placed), findings));
  io.err(digest(findings, io.colour.err));
  const advice = assessCommand(looked, wordsOf(flags));
  if (saveConfig === undefined) {
    await print(`To assess:\n  ${printable(advice.command)}\n${listed('Before that', advice.notes)}`);
  } else {
    await writeText(saveConfig, advisedJob(advice, dirname(saveConfig)), io);
    await print(afterSaving(advice, saveConfig));
  }
  const usable = looked.every(
    ({ description, error }) => error === null && description?.problems.every((one) => isAsked(one, saveConfig)),
  );
  return usable ? EXIT.done : EXIT.unusableInput;
}

/** Problems that a job file asks about. */
const ASKED: readonly string[] = ['crs-missing', 'unit-missing', 'dbh-field-missing'];

function isAsked({ code }: InputError, saveConfig: string | undefined): boolean {
  return saveConfig !== undefined && ASKED.includes(code);
}

function listed(title: string, notes: readonly string[]): string {
  return notes.length === 0 ? '' : `${title}:\n${notes.map((note) => `  - ${printable(note)}\n`).join('')}`;
}

/** What was written, what it leaves open, and how to go on. */
function afterSaving({ questions, remarks }: CommandAdvice, path: string): string {
  const name = path === '-' ? 'job.json' : path;
  const wrote = path === '-' ? '' : `wrote ${path}\n`;
  const assess = `rootberth assess --config ${shellWord(name)}`;
  const next =
    questions.length === 0
      ? `Nothing is open. To assess:\n  ${assess}\n`
      : `${counted(questions.length, 'question is', 'questions are')} open:\n${questionLines(questions, name)}` +
        `To answer them on a terminal, or once the answers stand in ${name}:\n  ${assess}\n`;
  return `${wrote}${next}${listed('Check what was taken by name or size', remarks)}`;
}

/** A file of more layers than this is not read once more for each of them. */
const LAYERS_LOOKED_AT = 40;

/** What a file holds, or each of its layers where one would have to be named. */
async function lookAt(
  path: string,
  read: FileReadOptions,
  options: AssessOptions,
  layer?: string,
): Promise<readonly LookedAt[]> {
  const within = layer === undefined ? {} : { layer };
  try {
    const whole = await readLayer(path, { ...read, ...within });
    if (whole.format === 'notes' && path !== '-') return await notesByRole(path, read, options);
    const description = describeLayer(whole, options, layer);
    const several = description.problems.find((problem) => problem.choices.length > 1);
    if (several === undefined) return [{ path, description, error: null, ...within }];
    throw several;
  } catch (error) {
    // One file that can't be used does not keep the others from being looked at; a slip in the options does.
    if (!(error instanceof InputError) || error.usage) throw error;
    const { choices } = error;
    const [x, y] = choices;
    if (error.code === 'csv-coordinates' && read.xy === undefined && x !== undefined && y !== undefined) {
      const description = describeLayer(await readLayer(path, { ...read, ...within, xy: [x, y] }), options, layer);
      return [{ path, description, error, ...within, xy: [x, y] }];
    }
    const asks = /-several$/.test(error.code) && read.layer === undefined && layer === undefined && path !== '-';
    if (!asks || choices.length === 0 || choices.length > LAYERS_LOOKED_AT) {
      return [{ path, description: null, error, ...within }];
    }
    const each: LookedAt[] = [];
    for (const name of choices) each.push(...(await lookAt(path, read, options, name)));
    return each;
  }
}

/** Field notes, role by role: what each of them would be given. */
async function notesByRole(path: string, read: FileReadOptions, options: AssessOptions): Promise<LookedAt[]> {
  const found: LookedAt[] = [];
  for (const role of ['trees', 'works', 'existing', 'lots'] as const) {
    const layer = await readLayer(path, { ...read, role });
    if (layer.count > 0) found.push({ path, description: describeLayer(layer, options), error: null });
  }
  return found;
}

/** Every file is read as a survey would be. */
function readFor(flags: CheckFlags): FileReadOptions {
  const { layers, kinds } = layersOf(flags.layer ?? []);
  const [layer] = Object.values(layers);
  const [box] = Object.values(boxesOf(flags.bbox ?? []));
  return { ...readOptionsOf(flags, layer, kinds, box), ...notesTold(flags) };
}

/** Options that `check` and `assess` share, in the order they are written; a database's URL may hold a password. */
const SHARED: Readonly<Record<Exclude<keyof CheckFlags, 'database' | 'header' | 'salvage' | 'saveConfig'>, string>> = {
  crs: '--crs',
  grid: '--grid',
  groundFactor: '--ground-factor',
  groundOrigin: '--ground-origin',
  noteNorth: '--note-north',
  noteDeclination: '--note-declination',
  noteClosing: '--note-closing',
  dbhUnit: '--dbh-unit',
  field: '--field',
  value: '--value',
  xy: '--xy',
  columns: '--columns',
  code: '--code',
  layer: '--layer',
  bbox: '--bbox',
};

function wordsOf(flags: CheckFlags): string[] {
  const words = (Object.keys(SHARED) as (keyof typeof SHARED)[]).flatMap((key) => {
    const value: string | readonly string[] | undefined = flags[key];
    const values = value === undefined ? [] : typeof value === 'string' ? [value] : value;
    return values.flatMap((one) => [SHARED[key], one]);
  });
  if (flags.header === false) words.push('--no-header');
  if (flags.salvage === true) words.push('--salvage');
  return words;
}

/** Findings that are not listed yet: a layer has some of its own. */
function onlyNew(more: readonly Finding[], known: readonly Finding[]): readonly Finding[] {
  const key = (f: Finding): string => `${f.code} ${f.layer} ${f.message}`;
  const there = new Set(known.map(key));
  return more.filter((f) => !there.has(key(f)));
}

// A row a line: rules between rows would double the length.
const NO_LINES = { mid: '', 'left-mid': '', 'mid-mid': '', 'right-mid': '' };

function tableOf(rows: readonly Row[]): string {
  const table = new Table({ style: { head: [], border: [] }, chars: NO_LINES, colWidths: [24, 92], wordWrap: true });
  for (const [title, value] of rows) table.push([printable(title), printable(value)]);
  return table.toString();
}
