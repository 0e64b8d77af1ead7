// Tree facts: the built-in values beside their printed sources, files, and which facts hold for a tree.

import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { builtinTreeFacts, parseTreeFacts, parseTreeFactsText } from '../../src/core.js';
import { densityOf, fillOf, rootsOf, sourceWords, spanOf, toleranceOf } from '../../src/facts/index.js';
import { SOILS, type Soil } from '../../src/model/index.js';

const BUILTIN = builtinTreeFacts();

describe('built in', () => {
  // laidbackgardener.blog, lifespans in gardens; weak: one author's list
  it.each([
    ['Acer negundo', 60],
    ['Acer platanoides', 100],
    ['Acer rubrum', 100],
    ['Acer saccharinum', 100],
    ['Acer saccharum', 75],
    ['Aesculus hippocastanum', 75],
    ['Betula alleghaniensis', 75],
    ['Betula nigra', 70],
    ['Betula papyrifera', 30],
  ])('%s lives %d years, from a weak source', (species, years) => {
    expect(spanOf(BUILTIN, [species])).toMatchObject({ years, stamp: 'weak source' });
  });

  it('water oak: common practice, no source; other oaks have none', () => {
    const span = spanOf(BUILTIN, ['Quercus nigra'])!;
    expect([span.years, sourceWords(span)]).toEqual([80, 'common practice, no source']);
    expect(spanOf(BUILTIN, ['Quercus garryana', 'Oregon white oak'])).toBeUndefined();
  });

  // Univ. of Florida, hort.ifas.ufl.edu/woody/critical-value.shtml
  it.each([
    ['clay', 1.4, 1.55],
    ['silt-loam', 1.4, 1.55],
    ['silty-clay', 1.4, 1.45],
    ['silty-clay-loam', 1.4, 1.45],
    ['silt', 1.4, 1.45],
    ['clay-loam', 1.45, 1.55],
    ['loam', 1.45, 1.6],
    ['sandy-clay', 1.55, 1.65],
    ['sandy-clay-loam', 1.55, 1.75],
    ['sandy-loam', 1.55, 1.75],
    ['loamy-sand', 1.75, undefined],
    ['sand', 1.75, undefined],
  ] as [Soil, number, number | undefined][])('%s: critical bulk density %d to %s', (soil, from, to) => {
    const found = densityOf(BUILTIN, soil).find(({ stamp }) => stamp === undefined)!;
    expect([found.from, found.to]).toEqual([from, to]);
  });

  it('fill: clay has depths of its own; other soils have those of codes alone', () => {
    // UGA Extension Bartow: clay above 1 in starts damage, 3 in and more root death; Missouri G6885: 1 to 2 in of heavy clay
    const own = fillOf(BUILTIN, 'clay').filter(({ soil }) => soil !== undefined);
    expect(own.map(({ depth, from }) => [depth, from === true])).toEqual([
      ['1 in', false],
      ['3 in', true],
      ['1 in', true],
    ]);
    // Troup County GA 19.12; Pleasanton TX 98.12(A)(7)
    for (const soil of ['loam', null] as const)
      expect(fillOf(BUILTIN, soil).map(({ depth }) => depth)).toEqual(['4 in', '6 in']);
  });

  it('no value is without a source or the stamp that says why; no tolerance by species is invented', () => {
    const { spans, tolerances, roots, fill, density, crown } = BUILTIN;
    for (const fact of [...spans, ...tolerances, ...roots, ...fill, ...density, ...crown])
      expect(sourceWords(fact)).not.toBe('');
    expect(tolerances).toEqual([]);
    expect(crown.map(({ share }) => share)).toEqual([0.25, 0.25]); // ANSI A300-1995 5.3.1; later editions from memory
    expect(crown[1]?.stamp).toBe('from memory');
  });

  it('passes its own schema', () => {
    expect(parseTreeFacts(JSON.parse(JSON.stringify(BUILTIN)), 'facts.json')).toEqual(BUILTIN);
  });
});

describe('which facts hold', () => {
  const file = parseTreeFacts(
    {
      id: 'county',
      title: 'County list',
      spans: [
        { trees: ['Quercus'], years: [100, 300], source: 'county' },
        { trees: ['Quercus alba', 'white oak'], years: [200, 400], source: 'county' },
      ],
      tolerances: [{ trees: ['Acer rubrum'], tolerance: 'good', source: 'county' }],
      roots: [
        { text: 'of any tree', source: 'county' },
        { trees: ['Pinus'], text: 'taproot', source: 'county' },
      ],
    },
    'county.json',
  );

  it('the species before its genus; cultivars are of their species; common names count', () => {
    expect(spanOf(file, ['Quercus rubra'])?.years).toEqual([100, 300]);
    expect(spanOf(file, ['QUERCUS ALBA'])?.years).toEqual([200, 400]);
    expect(spanOf(file, [undefined, 'White Oak'])?.years).toEqual([200, 400]);
    expect(spanOf(file, ['Quercus'])?.years).toEqual([100, 300]);
    expect(spanOf(file, ['Quercusoides alba'])).toBeUndefined();
    expect(toleranceOf(file, ["Acer rubrum 'October Glory'"])?.tolerance).toBe('good');
    expect(toleranceOf(file, ['Acer rubrumoides'])).toBeUndefined();
  });

  it('roots of the tree, else of any tree', () => {
    expect(rootsOf(file, ['Pinus taeda']).map(({ text }) => text)).toEqual(['taproot']);
    expect(rootsOf(file, ['Acer']).map(({ text }) => text)).toEqual(['of any tree']);
  });

  it('a file stands in place of the built-in facts', () => {
    expect([file.fill, file.density, file.crown]).toEqual([[], [], []]);
  });
});

describe('files that are wrong', () => {
  it('are refused with every place', () => {
    const json = {
      id: 'x',
      title: 'x',
      spans: [
        { trees: [], years: 5, source: 's' },
        { trees: ['Acer'], years: [9, 3], source: 's' },
        { trees: ['Acer'], years: 50 },
      ],
      fill: [{ soil: ['mud'], depth: '3', text: 't', source: 's' }],
      crown: [{ share: 25, text: 't', source: 's' }],
      extra: 1,
    };
    let message = '';
    try {
      parseTreeFacts(json, 'bad.json');
    } catch (error) {
      message = (error as Error).message;
    }
    for (const place of [
      'spans[0].trees',
      'spans[1].years',
      'spans[2]',
      'fill[0].soil[0]',
      'fill[0].depth',
      'crown[0].share',
      'extra',
    ])
      expect(message).toContain(place);
  });

  it('a fact needs no source where its stamp says that there is none', () => {
    const stamp = 'common practice, no source';
    const json = { id: 'x', title: 'x', spans: [{ trees: ['Acer'], years: 50, stamp }] };
    expect(parseTreeFactsText(JSON.stringify(json), 'x.json').spans[0]?.stamp).toBe(stamp);
    expect(() => parseTreeFactsText('{', 'x.json')).toThrow('not JSON');
  });
});

it('the example of docs/worth-keeping.md is a file of tree facts', () => {
  const page = readFileSync(new URL('../../docs/worth-keeping.md', import.meta.url), 'utf8');
  const example = /```json\n(.*?)```/s.exec(page)?.[1] ?? '';
  const facts = parseTreeFactsText(example, 'county.json');
  expect(spanOf(facts, ['Quercus alba'])?.years).toEqual([200, 300]);
  expect(page).toContain(
    SOILS.slice(0, 6)
      .map((soil) => `\`${soil}\``)
      .join(', '),
  );
});
