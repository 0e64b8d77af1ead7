// Root protection area of the British standard of 2012.
// In: nothing; out: the rule as data. Terms: diameter at 1.5 m; the cap of 707 m2 is the area of a circle of 15 m.

import type { Rule } from '../../model/index.js';
import { NOT_ASSESSED, STEM_IN_WORKS } from '../consequences.js';

export const bs5837: Rule = {
  id: 'bs5837-2012',
  title: 'Root protection area, BS 5837:2012',
  source:
    'BS 5837:2012, Trees in relation to design, demolition and construction: 4.6 and Annex D for the area; clause numbers ' +
    'for stems and surfacing from memory.',
  notes: [
    'The area is capped at 707 m2. The printed table gives that as a radius of 15.0 m (706.858 m2), which is the cap used here.',
    'Structures, excavation, trenches, raised ground and compaction may take none of the area. This is a default; an arborist’s method statement can justify an exception. The list of kinds is a choice made here.',
    'New surfacing may take at most 20 % of the ground that is unsurfaced today, as in the standard. That is the whole area unless today’s surfaces are given (--existing).',
    'Bores are not limited by this rule; the arborist says how deep they must run.',
    'The standard lets an arborist redraw the area as a polygon of the same size where roots are hindered; here it is a circle about the trunk.',
  ],
  stems: { zone: 'bs5837' },
  zone: { radius: { perDiameter: 12 }, atMost: '15 m' },
  rings: [],
  limits: [
    {
      share: 0,
      kinds: ['building', 'excavation', 'trench', 'fill', 'compaction'],
      reason: 'structure-or-excavation-in-zone',
    },
    { share: 0.2, of: 'unsurfaced', kinds: ['paving'], reason: 'surfacing-over-limit' },
  ],
  judge: 'overlap',
  cuts: ['building', 'excavation', 'trench', { kind: 'paving', deeperThan: '0.15 m' }],
  tolerance: 0.001,
  consequences: {
    untouched: 'No counted works reach the area. The tree protection plan shows the fence of a tree to be kept.',
    'within-limit':
      'Surfacing or bores reach the area, within the defaults. The arborist has to show how they can be built without harm to roots.',
    'over-limit':
      'The design departs from keeping the area clear. The arborist has to show that the tree stays viable and how lost ground is made up. Otherwise move the design.',
    'stem-in-works': STEM_IN_WORKS,
    'not-assessed': NOT_ASSESSED,
  },
};
