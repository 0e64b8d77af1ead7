// Errors of reading -> options that cure them. In: an InputError; out: needs. Constant.

import type { InputError } from '../model/index.js';
import type { Need } from './drawing.js';

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
  const why = `${error.message}: put one in place of NAME`;
  const ask = {
    about: error.layer ?? 'layer',
    choices: error.choices,
    entry: 'ANSWER',
    question: `${error.message}: which one?`,
  };
  return [{ option: '--layer', value: 'NAME', why, ask: [ask] }];
}

/** A table without a heading is most often a file of survey points; one with a heading names its columns. */
function coordinates(error: InputError): readonly Need[] {
  const name = error.layer ?? 'it';
  if (error.cure.includes('--columns')) {
    const why = `${name} has no heading row; point, northing, easting, elevation, description is the usual order: check`;
    const code = 'give the word for a tree in its descriptions, and the species; other points are set aside';
    const order = `${name} has no heading row: what do its columns hold? Letters P,N,E,Z,D (point, northing, easting, elevation, description: the usual order), or names`;
    const species = `${name}: which word of its descriptions means a tree, and of which species? Such as OAK=Quercus garryana; other points are set aside`;
    return [
      {
        option: '--columns',
        value: 'P,N,E,Z,D',
        why,
        ask: [{ about: 'trees.columns', choices: [], entry: 'ANSWER', question: order }],
      },
      {
        option: '--code',
        value: 'CODE=SPECIES',
        why: code,
        ask: [{ about: 'trees.code', choices: [], entry: 'ANSWER', question: species }],
      },
    ];
  }
  if (!error.cure.includes('--xy')) return [];
  const question = `${error.message}: which two columns hold easting and northing? Such as E,N`;
  return [
    {
      option: '--xy',
      value: 'EAST,NORTH',
      why: `${error.message}: give the columns of easting and northing`,
      ask: [{ about: 'trees.xy', choices: [], entry: 'ANSWER', question }],
    },
  ];
}

/** What an error asks for; nothing where no option cures it. */
export function cures(error: InputError | null): readonly Need[] {
  return error === null ? [] : (CURES[error.code]?.(error) ?? []);
}
