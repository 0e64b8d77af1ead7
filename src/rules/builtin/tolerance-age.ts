// Radius by how well a species tolerates building work and how old the tree is.
// In: nothing; out: the rule as data. Terms: ages are shares of the life expected: young < 20 %, overmature > 80 %.

import type { Rule } from '../../model/index.js';
import { NOT_ASSESSED, STEM_IN_WORKS } from '../consequences.js';
import { DEEP_BORES, DEEP_BORES_NOTE, DEEP_BORES_SOURCE } from './deep-bores.js';

export const toleranceAge: Rule = {
  id: 'tolerance-age',
  title: 'Radius by tolerance and age',
  source:
    'Matheny N., Clark J. 1998, Trees and Development, International Society of Arboriculture (table from memory). ' +
    'No-cut distance: Smiley 2008, Arboriculture & Urban Forestry 34(2):123-128. Limit of 20 %: common practice, no single source. ' +
    DEEP_BORES_SOURCE,
  notes: [
    'The table of 0.5 to 1.5 ft per inch was written down from memory and not compared with the book: check it before relying on it.',
    'A tree without a tolerance is treated as moderate, and a tree without an age as mature. The reasons of the tree say so.',
    'The limit of 20 % is common practice, not part of the source; replace it with the local one.',
    DEEP_BORES_NOTE,
  ],
  stems: { zone: 'root-of-squares' },
  zone: {
    radius: {
      perDiameterBy: 'tolerance-age',
      // From memory: 0.5 ft per inch is a ratio of 6, 1.5 is 18.
      table: {
        good: { young: '0.5 ft per in', mature: '0.75 ft per in', overmature: '1 ft per in' },
        moderate: { young: '0.75 ft per in', mature: '1 ft per in', overmature: '1.25 ft per in' },
        poor: { young: '1 ft per in', mature: '1.25 ft per in', overmature: '1.5 ft per in' },
      },
    },
  },
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
      'Works take part of the zone, within the limit chosen. An arborist who knows the species and this tree decides.',
    'over-limit':
      'Works take more than the limit chosen, or reach the no-cut ring. Move or change the works, or bring an arborist’s evidence to the local authority.',
    'stem-in-works': STEM_IN_WORKS,
    'not-assessed': NOT_ASSESSED,
  },
};
