// The rule of thumb of many US codes: a foot of radius for every inch of trunk.
// In: nothing; out: the rule as data. Terms: see model/rule.ts; ratio 12 = 1 ft per inch.

import type { Rule } from '../../model/index.js';
import { NOT_ASSESSED, STEM_IN_WORKS } from '../consequences.js';
import { DEEP_BORES, DEEP_BORES_NOTE, DEEP_BORES_SOURCE } from './deep-bores.js';

export const footPerInch: Rule = {
  id: 'foot-per-inch',
  title: 'One foot of radius per inch of diameter',
  source:
    'Common practice. Radius: many US codes, e.g. Austin TX, Vancouver WA (20.170.100). No-cut distance of three trunk ' +
    'diameters: Smiley 2008, Arboriculture & Urban Forestry 34(2):123-128. Limit of 20 %: common practice, no single source. ' +
    DEEP_BORES_SOURCE,
  notes: [
    'The limit of 20 % is common practice, not the law of a place: published US limits run from 20 to 50 % of the zone. Replace it with the local one.',
    'How several stems make one diameter differs from code to code; here it is the root of the sum of squares.',
    DEEP_BORES_NOTE,
  ],
  stems: { zone: 'root-of-squares' },
  zone: { radius: { perDiameter: 12 } },
  rings: [
    {
      name: 'no-cut',
      title: 'No-cut distance, three trunk diameters',
      radius: { perDiameter: 3 },
      limits: [{ share: 0, reason: 'works-in-no-cut-ring' }],
    },
  ],
  limits: [{ share: 0.2, reason: 'over-zone-limit' }],
  judge: 'overlap',
  cuts: ['building', 'excavation', 'trench', { kind: 'paving', deeperThan: '0.15 m' }],
  exempt: [DEEP_BORES],
  tolerance: 0.001,
  consequences: {
    untouched:
      'No counted works reach the zone. A tree to be kept is fenced; ask the arborist whether anything else affects it.',
    'within-limit':
      'Works take part of the zone, within the limit chosen. An arborist and the local code decide whether the tree can tolerate it.',
    'over-limit':
      'Works take more than the limit chosen, or reach the no-cut ring. Move or change the works, or bring an arborist’s evidence to the local authority.',
    'stem-in-works': STEM_IN_WORKS,
    'not-assessed': NOT_ASSESSED,
  },
};
