// The radius formula of a rule file as a schema. In: JSON of unknown shape; out: a RadiusFormula, or issues.
// Terms: term = one way to a radius, known by the key that only it has; formula = a term with bounds and its origin.

import * as v from 'valibot';
import type { RadiusFormula, RadiusTerm } from '../model/index.js';
import { AGES, lengthInMetres, TOLERANCES } from '../model/index.js';
import { didYouMean } from '../text/index.js';
import { length, positive, ratio, record, type Schema, wants, word } from './schema-values.js';

const anyTerm: Schema<RadiusTerm> = v.lazy((input) => termSchema(input));
const terms: Schema<readonly RadiusTerm[]> = v.pipe(
  v.array(anyTerm, wants('a list of terms', 'write [{"length": "15 ft"}, ...]')),
  v.minLength(1, wants('at least one term', 'add one, {"length": "15 ft"}')),
);
const diameter: v.GenericSchema<'dbh' | 'base'> = word(['dbh', 'base']);
const ages = record(Object.fromEntries(AGES.map((age) => [age, ratio])));

const tableRows = v.pipe(
  v.array(
    record({ upTo: v.nullable(length), radius: length }),
    wants('a list of rows', 'write [{"upTo": "10 cm", "radius": "1.2 m"}, ...]'),
  ),
  v.minLength(1, wants('at least one row', 'add one, {"upTo": "10 cm", "radius": "1.2 m"}')),
  v.check(
    (rows) => {
      const ends = rows.map((row) => (row.upTo === null ? Infinity : (lengthInMetres(row.upTo) ?? Number.NaN)));
      return ends.every((end, i) => i === 0 || end > ends[i - 1]!);
    },
    wants('rows from the smallest diameter up', 'sort them by upTo; null only in the last'),
  ),
);

/** Each term is known by the key that only it has. */
const TERMS: Readonly<Record<string, Schema<RadiusTerm>>> = {
  perDiameter: record({ perDiameter: ratio, of: v.exactOptional(diameter) }),
  length: record({ length }),
  crownPlus: record({ crownPlus: length, shape: v.exactOptional(word(['circle', 'quarters'])) }),
  perHeight: record({ perHeight: positive('write the share of the height, 0.4') }),
  perDiameterBy: record({
    perDiameterBy: word(['tolerance-age']),
    table: record(Object.fromEntries(TOLERANCES.map((word) => [word, ages]))),
  }),
  byDiameter: record({ byDiameter: tableRows, rounding: word(['none', 'up-cm', 'nearest-cm']) }),
  power: record({
    power: record({
      factor: positive('write the factor, 0.64'),
      scale: positive('write the number the diameter in metres is multiplied by, 50'),
      exponent: positive('write the exponent, 0.42'),
      of: diameter,
    }),
  }),
  max: record({ max: terms }),
  min: record({ min: terms }),
  sum: record({ sum: terms }),
};
const TERM_KEYS = Object.keys(TERMS);

function refuseTerm(message: string): Schema<RadiusTerm> {
  return v.custom<RadiusTerm>(() => false, message);
}

function termSchema(input: unknown): Schema<RadiusTerm> {
  if (typeof input !== 'object' || input === null || Array.isArray(input)) {
    return refuseTerm('a term: write {"perDiameter": "1 ft per in"}, {"length": "15 ft"} or another of docs/rules.md');
  }
  const keys = Object.keys(input);
  const found = TERM_KEYS.filter((key) => keys.includes(key));
  const [only] = found;
  if (found.length > 1) {
    return refuseTerm(
      `one term, not ${found.join(' and ')} in one: put each in its own {} inside "max", "min" or "sum"`,
    );
  }
  if (only !== undefined) return TERMS[only]!;
  const near = didYouMean(keys[0] ?? '', TERM_KEYS);
  return refuseTerm(`a term: its key is one of ${TERM_KEYS.join(', ')}${near}`);
}

type FormulaEntries = {
  readonly radius: Schema<RadiusTerm>;
  readonly from: v.ExactOptionalSchema<v.GenericSchema<'centre' | 'face'>, undefined>;
  readonly atLeast: v.ExactOptionalSchema<v.GenericSchema<string>, undefined>;
  readonly atMost: v.ExactOptionalSchema<v.GenericSchema<string>, undefined>;
};
/** The keys of a formula, for whatever holds one beside others of its own. */
export const formulaEntries: FormulaEntries = {
  radius: anyTerm,
  from: v.exactOptional(word(['centre', 'face'])),
  atLeast: v.exactOptional(length),
  atMost: v.exactOptional(length),
};

export function boundsInOrder(formula: { readonly atLeast?: string; readonly atMost?: string }): boolean {
  const { atLeast = '0 m', atMost } = formula;
  return atMost === undefined || (lengthInMetres(atLeast) ?? 0) <= (lengthInMetres(atMost) ?? 0);
}
export const BOUNDS_MESSAGE: ReturnType<typeof wants> = wants('atLeast no larger than atMost', 'swap them');

export const formula: Schema<RadiusFormula> = v.pipe(
  record(formulaEntries),
  v.check((f) => boundsInOrder(f), BOUNDS_MESSAGE),
);
