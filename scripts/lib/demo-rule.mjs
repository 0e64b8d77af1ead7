// The tree code of the invented town: in: nothing; out: a rule file's content (docs/rules.md).
// Terms: every clause is invented, and shows one thing that a rule file can say.

export function demoRule() {
  return {
    id: 'town',
    title: 'Tree code of an invented town',
    source: 'invented data: no town has this code',
    notes: ['An invented code: each clause shows one thing that a rule file can say.'],
    stems: { zone: 'root-of-squares', protected: 'largest-plus-half-others' },
    zone: { radius: { perDiameter: '1 ft per in' }, atLeast: '8 ft' },
    zonesByForm: { columnar: { radius: { sum: [{ perHeight: 0.4 }, { length: '1 ft' }] } } },
    classes: [
      {
        name: 'veteran',
        veteran: true,
        zone: {
          radius: { min: [{ max: [{ perDiameter: '1.25 ft per in' }, { crownPlus: '5 ft' }] }, { length: '60 ft' }] },
        },
        limits: [{ share: '10%', reason: 'veteran-over-10' }],
      },
      {
        name: 'large-oak',
        species: ['Quercus'],
        from: '24 in',
        zone: { radius: { perDiameter: '1.25 ft per in' } },
      },
      {
        name: 'small',
        species: ['Fraxinus', 'Prunus'],
        below: '7 in',
        zone: {
          radius: {
            byDiameter: [
              { upTo: '4 in', radius: '5 ft' },
              { upTo: null, radius: '8 ft' },
            ],
            rounding: 'nearest-cm',
          },
          from: 'face',
        },
      },
    ],
    protected: [{ species: ['Quercus', 'Arbutus'], from: '12 in' }, { from: '30 in' }],
    rings: [
      {
        name: 'half',
        title: 'Half of the zone',
        radius: { perDiameter: '0.5 ft per in' },
        limits: [
          { share: 0, kinds: ['excavation', 'fill'], deeperThan: '4 in', reason: 'dug-in-half' },
          { share: 0, kinds: ['trench'], reason: 'dug-in-half' },
        ],
      },
      {
        name: 'quarter',
        title: 'Quarter of the zone',
        radius: { perDiameter: '0.25 ft per in' },
        limits: [{ share: 0, kinds: ['excavation', 'trench', 'fill'], reason: 'dug-in-quarter' }],
      },
    ],
    limits: [{ share: '25%' }, { share: '15%', kinds: ['paving'], of: 'unsurfaced', reason: 'paving-over-15' }],
    exempt: [
      { kinds: ['bore'], atLeast: '24 in', reason: 'bored-below-roots' },
      { kinds: ['paving'], noDig: true, reason: 'laid-without-digging' },
    ],
    allowance: { kinds: ['trench'], share: '5%' },
    consequences: { 'over-limit': 'A report by an arborist goes with the application (invented).' },
  };
}
