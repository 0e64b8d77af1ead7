// The words that fields of a few words take: in: nothing; out: word -> code, small letters, no spaces or hyphens.
// Terms: synonym = another trade word for the same thing; kept few, since a wrong one would be a silent guess.

import type { WorksKind } from '../model/index.js';
import { WORKS_KINDS } from '../model/index.js';
import type { Words } from './values.js';

/** Index into DISPOSITIONS. */
export const DISPOSITION_WORDS: Words = {
  keep: 0,
  kept: 0,
  retain: 0,
  retained: 0,
  preserve: 0,
  remove: 1,
  removed: 1,
  removal: 1,
  fell: 1,
  transplant: 2,
  relocate: 2,
};

/** Index into AGES. */
export const AGE_WORDS: Words = { young: 0, mature: 1, overmature: 2 };

/** Index into TOLERANCES. */
export const TOLERANCE_WORDS: Words = { good: 0, moderate: 1, poor: 2 };

const KIND_SYNONYMS: Readonly<Record<string, WorksKind>> = {
  house: 'building',
  garage: 'building',
  structure: 'building',
  foundation: 'building',
  driveway: 'paving',
  drive: 'paving',
  road: 'paving',
  sidewalk: 'paving',
  footpath: 'paving',
  patio: 'paving',
  parking: 'paving',
  cut: 'excavation',
  basement: 'excavation',
};

/** Index into WORKS_KINDS. */
export const KIND_WORDS: Words = Object.fromEntries([
  ...WORKS_KINDS.map((kind, i) => [kind, i] as const),
  ...Object.entries(KIND_SYNONYMS).map(([word, kind]) => [word, WORKS_KINDS.indexOf(kind)] as const),
]);
