// Mitigation tables: ids and files -> Mitigation. In: a built-in id, or JSON read from a file; out: a checked Mitigation.
// Terms: see mitigation.ts; the built-in ones are published ratios and one published table. None is the law of any place.

import { type DataFile, dataInvalid, InputError, jsonOf, type Mitigation, parseData } from '../model/index.js';
import { MITIGATION_SCHEMA } from './mitigation-schema.js';

const FILE: DataFile = {
  code: 'mitigation-invalid',
  what: 'mitigation file',
  cure: 'fix the places named; docs/plan.md has an example to start from',
};

const DEFERS = 'the local code decides which trees are replaced, with what and where';

const plain = { notes: [DEFERS], lost: ['remove'], classes: [] } as const;

/** Upper ends of the bands of a published table of Miami, Florida, in whole inches, and the trees of each. */
const BANDS: readonly (readonly [inches: number, small: number, large: number | null])[] = [
  [3, 1, null],
  [6, 2, 1],
  [12, 4, 2],
  [18, 6, 3],
  [24, 8, 4],
  [30, 10, 5],
  [36, 12, 6],
  [42, 14, 7],
  [48, 16, 8],
  [60, 20, 10],
];

function byTotal(id: string, size: string, column: 1 | 2, note: string): Mitigation {
  return {
    id,
    title: `trees by the sum of diameters removed, planted at ${size}`,
    source: 'City of Miami, Florida, tree replacement table 1 (documents.miamigov.com 1308851)',
    notes: [
      DEFERS,
      note,
      'The table is in whole inches and ends at 60: sums are rounded to the nearest inch. Above 60 the table has no figure.',
    ],
    lost: ['remove'],
    classes: [],
    otherwise: { none: true },
    total: { rows: BANDS.map((band) => ({ upTo: `${band[0]} in`, trees: band[column] })), rounding: 'nearest-in' },
    planted: size,
  };
}

const BUILTIN: readonly Mitigation[] = [
  {
    ...plain,
    id: 'inch-for-inch',
    title: 'an inch planted for each inch removed',
    source: 'Metropolis, Illinois, 156.511: equal caliper',
    otherwise: { ratio: 1 },
  },
  {
    ...plain,
    id: '125-percent',
    title: '125 % of the diameter removed',
    source: 'Will County, Illinois',
    otherwise: { ratio: 1.25 },
  },
  byTotal('count-by-total', '2 in', 1, 'Trees of 2 in; the smallest band has a figure only for these.'),
  byTotal('count-by-total-large', '4 in', 2, 'The size of the larger trees, 4 in, is from memory.'),
];

/** Ids of the built-in mitigation tables. */
export function mitigationIds(): readonly string[] {
  return BUILTIN.map(({ id }) => id);
}

/**
 * A built-in mitigation table.
 *
 * @throws InputError `mitigation-unknown` (usage) when there is none of that id.
 * @example
 * builtinMitigation('inch-for-inch').otherwise; // { ratio: 1 }
 */
export function builtinMitigation(id: string): Mitigation {
  const found = BUILTIN.find((one) => one.id === id);
  if (found !== undefined) return found;
  throw new InputError('mitigation-unknown', `there is no mitigation table "${id}"`, {
    cure: `choose one of ${mitigationIds().join(', ')}, or give a file that ends in .json`,
    usage: true,
  });
}

/**
 * Checks a mitigation file's content; what is left out gets its default. Diameters stay as written, ratios become numbers.
 *
 * @throws InputError `mitigation-invalid`: every problem with its place and what is expected there.
 * @example
 * parseMitigation({ id: 'town', title: 'Town', source: 'Code 4-3', otherwise: { ratio: '2:1' } }, 'town.json');
 */
export function parseMitigation(json: unknown, fileName: string): Mitigation {
  const found = parseData(MITIGATION_SCHEMA, json, FILE, fileName);
  const { id } = found;
  if (mitigationIds().includes(id)) throw dataInvalid(FILE, fileName, [`id: "${id}" is built in: write "my-${id}"`]);
  return found;
}

/** `parseMitigation` for the text of a file. Throws InputError `mitigation-invalid` also when the text is not JSON. */
export function parseMitigationText(text: string, fileName: string): Mitigation {
  return parseMitigation(jsonOf(text, FILE, fileName), fileName);
}
