// Schema of a mitigation file. In: JSON of unknown shape; out: a Mitigation, or problems that name place, want and cure.
// Terms: see mitigation.ts. Ratios may be written 2, "2:1" or "125%"; they become numbers.

import * as v from 'valibot';
import {
  custom,
  LOSSES,
  lengthInMetres,
  type Mitigation,
  type MitigationClass,
  nonEmpty,
  type Requirement,
  record,
  type Schema,
  type TotalTable,
  text,
} from '../model/index.js';

const shortName: v.GenericSchema<string> = custom<string>(
  (x) => typeof x === 'string' && /^[a-z0-9]+(-[a-z0-9]+)*$/.test(x),
  'a short name of lower-case letters, digits and hyphens: "class-table"',
);
const diameter: v.GenericSchema<string> = custom<string>(
  (x) => typeof x === 'string' && (lengthInMetres(x) ?? -1) >= 0,
  'a diameter with its unit: "8 in" or "20 cm"',
);
const plantedSize: v.GenericSchema<string> = custom<string>(
  (x) => typeof x === 'string' && (lengthInMetres(x) ?? 0) > 0,
  'a diameter above 0 with its unit: "2 in"',
);
/** 2, "2:1", "2 : 1" or "125%"; undefined when it is none of these. */
export function ratioOf(value: unknown): number | undefined {
  if (typeof value === 'number') return value >= 0 && Number.isFinite(value) ? value : undefined;
  if (typeof value !== 'string') return undefined;
  const percent = /^\s*(\d+(?:\.\d+)?)\s*%\s*$/.exec(value);
  if (percent !== null) return Number(percent[1]) / 100;
  const pair = /^\s*(\d+(?:\.\d+)?)\s*:\s*(\d+(?:\.\d+)?)\s*$/.exec(value);
  return pair !== null && Number(pair[2]) > 0 ? Number(pair[1]) / Number(pair[2]) : undefined;
}

const ratio: Schema<number> = v.pipe(
  v.custom<number | string>((x) => ratioOf(x) !== undefined, 'planted per lost: 2, "2:1" or "125%"'),
  v.transform((x) => ratioOf(x)!),
);
const wholeTrees: v.GenericSchema<number> = custom<number>(
  (x) => Number.isInteger(x) && (x as number) >= 0,
  'a whole number of trees',
);

const requirement: Schema<Requirement> = v.lazy((input): Schema<Requirement> => {
  if (typeof input === 'object' && input !== null && 'trees' in input) return record({ trees: wholeTrees });
  if (typeof input === 'object' && input !== null && 'none' in input) return record({ none: v.literal(true, 'true') });
  return record({ ratio });
});

const oneClass: Schema<MitigationClass> = v.pipe(
  record({
    name: text,
    species: v.exactOptional(nonEmpty(text, 'a list of names: ["live oak", "Quercus virginiana"]')),
    from: v.exactOptional(diameter),
    below: v.exactOptional(diameter),
    condition: v.exactOptional(nonEmpty(text, 'a list of words: ["good", "fair"]')),
    protected: v.exactOptional(custom<boolean>((x) => typeof x === 'boolean', 'true or false')),
    require: requirement,
  }),
  v.check(
    ({ from, below }) =>
      from === undefined || below === undefined || (lengthInMetres(from) ?? 0) < (lengthInMetres(below) ?? 0),
    '"from" smaller than "below"',
  ),
);

const totalRows: Schema<TotalTable['rows']> = nonEmpty(
  record({ upTo: diameter, trees: v.nullable(wholeTrees) }) as v.GenericSchema<TotalTable['rows'][number]>,
  'a list of rows: [{"upTo": "3 in", "trees": 1}, ...]',
);

const totalTable: Schema<TotalTable> = record({
  rows: v.pipe(
    totalRows,
    v.check(
      (rows) =>
        rows.every(
          (row, i) => i === 0 || (lengthInMetres(row.upTo) ?? 0) > (lengthInMetres(rows[i - 1]?.upTo ?? '') ?? 0),
        ),
      'rows from the smallest sum up',
    ),
  ),
  rounding: v.exactOptional(v.picklist(['none', 'nearest-in'], '"none" or "nearest-in"'), 'none'),
});

/** A mitigation file; see docs/plan.md for the language. */
export const MITIGATION_SCHEMA: v.GenericSchema<unknown, Mitigation> = v.pipe(
  record({
    id: shortName,
    title: text,
    source: text,
    notes: v.exactOptional(v.array(text, 'a list of notes'), []),
    lost: v.exactOptional(nonEmpty(v.picklist(LOSSES, `one of ${LOSSES.join(', ')}`), 'a list: ["remove"]'), [
      'remove',
    ]),
    classes: v.exactOptional(v.array(oneClass, 'a list of classes: [{"name": ..., "require": {"ratio": "2:1"}}]'), []),
    otherwise: v.exactOptional(requirement, { none: true }),
    total: v.exactOptional(totalTable),
    planted: v.exactOptional(plantedSize),
  }),
  v.check(
    (m) => m.total !== undefined || m.classes.length > 0 || !('none' in m.otherwise),
    'classes, "otherwise" or a "total" table: without them nothing requires a replacement',
  ),
  v.check(
    (m) => m.total === undefined || (m.classes.length === 0 && 'none' in m.otherwise),
    'either a "total" table or classes: a sum and its parts would be counted twice',
  ),
);
