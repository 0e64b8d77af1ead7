// Words for what an arborist looks at in a tree, and for soil. In: nothing; out: tables. Terms: see word-table.ts and
// model/worth.ts; words of inspection sheets (common practice, no source). Constant.
// Words that no table has are kept as the survey's own, shown as they are and graded by nobody.

import { GRADES, SOILS, type Soil, WORTH_VALUES, type WorthWordField } from '../../model/index.js';
import { type WordTable, wordKey, wordsOf } from './word-table.js';

const OWN = 'the word as it is: shown, and graded by nobody';
const NOT_SEEN = [
  'not seen',
  'not examined',
  'not inspected',
  'not assessed',
  'not checked',
  'not tested',
  'not done',
  'no access',
  'unknown',
  'n/a',
  'unbekannt',
  'nicht geprüft',
];
const SIGNS = ['X', '*', '?', '+'];

/** How much there is of a defect. */
export const GRADE_TABLE: WordTable<(typeof GRADES)[number]> = {
  values: GRADES,
  words: {
    none: [
      'no',
      'N',
      '0',
      'nil',
      'absent',
      'not present',
      'none seen',
      'none noted',
      'none found',
      'none observed',
      'none visible',
      'false',
      'kein',
      'keine',
      'nein',
    ],
    slight: ['minor', 'small', 'low', 'little', 'few', 'light', 'trace', 'leicht', 'gering'],
    moderate: ['medium', 'some', 'mittel', 'mäßig', 'maessig'],
    severe: ['major', 'serious', 'high', 'heavy', 'large', 'extensive', 'advanced', 'significant', 'stark', 'schwer'],
    present: ['yes', 'Y', 'true', 'seen', 'found', 'noted', 'observed', 'ja', 'vorhanden'],
    'not-seen': NOT_SEEN,
  },
  asked: [...SIGNS, 'S', 'M', 'L', 'H', 'F', 'P'],
  unknown: OWN,
};

export const VIGOUR_TABLE: WordTable = {
  values: WORTH_VALUES.vigour,
  words: {
    good: ['high', 'normal', 'vigorous', 'healthy', 'excellent', 'gut', 'vital'],
    fair: ['moderate', 'average', 'medium', 'reduced', 'satisfactory', 'mittel', 'geschwächt'],
    poor: ['low', 'weak', 'declining', 'in decline', 'stressed', 'very poor', 'schlecht', 'gering'],
    moribund: ['dying', 'overall decline', 'in overall decline', 'irreversible decline', 'absterbend'],
    dead: ['tot', 'abgestorben', 'standing dead'],
    'not-seen': NOT_SEEN,
  },
  asked: [...SIGNS, 'G', 'F', 'P', 'D', 'N', 'L', 'H', 'M', 'R'],
  unknown: OWN,
};

export const BUDS_TABLE: WordTable = {
  values: WORTH_VALUES.live_buds,
  words: {
    none: ['no', 'N', '0', 'dead', 'absent', 'nil', 'keine', 'nein'],
    few: ['some', 'sparse', 'scarce', 'wenige'],
    yes: ['Y', 'many', 'abundant', 'normal', 'plenty', 'live', 'alive', 'present', 'ja', 'viele'],
    'not-seen': NOT_SEEN,
  },
  asked: SIGNS,
  unknown: OWN,
};

export const SOUNDING_TABLE: WordTable = {
  values: WORTH_VALUES.sounding,
  words: {
    sound: ['solid', 'firm', 'rings', 'ringing', 'no hollow', 'not hollow', 'ok', 'fest'],
    dull: ['dull sound', 'soft', 'thud', 'dumpf', 'drummy'],
    hollow: ['hollow sound', 'cavity', 'hohl'],
    'not-seen': NOT_SEEN,
  },
  asked: [...SIGNS, 'Y', 'N', 'S', 'D', 'H'],
  unknown: OWN,
};

export const FLARE_TABLE: WordTable = {
  values: WORTH_VALUES.root_flare,
  words: {
    visible: ['exposed', 'clear', 'normal', 'yes', 'Y', 'good', 'seen', 'sichtbar'],
    partly: ['partly visible', 'partial', 'partially', 'partly buried', 'teilweise'],
    buried: ['not visible', 'covered', 'no', 'N', 'none', 'soil over', 'mulch over', 'filled over', 'verschüttet'],
    damaged: ['girdled', 'girdling', 'girdling root', 'girdling roots', 'cut', 'wounded', 'beschädigt'],
    'not-seen': NOT_SEEN,
  },
  asked: [...SIGNS, 'V', 'P', 'B', 'D'],
  unknown: OWN,
};

export const IRREMEDIABLE_TABLE: WordTable = {
  values: WORTH_VALUES.irremediable,
  words: {
    no: ['N', 'none', 'false', '0', 'nein'],
    yes: ['Y', 'true', '1', 'ja'],
    'not-seen': NOT_SEEN,
  },
  asked: SIGNS,
  unknown: OWN,
};

export const STRIKES_TABLE: WordTable = {
  values: WORTH_VALUES.strikes,
  words: { nothing: ['none', 'no', 'nil', 'no target', '0', 'nichts'], 'not-seen': NOT_SEEN },
  asked: [],
  unknown: 'what it would strike, as it is',
};

/** Texture classes as a soil survey names them. */
export const SOIL_TABLE: WordTable<(typeof SOILS)[number]> = {
  values: SOILS,
  words: {
    clay: ['heavy clay', 'clayey', 'Ton'],
    'silty-clay': [],
    'silty-clay-loam': [],
    silt: ['silty', 'Schluff'],
    'silt-loam': ['silty loam'],
    'clay-loam': ['clayey loam'],
    loam: ['loamy', 'Lehm'],
    'sandy-clay': [],
    'sandy-clay-loam': [],
    'sandy-loam': [],
    'loamy-sand': [],
    sand: ['sandy', 'Sand'],
  },
  asked: ['C', 'S', 'L'],
  unknown: 'not given',
};

/** A soil by any word for it; undefined where no table has the word. */
export function soilNamed(text: string): Soil | undefined {
  const words = wordsOf(SOIL_TABLE);
  const key = wordKey(text);
  return Object.hasOwn(words, key) ? SOILS[words[key]!] : undefined;
}

/** The tables of what an arborist looks at, by field. */
export const WORTH_TABLES: Readonly<Record<WorthWordField, WordTable>> = {
  vigour: VIGOUR_TABLE,
  live_buds: BUDS_TABLE,
  sounding: SOUNDING_TABLE,
  cavities: GRADE_TABLE,
  decay: GRADE_TABLE,
  fungi: GRADE_TABLE,
  root_flare: FLARE_TABLE,
  root_disease: GRADE_TABLE,
  codominant: GRADE_TABLE,
  included_bark: GRADE_TABLE,
  dead_wood: GRADE_TABLE,
  pests: GRADE_TABLE,
  past_damage: GRADE_TABLE,
  irremediable: IRREMEDIABLE_TABLE,
  strikes: STRIKES_TABLE,
};
