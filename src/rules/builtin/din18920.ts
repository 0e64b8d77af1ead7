// Root zone of the German standard: the ground under the crown and a strip about it.
// In: nothing; out: the rule as data. Terms: quarters = the zone follows the crown's four radii.

import type { Rule } from '../../model/index.js';
import { NOT_ASSESSED, STEM_IN_WORKS } from '../consequences.js';

export const din18920: Rule = {
  id: 'din18920',
  title: 'Crown and 1.5 m, DIN 18920',
  source: 'DIN 18920, Vegetation technology in landscaping: protection of trees during construction work.',
  notes: [
    'Columnar trees take crown + 5 m: from memory.',
    'The standard assumes that no part of the zone may be taken. Works in it need an expert’s consent and protective measures.',
    'A tree without crown radii is not assessed: its zone cannot be worked out from the trunk.',
  ],
  stems: { zone: 'root-of-squares' },
  zone: { radius: { crownPlus: '1.5 m', shape: 'quarters' } },
  zonesByForm: { columnar: { radius: { crownPlus: '5 m', shape: 'quarters' } } },
  rings: [],
  limits: [{ share: 0, reason: 'works-in-root-zone' }],
  judge: 'overlap',
  cuts: ['building', 'excavation', 'trench', { kind: 'paving', deeperThan: '0.15 m' }],
  tolerance: 0.001,
  consequences: {
    untouched: 'No counted works reach the zone.',
    'within-limit': 'Works touch the zone within the tolerance only. Check the survey on site.',
    'over-limit':
      'Works reach the zone. They need an expert’s consent and measures to protect the roots. Otherwise move them out of the zone.',
    'stem-in-works': STEM_IN_WORKS,
    'not-assessed': NOT_ASSESSED,
  },
};
