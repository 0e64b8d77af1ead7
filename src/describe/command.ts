// Descriptions of files -> the command line that would assess them. In: paths with what was found out, options that were
// given; out: one line for a shell, and what the user still has to fill in or confirm. Terms: see describe.ts.

import { type InputError, type LayerRole, WORKS_KINDS } from '../model/index.js';
import { cures } from './cures.js';
import type { LayerDescription } from './describe.js';
import { kindOfName, type Need, SWAPPED } from './drawing.js';
import { LIKELY } from './needs.js';
import { kindQuestion, needQuestions, type Question, treesQuestion, wordQuestions } from './questions.js';

/** A file that was looked at: described, or refused. */
export interface LookedAt {
  readonly path: string;
  readonly description: LayerDescription | null;
  readonly error: InputError | null;
  /** Which of several layers within the file. */
  readonly layer?: string;
  /** Columns of easting and northing, where the file was read with the likely ones. */
  readonly xy?: readonly [string, string];
}

export interface CommandAdvice {
  readonly command: string;
  /** What to fill in, add or confirm before it runs; empty when it runs as it is. */
  readonly notes: readonly string[];
  /** Those of them that the questions do not ask. */
  readonly remarks: readonly string[];
  /** The same job without what is only a guess: options with their values ('' for none), in the order of the command. */
  readonly job: readonly (readonly [option: string, value: string])[];
  /** What it leaves open. */
  readonly questions: readonly Question[];
}

/** Files by their role. A run takes no other files. */
interface Sorted {
  readonly trees: LookedAt | undefined;
  readonly works: readonly LookedAt[];
  readonly existing: readonly LookedAt[];
  readonly lots: LookedAt | undefined;
  readonly zones: LookedAt | undefined;
  readonly crowns: LookedAt | undefined;
  readonly others: readonly LookedAt[];
}

function sorted(usable: readonly LookedAt[], roleOf: (file: LookedAt) => LayerRole): Sorted {
  const of = (role: LayerRole): LookedAt[] => usable.filter((file) => roleOf(file) === role);
  const [trees, ...moreTrees] = of('trees');
  const [lots, ...moreLots] = of('lots');
  const [zones, ...moreZones] = of('zones');
  const [crowns, ...moreCrowns] = of('crowns');
  const works = oneLayerEach(of('works'));
  const existing = oneLayerEach(of('existing'));
  const others = [...moreTrees, ...moreLots, ...moreZones, ...moreCrowns, ...works.others, ...existing.others];
  return { trees, works: works.used, existing: existing.used, lots, zones, crowns, others };
}

/**
 * A role takes one layer of each file and one layer name for all its files. A KML or a drawing may give several, with kinds.
 */
function oneLayerEach(files: readonly LookedAt[]): { readonly used: LookedAt[]; readonly others: LookedAt[] } {
  const named = files.filter((file) => file.layer !== undefined);
  const [first] = named;
  const keeps = (file: LookedAt): boolean =>
    file.layer === undefined || file === first || (file.path === first?.path && takesKinds(file));
  return { used: files.filter(keeps), others: files.filter((file) => !keeps(file)) };
}

function takesKinds({ description }: LookedAt): boolean {
  return description?.layer.format === 'kml' && description.role === 'works';
}

/**
 * The command line for a set of files: the first tree layer, all works, the first lots. What was given stays, unless a
 * finding shows that it is the wrong way round.
 *
 * @param given words of options that hold for all files, such as `['--crs', 'EPSG:2913']`
 * @example
 * assessCommand([{ path: 'survey.csv', description, error: null }], []).command;
 * // rootberth assess --trees survey.csv --crs EPSG:NNNN --out assessed.geojson
 */
export function assessCommand(files: readonly LookedAt[], given: readonly string[]): CommandAdvice {
  const usable = files.filter((file) => file.description !== null || cures(file.error).length > 0);
  const notes: string[] = files.filter((file) => !usable.includes(file)).map(unusable);
  const roles = new Map(usable.map((file) => [file, file.description?.role ?? roleByName(file.path)]));
  const { trees, works, existing, lots, zones, crowns, others } = sorted(usable, (file) => roles.get(file) ?? 'trees');
  const words = ['rootberth', 'assess', '--trees', trees?.path ?? 'TREES.csv'];
  for (const path of new Set(works.map((file) => file.path))) words.push('--works', path);
  for (const path of new Set(existing.map((file) => file.path))) words.push('--existing', path);
  if (lots !== undefined) words.push('--lots', lots.path);
  if (zones !== undefined) words.push('--zones', zones.path);
  if (crowns !== undefined) words.push('--crowns', crowns.path);
  const used = [trees, ...works, ...existing, lots, zones, crowns].filter((file) => file !== undefined);
  const needs = used.flatMap((file) =>
    [...layerNeeds(file, works), ...needsOf(file)].map((need) => forRole(need, roles.get(file) ?? 'trees')),
  );
  const start = words.slice(2);
  words.push(...withNeeds(given, needs, notes), '--out', 'assessed.geojson');
  if (needs.some((need) => need.why === LIKELY)) notes.unshift(`--field: ${LIKELY}`);
  if (trees === undefined) notes.push('TREES.csv: the tree survey');
  if (works.length === 0)
    notes.push('zones only, without a verdict: add the proposed works with --works F when there is a design');
  const unkinded = works.filter((file) => lacksKinds(file) && !mapsLayers(file, works));
  for (const { path } of unkinded) notes.push(kindNote(path));
  for (const file of used) notes.push(...swapNotes(file));
  for (const file of others) notes.push(`${titleOf(file)}: one run takes one such layer; run it on its own`);
  const asked = new Set([
    'TREES.csv: the tree survey',
    ...needs.filter(({ ask }) => ask !== undefined).map(noteOf),
    ...unkinded.filter((file) => !saysBuilding(file)).map(({ path }) => kindNote(path)),
  ]);
  const sure = needs.filter(({ ask }) => ask === undefined);
  const layers = trees === undefined ? start.slice(2) : start;
  const questions = [
    ...(trees === undefined ? [treesQuestion()] : []),
    ...needs.filter((need) => !isGiven(need, given)).flatMap(needQuestions),
    ...unkinded.filter((file) => !saysBuilding(file)).map(({ path, description }) => kindQuestion(path, description!)),
    ...used.flatMap(({ description }) => (description === null ? [] : wordQuestions(description))),
  ];
  return {
    command: words.map(shellWord).join(' '),
    notes: [...new Set(notes)],
    remarks: [...new Set(notes)].filter((note) => !asked.has(note)),
    job: pairs([...layers, ...withNeeds(given, sure, []), ...lettersOf(used), '--out', 'assessed.geojson']),
    questions: onlyOnce(questions),
  };
}

/** Each thing is asked once, however many layers need to know it. */
function onlyOnce(questions: readonly Question[]): Question[] {
  const byEntry = new Map<string, Question>();
  for (const one of questions) {
    const key = `${one.option} ${one.entry}`;
    if (!byEntry.has(key)) byEntry.set(key, one);
  }
  return [...byEntry.values()];
}

function isGiven({ option }: Need, given: readonly string[]): boolean {
  return !REPEATED.includes(option) && given.includes(option);
}

/** Words of a line as options with what follows them. */
function pairs(words: readonly string[]): [option: string, value: string][] {
  const out: [string, string][] = [];
  for (let i = 0; i < words.length; i++) {
    const next = words[i + 1];
    const takes = next !== undefined && !next.startsWith('--');
    out.push([words[i]!.slice(2), takes ? next : '']);
    if (takes) i++;
  }
  return out;
}

/** Single letters that the survey's own words settle: written down, so that the job says what they were taken for. */
function lettersOf(files: readonly LookedAt[]): string[] {
  return files.flatMap(({ description }) =>
    Object.entries(description?.letters ?? {}).flatMap(([word, value]) => ['--value', `${word}=${value}`]),
  );
}

/** Shapes that are taken as a building, and whose name says that they are. */
function saysBuilding({ path, layer }: LookedAt): boolean {
  return kindOfName(layer ?? path.split(/[\\/]/).at(-1)!) === 'building';
}

/** The given options and those that are needed, each once; a need may correct a given option. */
function withNeeds(given: readonly string[], needs: readonly Need[], notes: string[]): string[] {
  const words = [...given];
  const said = new Set<string>();
  for (const need of needs) {
    const key = REPEATED.includes(need.option) ? `${need.option} ${need.value}` : need.option;
    const value = need.value === SWAPPED ? swappedColumns(given) : need.value;
    if (need.why !== LIKELY) notes.push(noteOf({ ...need, value }));
    const at = CORRECTED.includes(need.option) ? words.indexOf(need.option) : -1;
    if (at >= 0 && !said.has(key)) words[at + 1] = value;
    const stays = given.includes(need.option) && !REPEATED.includes(need.option);
    if (isRemark(need) || said.has(key) || stays) continue;
    said.add(key);
    words.push(need.option, ...(value === '' ? [] : [value]));
  }
  return words;
}

/** `P,N,E,Z,D` with its letters of northing and easting exchanged. */
function swappedColumns(given: readonly string[]): string {
  const letters = given[given.indexOf('--columns') + 1] ?? 'P,N,E,Z,D';
  return letters.replace(/[NE]/gi, (letter) => (letter.toUpperCase() === 'N' ? 'E' : 'N'));
}

/** Which layer of the file is meant, and which columns hold its coordinates. */
function layerNeeds(file: LookedAt, works: readonly LookedAt[]): Need[] {
  const needs: Need[] = [];
  if (file.layer !== undefined) needs.push(layerNeed(file, file.layer, works));
  if (file.xy !== undefined && needsOf(file).every((need) => need.option !== '--xy')) {
    needs.push({ option: '--xy', value: file.xy.join(','), why: 'chosen by the names of the columns: check' });
  }
  return needs;
}

function layerNeed(file: LookedAt, layer: string, works: readonly LookedAt[]): Need {
  const siblings = works.filter((one) => one.layer !== undefined && one.path === file.path);
  if (!works.includes(file) || siblings.length < 2) {
    return {
      option: '--layer',
      value: layer,
      why: `used as ${file.description?.role} because of its shapes and its name: check`,
    };
  }
  const kind = kindOfName(layer);
  if (kind !== undefined)
    return { option: '--layer', value: `${layer}=${kind}`, why: 'kind taken from the name: check' };
  const ask = {
    about: `works.layer.${layer}`,
    choices: [...WORKS_KINDS, '-'],
    entry: `${layer}=ANSWER`,
    question: `what does the layer ${layer} of ${file.path} hold? - leaves it out`,
  };
  const why = 'its name does not say the kind of works: fill in the right one';
  return { option: '--layer', value: `${layer}=building`, why, ask: [ask] };
}

/** A file whose axes no option can swap. */
function swapNotes(file: LookedAt): string[] {
  const { description } = file;
  const swapped = description?.findings.some((one) => one.code === 'axes-swapped') === true;
  if (!swapped || needsOf(file).some(({ option }) => ['--xy', '--columns'].includes(option))) return [];
  return [
    `${titleOf(file)}: its coordinates are the wrong way round, and no option can change that: write easting (longitude) first`,
  ];
}

function titleOf({ path, layer }: LookedAt): string {
  return layer === undefined ? path : `${path}, layer ${layer}`;
}

/** The layer of a file is given by role; without a role it is that of the trees. */
function forRole(need: Need, role: LayerRole): Need {
  const named = need.option === '--layer' && need.value !== '' && !need.value.includes('=');
  if (!named || role === 'trees') return need;
  const ask = need.ask?.map((one) => ({ ...one, entry: `${role}=${one.entry}` }));
  return { ...need, value: `${role}=${need.value}`, ...(ask === undefined ? {} : { ask }) };
}

/** Options that may stand several times in a line. */
const REPEATED = ['--field', '--layer'];

/** Options whose given value a finding may show to be wrong. */
const CORRECTED = ['--xy', '--columns'];

/** A remark that adds no word to the line. */
function isRemark({ option, value }: Need): boolean {
  return option === '--layer' && value === '';
}

function needsOf(file: LookedAt): readonly Need[] {
  return file.description?.needs ?? cures(file.error);
}

function noteOf(need: Need): string {
  return `${need.option}${need.value === '' ? '' : ` ${need.value}`}: ${need.why}`;
}

function unusable(file: LookedAt): string {
  return `${titleOf(file)} is left out: ${file.error?.message}; ${file.error?.cure}`;
}

function lacksKinds(file: LookedAt): boolean {
  return file.description !== null && file.description.kindless !== null;
}

/** The kinds come with the drawing layers. */
function mapsLayers(file: LookedAt, works: readonly LookedAt[]): boolean {
  return [...needsOf(file), ...layerNeeds(file, works)].some(
    ({ option, value }) => option === '--layer' && value.includes('='),
  );
}

function kindNote(path: string): string {
  return `${path} does not say the kind of its works: they count as building; for another kind write, for example, --works paving=${path}`;
}

/** The role of a file that could not be opened, by its name alone. */
function roleByName(path: string): LayerRole {
  if (/lot|parcel|plat/i.test(path)) return 'lots';
  return /works?|plan|building|drive|pav/i.test(path) ? 'works' : 'trees';
}

/** A word as a POSIX shell takes it: quoted only where it has to be. */
export function shellWord(word: string): string {
  return /^[\w@%+=:,./-]+$/.test(word) ? word : `'${word.replaceAll("'", "'\\''")}'`;
}
