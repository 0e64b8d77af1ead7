// Descriptions of files -> the command line that would assess them. In: paths with what was found out, options that were
// given; out: one line for a shell, and what is still to be filled in or agreed to. Terms: see describe.ts.

import type { InputError, LayerRole } from '../model/index.js';
import { type LayerDescription, LIKELY } from './describe.js';
import type { Need } from './drawing.js';

/** A file that was looked at: described, or refused. */
export interface LookedAt {
  readonly path: string;
  readonly description: LayerDescription | null;
  readonly error: InputError | null;
}

export interface CommandAdvice {
  readonly command: string;
  /** What to fill in, add or agree to before it runs; empty when it runs as it is. */
  readonly notes: readonly string[];
}

type Cure = (error: InputError) => readonly Need[];

const salvage: Cure = (error) => [
  { option: '--salvage', value: '', why: `${error.message}: it would be read as far as it goes` },
];

/** Errors that options can cure, and those options. */
const CURES: Readonly<Record<string, Cure>> = {
  'csv-coordinates': coordinates,
  'zip-several': (error) => [{ option: '--layer', value: 'NAME', why: `${error.message}: put one in place of NAME` }],
  'shp-truncated': salvage,
  'dbf-truncated': salvage,
  'dbf-broken': salvage,
  'zip-broken': salvage,
};

/** A table without a heading is most often a file of survey points; one with a heading names its columns. */
function coordinates(error: InputError): readonly Need[] {
  const name = error.layer ?? 'it';
  if (error.cure.includes('--columns')) {
    const why = `${name} has no heading row; point, northing, easting, elevation, description is the usual order: check`;
    const code = 'the word that its descriptions have for a tree, and the species; other points are set aside';
    return [
      { option: '--columns', value: 'P,N,E,Z,D', why },
      { option: '--code', value: 'CODE=SPECIES', why: code },
    ];
  }
  if (!error.cure.includes('--xy')) return [];
  return [{ option: '--xy', value: 'EAST,NORTH', why: `${error.message}: put those of easting and northing` }];
}

function cures(error: InputError | null): readonly Need[] {
  return error === null ? [] : (CURES[error.code]?.(error) ?? []);
}

/**
 * The command line for a set of files: the first tree layer, all works, the first lots. What was given stays.
 *
 * @param given words of options that hold for all files, such as `['--crs', 'EPSG:2913']`
 * @example
 * assessCommand([{ path: 'survey.csv', description, error: null }], []).command;
 * // rootberth assess --trees survey.csv --crs EPSG:NNNN --works WORKS.geojson --out assessed.geojson
 */
export function assessCommand(files: readonly LookedAt[], given: readonly string[]): CommandAdvice {
  const usable = files.filter((file) => file.description !== null || cures(file.error).length > 0);
  const notes: string[] = files.filter((file) => !usable.includes(file)).map(unusable);
  const roles = new Map(usable.map((file) => [file, file.description?.role ?? roleByName(file.path)]));
  const of = (role: LayerRole): LookedAt[] => usable.filter((file) => roles.get(file) === role);
  const [trees, ...moreTrees] = of('trees');
  const works = [...of('works'), ...of('existing')];
  const [lots, ...moreLots] = of('lots');
  const [zones, ...moreZones] = of('zones');
  const [crowns, ...moreCrowns] = of('crowns');
  const words = ['rootberth', 'assess', '--trees', trees?.path ?? 'TREES.csv'];
  for (const file of works) words.push('--works', file.path);
  if (works.length === 0) words.push('--works', 'WORKS.geojson');
  if (lots !== undefined) words.push('--lots', lots.path);
  if (zones !== undefined) words.push('--zones', zones.path);
  if (crowns !== undefined) words.push('--crowns', crowns.path);
  const used = [trees, ...works, lots, zones, crowns].filter((file) => file !== undefined);
  const said = new Set<string>();
  words.push(...given);
  for (const file of used) {
    for (const one of needsOf(file)) {
      const need = forRole(one, roles.get(file) ?? 'trees');
      const key = REPEATED.includes(need.option) ? `${need.option} ${need.value}` : need.option;
      if (need.why !== LIKELY) notes.push(noteOf(need));
      if (isRemark(need) || said.has(key) || (need.option !== '--field' && given.includes(need.option))) continue;
      said.add(key);
      words.push(need.option, ...(need.value === '' ? [] : [need.value]));
    }
  }
  words.push('--out', 'assessed.geojson');
  if (used.some((file) => needsOf(file).some((need) => need.why === LIKELY))) notes.unshift(`--field: ${LIKELY}`);
  if (trees === undefined) notes.push('TREES.csv: the tree survey');
  if (works.length === 0) notes.push('WORKS.geojson: the proposed works');
  for (const file of works) if (lacksKinds(file) && !mapsLayers(file)) notes.push(kindNote(file.path));
  for (const file of [...moreTrees, ...moreLots, ...moreZones, ...moreCrowns])
    notes.push(`${file.path}: one run takes one such file; run it on its own`);
  return { command: words.map(shellWord).join(' '), notes: [...new Set(notes)] };
}

/** Which layer of a file is read is said role by role; without one it is that of the trees. */
function forRole(need: Need, role: LayerRole): Need {
  const named = need.option === '--layer' && need.value !== '' && !need.value.includes('=');
  return named && role !== 'trees' ? { ...need, value: `${role}=${need.value}` } : need;
}

/** Options that may stand several times in a line. */
const REPEATED = ['--field', '--layer'];

/** Something to weigh that adds no word to the line. */
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
  return `${file.path} is left out: ${file.error?.message}; ${file.error?.cure}`;
}

function lacksKinds(file: LookedAt): boolean {
  return file.description?.findings.some((one) => one.code === 'kind-assumed') === true;
}

/** The kinds come with the drawing layers. */
function mapsLayers(file: LookedAt): boolean {
  return needsOf(file).some(({ option, value }) => option === '--layer' && value.includes('='));
}

function kindNote(path: string): string {
  return `${path} does not say the kind of its works: they count as building, or write --works paving=${path} and the like`;
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
