// Tree protection zone and structural root zone of the Australian standard of 2009.
// In: nothing; out: the rule as data. Terms: D = diameter above the root buttress; DBH at 1.4 m.

import type { RadiusFormula, Rule } from '../../model/index.js';
import { NOT_ASSESSED, STEM_IN_WORKS } from '../consequences.js';

/** Palms and similar plants grow no secondary wood, so trunk diameter says nothing: crown + 1 m, from memory. */
const CROWN_PLUS_1: RadiusFormula = { radius: { crownPlus: '1 m' } };
const NOT_BY_FORMULA = ['palm', 'monocot', 'cycad', 'tree-fern'] as const;

export const as4970: Rule = {
  id: 'as4970-2009',
  title: 'Tree protection zone, AS 4970-2009',
  source: 'AS 4970-2009, Protection of trees on development sites, section 3 (superseded by AS 4970:2025).',
  notes: [
    'Superseded: AS 4970:2025 replaced this edition on 30 May 2025, with other names and three grades of encroachment. Use it only where an older consent or code still names 2009.',
    'A zone may have to be larger than 15 m where the crown reaches further: the arborist decides.',
    'Palms, other monocots, cycads and tree ferns have a zone of crown radius + 1 m and no structural root zone: from memory.',
    'Ground lost within the limit has to be made up elsewhere, next to the zone.',
    'Stems are combined as the root of the sum of squares: from memory.',
  ],
  stems: { zone: 'root-of-squares' },
  zone: { radius: { perDiameter: 12 }, atLeast: '2 m', atMost: '15 m' },
  zonesByForm: Object.fromEntries(NOT_BY_FORMULA.map((form) => [form, CROWN_PLUS_1])),
  rings: [
    {
      name: 'structural',
      title: 'Structural root zone',
      radius: { power: { factor: 0.64, scale: 50, exponent: 0.42, of: 'base' } },
      atLeast: '1.5 m',
      limits: [{ share: 0, reason: 'works-in-structural-ring' }],
      notForForms: [...NOT_BY_FORMULA],
    },
  ],
  limits: [{ share: 0.1, reason: 'major-encroachment' }],
  judge: 'overlap',
  cuts: ['building', 'excavation', 'trench', { kind: 'paving', deeperThan: '0.15 m' }],
  tolerance: 0.001,
  consequences: {
    untouched: 'No counted works reach the zone.',
    'within-limit':
      'Minor encroachment: the lost area must be made up elsewhere, next to the zone. The arborist must agree the details.',
    'over-limit':
      'Major encroachment: the project arborist has to show, with evidence on roots where needed, that the tree stays viable.',
    'stem-in-works': STEM_IN_WORKS,
    'not-assessed': NOT_ASSESSED,
  },
  withinReason: 'compensation-needed',
};
