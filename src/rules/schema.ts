// Schema of a rule file. In: JSON of unknown shape; out: a Rule, or issues that name place, want and cure.
// Terms: see model/rule.ts; values and radius formulas have files of their own (schema-values.ts, schema-terms.ts).

import * as v from 'valibot';
import type {
  Allowance,
  Cut,
  Exemption,
  Limit,
  RadiusFormula,
  Rule,
  RuleRing,
  TreeClass,
  TreeTest,
} from '../model/index.js';
import { VERDICTS, WORKS_KINDS } from '../model/index.js';
import { isByDepth } from './areas.js';
import { isShaped, STEM_COMBINATIONS } from './evaluate.js';
import { BOUNDS_MESSAGE, boundsInOrder, formula, formulaEntries } from './schema-terms.js';
import {
  forms,
  kinds,
  length,
  record,
  type Schema,
  share,
  shortName,
  text,
  tolerance,
  wants,
  word,
} from './schema-values.js';

const limit: Schema<Limit> = v.pipe(
  record({
    share,
    of: v.exactOptional(word(['zone', 'unsurfaced'])),
    kinds: v.exactOptional(kinds),
    deeperThan: v.exactOptional(length),
    reason: v.exactOptional(shortName),
    tolerance: v.exactOptional(tolerance),
  }),
  v.check(
    ({ kinds, deeperThan }) => deeperThan === undefined || kinds?.every((kind) => kind === 'bore') !== true,
    wants('kinds of works that do more harm the deeper they go', 'leave deeperThan out; exempt bores by depth'),
  ),
);

const limitList: Schema<readonly Limit[]> = v.array(limit, wants('a list of limits', 'write [{"share": "20%"}]'));

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

const exemption: Schema<Exemption> = v.pipe(
  record({
    kinds,
    deeperThan: v.exactOptional(length),
    atLeast: v.exactOptional(length),
    upTo: v.exactOptional(length),
    noDig: v.exactOptional(
      v.custom<true>((x) => x === true, wants('true', 'write "noDig": true for works marked no_dig, or leave it out')),
    ),
    reason: v.exactOptional(shortName),
  }),
  v.check(
    (e) => isByDepth(e) || e.noDig !== undefined,
    wants('what exempts them', 'add "upTo": "1 in", "atLeast": "24 in" or "noDig": true'),
  ),
);

const allowance: Schema<Allowance> = record({ kinds, share });

const diameters = {
  species: v.exactOptional(
    v.pipe(
      v.array(text('a species or genus'), wants('a list of species', 'write ["Quercus", "Acer rubrum"]')),
      v.minLength(1, wants('at least one species', 'name one, or leave the key out for all')),
    ),
  ),
  forms: v.exactOptional(forms),
  from: v.exactOptional(length),
  below: v.exactOptional(length),
  veteran: v.exactOptional(v.boolean(wants('true or false', 'write true'))),
};
const treeTest: Schema<TreeTest> = record(diameters);
const treeClass: Schema<TreeClass> = record({
  name: shortName,
  ...diameters,
  zone: v.exactOptional(formula),
  limits: v.exactOptional(limitList),
});

const cut: Schema<Cut> = v.lazy((input) =>
  typeof input === 'object' && input !== null
    ? record({ kind: word(WORKS_KINDS), deeperThan: length })
    : word(WORKS_KINDS),
);

/** Kinds that cut where a rule file does not say: roots run near the surface, and thin paving leaves most of them. */
export const DEFAULT_CUTS: readonly Cut[] = [
  'building',
  'excavation',
  'trench',
  { kind: 'paving', deeperThan: '0.15 m' },
];
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
    cuts: v.exactOptional(v.array(cut, wants('a list of kinds', 'write ["trench"]')), [...DEFAULT_CUTS]),
    tolerance: v.exactOptional(tolerance, DEFAULT_TOLERANCE),
    consequences: v.exactOptional(consequences, {}),
    withinReason: v.exactOptional(shortName),
    exempt: v.exactOptional(
      v.array(exemption, wants('a list of exemptions', 'write [{"kinds": ["bore"], "atLeast": "24 in"}]')),
    ),
    allowance: v.exactOptional(allowance),
    classes: v.exactOptional(
      v.array(treeClass, wants('a list of classes', 'write [{"name": "large", "from": "24 in", ...}]')),
    ),
    protected: v.exactOptional(
      v.array(treeTest, wants('a list of tests', 'write [{"species": ["Quercus"], "from": "8 in"}]')),
    ),
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
      ({ classes = [] }) => new Set(classes.map((one) => one.name)).size === classes.length,
      wants('classes of different names', 'rename one: the name becomes a reason'),
    ),
    ['classes'],
  ),
  v.forward(
    v.check(
      (rule) => new Set(rule.rings.map((r) => r.name)).size === rule.rings.length,
      wants('rings of different names', 'rename one: the name becomes a property of the output'),
    ),
    ['rings'],
  ),
);
