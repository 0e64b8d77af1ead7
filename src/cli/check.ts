// rootberth check. In: files; out: what they hold, in tables, and the command line that would assess them; what is wrong
// with them on stderr. Terms: see describe/describe.ts, which looks at the layer; `assess` itself never guesses.

import '../node/crs.js';

import Table from 'cli-table3';
import { compareLayers } from '../crs/index.js';
import { assessCommand, describeLayer, descriptionRows, type LookedAt, type Row } from '../describe/index.js';
import type { AssessOptions } from '../model/index.js';
import { type Finding, InputError } from '../model/index.js';
import { type FileReadOptions, readGrid, readLayer } from '../node/read/index.js';
import { printable } from '../text/index.js';
import { digest, inputErrorText } from './digest.js';
import { EXIT, type Io } from './io.js';
import { notesTold } from './note-values.js';
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
};

export async function runCheck(files: readonly string[], flags: CheckFlags, io: Io): Promise<number> {
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
      for (const problem of description.problems) io.err(inputErrorText(problem, io.colour.err));
      const title = layer === undefined ? description.layer.name : `${description.layer.name}, layer ${layer}`;
      await io.out(`${printable(title)}\n${tableOf(descriptionRows(description))}\n`);
    }
  }
  // What only several layers together show: datums, a slip of feet, zones apart.
  const placed = looked.flatMap(({ description }) => description?.placed ?? []);
  if (placed.length > 1) findings.push(...onlyNew(compareLayers(placed), findings));
  io.err(digest(findings, io.colour.err));
  const { command, notes } = assessCommand(looked, wordsOf(flags));
  await io.out(`To assess:\n  ${printable(command)}\n`);
  if (notes.length > 0) await io.out(`Before that:\n${notes.map((note) => `  - ${printable(note)}\n`).join('')}`);
  const usable = looked.every(({ description, error }) => error === null && description?.problems.length === 0);
  return usable ? EXIT.done : EXIT.unusableInput;
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
const SHARED: Readonly<Record<Exclude<keyof CheckFlags, 'database' | 'header' | 'salvage'>, string>> = {
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
