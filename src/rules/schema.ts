// Schema of a rule file. In: JSON of unknown shape; out: a Rule, or issues that name place, want and cure.
// Terms: issue message = "what is expected: what to write"; rules/problems.ts adds place and what was found.
// Lengths and ratios stay as written, so that a rule prints as its author wrote it; shares become 0..1.

import * as v from 'valibot';
import type { Limit, RadiusFormula, RadiusTerm, Rule, RuleRing } from '../rule.js';
import { AGES, TOLERANCES, VERDICTS, WORKS_KINDS, type WorksKind } from '../types.js';
import { lengthInMetres } from '../units.js';
import { isShaped, STEM_COMBINATIONS } from './evaluate.js';
import { didYouMean } from './nearest.js';
import { ratioOf, shareOf } from './quantities.js';

type Schema<T> = v.GenericSchema<unknown, T>;

/** Marks the message of an unknown key; the known keys follow. */
export const UNKNOWN_KEY = 'unknown key:';

/** What to write for a key that is missing or of the wrong shape. */
const HELP: Readonly<Record<string, string>> = {
  id: 'a short name in lower case, "my-city-2024"',
  title: 'a line to call the rule by',
  source: 'where the rule is written: code, section, year',
  stems: 'how several stems make one diameter, {"zone": "root-of-squares"}',
  zone: 'the radius of the zone, {"radius": {"perDiameter": "1 ft per in"}}',
  limits: 'a list of limits, [{"share": "20%"}]',
  share: 'the largest share allowed, "20%" or 0.2',
  radius: 'a term, {"perDiameter": "1 ft per in"} or {"length": "15 ft"}',
  name: 'a short name in lower case, "no-cut"',
  table: 'feet per inch for each tolerance and age',
  rounding: 'how the diameter is rounded before it is looked up: "none", "up-cm" or "nearest-cm"',
  upTo: 'the largest diameter of the row, "40 cm", or null for every larger one',
};

const wants =
  (expected: string, cure: string): ((issue: v.BaseIssue<unknown>) => string) =>
  () =>
    `${expected}: ${cure}`;

/** An object whose unknown keys are each refused by name (strictObject would stop at the first). */
function record<const T extends v.ObjectEntries>(
  entries: T,
): Schema<v.InferOutput<v.StrictObjectSchema<T, undefined>>> {
  const keys = Object.keys(entries);
  const anObject = v.custom<object>(
    (x) => typeof x === 'object' && x !== null && !Array.isArray(x),
    `an object: write {...} with ${keys.join(', ')}`,
  );
  const members = v.objectWithRest(entries, v.never(`${UNKNOWN_KEY} ${keys.join(', ')}`), (issue) => {
    const missing = /^"(.*)"$/.exec(issue.expected ?? '')?.[1] ?? '';
    return `this key: write ${HELP[missing] ?? 'it'}`;
  });
  const schema: v.GenericSchema = v.pipe(anObject, members as v.GenericSchema<object, object>);
  return schema as ReturnType<typeof record<T>>;
}

const text = (what: string): v.GenericSchema<string> =>
  v.custom<string>((x) => typeof x === 'string' && x.trim() !== '', wants('text', `write ${what}`));

const NAME = /^[a-z][a-z0-9]*(-[a-z0-9]+)*$/;
const shortName: v.GenericSchema<string> = v.custom<string>(
  (x) => typeof x === 'string' && NAME.test(x),
  wants('a short name', 'use lower-case letters, digits and hyphens, "no-cut"'),
);

function word<const T extends string>(words: readonly T[]): v.GenericSchema<T> {
  return v.custom<T>(
    (x) => (words as readonly unknown[]).includes(x),
    (issue) =>
      `one of ${words.join(', ')}: use one of these words${typeof issue.input === 'string' ? didYouMean(issue.input, words) : ''}`,
  );
}

const length: v.GenericSchema<string> = v.custom<string>(
  (x) => typeof x === 'string' && (lengthInMetres(x) ?? -1) >= 0,
  ({ input }) => {
    const bare = typeof input === 'number' || (typeof input === 'string' && /^\s*[\d.]+\s*$/.test(input));
    return bare
      ? `a length with its unit: write "${String(input).trim()} ft" or "${String(input).trim()} m"`
      : 'a length with its unit, 0 or more: write it like "15 ft" or "4.5 m"';
  },
);

/** Radii below two diameters are refused as bare numbers: 1.5 is nearly always meant as feet per inch (a ratio of 18). */
const LEAST_BARE_RATIO = 2;
const ratio: v.GenericSchema<number | string> = v.custom<number | string>(
  (x) => ratioOf(x) !== undefined && !(typeof x === 'number' && x < LEAST_BARE_RATIO),
  ({ input }) =>
    typeof input === 'number' && input > 0 && input < LEAST_BARE_RATIO
      ? `radius per diameter in the same unit, 2 or more: write "${input} ft per in" if feet per inch are meant, else "${input} m per m"`
      : 'radius per diameter: write "1.5 ft per in" or a number in the same unit, 18',
);

function positive(what: string): v.GenericSchema<number> {
  return v.custom<number>((x) => typeof x === 'number' && x > 0 && Number.isFinite(x), wants('a number above 0', what));
}

const share: Schema<number> = v.pipe(
  v.custom<number | string>(
    (x) => shareOf(x) !== undefined,
    ({ input }) =>
      typeof input === 'number' && input > 1 && input <= 100
        ? `a share: write "${input}%" or ${input / 100}`
        : 'a share from 0 to 1: write "20%" or 0.2',
  ),
  v.transform((x) => shareOf(x) as number),
);

/** A tolerance keeps slivers from breaking a zero limit; above 5 % it would be a limit of its own. */
const MOST_TOLERANCE = 0.05;
const tolerance: Schema<number> = v.pipe(
  v.custom<number | string>(
    (x) => (shareOf(x) ?? 1) <= MOST_TOLERANCE,
    wants('a share of at most 5%', 'write "0.1%" or 0.001'),
  ),
  v.transform((x) => shareOf(x) as number),
);

// ---------------------------------------------------------------- terms

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
      return ends.every((end, i) => i === 0 || end > (ends[i - 1] as number));
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
  if (only !== undefined) return TERMS[only] as Schema<RadiusTerm>;
  const near = didYouMean(keys[0] ?? '', TERM_KEYS);
  return refuseTerm(`a term: its key is one of ${TERM_KEYS.join(', ')}${near}`);
}

// ---------------------------------------------------------------- formula, limit, ring, rule

const formulaEntries = {
  radius: anyTerm,
  from: v.exactOptional(word(['centre', 'face'])),
  atLeast: v.exactOptional(length),
  atMost: v.exactOptional(length),
};

function boundsInOrder(formula: { readonly atLeast?: string; readonly atMost?: string }): boolean {
  const { atLeast = '0 m', atMost } = formula;
  return atMost === undefined || (lengthInMetres(atLeast) ?? 0) <= (lengthInMetres(atMost) ?? 0);
}
const BOUNDS_MESSAGE = wants('atLeast no larger than atMost', 'swap them');

const formula: Schema<RadiusFormula> = v.pipe(
  record(formulaEntries),
  v.check((f) => boundsInOrder(f), BOUNDS_MESSAGE),
);

const kinds: Schema<readonly WorksKind[]> = v.pipe(
  v.array(word(WORKS_KINDS), wants('a list of kinds', 'write ["building", "trench"]')),
  v.minLength(1, wants('at least one kind', 'name one, or leave the key out for all kinds')),
);

const limit: Schema<Limit> = record({
  share,
  of: v.exactOptional(
    v.custom<'zone'>(
      (x) => x === 'zone',
      ({ input }) =>
        input === 'unsurfaced'
          ? '"zone": a share of the ground now unsurfaced is not built yet, as ground surfaced today is not read; leave "of" out to take the share of the whole zone'
          : '"zone": leave "of" out',
    ),
  ),
  kinds: v.exactOptional(kinds),
  reason: v.exactOptional(shortName),
  tolerance: v.exactOptional(tolerance),
});

const limitList: Schema<readonly Limit[]> = v.array(limit, wants('a list of limits', 'write [{"share": "20%"}]'));

const forms: Schema<readonly string[]> = v.array(shortName, wants('a list of forms', 'write ["palm"]'));

const ring: Schema<RuleRing> = v.pipe(
  record({
    name: shortName,
    title: v.exactOptional(text('a title for the ring')),
    ...formulaEntries,
    limits: v.exactOptional(limitList, []),
    notForForms: v.exactOptional(forms),
  }),
  v.check((f) => boundsInOrder(f), BOUNDS_MESSAGE),
  v.check((r) => !isShaped(r), wants('a round ring', 'leave "shape" out: only the zone can follow the crown')),
);

const consequences = record(
  Object.fromEntries(VERDICTS.map((verdict) => [verdict, v.exactOptional(text('what follows from the verdict'))])),
);

/** Kinds that cut where a rule file does not say. */
export const DEFAULT_CUTS: readonly WorksKind[] = ['building', 'excavation', 'trench'];
/** Share of an area below which a zero limit holds, where a rule file does not say. */
export const DEFAULT_TOLERANCE = 0.001;

const lowerCaseForms: Schema<Readonly<Record<string, RadiusFormula>>> = v.record(
  shortName,
  formula,
  wants('an object', 'write {"columnar": {"radius": ...}}'),
);

/** A rule file; see docs/rules.md for the language. */
export const RULE_SCHEMA: v.GenericSchema<unknown, Rule> = v.pipe(
  record({
    id: shortName,
    title: text('a line to call the rule by'),
    source: text('where the rule is written: code, section, year'),
    notes: v.exactOptional(
      v.array(text('a note to the user of the rule'), wants('a list of notes', 'write ["..."]')),
      [],
    ),
    stems: record({ zone: word(STEM_COMBINATIONS), protected: v.exactOptional(word(STEM_COMBINATIONS)) }),
    zone: formula,
    zonesByForm: v.exactOptional(lowerCaseForms),
    rings: v.exactOptional(v.array(ring, wants('a list of rings', 'write [{"name": "no-cut", ...}]')), []),
    limits: v.exactOptional(limitList, []),
    judge: v.exactOptional(word(['overlap', 'affected']), 'overlap'),
    cuts: v.exactOptional(v.array(word(WORKS_KINDS), wants('a list of kinds', 'write ["trench"]')), [...DEFAULT_CUTS]),
    tolerance: v.exactOptional(tolerance, DEFAULT_TOLERANCE),
    consequences: v.exactOptional(consequences, {}),
    withinReason: v.exactOptional(shortName),
  }),
  v.forward(
    v.check(
      (rule) => rule.limits.length + rule.rings.reduce((n, r) => n + r.limits.length, 0) > 0,
      wants('at least one limit, here or in a ring', 'write [{"share": "20%"}]'),
    ),
    ['limits'],
  ),
  v.forward(
    v.check(
      (rule) => new Set(rule.rings.map((r) => r.name)).size === rule.rings.length,
      wants('rings of different names', 'rename one: the name becomes a property of the output'),
    ),
    ['rings'],
  ),
);
