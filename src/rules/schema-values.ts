// Values a rule file is made of, as schemas. In: JSON of unknown shape; out: texts, names, lengths, ratios, shares.
// Terms: issue message = "what is expected: what to write"; rules/problems.ts adds place and what was found.
// Lengths and ratios stay as written, so that a rule prints as its author wrote it; shares become 0..1.

import * as v from 'valibot';
import { lengthInMetres, WORKS_KINDS, type WorksKind } from '../model/index.js';
import { didYouMean } from '../text/index.js';
import { ratioOf, shareOf } from './quantities.js';

export type Schema<T> = v.GenericSchema<unknown, T>;

/** Marks the message of an unknown key; the known keys follow. */
export const UNKNOWN_KEY = 'unknown key:';

/** What to write for a key that is missing or of the wrong shape. */
export const HELP: Readonly<Record<string, string>> = {
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

export const wants =
  (expected: string, cure: string): ((issue: v.BaseIssue<unknown>) => string) =>
  () =>
    `${expected}: ${cure}`;

/** An object whose unknown keys are each refused by name (strictObject would stop at the first). */
export function record<const T extends v.ObjectEntries>(
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

export const text = (what: string): v.GenericSchema<string> =>
  v.custom<string>((x) => typeof x === 'string' && x.trim() !== '', wants('text', `write ${what}`));

const NAME = /^[a-z][a-z0-9]*(-[a-z0-9]+)*$/;
export const shortName: v.GenericSchema<string> = v.custom<string>(
  (x) => typeof x === 'string' && NAME.test(x),
  wants('a short name', 'use lower-case letters, digits and hyphens, "no-cut"'),
);

export function word<const T extends string>(words: readonly T[]): v.GenericSchema<T> {
  return v.custom<T>(
    (x) => (words as readonly unknown[]).includes(x),
    (issue) =>
      `one of ${words.join(', ')}: use one of these words${typeof issue.input === 'string' ? didYouMean(issue.input, words) : ''}`,
  );
}

export const length: v.GenericSchema<string> = v.custom<string>(
  (x) => typeof x === 'string' && (lengthInMetres(x) ?? -1) >= 0,
  ({ input }) => {
    const bare = typeof input === 'number' || (typeof input === 'string' && /^\s*[\d.]+\s*$/.test(input));
    return bare
      ? `a length with its unit: write "${String(input).trim()} ft" or "${String(input).trim()} m"`
      : 'a length with its unit, 0 or more: write it like "15 ft" or "4.5 m"';
  },
);

/** Radii below two diameters are refused as bare numbers: 1.5 is nearly always meant as feet per inch (a ratio of 18). */
export const LEAST_BARE_RATIO = 2;
export const ratio: v.GenericSchema<number | string> = v.custom<number | string>(
  (x) => ratioOf(x) !== undefined && !(typeof x === 'number' && x < LEAST_BARE_RATIO),
  ({ input }) =>
    typeof input === 'number' && input > 0 && input < LEAST_BARE_RATIO
      ? `radius per diameter in the same unit, 2 or more: write "${input} ft per in" if you mean feet per inch, otherwise "${input} m per m"`
      : 'radius per diameter: write "1.5 ft per in" or a number in the same unit, 18',
);

export function positive(what: string): v.GenericSchema<number> {
  return v.custom<number>((x) => typeof x === 'number' && x > 0 && Number.isFinite(x), wants('a number above 0', what));
}

export const share: Schema<number> = v.pipe(
  v.custom<number | string>(
    (x) => shareOf(x) !== undefined,
    ({ input }) =>
      typeof input === 'number' && input > 1 && input <= 100
        ? `a share: write "${input}%" or ${input / 100}`
        : 'a share from 0 to 1: write "20%" or 0.2',
  ),
  v.transform((x) => shareOf(x)!),
);

/** A tolerance keeps slivers from breaking a zero limit. Above 5 % it would itself be a limit. */
export const MOST_TOLERANCE = 0.05;
export const tolerance: Schema<number> = v.pipe(
  v.custom<number | string>(
    (x) => (shareOf(x) ?? 1) <= MOST_TOLERANCE,
    wants('a share of at most 5%', 'write "0.1%" or 0.001'),
  ),
  v.transform((x) => shareOf(x)!),
);

export const kinds: Schema<readonly WorksKind[]> = v.pipe(
  v.array(word(WORKS_KINDS), wants('a list of kinds', 'write ["building", "trench"]')),
  v.minLength(1, wants('at least one kind', 'name one, or leave the key out for all kinds')),
);

export const forms: Schema<readonly string[]> = v.array(shortName, wants('a list of forms', 'write ["palm"]'));
