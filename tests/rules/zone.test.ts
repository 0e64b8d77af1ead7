// Zones: order of the figures, what happens when one is missing, and the laws radii keep.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { RadiusFormula, Rule } from '../../src/model/rule.js';
import { combineStems, evaluateRadius, STEM_COMBINATIONS } from '../../src/rules/evaluate.js';
import { builtinRule, parseRule, ruleIds } from '../../src/rules/index.js';
import { quartersAreaM2, zones } from '../../src/rules/zone/zone.js';
import { type TestTree, treeTable } from '../support/tree-table.js';

const rule = builtinRule('foot-per-inch');
const withZone = (zone: RadiusFormula): Rule => ({ ...rule, rings: [], zone });

describe('which figure is used', () => {
  it('takes a given radius before stems, and stems before the diameter', () => {
    const { table, findings } = zones(
      treeTable([
        { zone: 9, stems: [0.3, 0.4], dbh: 0.6 },
        { stems: [0.3, 0.4], dbh: 0.6 },
        { stems: [0.3], dbh: 0.6 },
        { stems: [], dbh: 0.6 },
      ]),
      rule,
    );
    expect([...table.radiusM].map((r) => Number(r.toFixed(9)))).toEqual([9, 6, 3.6, 7.2]);
    expect(table.areaM2[0]).toBe(Math.PI * 81);
    expect(table.dbhM[0]).toBe(0.5);
    expect(table.notes.get(0)).toEqual(['zone-overridden', 'stems-combined']);
    expect(table.ringRadiusM[0]?.[0]).toBe(1.5); // the ring stays the rule's
    expect(table.notes.get(2)).toBeUndefined();
    expect(findings.map((f) => f.code)).toEqual(['zone-overridden']);
  });

  it('measures from the face by adding half the diameter used, after the bounds', () => {
    const zone: RadiusFormula = { radius: { perDiameter: 12 }, atLeast: '2 m', atMost: '5 m', from: 'face' };
    const { table } = zones(treeTable([{ dbh: 0.1 }, { dbh: 0.3 }, { dbh: 1 }]), withZone(zone));
    [2.05, 3.75, 5.5].forEach((metres, i) => {
      expect(table.radiusM[i]).toBeCloseTo(metres, 12);
    });
    expect([...table.trunkRadiusM]).toEqual([0.05, 0.15, 0.5]);
  });

  it('notes a ring that reaches beyond a small given zone', () => {
    const { table } = zones(treeTable([{ zone: 1, dbh: 0.5 }]), rule);
    expect(table.notes.get(0)).toEqual(['zone-overridden', 'ring-beyond-zone']);
  });
});

describe('a tree that lacks a figure', () => {
  const cases: readonly (readonly [string, Rule, TestTree, string, string])[] = [
    ['no diameter', rule, {}, 'dbh-missing', 'tree T1 has no usable trunk diameter, which rule foot-per-inch needs'],
    ['a diameter of 0', rule, { dbh: 0 }, 'dbh-missing', 'tree T1 has no usable trunk diameter'],
    ['no diameter, and a least radius to hide it', builtinRule('as4970-2009'), { dbh: -1 }, 'dbh-missing', 'tree T1'],
    [
      'no crown',
      builtinRule('din18920'),
      { dbh: 0.3 },
      'crown-missing',
      'tree T1 lacks a crown radius on at least one side',
    ],
    [
      'one side',
      builtinRule('din18920'),
      { crown: [2, 2, Number.NaN, 2] },
      'crown-missing',
      'tree T1 lacks a crown radius',
    ],
    ['no height', withZone({ radius: { perHeight: 0.4 } }), { dbh: 0.3 }, 'height-missing', 'tree T1 has no height'],
    [
      'no crown for one arm of the largest',
      withZone({ radius: { max: [{ length: '5 m' }, { crownPlus: '1 m' }] } }),
      { dbh: 0.3 },
      'crown-missing',
      'tree T1 lacks a crown radius on at least one side',
    ],
    [
      'no radius above 0',
      withZone({ radius: { length: '0 m' } }),
      { dbh: 0.3 },
      'zone-empty',
      'gives tree T1 no radius',
    ],
  ];
  it.each(cases)('is not assessed: %s', (_case, by, tree, code, message) => {
    const { table, findings } = zones(treeTable([tree, { zone: 5 }]), by);
    expect(table.radiusM[0]).toBeNaN();
    expect(table.areaM2[0]).toBeNaN();
    expect(table.trunkRadiusM[0]).toBe('dbh' in tree && tree.dbh > 0 ? tree.dbh / 2 : Number.NaN);
    for (const ring of table.ringRadiusM) expect(ring[0]).toBeNaN();
    expect(table.rejected.get(0)).toEqual([code]);
    expect(table.rejected.has(1)).toBe(false);
    expect(findings[0]).toMatchObject({ code, severity: 'error', layer: 'trees.csv', feature: 0, id: 'T1' });
    expect(findings[0]?.message).toContain(message);
  });

  it('keeps the reasons it was rejected for before, and says nothing twice', () => {
    const { table, findings } = zones(treeTable([{ dbh: 0.3, rejected: ['no-geometry'] }]), rule);
    expect(table.rejected.get(0)).toEqual(['no-geometry']);
    expect(table.radiusM[0]).toBeNaN();
    expect(findings).toEqual([]);
  });

  it('is assessed with a point for a trunk where the zone needs no diameter', () => {
    const { table } = zones(treeTable([{ crown: 3 }]), builtinRule('din18920'));
    expect(table.radiusM[0]).toBe(4.5);
    expect(table.trunkRadiusM[0]).toBe(0);
    expect(table.notes.get(0)).toEqual(['trunk-unmeasured']);
  });

  it('has no ring that it cannot size, and says so', () => {
    const { table, findings } = zones(treeTable([{ zone: 5 }]), rule);
    expect(table.ringRadiusM[0]?.[0]).toBeNaN();
    expect(table.notes.get(0)).toEqual(['zone-overridden', 'ring-unmeasured', 'trunk-unmeasured']);
    expect(findings.map((f) => f.code)).toEqual(['zone-overridden', 'ring-unmeasured']);
  });

  it('is taken as moderate and mature, with the reasons and one finding for all such trees', () => {
    const trees = treeTable([{ dbh: 0.4 }, { dbh: 0.4, tolerance: 'poor' }, { dbh: 0.4, age: 'young' }]);
    const { table, findings } = zones(trees, builtinRule('tolerance-age'));
    expect([...table.radiusM].map((r) => Number((r / 0.4).toFixed(9)))).toEqual([12, 15, 9]);
    expect([0, 1, 2].map((row) => table.notes.get(row))).toEqual([
      ['tolerance-assumed', 'age-assumed'],
      ['age-assumed'],
      ['tolerance-assumed'],
    ]);
    expect(findings.map((f) => f.message)).toEqual([
      '2 trees have no tolerance; moderate was used',
      '2 trees have no age; mature was used',
    ]);
  });
});

it('sizes an empty table', () => {
  const { table, findings } = zones(treeTable([]), rule);
  expect(table.radiusM.length).toBe(0);
  expect(findings).toEqual([]);
});

it('lets a largest-of follow the crown only where the crown is larger', () => {
  const zone: RadiusFormula = { radius: { max: [{ length: '4 m' }, { crownPlus: '1 m', shape: 'quarters' }] } };
  expect(evaluateRadius(zone, { crownM: [1, 2, 5, 3] })).toEqual([4, 4, 6, 4]);
});

it('has maps that can be walked and counted', () => {
  const trees = treeTable([{ crown: [1, 2, 3, 4] }, { crown: 2, dbh: 0.2 }, { crown: [4, 3, 2, 1], dbh: 0.2 }]);
  const { quarters, notes } = zones(trees, builtinRule('din18920')).table;
  expect(quarters.size).toBe(2);
  expect([...quarters]).toEqual([
    [0, [2.5, 3.5, 4.5, 5.5]],
    [2, [5.5, 4.5, 3.5, 2.5]],
  ]);
  expect([...quarters.keys()]).toEqual([0, 2]);
  expect([quarters.has(1), quarters.has(-1), quarters.has(3)]).toEqual([false, false, false]);
  const seen: unknown[] = [];
  notes.forEach((codes, row) => {
    seen.push(row, codes);
  });
  expect(seen).toEqual([0, ['trunk-unmeasured']]);
});

describe('laws', () => {
  const length = fc.double({ min: 0.01, max: 3, noNaN: true });

  it.each(ruleIds())('%s: a thicker trunk never has a smaller zone or ring', (id) => {
    const crown = [2, 3, 4, 3] as const;
    fc.assert(
      fc.property(length, length, (a, b) => {
        const trees = [Math.min(a, b), Math.max(a, b)].map((dbh) => ({ dbh, crown }));
        const { table } = zones(treeTable(trees), builtinRule(id));
        for (const column of [table.radiusM, table.areaM2, ...table.ringRadiusM]) {
          expect(column[1]!).toBeGreaterThanOrEqual(column[0]!);
        }
      }),
      { numRuns: 60 },
    );
  });

  it('stems make a diameter from the largest (mean x root n may be less) to the sum, in any order', () => {
    fc.assert(
      fc.property(fc.array(length, { minLength: 1, maxLength: 9 }), (stems) => {
        const largest = Math.max(...stems);
        const total = stems.reduce((s, d) => s + d, 0);
        const rss = combineStems(stems, 'root-of-squares');
        for (const how of STEM_COMBINATIONS) {
          const d = combineStems(stems, how);
          expect(d).toBeLessThanOrEqual(total * (1 + 1e-12));
          if (how !== 'mean-root-n' && how !== 'bs5837') expect(d).toBeGreaterThanOrEqual(largest * (1 - 1e-12));
          expect(combineStems([...stems].reverse(), how)).toBeCloseTo(d, 12);
        }
        expect(combineStems(stems, 'mean-root-n')).toBeLessThanOrEqual(rss * (1 + 1e-12));
      }),
    );
  });

  it('the area of four quarters lies between the circles of the least and the largest radius', () => {
    fc.assert(
      fc.property(fc.tuple(length, length, length, length), (four) => {
        const area = quartersAreaM2(four);
        expect(area).toBeGreaterThanOrEqual(Math.PI * Math.min(...four) ** 2 * (1 - 1e-12));
        expect(area).toBeLessThanOrEqual(Math.PI * Math.max(...four) ** 2 * (1 + 1e-12));
        expect(quartersAreaM2([four[1], four[2], four[3], four[0]])).toBeCloseTo(area, 10); // turned by a quarter
      }),
    );
  });

  it('one tree looked at alone has the radius it has in the table', () => {
    const { zone } = parseRule(
      {
        id: 'mixed',
        title: 'Mixed',
        source: 'test',
        stems: { zone: 'sum' },
        zone: {
          radius: {
            sum: [
              { min: [{ perHeight: 0.4 }, { crownPlus: '5 ft' }] },
              { power: { factor: 0.64, scale: 50, exponent: 0.42, of: 'base' } },
            ],
          },
          from: 'face',
        },
        limits: [{ share: 0 }],
      },
      'mixed.json',
    );
    fc.assert(
      fc.property(length, length, length, (dbh, height, crown) => {
        const { table } = zones(treeTable([{ dbh, height, crown }]), withZone(zone));
        expect(table.radiusM[0]).toBe(evaluateRadius(zone, { dbhM: dbh, heightM: height, crownM: crown }));
      }),
    );
  });
});
