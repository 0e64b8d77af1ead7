// The protection notes that hold where a job brings none. In: nothing; out: data, a source beside each.
// Terms: see model/protection.ts. Sizes are those of a few published codes, the law of no other place; what has no published
// source says so. What is said of codes is in our own words.

import type { Protection } from '../model/index.js';

const PRACTICE = 'common practice, no source';
const ASHLAND = 'Ashland, Oregon, Land Use Ordinance 18.4.5.030 C';
const DURHAM = 'Durham, North Carolina, Unified Development Ordinance 8.3.2';
const WINTER_PARK = 'Winter Park, Florida, Code 58-292';
const WAYNE = 'Wayne, Illinois, village code on tree protection';
const TUNNEL = 'University of Missouri Extension G6885';
const HOLD = 'Smiley 2008, Arboriculture & Urban Forestry 34(2):123-128';
const BORE_TABLE = 'from memory: a table that US specifications repeat, not checked in print';
const GROUND_TABLE = 'from memory: after BS 5837:2012, not checked in print';

export const BUILTIN_PROTECTION: Protection = {
  fence: {
    height: { value: '6 ft', source: ASHLAND },
    material: { value: 'Chain link, flush with the ground', source: ASHLAND },
    posts: { value: 'Steel', source: ASHLAND },
    postSpacing: { value: '10 ft', source: `${ASHLAND}; ${DURHAM}` },
    postDepth: { value: '2 ft', source: PRACTICE },
    signSpacing: { value: '100 ft', source: DURHAM },
    signWords: {
      lines: [
        'TREE PROTECTION ZONE',
        'KEEP OUT - NO ENTRE',
        'No digging, driving or parking',
        'No storage, fuel, washout or fire',
        'Do not move or open this fence',
      ],
      source: PRACTICE,
    },
    signSize: { width: '24 in', height: '18 in', source: PRACTICE },
    gate: {
      width: '12 ft',
      text: 'Only where the plan shows one: closed and locked but for the works that cross there, on protected ground',
      source: PRACTICE,
    },
    notes: [
      {
        text: 'The local code decides. Where none is given, these notes take the highest of the fences named here.',
        source: PRACTICE,
      },
      { text: '6 ft high, posts at most 10 ft apart.', source: ASHLAND },
      { text: '4 ft high, posts 8 ft apart.', source: WINTER_PARK },
      { text: '4 ft high, posts 8 to 10 ft apart.', source: WAYNE },
      { text: 'Posts at most 10 ft apart; silt fence is no tree fence.', source: DURHAM },
      {
        text: 'A post that meets a root thicker than 1 in (25 mm) is set somewhere else. No post is set in concrete.',
        source: PRACTICE,
      },
    ],
  },
  ground: [
    {
      when: 'People on foot',
      what: 'Boards on 4 in (100 mm) of wood chips over a geotextile',
      source: GROUND_TABLE,
    },
    {
      when: 'Machines that are walked behind, up to 2 t',
      what: 'Boards or mats that are joined, on 6 in (150 mm) of wood chips over a geotextile',
      source: GROUND_TABLE,
    },
    {
      when: 'Anything heavier',
      what: 'Slabs or mats as an engineer designs them for the load, agreed with the project arborist',
      source: GROUND_TABLE,
    },
    {
      when: 'All of it',
      what: 'Laid before anything drives there, from the covered side on. Nothing is dug or scraped off beneath. Taken up last, by hand or from the covered side',
      source: PRACTICE,
    },
  ],
  roots: {
    cutting: [
      { text: 'Before grading, roots at the edge of the dig are cut: a clean, upright cut.', source: DURHAM },
      {
        text: 'By hand or with a saw, square across. No root is torn or pulled by a bucket: dig toward the cut, not across it.',
        source: PRACTICE,
      },
      {
        text: 'A root thicker than 2 in (50 mm) is left until the project arborist has seen it.',
        source: PRACTICE,
      },
      {
        text: 'No straight trench nearer to the trunk than three times its diameter: within that a tree loses hold.',
        source: HOLD,
      },
      {
        text: 'Cut ends are covered the same day, with soil or wet cloth, and kept moist until the ground is filled again.',
        source: PRACTICE,
      },
    ],
    boreDepth: { value: '2 ft', source: `${TUNNEL} (better 3 to 4 ft)` },
    boreDistances: [
      { upTo: '2 in', distance: '1 ft', source: BORE_TABLE },
      { upTo: '4 in', distance: '2 ft', source: BORE_TABLE },
      { upTo: '9 in', distance: '5 ft', source: BORE_TABLE },
      { upTo: '14 in', distance: '10 ft', source: BORE_TABLE },
      { upTo: '19 in', distance: '12 ft', source: BORE_TABLE },
      { distance: '15 ft', source: BORE_TABLE },
    ],
    boring: [
      {
        text: 'The bore passes 1 to 2 ft (0.3 to 0.6 m) beside the middle of the trunk, not straight below it.',
        source: TUNNEL,
      },
      { text: 'Pits at both ends lie outside the fence.', source: PRACTICE },
    ],
  },
  sequence: [
    {
      step: 'Fence',
      what: 'Have buried services located. Set fence, signs and ground protection as staked. No machine comes before',
      who: 'Contractor; stakes by a licensed surveyor',
      source: PRACTICE,
    },
    {
      step: 'Inspection',
      what: 'See fence and ground protection in place, in writing, before anything else begins',
      who: 'Project arborist; city inspector',
      source: PRACTICE,
    },
    {
      step: 'Demolition',
      what: 'Fell marked trees away from the fence, grind stumps, do not pull them. Take up hard ground within zones by hand or from its own surface',
      who: 'Contractor; tree crew',
      source: PRACTICE,
    },
    {
      step: 'Grading',
      what: 'Cut roots first, then grade. No cut, fill or scraping inside',
      who: 'Contractor; project arborist on site',
      source: PRACTICE,
    },
    {
      step: 'Building',
      what: 'Keep the fence whole. Gates shut. Water kept trees in dry weeks, as the project arborist says',
      who: 'Contractor',
      source: PRACTICE,
    },
    {
      step: 'Landscape',
      what: 'Fence opened only for this work. By hand inside zones: no tilling, no trench for pipes, no fill against trunks',
      who: 'Landscape contractor; project arborist',
      source: PRACTICE,
    },
    {
      step: 'Release',
      what: 'Inspect the trees, then take the fence away. Not before final sign-off',
      who: 'Project arborist; city inspector',
      source: PRACTICE,
    },
  ],
  inspections: [
    {
      what: 'Fence, signs and ground protection are in place',
      when: 'Before any machine arrives',
      who: 'Project arborist',
      source: PRACTICE,
    },
    {
      what: 'Roots cut clean, cut ends covered',
      when: 'During each dig within a zone',
      who: 'Project arborist',
      lines: 2,
      source: PRACTICE,
    },
    {
      what: 'Fence whole, nothing stored inside, trees watered',
      when: 'Every month until release',
      who: 'Project arborist',
      lines: 4,
      source: PRACTICE,
    },
    {
      what: 'Kept trees looked at after a storm or a hit',
      when: 'Within a day',
      who: 'Project arborist',
      source: PRACTICE,
    },
    { what: 'Trees and ground before the fence goes', when: 'At release', who: 'City inspector', source: PRACTICE },
  ],
  forbidden: [
    { text: 'Digging, trenching, tilling; any cut, fill or scraping', source: PRACTICE },
    { text: 'Driving and parking, also of light machines', source: PRACTICE },
    { text: 'Storage of soil, stone, timber, spoil, fuel or chemicals', source: PRACTICE },
    { text: 'Mixing and washout of concrete, mortar, paint; any runoff of it', source: PRACTICE },
    { text: 'Fires, also close by; exhausts and heaters below crowns', source: PRACTICE },
    { text: 'Offices, toilets, cranes and their feet', source: PRACTICE },
    { text: 'Nails, ropes, cables and signs on trees', source: PRACTICE },
    { text: 'Pruning and root cutting by anybody but the tree crew', source: PRACTICE },
  ],
};
