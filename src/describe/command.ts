// Descriptions of files -> the command line that would assess them. In: paths with what was found out, options that were
// given; out: one line for a shell, and what the user still has to fill in or confirm. Terms: see describe.ts.

import type { InputError, LayerRole } from '../model/index.js';
import { type LayerDescription, LIKELY } from './describe.js';
import { kindOfName, type Need, SWAPPED } from './drawing.js';

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
}

type Cure = (error: InputError) => readonly Need[];

const salvage: Cure = (error) => [
  { option: '--salvage', value: '', why: `${error.message}: it would be read up to the damage` },
];

/** Errors that options can cure, and those options. */
const CURES: Readonly<Record<string, Cure>> = {
  'csv-coordinates': coordinates,
  'zip-several': oneOf,
  'layer-several': oneOf,
  'shp-truncated': salvage,
  'dbf-truncated': salvage,
  'dbf-broken': salvage,
  'zip-broken': salvage,
};

function oneOf(error: InputError): readonly Need[] {
  return [{ option: '--layer', value: 'NAME', why: `${error.message}: put one in place of NAME` }];
}

/** A table without a heading is most often a file of survey points; one with a heading names its columns. */
function coordinates(error: InputError): readonly Need[] {
  const name = error.layer ?? 'it';
  if (error.cure.includes('--columns')) {
    const why = `${name} has no heading row; point, northing, easting, elevation, description is the usual order: check`;
    const code = 'give the word for a tree in its descriptions, and the species; other points are set aside';
    return [
      { option: '--columns', value: 'P,N,E,Z,D', why },
      { option: '--code', value: 'CODE=SPECIES', why: code },
    ];
  }
  if (!error.cure.includes('--xy')) return [];
  return [{ option: '--xy', value: 'EAST,NORTH', why: `${error.message}: give the columns of easting and northing` }];
}

function cures(error: InputError | null): readonly Need[] {
  return error === null ? [] : (CURES[error.code]?.(error) ?? []);
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
  words.push(...withNeeds(given, needs, notes), '--out', 'assessed.geojson');
  if (needs.some((need) => need.why === LIKELY)) notes.unshift(`--field: ${LIKELY}`);
  if (trees === undefined) notes.push('TREES.csv: the tree survey');
  if (works.length === 0)
    notes.push('zones only, without a verdict: add the proposed works with --works F when there is a design');
  for (const file of works) if (lacksKinds(file) && !mapsLayers(file, works)) notes.push(kindNote(file.path));
  for (const file of used) notes.push(...swapNotes(file));
  for (const file of others) notes.push(`${titleOf(file)}: one run takes one such layer; run it on its own`);
  return { command: words.map(shellWord).join(' '), notes: [...new Set(notes)] };
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
  const why =
    kind === undefined
      ? 'its name does not say the kind of works: fill in the right one'
      : 'kind taken from the name: check';
  return { option: '--layer', value: `${layer}=${kind ?? 'building'}`, why };
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
  return named && role !== 'trees' ? { ...need, value: `${role}=${need.value}` } : need;
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
  return file.description?.findings.some((one) => one.code === 'kind-assumed') === true;
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
