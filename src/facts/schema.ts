// Schema of a file of tree facts. In: JSON of unknown shape; out: TreeFacts, or problems that name place and want.
// Terms: see model/tree-facts.ts. Linear in the file.

import * as v from 'valibot';
import {
  type CrownFact,
  custom,
  type DensityFact,
  type FillFact,
  lengthInMetres,
  nonEmpty,
  type RootFact,
  record,
  type Schema,
  SOILS,
  type SpanFact,
  STAMPS,
  TOLERANCES,
  type ToleranceFact,
  type TreeFacts,
  text,
} from '../model/index.js';

/** A file of facts holds no more than this of one kind. */
const ROWS_AT_MOST = 5000;

const positive: v.GenericSchema<number> = custom<number>(
  (x) => typeof x === 'number' && x > 0 && x < 10_000,
  'a number above 0',
);
const years: v.GenericSchema<SpanFact['years']> = custom<SpanFact['years']>(
  (x) => isYears(x) || isSpan(x),
  'years: 80, or from and to: [80, 120]',
);
const depth: v.GenericSchema<string> = custom<string>(
  (x) => typeof x === 'string' && (lengthInMetres(x) ?? 0) > 0,
  'a depth with its unit: "3 in" or "8 cm"',
);
const share: v.GenericSchema<number> = custom<number>(
  (x) => typeof x === 'number' && x > 0 && x <= 1,
  'a share from 0 to 1: 0.25',
);
const trees = nonEmpty(text, 'a list of names: ["Quercus alba", "white oak"], or of a genus: ["Quercus"]');
const soil = nonEmpty(v.picklist(SOILS, `one of ${SOILS.join(', ')}`), 'a list of soils: ["clay"]');

const sourced = {
  source: v.exactOptional(text),
  stamp: v.exactOptional(v.picklist(STAMPS, `one of ${STAMPS.map((one) => `"${one}"`).join(', ')}`)),
};

function isSpan(x: unknown): boolean {
  if (!Array.isArray(x) || x.length !== 2) return false;
  const [from, to] = x as readonly unknown[];
  return isYears(from) && isYears(to) && from <= to;
}

function isYears(x: unknown): x is number {
  return typeof x === 'number' && x > 0 && x < 10_000;
}

/** A list of facts, each of which says where it comes from. */
function facts<T>(entries: v.ObjectEntries): Schema<readonly T[]> {
  const one = v.pipe(
    record({ ...entries, ...sourced }) as v.GenericSchema<unknown, { source?: string; stamp?: string }>,
    v.check(
      (fact) => fact.source !== undefined || fact.stamp === 'common practice, no source',
      'a "source", or "stamp": "common practice, no source"',
    ),
  );
  const list = v.pipe(v.array(one, 'a list'), v.maxLength(ROWS_AT_MOST, `at most ${ROWS_AT_MOST} rows`));
  return v.exactOptional(list, []) as unknown as Schema<readonly T[]>;
}

/** A file of tree facts; see docs/worth-keeping.md. */
export const FACTS_SCHEMA: v.GenericSchema<unknown, TreeFacts> = record({
  id: text,
  title: text,
  spans: facts<SpanFact>({ trees, years, note: v.exactOptional(text) }),
  tolerances: facts<ToleranceFact>({ trees, tolerance: v.picklist(TOLERANCES, `one of ${TOLERANCES.join(', ')}`) }),
  roots: facts<RootFact>({ trees: v.exactOptional(trees), text }),
  fill: facts<FillFact>({
    soil: v.exactOptional(soil),
    depth,
    from: v.exactOptional(custom<boolean>((x) => typeof x === 'boolean', 'true or false')),
    text,
  }),
  density: facts<DensityFact>({ soil, from: positive, to: v.exactOptional(positive) }),
  crown: facts<CrownFact>({ share, text }),
}) as unknown as v.GenericSchema<unknown, TreeFacts>;
