// Protection files. In: JSON as read from a file; out: a checked Protection, with the built-in notes for what it leaves out.
// Terms: see model/protection.ts. A text may stand for a detail or a note: "6 ft" for {"value": "6 ft"}; the file's own
// `source` goes beside whatever states none. Linear in the file.

import * as v from 'valibot';
import {
  type BoreDistance,
  custom,
  type DataFile,
  type FenceDetails,
  type GroundBuildUp,
  type Inspection,
  jsonOf,
  lengthInMetres,
  type Protection,
  type ProtectionDetail,
  type ProtectionNote,
  parseData,
  type RootNotes,
  record,
  type Schema,
  type SequenceStep,
  text,
} from '../model/index.js';
import { BUILTIN_PROTECTION } from './builtin-protection.js';

const FILE: DataFile = {
  code: 'protection-invalid',
  what: 'protection file',
  cure: 'fix the places named; docs/packet.md has an example to start from',
};

/** A sheet holds no more than this of one thing. */
const ITEMS_AT_MOST = 100;
const LETTERS_AT_MOST = 600;
const SIGN_LINES_AT_MOST = 10;
const SIGN_LETTERS_AT_MOST = 60;
const BLANK_LINES_AT_MOST = 50;

const words: v.GenericSchema<string> = custom<string>(
  (x) => typeof x === 'string' && x.trim() !== '' && x.length <= LETTERS_AT_MOST,
  `text of at most ${LETTERS_AT_MOST} letters`,
);
const source = v.exactOptional(words);

/** A length from one to another, in metres: what can be built and drawn. */
function lengthOf(what: string, leastM: number, mostM: number): v.GenericSchema<string> {
  return custom<string>((x) => {
    const metres = typeof x === 'string' ? lengthInMetres(x) : undefined;
    return metres !== undefined && metres >= leastM && metres <= mostM;
  }, `${what} from ${leastM} m to ${mostM} m with its unit: "6 ft" or "1.8 m"`);
}

/** An object with a source, or a text that stands for its one member. */
function orText<T>(value: v.GenericSchema<string>, key: 'value' | 'text'): Schema<T> {
  const short = v.pipe(
    value,
    v.transform((found) => ({ [key]: found })),
  );
  const long = record({ [key]: value, source });
  return v.lazy((input) => (typeof input === 'string' ? short : long)) as unknown as Schema<T>;
}

const detail = (value: v.GenericSchema<string>): Schema<ProtectionDetail> => orText(value, 'value');
const note: Schema<ProtectionNote> = orText(words, 'text');

/** A list that may be empty: then the sheet has none of it. */
function list<T>(item: Schema<T>, example: string): Schema<readonly T[]> {
  const wanted = `a list of at most ${ITEMS_AT_MOST}: ${example}`;
  return v.pipe(v.array(item, wanted), v.maxLength(ITEMS_AT_MOST, wanted)) as unknown as Schema<readonly T[]>;
}

const notes = list(note, '["...", {"text": "...", "source": "..."}]');

const SIGN_LINES = `a list of 1 to ${SIGN_LINES_AT_MOST} lines of at most ${SIGN_LETTERS_AT_MOST} letters: ["KEEP OUT"]`;
const signLine = custom<string>(
  (x) => typeof x === 'string' && x.trim() !== '' && [...x].length <= SIGN_LETTERS_AT_MOST,
  `a line of at most ${SIGN_LETTERS_AT_MOST} letters`,
);
const signLines = v.pipe(
  v.array(signLine, SIGN_LINES),
  v.minLength(1, SIGN_LINES),
  v.maxLength(SIGN_LINES_AT_MOST, SIGN_LINES),
);
const signWords = v.lazy((input) =>
  Array.isArray(input)
    ? v.pipe(
        signLines,
        v.transform((lines) => ({ lines })),
      )
    : record({ lines: signLines, source }),
) as Schema<FenceDetails['signWords']>;

const fence: Schema<Partial<FenceDetails>> = record({
  height: v.exactOptional(detail(lengthOf('a height', 0.3, 10))),
  material: v.exactOptional(detail(words)),
  posts: v.exactOptional(detail(words)),
  postSpacing: v.exactOptional(detail(lengthOf('a spacing', 0.3, 30))),
  postDepth: v.exactOptional(detail(lengthOf('a depth', 0, 5))),
  signSpacing: v.exactOptional(detail(lengthOf('a spacing', 0.3, 1000))),
  signWords: v.exactOptional(signWords),
  signSize: v.exactOptional(
    record({ width: lengthOf('a width', 0.05, 3), height: lengthOf('a height', 0.05, 3), source }),
  ),
  gate: v.exactOptional(record({ width: lengthOf('a width', 0.3, 30), text: words, source })),
  notes: v.exactOptional(notes),
});

const diameter = lengthOf('a trunk diameter', 0.001, 20);

const boreDistances: Schema<readonly BoreDistance[]> = v.pipe(
  list(
    record({
      upTo: v.exactOptional(diameter),
      distance: lengthOf('a distance', 0, 100),
      source,
    }) as Schema<BoreDistance>,
    '[{"upTo": "9 in", "distance": "5 ft"}, {"distance": "15 ft"}]',
  ),
  v.check((rows) => {
    const sizes = rows.map(({ upTo }) => (upTo === undefined ? Infinity : (lengthInMetres(upTo) ?? 0)));
    return sizes.every((size, i) => i === 0 || size > sizes[i - 1]!);
  }, 'rows from the smallest diameter up; only the last may leave "upTo" out'),
);

const roots: Schema<Partial<RootNotes>> = record({
  cutting: v.exactOptional(notes),
  boreDepth: v.exactOptional(detail(lengthOf('a depth', 0, 30))),
  boreDistances: v.exactOptional(boreDistances),
  boring: v.exactOptional(notes),
});

const blankLines: v.GenericSchema<number> = custom<number>(
  (x) => Number.isInteger(x) && (x as number) >= 1 && (x as number) <= BLANK_LINES_AT_MOST,
  `a whole number of blank lines from 1 to ${BLANK_LINES_AT_MOST}`,
);

interface ProtectionFile extends Omit<Partial<Protection>, 'fence' | 'roots'> {
  readonly $schema?: string;
  readonly source?: string;
  readonly fence?: Partial<FenceDetails>;
  readonly roots?: Partial<RootNotes>;
}

const file: Schema<ProtectionFile> = record({
  $schema: v.exactOptional(text),
  source,
  fence: v.exactOptional(fence),
  ground: v.exactOptional(
    list<GroundBuildUp>(record({ when: words, what: words, source }), '[{"when": "...", "what": "..."}]'),
  ),
  roots: v.exactOptional(roots),
  sequence: v.exactOptional(
    list<SequenceStep>(
      record({ step: words, what: words, who: words, source }),
      '[{"step": "Fence", "what": "...", "who": "..."}]',
    ),
  ),
  inspections: v.exactOptional(
    list<Inspection>(
      record({
        what: words,
        when: words,
        who: words,
        lines: v.exactOptional(blankLines),
        source,
      }) as Schema<Inspection>,
      '[{"what": "...", "when": "...", "who": "..."}]',
    ),
  ),
  forbidden: v.exactOptional(notes),
});

/** The notes that hold where a job brings none: sizes of a few published codes, a source beside each. */
export function builtinProtection(): Protection {
  return BUILTIN_PROTECTION;
}

/**
 * Checks a protection file's content. What it gives stands in place of the built-in: details of `fence` and parts of `roots`
 * one by one, lists as a whole; an empty list leaves its part of the sheet out.
 *
 * @throws InputError `protection-invalid`: every problem with its place and what is expected there.
 * @example
 * parseProtection({ fence: { height: '4 ft' } }, 'town.json').fence.height; // { value: '4 ft' }
 */
export function parseProtection(json: unknown, fileName: string): Protection {
  const { $schema: _, source: own, ...given } = parseData(file, json, FILE, fileName);
  const found = own === undefined ? given : (sourced(given, own) as typeof given);
  const { fence: usualFence, roots: usualRoots, ...usual } = BUILTIN_PROTECTION;
  return {
    ...usual,
    ...found,
    fence: { ...usualFence, ...found.fence },
    roots: { ...usualRoots, ...found.roots },
  };
}

/** `parseProtection` for the text of a file. Throws InputError `protection-invalid` also when the text is not JSON. */
export function parseProtectionText(content: string, fileName: string): Protection {
  return parseProtection(jsonOf(content, FILE, fileName), fileName);
}

/** The source of the file beside every detail and note that states none: all objects but those that only hold others. */
function sourced(value: unknown, source: string): unknown {
  if (Array.isArray(value)) return value.map((one) => sourced(one, source));
  if (typeof value !== 'object' || value === null) return value;
  const parts = Object.entries(value).map(([key, one]) => [key, key === 'lines' ? one : sourced(one, source)] as const);
  const isHolder = parts.every(([key, one]) => typeof one === 'object' && key !== 'lines');
  return { ...(isHolder ? {} : { source }), ...Object.fromEntries(parts) };
}
