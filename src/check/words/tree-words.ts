// Words for age, tolerance, condition, form, and yes or no. In: nothing; out: tables. Terms: see word-table.ts. Constant.
// Sources: age classes as UK schedules write them (Y, SM, EM, M, OM, V; BS 5837), US and Australian reports, German Baumkataster.
// Where a word could mean two ages, it stands with the one whose zone is larger.

import type { Age, Tolerance } from '../../model/index.js';
import { AGES, TOLERANCES } from '../../model/index.js';
import type { WordTable } from './word-table.js';

export const AGE_TABLE: WordTable<Age> = {
  values: AGES,
  words: {
    young: [
      'Y',
      'YNG',
      'juvenile',
      'sapling',
      'newly planted',
      'SM',
      'semi-mature',
      'semimature',
      'immature',
      'jung',
      'Jungbaum',
    ],
    mature: [
      'M',
      'MAT',
      'EM',
      'early mature',
      'E/M',
      'middle aged',
      'middle-aged',
      'MA',
      'fully mature',
      'adult',
      'reif',
      'Altersphase mittel',
    ],
    overmature: [
      'OM',
      'over mature',
      'late mature',
      'LM',
      'senescent',
      'old',
      'ancient',
      'veteran',
      'V',
      'VET',
      'post mature',
      'überaltert',
      'ueberaltert',
      'alt',
      'Altbaum',
    ],
  },
  asked: ['A', 'O', 'S', 'J'],
  unknown: 'overmature: the larger zone',
};

/** Ages that make a tree a veteran where the field of that name says nothing. */
export const VETERAN_WORDS: readonly string[] = ['V', 'VET', 'veteran', 'ancient'];

export const TOLERANCE_TABLE: WordTable<Tolerance> = {
  values: TOLERANCES,
  words: {
    good: ['high', 'tolerant', 'hoch', 'gut'],
    moderate: ['medium', 'intermediate', 'average', 'mittel', 'mäßig', 'maessig'],
    poor: ['low', 'intolerant', 'sensitive', 'gering', 'schlecht'],
  },
  asked: ['G', 'M', 'P', 'H', 'L'],
  unknown: 'poor: the larger zone',
};

export const CONDITIONS = ['good', 'fair', 'poor', 'dead'] as const;

export const CONDITION_TABLE: WordTable<(typeof CONDITIONS)[number]> = {
  values: CONDITIONS,
  words: {
    good: ['excellent', 'very good', 'healthy', 'sound', 'normal', 'gut', 'vital', 'gesund'],
    fair: [
      'moderate',
      'average',
      'satisfactory',
      'fair-good',
      'fair to good',
      'mittel',
      'befriedigend',
      'leicht geschädigt',
    ],
    poor: [
      'bad',
      'very poor',
      'fair-poor',
      'fair to poor',
      'declining',
      'in decline',
      'moribund',
      'hazardous',
      'schlecht',
      'geschädigt',
      'geschaedigt',
      'absterbend',
    ],
    dead: ['dying/dead', 'standing dead', 'snag', 'tot', 'abgestorben'],
  },
  asked: ['G', 'F', 'P', 'D', 'A', 'B', 'C', 'U'],
  unknown: 'the word as it is: it fits the classes that list it',
};

export const FORMS = ['columnar', 'palm', 'tree-fern'] as const;

export const FORM_TABLE: WordTable<(typeof FORMS)[number]> = {
  values: FORMS,
  words: {
    columnar: [
      'column',
      'fastigiate',
      'upright columnar',
      'columnar upright',
      'säulenförmig',
      'saeulenfoermig',
      'Säule',
      'Säulenform',
    ],
    palm: ['palms', 'palm tree', 'Palme', 'cycad'],
    'tree-fern': ['tree fern', 'fern', 'treefern', 'Baumfarn'],
  },
  asked: [],
  unknown: 'the word as it is: a rule may name any form',
};

export const FLAGS = ['no', 'yes'] as const;

export const FLAG_TABLE: WordTable<(typeof FLAGS)[number]> = {
  values: FLAGS,
  words: {
    no: ['N', 'false', 'F', '0', 'none', 'not', 'nein', 'nicht', 'falsch'],
    yes: ['Y', 'true', 'T', '1', 'ja', 'J', 'wahr'],
  },
  asked: ['X', '*', '?'],
  unknown: 'unknown: taken as what leaves the tree its larger zone and the works their full share',
};
