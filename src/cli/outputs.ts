// Text outputs. In: a path or - and pieces of text; out: a file, or standard output. Terms: taker = the one output that goes
// to standard output; the short table goes to stderr then.

import { checkPlace, drain, writePieces } from '../node/write/index.js';
import type { Io } from './io.js';
import type { AttributeOf, CommandName, RowOf } from './table/index.js';
import { usage } from './values.js';

/** Writes a text to a file, or to standard output for -. */
export async function writeText(path: string, pieces: Generator<string, unknown, undefined>, io: Io): Promise<void> {
  if (path !== '-') await writePieces(path, pieces);
  else await drain(pieces, (text) => io.out(text));
}

type Output = AttributeOf<RowOf<CommandName, 'file'>> | 'saveConfig';

/** Long options whose value may be -, by their place in the flags: every output of the table has to be here. */
const OUTPUTS: Readonly<Record<Output, string>> = {
  out: '--out',
  style: '--style',
  schedule: '--schedule',
  lotTable: '--lot-table',
  inventory: '--inventory',
  removals: '--removals',
  optionTable: '--option-table',
  limbSchedule: '--limb-schedule',
  stakes: '--stakes',
  shade: '--shade',
  shadeTable: '--shade-table',
  findings: '--findings',
  plan: '--plan',
  report: '--report',
  table: '--table',
  sketch: '--sketch',
  saveNotes: '--save-notes',
  saveConfig: '--save-config',
};

/** Outputs whose ending says which of two formats they take. */
const TABLES: readonly Output[] = ['inventory', 'removals'];

export type OutputFlags = { readonly [K in Output]?: string };

/**
 * Whether every output can be written where it is asked for, as far as can be known before anything is read.
 *
 * @throws InputError `output-unwritable`
 */
export async function checkPlaces(flags: OutputFlags): Promise<void> {
  for (const key of Object.keys(OUTPUTS) as Output[]) {
    const path = flags[key];
    if (path === undefined) continue;
    if (TABLES.includes(key)) checkEnding(path, OUTPUTS[key]);
    await checkPlace(key === 'style' ? `${path}/` : path);
  }
}

/**
 * The option whose text goes to standard output; undefined for none.
 *
 * @throws InputError `stdout-twice`, usage
 */
export function stdoutTaker(flags: OutputFlags & { readonly explain?: readonly string[] }): string | undefined {
  const takers = (Object.keys(OUTPUTS) as Output[]).filter((key) => flags[key] === '-');
  const asked = flags.explain === undefined ? [] : ['--explain'];
  const [first, second] = [...asked, ...takers.map((key) => OUTPUTS[key])];
  if (second === undefined) return first;
  throw usage('stdout-twice', `${first} and ${second} both ask for standard output`, `give ${second} a file`);
}

/** Whether a table is to be a workbook, by its ending. */
export function isWorkbook(path: string): boolean {
  return /\.xlsx$/i.test(path);
}

/** A table is CSV, a workbook, or goes to standard output. */
function checkEnding(path: string, option: string): void {
  if (path === '-' || isWorkbook(path) || /\.csv$/i.test(path)) return;
  throw usage(
    'table-format-unknown',
    `${option} ${path}: its ending is neither .csv nor .xlsx`,
    'give it one of the two',
  );
}
