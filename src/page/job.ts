// What is given and chosen -> an assessment. In: sources and choices; out: the assessment, and the same as a command line.
// Terms: choices = what the form says; region = a table of coordinate systems, loaded when it is needed.

import {
  type AssessJob,
  type Assessment,
  type AssessOptions,
  assess,
  builtinRule,
  type CrsTable,
  InputError,
  type LengthUnit,
  type Rule,
  registerCrs,
  type Units,
  type WorksKind,
} from '../core.js';
import type { Source } from './files.js';
import { type LayersByRole, type Mapping, textsOf } from './mapping/columns.js';
import { inPageWords } from './mapping/cures.js';

export interface Sources {
  readonly trees: Source | null;
  readonly works: readonly Source[];
  readonly lots: Source | null;
  readonly existing: readonly Source[];
}

export interface Choices {
  readonly crs: string;
  readonly rule: string;
  /** A rule of the person's own, in place of a built-in one. */
  readonly ruleFile: { readonly name: string; readonly rule: Rule } | null;
  readonly limit: number | undefined;
  readonly limitText: string;
  readonly units: Units;
  readonly dbhUnit: LengthUnit | '';
  readonly kind: WorksKind;
  /** Field -> column, as `--field` takes it; what no layer has is left out before. */
  readonly fields?: Mapping;
  /** Word -> meaning, as `--value` takes it. */
  readonly values?: Mapping;
}

/** The layers of what is given, by their roles. */
export function layersOf({ trees, works, lots, existing }: Sources): LayersByRole {
  const all = (list: readonly (Source | null)[]) => list.flatMap((one) => (one === null ? [] : [one.layer]));
  return { trees: all([trees]), works: all(works), existing: all(existing), lots: all([lots]) };
}

/** Tables of coordinate systems by size; each is loaded when what came before it does not have a system. */
const TABLES = [
  async (): Promise<CrsTable> => (await import('../web/us.js')).us,
  async (): Promise<CrsTable> => (await import('../web/world.js')).world,
];
let loaded = 0;

/** Loads the systems of the world: those that a search looks through. */
export async function allSystems(): Promise<void> {
  if (loaded >= TABLES.length) return;
  const table = await TABLES[TABLES.length - 1]!();
  loaded = TABLES.length;
  registerCrs(table);
}

/** Runs something that may need more coordinate systems than are loaded; loads them and runs it again. */
export async function withSystems<T>(run: () => T): Promise<T> {
  try {
    return run();
  } catch (error) {
    const next = TABLES[loaded];
    if (!(error instanceof InputError) || error.code !== 'crs-table-missing' || next === undefined) throw error;
    loaded++;
    registerCrs(await next());
    return withSystems(run);
  }
}

/** The local date, as the command line takes it to say which surveys are old. */
export function today(): string {
  const now = new Date();
  const two = (n: number): string => String(n).padStart(2, '0');
  return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
}

/** Assesses; null while the survey is missing. */
export async function assessSources(sources: Sources, choices: Choices): Promise<Assessment | null> {
  const job = jobFrom(sources, choices);
  return job === null ? null : withSystems(() => assess(job));
}

/** What is given as a job; null while the survey is missing. Without works there are zones and no verdicts. */
export function jobFrom(sources: Sources, choices: Choices): AssessJob | null {
  const { trees, works, lots, existing } = sources;
  if (trees === null) return null;
  const options: AssessOptions = {
    ...(choices.crs === '' ? {} : { crs: choices.crs }),
    ...(choices.dbhUnit === '' ? {} : { dbhUnit: choices.dbhUnit }),
    ...(choices.limit === undefined ? {} : { limit: choices.limit }),
    ...(choices.fields === undefined ? {} : { fields: choices.fields }),
    ...(choices.values === undefined ? {} : { values: choices.values }),
    today: today(),
  };
  return {
    trees: trees.layer,
    ...(works.length === 0
      ? {}
      : { works: works.map(({ layer, kind }) => ({ layer, ...(kind === undefined ? {} : { kind }) })) }),
    ...(lots === null ? {} : { lots: lots.layer }),
    ...(existing.length === 0 ? {} : { existing: existing.map(({ layer }) => layer) }),
    rule: choices.ruleFile?.rule ?? builtinRule(choices.rule),
    options,
  };
}

/** The command line that does the same. */
export function commandOf(sources: Sources, choices: Choices): string {
  const { trees, works, lots, existing } = sources;
  const words = ['rootberth', 'assess'];
  const add = (option: string, value: string): void => void words.push(option, quoted(value));
  if (trees !== null) add('--trees', trees.name);
  const whole = works.filter(({ layerKinds }) => layerKinds === undefined);
  const inLayers = works.filter(({ layerKinds }) => layerKinds !== undefined);
  for (const name of new Set(inLayers.map((one) => one.name))) add('--works', name);
  for (const { name, kind } of whole) add('--works', kind === undefined ? name : `${kind}=${name}`);
  for (const { layerKinds = {} } of inLayers) for (const text of textsOf(layerKinds)) add('--layer', text);
  for (const { name } of existing) add('--existing', name);
  if (lots !== null) add('--lots', lots.name);
  for (const [role, given] of [
    ['trees', [trees]],
    ['works', whole],
    ['existing', existing],
    ['lots', [lots]],
  ] as const) {
    const picked = given.find((source) => source?.picked !== undefined)?.picked;
    if (picked !== undefined) add('--layer', `${role}=${picked}`);
  }
  if (choices.crs !== '') add('--crs', choices.crs);
  if (choices.dbhUnit !== '') add('--dbh-unit', choices.dbhUnit);
  for (const text of textsOf(choices.fields ?? {})) add('--field', text);
  for (const text of textsOf(choices.values ?? {})) add('--value', text);
  add('--rule', choices.ruleFile?.name ?? choices.rule);
  if (choices.limit !== undefined) add('--limit', choices.limitText);
  add('--units', choices.units);
  add('--out', 'assessed.geojson');
  add('--schedule', 'schedule.csv');
  add('--report', 'report.html');
  return words.join(' ');
}

function quoted(word: string): string {
  return /^[\w.:%=/+-]+$/.test(word) ? word : `'${word.replaceAll("'", "'\\''")}'`;
}

/** A problem in words of this page. */
export function inWords(error: unknown): { readonly message: string; readonly cure: string } {
  if (!(error instanceof InputError)) {
    return { message: `This should not have happened: ${String(error)}`, cure: 'please report it with the files' };
  }
  return { message: error.message, cure: inPageWords(error.cure ?? '') };
}
