// Two submissions of one invented site: known edits are told, each and nothing else.
import { describe, expect, test } from 'vitest';
import { assess } from '../../src/assess/index.js';
import { compareAssessed } from '../../src/compare/index.js';
import type { Comparison } from '../../src/model/index.js';
import { readLayer } from '../../src/read/index.js';
import { builtinRule, withLimit } from '../../src/rules/index.js';
import {
  comparisonLines,
  comparisonSummary,
  toComparisonGeoJSON,
  toComparisonTable,
  toGeoJSON,
} from '../../src/write/index.js';
import { bytesOf } from '../support/layers.js';
import { degrees, SITE, type Site, type SiteTree, type SiteWorks, writtenSite } from '../support/site.js';

const BEFORE = writtenSite(SITE);

function compared(after: Site): Comparison {
  return compareAssessed(BEFORE, writtenSite(after));
}

/** The site with one tree, or one piece of works, changed. */
const withTree = (id: string, change: Partial<SiteTree>): Site => ({
  ...SITE,
  trees: SITE.trees.map((tree) => (tree.id === id ? { ...tree, ...change } : tree)),
});
const withWorks = (id: string, change: Partial<SiteWorks>): Site => ({
  ...SITE,
  works: SITE.works.map((one) => (one.id === id ? { ...one, ...change } : one)),
});
/** Changes but verdicts, which follow from them. */
const edits = (comparison: Comparison): string[] =>
  comparisonLines(comparison).filter((line) => !line.includes(': verdict '));

describe('nothing is told where nothing changed', () => {
  test.each(['metric', 'us'] as const)('the same file twice, in %s', (units) => {
    const file = writtenSite(SITE, { units });
    const comparison = compareAssessed(file, file);
    expect(comparisonLines(comparison)).toEqual([]);
    expect(comparisonSummary(comparison)).toBe('');
    expect(comparison.findings).toEqual([]);
    expect(toComparisonGeoJSON(comparison).features).toEqual([]);
    expect(toComparisonTable(comparison).split('\r\n').length).toBe(2); // the heading, and the end of its line
  });

  test('metric against us: rounding of the files is no change', () => {
    for (const [a, b] of [
      ['us', 'metric'],
      ['metric', 'us'],
    ] as const) {
      const comparison = compareAssessed(writtenSite(SITE, { units: a }), writtenSite(SITE, { units: b }));
      expect(comparisonLines(comparison)).toEqual([]);
      expect(comparison.counts.trees.matched).toBe(SITE.trees.length);
    }
  });

  test('another prefix, another order of trees and works', () => {
    const turned = { ...SITE, trees: [...SITE.trees].reverse(), works: [...SITE.works].reverse() };
    expect(comparisonLines(compareAssessed(BEFORE, writtenSite(turned, { prefix: 'x_' })))).toEqual([]);
  });

  test('a move of 0.3 mm and one of 1.2 mm: the first prints as no move', () => {
    expect(edits(compared(withTree('T7', { x: 15.0003, y: 15 })))).toEqual([]);
    expect(edits(compared(withTree('T7', { x: 15.0012, y: 15 })))).toHaveLength(1);
  });
});

describe('each edit is told, and nothing else', () => {
  test('a tree moved by 0.3 m', () => {
    const { trees, works, settings } = compared(withTree('T7', { x: 15.3, y: 15 }));
    expect([works, settings]).toEqual([[], []]);
    expect(trees.map(({ label, change, fields }) => [label, change, fields])).toEqual([['T7', 'changed', []]]);
    expect(trees[0]!.move!.byM).toBeCloseTo(0.3, 4);
    expect(trees[0]!.move!.bearing).toBeCloseTo(90, 1);
  });

  test('a diameter, once, though two columns hold it', () => {
    const lines = edits(
      compareAssessed(
        writtenSite(SITE, { units: 'us' }),
        writtenSite(withTree('T4', { dbh_in: 17.5 }), { units: 'us' }),
      ),
    );
    expect(lines).toEqual(['tree T4: diameter 16 in -> 17.5 in']);
  });

  test('species and disposition', () => {
    expect(edits(compared(withTree('T2', { species: 'Tilia tomentosa', disposition: 'remove' })))).toEqual([
      'tree T2: disposition keep -> remove',
      'tree T2: species Tilia cordata -> Tilia tomentosa',
    ]);
  });

  test('a tree gone, a tree added', () => {
    const trees = SITE.trees.filter(({ id }) => id !== 'T9');
    expect(edits(compared({ ...SITE, trees }))).toEqual([expect.stringMatching(/^tree T9: gone \(/)]);
    const added: SiteTree = {
      id: 'T99',
      x: 80,
      y: 80,
      dbh_in: 5,
      species: 'Acer',
      disposition: 'keep',
      protected: 'no',
      lot: '5',
    };
    const comparison = compared({ ...SITE, trees: [...SITE.trees, added] });
    expect(edits(comparison)).toEqual([expect.stringMatching(/^tree T99: added \(12.7 cm, keep, untouched\)$/)]);
    expect(comparison.counts.trees).toMatchObject({ before: 20, after: 21, matched: 20, added: 1, gone: 0 });
  });

  test('a house moved by 2 m: its ground, taken and freed', () => {
    const { works, trees, settings, ground } = compared(withWorks('house', { box: [19, 4, 10, 8] }));
    expect(settings).toEqual([]);
    expect(trees.every(({ move, fields }) => move === null && fields.length === 0)).toBe(true);
    expect(works.map(({ label, change, reshaped, fields }) => [label, change, reshaped, fields])).toEqual([
      ['house', 'changed', false, []],
    ]);
    expect(works[0]!.move!.byM).toBeCloseTo(2, 3);
    expect(works[0]!.ground.beforeM2).toBeCloseTo(80, 2);
    expect(works[0]!.ground.takenM2).toBeCloseTo(16, 1);
    expect(works[0]!.ground.freedM2).toBeCloseTo(16, 1);
    expect(ground.takenM2).toBeCloseTo(16, 1);
  });

  test('a wall moved out: reshaped; works added and removed', () => {
    const { works } = compared(withWorks('house', { box: [17, 4, 11, 8] }));
    expect(works).toMatchObject([{ label: 'house', reshaped: true, move: null }]);
    expect(works[0]!.ground.takenM2).toBeCloseTo(8, 1);
    expect(works[0]!.ground.freedM2).toBe(0);
    const shed: SiteWorks = { id: 'shed', kind: 'building', box: [70, 70, 3, 3], depth_ft: 1 };
    const swapped = compared({ ...SITE, works: [...SITE.works.slice(0, 2), shed] });
    expect(swapped.works.map(({ label, change }) => `${label} ${change}`)).toEqual(['drain removed', 'shed added']);
    expect(swapped.works[1]!.ground).toMatchObject({ beforeM2: 0, freedM2: 0 });
    expect(swapped.works[1]!.ground.takenM2).toBeCloseTo(9, 1);
  });

  test('depth and kind of works', () => {
    expect(edits(compared(withWorks('drain', { depth_ft: 6 })))).toEqual(['works drain: depth_ft 4 -> 6']);
    expect(edits(compared(withWorks('drain', { kind: 'excavation' })))).toEqual([
      'works drain: kind trench -> excavation',
    ]);
  });

  test('limit, rule and options', () => {
    expect(edits(compared({ ...SITE, options: { limit: 0.25 } }))).toEqual(['limit: 20 % -> 25 %']);
    expect(edits(compared({ ...SITE, rule: builtinRule('bs5837-2012') }))[0]).toMatch(
      /^rule: One foot of radius per inch of diameter \(foot-per-inch\) -> .*\(bs5837-2012\)$/,
    );
    expect(edits(compared({ ...SITE, options: { overdigM: { building: 0.5 } } }))[0]).toBe(
      'option overdigM.building: none -> 0.5',
    );
    const limited = withLimit(builtinRule('foot-per-inch'), 0.3);
    expect(edits(compared({ ...SITE, rule: limited }))).toEqual(['limit: 20 % -> 30 %']);
  });
});

describe('why a verdict changed', () => {
  const why = (after: Site): Record<string, string[]> =>
    Object.fromEntries(
      compared(after)
        .trees.filter(({ verdict }) => verdict !== null)
        .map(({ label, verdict }) => [
          label,
          verdict!.why.map(({ code, of }) => (of === null ? code : `${code} ${of}`)),
        ]),
    );

  test('works moved, removed; the limit; the diameter; the tree', () => {
    const moved = why(withWorks('house', { box: [19, 9, 10, 8] }));
    expect(Object.keys(moved).length).toBeGreaterThan(0);
    for (const causes of Object.values(moved)) expect(causes).toEqual(['works-moved house']);
    const removed = why({ ...SITE, works: SITE.works.slice(1) });
    expect(Object.keys(removed).length).toBeGreaterThan(0);
    for (const causes of Object.values(removed)) expect(causes).toEqual(['works-removed house']);
    const limited = why({ ...SITE, options: { limit: 0.02 } });
    expect(Object.keys(limited).length).toBeGreaterThan(0);
    for (const causes of Object.values(limited)) expect(causes).toEqual(['limit-changed limit']);
    expect(why(withTree('T7', { dbh_in: 60 }))).toEqual({ T7: ['diameter-changed'] });
    expect(why(withTree('T7', { x: 22, y: 8 }))).toEqual({ T7: ['tree-moved'] });
  });
});

describe('trees and works without labels', () => {
  const bare: Site = {
    ...SITE,
    trees: SITE.trees.map((tree) => ({ ...tree, id: null })),
    works: SITE.works.map((one) => ({ ...one, id: null })),
  };
  const before = writtenSite(bare);
  const change = (at: number, edit: Partial<SiteTree>): Site => ({
    ...bare,
    trees: bare.trees.map((tree, i) => (i === at ? { ...tree, ...edit } : tree)),
  });

  test('are matched by place and diameter: moved, measured again, gone', () => {
    expect(comparisonLines(compareAssessed(before, before))).toEqual([]);
    const moved = compareAssessed(before, writtenSite(change(6, { x: 15.3 })));
    expect(moved.trees.map(({ move, fields }) => [move!.byM.toFixed(3), fields])).toEqual([['0.300', []]]);
    const measured = compareAssessed(before, writtenSite(change(6, { dbh_in: 40 })));
    expect(measured.trees.map(({ fields }) => fields.map(({ field }) => field))).toEqual([['diameter']]);
    // Every later row has another number, which is no label.
    const gone = compareAssessed(before, writtenSite({ ...bare, trees: bare.trees.slice(1) }));
    expect(gone.trees.map((tree) => tree.change)).toEqual(['gone']);
    const house = writtenSite({
      ...bare,
      works: bare.works.map((one, i) => (i === 0 ? { ...one, box: [19, 4, 10, 8] } : one)),
    });
    expect(compareAssessed(before, house).works).toMatchObject([
      { change: 'changed', move: { byM: expect.closeTo(2, 3) } },
    ]);
  });

  test('that fit several are told as unclear, never guessed; all trees are accounted for', () => {
    const near = (x: number): SiteTree => ({ id: null, x, y: 80, dbh_in: 10 });
    const a = writtenSite({ ...bare, trees: [...bare.trees, near(0), near(0.8)] });
    const b = writtenSite({ ...bare, trees: [...bare.trees, near(0.3), near(0.5)] });
    const { trees, counts, findings } = compareAssessed(a, b);
    expect(trees.map((tree) => tree.change)).toEqual(['unclear', 'unclear', 'unclear', 'unclear']);
    expect(counts.trees).toMatchObject({ before: 22, after: 22, matched: 20, unclearBefore: 2, unclearAfter: 2 });
    expect(findings.map(({ code }) => code)).toContain('compare-unclear');
  });

  test('a doubled label is settled by what stayed as it was; two that changed are unclear', () => {
    const twice = (x: number, y: number): Site => ({
      ...SITE,
      trees: [...SITE.trees, { id: 'D', x: 90, y: 0, dbh_in: 10 }, { id: 'D', x, y, dbh_in: 12 }],
    });
    const moved = compareAssessed(writtenSite(twice(90, 20)), writtenSite(twice(90, 25)));
    expect(moved.trees.map(({ label, move }) => [label, move!.byM.toFixed(2)])).toEqual([['D', '5.00']]);
  });

  test('another label at one place is gone and added, with a finding', () => {
    const { trees, findings } = compareAssessed(BEFORE, writtenSite(withTree('T3', { id: 'T3A' })));
    expect(trees.map(({ label, change: what }) => `${label} ${what}`)).toEqual(['T3 gone', 'T3A added']);
    expect(findings.map(({ code }) => code)).toEqual(['compare-renamed']);
  });
});

test('a group: its outline moved as a whole, and drawn anew', () => {
  // Edited in the output itself: the site has no groups.
  const wood = (ring: readonly (readonly [number, number])[]) => ({
    type: 'FeatureCollection' as const,
    features: [
      {
        type: 'Feature' as const,
        id: 'tree:wood',
        geometry: { type: 'Polygon' as const, coordinates: [[...ring, ring[0]!].map(([x, y]) => degrees(x, y))] },
        properties: {
          rb_role: 'tree',
          rb_id: 'trees:0',
          rb_verdict: 'untouched',
          rb_dbh_m: null,
          rb_disposition: 'keep',
        },
      },
    ],
  });
  const ring = [
    [0, 0],
    [20, 0],
    [20, 10],
    [0, 10],
  ] as const;
  const of = (after: readonly (readonly [number, number])[]) => compareAssessed(wood(ring), wood(after)).trees;
  expect(of(ring)).toEqual([]);
  expect(
    of([
      [0, 10],
      [0, 0],
      [20, 0],
      [20, 10],
    ]),
  ).toEqual([]); // from another corner
  expect(of(ring.map(([x, y]) => [x + 1, y] as const))).toMatchObject([
    { move: { byM: expect.closeTo(1, 3) }, fields: [] },
  ]);
  const anew = of([
    [0, 0],
    [20, 0],
    [20, 12],
    [0, 12],
  ]);
  expect(anew).toMatchObject([
    { move: null, fields: [{ field: 'outline', before: expect.stringMatching(/^(200|199\.99|200\.01)/) }] },
  ]);
});

test('places that are none: shapes are left out, nothing is thrown', () => {
  const broken = structuredClone(BEFORE);
  for (const { geometry } of broken.features) {
    if (geometry.type === 'Polygon') geometry.coordinates[0]![1] = [1e9, -1e12];
    if (geometry.type === 'Point' && geometry.coordinates[0]! > -122.6495) geometry.coordinates = [1e300, 95];
  }
  // With a stated system nothing is taken for another than degrees.
  const stated = { ...broken, crs: { type: 'name', properties: { name: 'urn:ogc:def:crs:OGC:1.3:CRS84' } } };
  expect(() => compareAssessed(BEFORE, stated)).not.toThrow();
  expect(() => compareAssessed(stated, BEFORE)).not.toThrow();
});

describe('what can’t be compared is refused or told by name', () => {
  const error = (code: string) => expect.objectContaining({ code });

  test('a file that is no output, one of another command, one of some trees', () => {
    const empty = { type: 'FeatureCollection' as const, features: [] };
    expect(() => compareAssessed(empty, BEFORE)).toThrow(error('compare-not-assessed'));
    const again = toComparisonGeoJSON(compared(withTree('T7', { x: 15.3 })));
    expect(() => compareAssessed(again, BEFORE)).toThrow(error('compare-not-assessed'));
    expect(() => compareAssessed(writtenSite(SITE, { prefix: 'x_' }), BEFORE, { prefix: 'y_' })).not.toThrow();
  });

  test('a collection without provenance: trees are compared, settings are not', () => {
    const { rootberth: _, ...bare } = BEFORE as typeof BEFORE & { rootberth: unknown };
    const { findings, trees, settings } = compareAssessed(bare, writtenSite({ ...SITE, options: { limit: 0.25 } }));
    expect(findings.map(({ code }) => code)).toContain('compare-no-provenance');
    expect(settings).toEqual([]);
    for (const { verdict } of trees) expect(verdict!.why.map(({ code }) => code)).toEqual(['not-found']);
  });

  test('a field of one file alone is a finding, not a change of every tree', () => {
    const after = writtenSite({ ...SITE, trees: SITE.trees.map((tree) => ({ ...tree, vigour: 'good' })) });
    const { findings, trees } = compareAssessed(BEFORE, after);
    expect(trees).toEqual([]);
    expect(findings).toMatchObject([{ code: 'compare-field', path: 'properties.vigour' }]);
  });
});

describe('a local ground system', () => {
  const layer = (name: string, features: readonly object[]) =>
    readLayer(bytesOf(JSON.stringify({ type: 'FeatureCollection', features })), { name });
  const written = (x: number, system = 'local:ft') =>
    toGeoJSON(
      assess({
        trees: layer('t.geojson', [
          {
            type: 'Feature',
            geometry: { type: 'Point', coordinates: [5000 + x, 2000] },
            properties: { id: 'A', dbh_in: 9 },
          },
          {
            type: 'Feature',
            geometry: { type: 'Point', coordinates: [5100, 2000] },
            properties: { id: 'B', dbh_in: 9 },
          },
        ]),
        works: [],
        options: { crs: system },
      }),
    );

  test('moves are in its own axes; the map stays in it; beside a file on the earth it is refused', () => {
    const compared = compareAssessed(written(0), written(10));
    expect(comparisonLines(compared, { units: 'us' })).toEqual([
      'tree A: moved 10.000 ft toward 90.0 deg, 5000.000, 2000.000 -> 5010.000, 2000.000',
    ]);
    const map = toComparisonGeoJSON(compared);
    expect(map.features.map(({ geometry }) => geometry)).toEqual([{ type: 'Point', coordinates: [5010, 2000] }]);
    expect(comparisonLines(compareAssessed(written(0), written(0)))).toEqual([]);
    expect(() => compareAssessed(written(0), BEFORE)).toThrow(expect.objectContaining({ code: 'compare-crs' }));
  });
});
