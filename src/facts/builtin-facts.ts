// The tree facts that hold where a job brings none. In: nothing; out: data, a source beside each value. Terms: see
// model/tree-facts.ts. No table of tolerance or of root depth by species could be confirmed, so there is none; nor is there a size
// of wound that closes. Of fill, only clay has published depths.

import type { SpanFact, TreeFacts } from '../model/index.js';

const BLOG = 'a list of lifespans in gardens, laidbackgardener.blog';
const NOTE = 'one author’s list; others differ by two times';

function span(years: number, ...trees: string[]): SpanFact {
  return { trees, years, note: NOTE, source: BLOG, stamp: 'weak source' };
}

const MISSOURI = 'University of Missouri Extension G6885';
const BARTOW = 'University of Georgia Extension, Bartow County, on construction damage to trees';
const FLORIDA = 'University of Florida, critical values of bulk density, after Harris and after Morris & Lowery 1988';
const NRCS = 'NRCS table, as copied by others';

export const BUILTIN_FACTS: TreeFacts = {
  id: 'built-in',
  title: 'Published figures that come with rootberth',
  spans: [
    span(60, 'Acer negundo', 'box elder', 'boxelder'),
    span(100, 'Acer platanoides', 'Norway maple'),
    span(100, 'Acer rubrum', 'red maple'),
    span(100, 'Acer saccharinum', 'silver maple'),
    span(75, 'Acer saccharum', 'sugar maple'),
    span(75, 'Aesculus hippocastanum', 'horse chestnut', 'horsechestnut'),
    span(75, 'Betula alleghaniensis', 'yellow birch'),
    span(70, 'Betula nigra', 'river birch'),
    span(30, 'Betula papyrifera', 'paper birch'),
    { trees: ['Quercus nigra', 'water oak'], years: 80, note: 'on average', stamp: 'common practice, no source' },
  ],
  tolerances: [],
  roots: [
    { text: 'about 85 % of the roots in the top 18 in', source: `${MISSOURI}, fig. 1` },
    {
      text: '90 to 95 % in the top 3 ft, more than half in the top 1 ft',
      source: 'University of Minnesota Extension (Johnson), as copied by others',
    },
    {
      text: 'most absorbing roots in the top 12 to 16 in; they spread up to 2.5 times the dripline’s diameter',
      source: 'Georgia Forestry Commission',
    },
  ],
  fill: [
    { soil: ['clay'], depth: '1 in', text: 'damage starts', source: BARTOW },
    { soil: ['clay'], depth: '3 in', from: true, text: 'roots die', source: BARTOW },
    {
      soil: ['clay'],
      depth: '1 in',
      from: true,
      text: '1 to 2 in of heavy clay can damage sensitive trees',
      source: MISSOURI,
    },
    { depth: '4 in', text: 'soil over roots is prohibited there', source: 'Troup County, Georgia, 19.12' },
    {
      depth: '6 in',
      text: 'a change of grade in the zone needs a wall or well there',
      source: 'Pleasanton, Texas, 98.12(A)(7)',
    },
  ],
  density: [
    { soil: ['clay', 'silt-loam'], from: 1.4, to: 1.55, source: FLORIDA },
    { soil: ['silty-clay', 'silty-clay-loam', 'silt'], from: 1.4, to: 1.45, source: FLORIDA },
    { soil: ['clay-loam'], from: 1.45, to: 1.55, source: FLORIDA },
    { soil: ['loam'], from: 1.45, to: 1.6, source: FLORIDA },
    { soil: ['sandy-clay'], from: 1.55, to: 1.65, source: FLORIDA },
    { soil: ['sandy-clay-loam', 'sandy-loam'], from: 1.55, to: 1.75, source: FLORIDA },
    { soil: ['loamy-sand', 'sand'], from: 1.75, source: FLORIDA },
    { soil: ['sand'], from: 1.8, source: NRCS, stamp: 'weak source' },
    { soil: ['silt'], from: 1.65, source: NRCS, stamp: 'weak source' },
    { soil: ['clay'], from: 1.47, source: NRCS, stamp: 'weak source' },
  ],
  crown: [
    {
      share: 0.25,
      text: 'no more than one fourth of a mature tree’s foliage in a growing season',
      source: 'ANSI A300-1995, 5.3.1, as quoted',
    },
    {
      share: 0.25,
      text: 'the 2001 and 2008 editions keep 25 %; the 2017 edition gives no number',
      source: 'ANSI A300 (Part 1), later editions',
      stamp: 'from memory',
    },
  ],
};
