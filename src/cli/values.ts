// Values of options -> typed values. In: text after an option; out: shares, metres, kinds, columns; or wrong usage.
// Terms: usage = InputError with `usage`, exit 2; every message says what would be right.

import { existsSync } from 'node:fs';
import { soilNamed } from '../check/index.js';
import {
  InputError,
  type LayerRole,
  lengthInMetres,
  SOILS,
  type Soil,
  WORKS_KINDS,
  type WorksKind,
} from '../model/index.js';
import type { WorksFile } from '../node/index.js';
import type { FileReadOptions } from '../node/read/index.js';
import { embeddedLayer, isEmbedded } from '../node/read/index.js';
import type { Box } from '../read/index.js';
import { shareOf } from '../rules/index.js';
import { didYouMean } from '../text/index.js';

export function usage(code: string, message: string, cure: string): InputError {
  return new InputError(code, message, { cure, usage: true });
}

/** `20%` or `0.2`; a bare 20 is refused: it could mean either. */
export function limitOf(text: string): number {
  const share = shareOf(text);
  if (share === undefined)
    throw usage('limit-invalid', `--limit ${text} is not a share of the zone`, 'write 20% or 0.2');
  return share;
}

function kindOf(text: string): WorksKind | undefined {
  return WORKS_KINDS.find((kind) => kind === text.toLowerCase());
}

/** `F` or `kind=F`. A file whose own name holds an equals sign is used as it is, if it exists. */
export function worksOf(text: string): WorksFile {
  if (isEmbedded(text)) {
    const { kind, option } = embeddedLayer(text);
    return { path: text, ...(kind === undefined ? {} : { kind }), ...(option === undefined ? {} : { option }) };
  }
  const at = text.indexOf('=');
  if (at < 0 || existsSync(text)) return { path: text };
  const kind = kindOf(text.slice(0, at));
  if (kind === undefined) {
    throw usage(
      'kind-unknown',
      `--works ${text}: "${text.slice(0, at)}" is not a kind of works`,
      `choose from ${WORKS_KINDS.join(', ')}`,
    );
  }
  return { path: named(text.slice(at + 1), `--works ${text}`), kind };
}

/** `A=F` or `A=kind=F`: works of design option A. */
export function optionOf(text: string): WorksFile {
  if (isEmbedded(text)) return worksOf(text);
  const at = text.indexOf('=');
  if (at < 1)
    throw usage('option-invalid', `--option ${text} does not name a design option`, 'write --option A=works.geojson');
  return { ...worksOf(named(text.slice(at + 1), `--option ${text}`)), option: text.slice(0, at) };
}

/** `kind=0.6m`, repeated. */
export function overdigOf(texts: readonly string[]): Partial<Record<WorksKind, number>> {
  const out: Partial<Record<WorksKind, number>> = {};
  for (const text of texts) {
    const at = text.indexOf('=');
    const kind = kindOf(text.slice(0, Math.max(at, 0)));
    const metres = lengthInMetres(text.slice(at + 1));
    if (kind === undefined || metres === undefined || metres < 0) {
      throw usage(
        'overdig-invalid',
        `--overdig ${text} is not a kind with a length`,
        'write --overdig building=0.6m, with m, cm, ft or in',
      );
    }
    out[kind] = metres;
  }
  return out;
}

/** `--soil clay`: a texture class by any word that a survey may use for it. */
export function soilOf(text: string): Soil {
  const soil = soilNamed(text);
  if (soil !== undefined) return soil;
  const cure = `choose from ${SOILS.join(', ')}`;
  throw usage('soil-unknown', `--soil ${text} is not a soil${didYouMean(text, SOILS)}`, cure);
}

/** `--clearance 2m`: a length with its unit. */
export function clearanceOf(text: string): number {
  const metres = lengthInMetres(text);
  if (metres !== undefined && metres >= 0) return metres;
  throw usage('clearance-invalid', `--clearance ${text} is not a length`, 'write --clearance 2m, with m, cm, ft or in');
}

/** A length of 0 or more with its unit. */
export function lengthOf(option: string, text: string, example: string): number {
  const metres = lengthInMetres(text);
  if (metres !== undefined && metres >= 0) return metres;
  throw usage(
    'length-invalid',
    `${option} ${text} is not a length`,
    `write ${option} ${example}, with m, cm, ft or in`,
  );
}

/** `dbh=DIAM`, repeated. Whether the names exist is for the check of the layer to say. */
export function fieldsOf(texts: readonly string[]): Record<string, string> {
  const out: Record<string, string> = {};
  for (const text of texts) {
    const at = text.indexOf('=');
    if (at < 1 || at === text.length - 1) {
      throw usage(
        'field-invalid',
        `--field ${text} maps nothing`,
        'write --field dbh=DIAM, or --field works.depth=D for works',
      );
    }
    out[text.slice(0, at)] = text.slice(at + 1);
  }
  return out;
}

/** `disposition.TBR=remove`, repeated: all before the last `=` is the field and its word. The check says what can't be mapped. */
export function valuesOf(texts: readonly string[]): Record<string, string> {
  const out: Record<string, string> = {};
  for (const text of texts) {
    const at = text.lastIndexOf('=');
    if (at < 1 || at === text.length - 1 || !text.slice(0, at).includes('.')) {
      throw usage(
        'value-invalid',
        `--value ${text} maps nothing`,
        "write --value disposition.TBR=remove, or --value 'works.kind.Sanitary lateral=trench'",
      );
    }
    out[text.slice(0, at)] = text.slice(at + 1);
  }
  return out;
}

/** `E,N`: two names, or two positions counted from 1. */
export function xyOf(text: string): readonly [string | number, string | number] {
  const parts = text.split(',').map((part) => part.trim());
  const [e, n] = parts.map((part) => (/^\d+$/.test(part) ? Number(part) : part));
  if (parts.length !== 2 || e === '' || n === '' || e === undefined || n === undefined || e === 0 || n === 0) {
    throw usage(
      'xy-invalid',
      `--xy ${text} names no two columns`,
      'write --xy EASTING,NORTHING or positions counted from 1: --xy 3,2',
    );
  }
  return [e, n];
}

/** What `--layer` says: which layer of each role's file, and the kinds of drawing layers. */
export interface LayerChoice {
  readonly layers: Partial<Record<LayerRole, string>>;
  readonly kinds: Record<string, WorksKind>;
}

/**
 * `NAME` (of the trees), `works=NAME`, `existing=NAME`, `lots=NAME`, `zones=NAME`, `crowns=NAME`, `grades=NAME`: which layer of a file that holds several; `NAME=kind`: drawing layer
 * NAME holds works of that kind.
 */
export function layersOf(texts: readonly string[]): LayerChoice {
  const out: LayerChoice = { layers: {}, kinds: {} };
  for (const text of texts) {
    const role = /^(trees|works|existing|lots|zones|crowns|grades)=(.+)$/.exec(text);
    const rest = role?.[2] ?? text;
    const at = rest.lastIndexOf('=');
    const kind = at > 0 ? kindOf(rest.slice(at + 1)) : undefined;
    if (kind !== undefined && (role === null || role[1] === 'works')) out.kinds[rest.slice(0, at)] = kind;
    else if (at > 0 && role === null) {
      throw usage(
        'layer-invalid',
        `--layer ${text}: "${rest.slice(at + 1)}" is not a kind of works`,
        `choose from ${WORKS_KINDS.join(', ')}; a layer whose name holds an equals sign is written trees=NAME`,
      );
    } else out.layers[(role?.[1] as LayerRole | undefined) ?? 'trees'] = rest;
  }
  return out;
}

/** `OAK=Quercus`, repeated: description code -> species. */
export function codesOf(texts: readonly string[]): Record<string, string> {
  const out: Record<string, string> = {};
  for (const text of texts) {
    const at = text.indexOf('=');
    const code = text.slice(0, Math.max(at, 0)).trim();
    const species = text.slice(at + 1).trim();
    if (code === '' || species === '' || /[\s,;]/.test(code)) {
      throw usage(
        'code-invalid',
        `--code ${text} maps no code`,
        'write --code OAK="Quercus garryana", one word before =',
      );
    }
    out[code] = species;
  }
  return out;
}

/** `P,N,E,Z,D` (or PNEZD), or names of one's own for a table without a heading. */
export function columnsOf(text: string): readonly string[] {
  const letters = /^[PNEZD]{2,5}$/i.test(text) ? [...text] : text.split(',').map((name) => name.trim());
  if (letters.length < 2) {
    throw usage(
      'columns-invalid',
      `--columns ${text} names no columns`,
      'write --columns P,N,E,Z,D or names: tag,easting,northing,dbh_in',
    );
  }
  return letters;
}

/** `[role=]W,S,E,N`, repeated: role -> box in the file's own coordinates; without a role, of the trees. */
export function boxesOf(texts: readonly string[]): Partial<Record<LayerRole, Box>> {
  const out: Partial<Record<LayerRole, Box>> = {};
  for (const text of texts) {
    const match = /^(?:(trees|works|existing|lots|zones|crowns|grades)=)?(.*)$/.exec(text);
    const numbers = (match?.[2] ?? '').split(',').map((part) => (part.trim() === '' ? Number.NaN : Number(part)));
    const [west = Number.NaN, south = Number.NaN, east = Number.NaN, north = Number.NaN] = numbers;
    if (numbers.length !== 4 || !(west <= east && south <= north) || !numbers.every(Number.isFinite)) {
      throw usage(
        'bbox-invalid',
        `--bbox ${text} is not a box`,
        'write west,south,east,north in the file’s own coordinates, such as --bbox 7649000,679000,7651000,681000',
      );
    }
    out[(match?.[1] as LayerRole | undefined) ?? 'trees'] = [west, south, east, north];
  }
  return out;
}

/** Options of reading that several commands share. */
export interface ReadFlags {
  readonly xy?: string;
  readonly header?: boolean; // false by --no-header
  readonly columns?: string;
  readonly code?: readonly string[];
  readonly salvage?: boolean;
}

export function readOptionsOf(
  flags: ReadFlags,
  layer: string | undefined,
  kinds: Readonly<Record<string, WorksKind>> = {},
  bbox?: Box,
): FileReadOptions {
  const columns = flags.columns === undefined ? undefined : columnsOf(flags.columns);
  return {
    ...(flags.xy === undefined ? {} : { xy: xyOf(flags.xy) }),
    // Names of columns stand in for the heading row.
    ...(flags.header === false || columns !== undefined ? { noHeader: true } : {}),
    ...(columns === undefined ? {} : { columns }),
    ...(flags.code === undefined ? {} : { codes: codesOf(flags.code) }),
    ...(flags.salvage === true ? { salvage: true } : {}),
    ...(layer === undefined ? {} : { layer }),
    ...(bbox === undefined ? {} : { bbox }),
    ...(Object.keys(kinds).length === 0 ? {} : { layerKinds: kinds }),
  };
}

function named(path: string, where: string): string {
  if (path === '') throw usage('file-missing', `${where} names no file`, 'write the file after the equals sign');
  return path;
}

/** `--threads`: a whole number from 1. */
export function threadsOf(text: string): number {
  const n = Number(text);
  if (Number.isInteger(n) && n >= 1 && n <= 256) return n;
  throw usage(
    'threads',
    `--threads takes a whole number from 1 to 256, not "${text}"`,
    'leave it out to use every core',
  );
}

/** `--survey-age 2y | 18mo | never`, counted from `--today`, else from the date of the machine. */
export function surveyAgeOf(flags: { readonly surveyAge?: string; readonly today?: string }): {
  readonly today: string | undefined;
  readonly surveyAgeMonths: number | undefined;
} {
  const { surveyAge, today = localDate(new Date()) } = flags;
  if (!/^\d{4}-\d\d-\d\d$/.test(today) || Number.isNaN(Date.parse(today))) {
    throw usage('date-invalid', `--today ${today} is not a date`, 'write it as 2026-10-01');
  }
  if (surveyAge === undefined) return { today, surveyAgeMonths: undefined };
  if (surveyAge === 'never') return { today: undefined, surveyAgeMonths: undefined };
  const match = /^(\d+(?:\.\d+)?)\s*(y|mo)$/i.exec(surveyAge.trim());
  const months = Math.round(Number(match?.[1]) * (match?.[2]?.toLowerCase() === 'y' ? 12 : 1));
  if (Number.isNaN(months) || months > 12_000) {
    throw usage('survey-age-invalid', `--survey-age ${surveyAge} is not an age`, 'write 2y, 18mo, or never');
  }
  return { today, surveyAgeMonths: months };
}

function localDate(date: Date): string {
  const two = (n: number): string => String(n).padStart(2, '0');
  return `${date.getFullYear()}-${two(date.getMonth() + 1)}-${two(date.getDate())}`;
}

/** Words of lists with commas between them; a comma of a word is written `\\,`. */
export function wordsOf(option: string, lists: readonly string[]): string[] {
  const words = lists.flatMap((list) => list.split(/(?<!\\),/).map((word) => word.replaceAll('\\,', ',').trim()));
  if (words.every((word) => word !== '')) return words;
  throw usage(
    'list-empty',
    `${option} ${lists.join(' ')}: a word of the list is empty`,
    'write words with a comma between',
  );
}

/** `tree,zone`: roles of features. */
export function rolesOf(text: string): readonly string[] {
  return text.split(',').map((role) => role.trim());
}

/** A whole number from 1 on, of at most so many digits. */
export function wholeOf(option: string, text: string, digits: number, example: number): number {
  if (/^\d+$/.test(text) && text.length <= digits && Number(text) >= 1) return Number(text);
  throw usage('number-invalid', `${option} ${text} is no whole number from 1 on`, `write ${option} ${example}`);
}

/** The entries that were given. */
export function given<T extends Record<string, unknown>>(entries: T): { [K in keyof T]?: Exclude<T[K], undefined> } {
  return Object.fromEntries(Object.entries(entries).filter(([, value]) => value !== undefined)) as {
    [K in keyof T]?: Exclude<T[K], undefined>;
  };
}
