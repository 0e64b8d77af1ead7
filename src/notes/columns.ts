// The columns of a notebook. In: names of a heading row; out: which column holds which field, and in which unit; all others are
// properties. Terms: field = what the contract of field notes names; see docs/field-notes.md.

import { type LengthUnit, unitNamed } from '../model/index.js';

const TEXTS = [
  'point',
  'from',
  'base',
  'side',
  'bearing',
  'sight',
  'angle',
  'slope',
  'outline',
  'turn',
  'bulge',
  'lon',
  'lat',
  'clino_up',
  'clino_down',
  'setup',
] as const;
const LENGTHS = [
  'distance',
  'along',
  'offset',
  'setback',
  'accuracy',
  'easting',
  'northing',
  'front',
  'deep',
  'run',
  'radius',
  'rise',
  'chord',
  'clino_distance',
  'backsight',
  'foresight',
] as const;

export type TextField = (typeof TEXTS)[number];
export type LengthField = (typeof LENGTHS)[number];

export interface LengthColumn {
  readonly at: number;
  readonly name: string;
  readonly unit: LengthUnit | null;
}

export interface NoteColumns {
  readonly names: readonly string[];
  readonly text: Readonly<Partial<Record<TextField, number>>>;
  /** Several columns of one field are units of it: distance_ft beside distance_m. */
  readonly length: Readonly<Partial<Record<LengthField, readonly LengthColumn[]>>>;
  readonly accuracyDeg: number; // -1: none
  /** Columns that are properties. */
  readonly own: readonly number[];
}

const ALIASES: Readonly<Record<string, TextField>> = { longitude: 'lon', latitude: 'lat' };

function plain(name: string): string {
  return name
    .trim()
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '_')
    .replace(/^_|_$/g, '');
}

export function columnsOf(names: readonly string[]): NoteColumns {
  const text: Partial<Record<TextField, number>> = {};
  const length: Partial<Record<LengthField, LengthColumn[]>> = {};
  const own: number[] = [];
  let accuracyDeg = -1;
  names.forEach((name, at) => {
    const key = plain(name);
    const asText = ALIASES[key] ?? TEXTS.find((field) => field === key);
    if (asText !== undefined && text[asText] === undefined) text[asText] = at;
    else if (key === 'accuracy_deg') accuracyDeg = at;
    else {
      const asLength = lengthField(key);
      if (asLength === undefined) own.push(at);
      else {
        const list = length[asLength.field] ?? [];
        list.push({ at, name, unit: asLength.unit });
        length[asLength.field] = list;
      }
    }
  });
  return { names, text, length, accuracyDeg, own };
}

function lengthField(key: string): { readonly field: LengthField; readonly unit: LengthUnit | null } | undefined {
  const bare = LENGTHS.find((field) => field === key);
  if (bare !== undefined) return { field: bare, unit: null };
  const field = LENGTHS.find((one) => key.startsWith(`${one}_`));
  const unit = field === undefined ? undefined : unitNamed(key.slice(field.length + 1).replaceAll('_', '-'));
  return field === undefined || unit === undefined ? undefined : { field, unit };
}
