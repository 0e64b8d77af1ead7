// Trees per lot and in total on a plane: who stands where, whose zone reaches in, what is kept, lost and replaced.
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { assess } from '../../src/assess/index.js';
import { distanceToArea } from '../../src/geometry/distance.js';
import { InputError } from '../../src/model/findings.js';
import type { LotFigures } from '../../src/model/index.js';
import { LayerBuilder } from '../../src/model/index.js';
import { parseMitigation } from '../../src/plan/mitigation.js';
import { builtinRule, parseRule } from '../../src/rules/index.js';
import { toGeoJSON, toLotTable } from '../../src/write/index.js';
import { box, localJob, localLayer, tree } from '../support/local-job.js';

const LOTS = [box(0, 0, 20, 20, { id: 'A' }), box(20, 0, 40, 20, { id: 'B' })];
const FAR = [box(500, 500, 510, 510, { id: 'W', kind: 'building' })];
const inches = (n: number) => ({ dbh_in: n }); // radius n feet

describe('lots', () => {
  const assessment = localJob(
    [
      tree(10, 10, { ...inches(10), id: 'inside' }), // 3.05 m: stays on A
      tree(18, 10, { ...inches(20), id: 'reaches B', disposition: 'remove', protected: 'yes' }), // 6.1 m
      tree(20, 5, { ...inches(12), id: 'on the line' }),
      tree(-3, 15, { ...inches(12), id: 'next door', off_site: 'yes' }), // 3.66 m: reaches A
      tree(30, 10, { ...inches(8), id: 'moves', disposition: 'transplant' }),
      tree(35, 15, { id: 'no size', dbh_in: null, protected: 'no' }),
      tree(60, 60, { ...inches(9), id: 'far', off_site: 'no' }),
    ],
    FAR,
    { lots: LOTS },
  );
  const [a, b] = assessment.lots.map(({ figures }) => figures) as [LotFigures, LotFigures];

  test('every trunk counts on one lot, the first of two it stands between, and is flagged', () => {
    expect([a.trees, b.trees, assessment.totals.offLots.trees, assessment.totals.all.trees]).toEqual([3, 2, 2, 7]);
    expect([a.onLine, b.onLine, assessment.totals.all.onLine]).toEqual([1, 0, 1]);
  });

  test('a line is a line where no lot lies beyond it; the seam between two parts of a lot is none', () => {
    const onLine = (x: number, y: number) => {
      const one = localJob([tree(x, y, { ...inches(24), id: 'T' })], FAR, { lots: LOTS.slice(0, 1) });
      return [one.totals.all.onLine, one.lots[0]?.figures.onLine, one.trees[0]?.reasons.includes('on-lot-line')];
    };
    expect(onLine(10, 10)).toEqual([0, 0, false]);
    expect(onLine(0.2, 10)).toEqual([1, 1, true]); // the face, 0.30 m from the middle, crosses the line of the street
    expect(onLine(0, 10)).toEqual([1, 1, true]);
    expect(onLine(-0.2, 10)).toEqual([1, 0, true]); // its middle stands in the street: on no lot, and on the line
    expect(onLine(-0.4, 10)).toEqual([0, 0, false]);
    const halves = new LayerBuilder('lots.csv', 'csv');
    halves.begin('polygon');
    for (const [west, east] of [
      [0, 10],
      [10, 20],
    ] as const) {
      halves.part();
      halves.ring();
      for (const [x, y] of [
        [west, 0],
        [east, 0],
        [east, 20],
        [west, 20],
        [west, 0],
      ] as const)
        halves.vertex(x, y);
    }
    halves.end({ id: 'A' });
    const lots = halves.finish({ crs: null, sha256: null });
    const count = (x: number) =>
      assess({
        trees: localLayer('trees.csv', [tree(x, 10, inches(24))]),
        works: [{ layer: localLayer('works.csv', FAR) }],
        lots,
        rule: builtinRule('foot-per-inch'),
        options: { crs: 'local:m' },
      }).totals.all.onLine;
    expect([count(10), count(10.2), count(19.9)]).toEqual([0, 0, 1]);
  });

  test('zones reach in from next door and from off the site', () => {
    expect([a.reachingIn, a.reachingInOffSite]).toEqual([1, 1]);
    expect([b.reachingIn, b.reachingInOffSite]).toEqual([2, 0]); // the 20 in tree and the one on the line
    expect(assessment.totals.all.offSite).toBe(1);
  });

  test('dispositions, protected trees and diameters', () => {
    expect(a).toMatchObject({ kept: 2, removed: 1, transplanted: 0, protected: 1, protectedRemoved: 1 });
    expect(a.keptDbhM / 0.0254).toBeCloseTo(22, 9);
    expect(a.removedDbhM / 0.0254).toBeCloseTo(20, 9);
    expect(a.protectedRemovedDbhM / 0.0254).toBeCloseTo(20, 9);
    expect(b).toMatchObject({ kept: 1, transplanted: 1, notAssessed: 1, withoutDbh: 1, protected: 0 });
    expect(b.transplantedDbhM / 0.0254).toBeCloseTo(8, 9);
    expect(a.replacement).toBeNull();
  });

  test('the table has a row a lot, one for trees on none, a total; counts of both add up', () => {
    const [head, ...rows] = toLotTable(assessment, { units: 'us' }).trimEnd().split('\r\n');
    const titles = head?.split(',') ?? [];
    expect(titles).toContain('Diameter removed (in)');
    const column = (title: string) => rows.map((row) => Number(row.split(',')[titles.indexOf(title)]));
    expect(rows.map((row) => row.split(',')[0])).toEqual(['A', 'B', 'on no lot', 'total']);
    expect(column('Trees')).toEqual([3, 2, 2, 7]);
    expect(column('Diameter removed (in)')).toEqual([20, 0, 0, 20]);
  });

  test('lot features carry the figures', () => {
    const lots = toGeoJSON(assessment, { roles: ['lot'], units: 'us' }).features.map((f) => f.properties);
    expect(lots[0]).toMatchObject({
      rb_tree_count: 3,
      rb_reaching_in: 1,
      rb_dbh_removed_in: 20,
      rb_protected_count: 1,
    });
  });

  test('works count only for trees that are to be kept', () => {
    const covered = [box(9, 0, 40, 20, { id: 'W', kind: 'building' })];
    const { totals } = localJob(
      [tree(8, 10, inches(20)), tree(10, 10, inches(20)), tree(30, 10, { ...inches(20), disposition: 'remove' })],
      covered,
    );
    expect(totals.all).toMatchObject({ trees: 3, overLimit: 1, stemInWorks: 1, removed: 1 });
    expect(totals.offLots).toEqual(totals.all);
  });

  test('the rule’s own test protects trees of which the survey says nothing', () => {
    const base = { id: 'town', title: 'Town', source: 'test', stems: { zone: 'sum' }, limits: [{ share: '20%' }] };
    const zone = { radius: { perDiameter: '1 ft per in' } };
    const rule = parseRule({ ...base, zone, protected: [{ from: '20 in' }] }, 'town.json');
    const trees = [tree(0, 0, inches(24)), tree(60, 0, inches(12)), tree(120, 0, { ...inches(30), protected: 'no' })];
    const job = { trees: localLayer('t.csv', trees), works: [], rule, options: { crs: 'local:m' } };
    expect(assess(job).totals.all.protected).toBe(1);
  });

  test('a rule that protects by size can not say of a tree without a diameter: unknown, counted and listed', () => {
    const base = { id: 'town', title: 'Town', source: 'test', stems: { zone: 'sum' }, limits: [{ share: '20%' }] };
    const zone = { radius: { perDiameter: '1 ft per in' } };
    const rule = parseRule({ ...base, zone, protected: [{ from: '20 in' }] }, 'town.json');
    const trees = [
      tree(0, 0, { id: 'A', ...inches(24) }),
      tree(60, 0, { id: 'B', dbh_in: '' }),
      tree(120, 0, { id: 'C', dbh_in: '', protected: 'no' }),
      tree(180, 0, { id: 'D', ...inches(12), protected: 'perhaps' }),
    ];
    const job = assess({ trees: localLayer('t.csv', trees), works: [], rule, options: { crs: 'local:m' } });
    expect(job.totals.all).toMatchObject({ protected: 1, protectedUnknown: 2 });
    const said = toGeoJSON(job, { roles: ['tree'] }).features.map((f) => f.properties?.rb_protected);
    expect(said).toEqual(['yes', 'unknown', 'no', 'unknown']);
    const [finding, ...more] = job.findings.filter(({ code }) => code === 'protected-unknown');
    expect(more).toEqual([]);
    expect(finding?.message).toContain('1 tree has no diameter: whether they are protected is unknown (B)');
  });

  test('a tree whose disposition is a word that is not known counts as kept, and apart', () => {
    const { totals } = localJob([tree(0, 0, { ...inches(20), disposition: 'R' }), tree(60, 0, inches(20))], FAR);
    expect(totals.all).toMatchObject({ kept: 2, removed: 0, dispositionUnknown: 1 });
  });

  test('no lots, no trees: nothing to count', () => {
    expect(localJob([], FAR).totals.all).toMatchObject({ trees: 0, keptDbhM: 0, replacement: null });
  });
});

describe('distance to an area', () => {
  test('holes are outside; the nearest of all edges counts', () => {
    const xy = [0, 0, 10, 0, 10, 10, 0, 10, 4, 4, 4, 6, 6, 6, 6, 4];
    const at = (x: number, y: number) => distanceToArea(xy, [0, 4, 8], 0, 2, x, y);
    expect([at(1, 1), at(5, 5), at(13, 14), at(-2, 5)]).toEqual([0, 1, 5, 2]);
  });

  test('of a rectangle, in closed form', () => {
    const n = fc.double({ min: -50, max: 50, noNaN: true });
    fc.assert(
      fc.property(n, n, (x, y) => {
        const expected = Math.hypot(Math.max(-20 - x, 0, x - 20), Math.max(-10 - y, 0, y - 10));
        expect(distanceToArea([-20, -10, 20, -10, 20, 10, -20, 10], [0, 4], 0, 1, x, y)).toBeCloseTo(expected, 9);
      }),
    );
  });
});

describe('mitigation files', () => {
  const base = { id: 'town', title: 'Town', source: 'test' };
  const problems = (json: unknown): string => {
    try {
      parseMitigation(json, 'town.json');
      return '';
    } catch (error) {
      expect(error).toBeInstanceOf(InputError);
      return (error as InputError).message;
    }
  };

  test.each([
    ['nothing asked for', base, /without them nothing requires a replacement/],
    ['an unknown key', { ...base, ratio: 2 }, /ratio: expected no such key/],
    ['a bare diameter', { ...base, classes: [{ name: 'x', from: 8, require: { ratio: 1 } }] }, /classes\[0\]\.from/],
    ['a ratio of words', { ...base, otherwise: { ratio: 'double' } }, /otherwise\.ratio: expected planted per lost/],
    ['half a tree', { ...base, otherwise: { trees: 0.5 } }, /otherwise\.trees: expected a whole number/],
    [
      'a class the wrong way round',
      {
        ...base,
        classes: [{ name: 'x', from: '9 in', below: '8 in', require: { ratio: 1 } }],
      },
      /"from" smaller than "below"/,
    ],
    [
      'table and classes',
      {
        ...base,
        otherwise: { ratio: 1 },
        total: { rows: [{ upTo: '3 in', trees: 1 }] },
      },
      /counted twice/,
    ],
    ['a built-in id', { ...base, id: 'inch-for-inch', otherwise: { ratio: 1 } }, /"my-inch-for-inch"/],
    ['text', 'town', /the file: expected/],
  ])('%s', (_name, json, expected) => {
    expect(problems(json)).toMatch(expected);
  });

  test('ratios are written in three ways; defaults are filled in', () => {
    const of = (ratio: unknown) => parseMitigation({ ...base, otherwise: { ratio } }, 'town.json');
    expect([of(2), of('2:1'), of('200%')].map((m) => m.otherwise)).toEqual([{ ratio: 2 }, { ratio: 2 }, { ratio: 2 }]);
    expect(of(1)).toMatchObject({ lost: ['remove'], classes: [], notes: [] });
  });
});

describe('zones that are not a disc', () => {
  // lots west and east of x = 4; a lot far off to the north
  const lots = [box(-50, -50, 4, 50, { id: 'W' }), box(4, -50, 50, 50, { id: 'E' })];
  const reaching = (trees: Parameters<typeof localJob>[0], more: object) =>
    localJob(trees, FAR, { lots, ...more }).lots.map(({ figures }) => figures.reachingIn);
  test('one that follows the crown reaches a lot where the crown does, not by its largest radius', () => {
    const rule = parseRule(
      {
        id: 'crown',
        title: 'Crown',
        source: 'test',
        stems: { zone: 'sum' },
        zone: { radius: { crownPlus: '1 m', shape: 'quarters' } },
        limits: [{ share: '20%' }],
      },
      'crown.json',
    );
    const crown = (e: number) => tree(0, 0, { dbh_cm: 30, crown_n_m: 9, crown_e_m: e, crown_s_m: 9, crown_w_m: 9 });
    expect(reaching([crown(2.9)], { rule })).toEqual([0, 0]); // 3.9 m to the east
    expect(reaching([crown(3.1)], { rule })).toEqual([0, 1]);
  });
  test('nor a drawn one, nor that of a hedge', () => {
    const zones = [box(-9, -2, 3.9, 2, { id: 'T' })];
    expect(reaching([tree(0, 0, { id: 'T', dbh_cm: 30 })], { zones })).toEqual([0, 0]);
    const hedge = (east: number) => ({ ...box(-20, -1, east, 1, {}), properties: { dbh_cm: 10 } }); // and 1.2 m about it
    expect(reaching([hedge(2.7)], {})).toEqual([0, 0]);
    expect(reaching([hedge(2.9)], {})).toEqual([0, 1]);
  });
});

test('a tree marked off the site whose trunk stands on a lot is a finding', () => {
  const { findings } = localJob(
    [
      tree(5, 5, { id: 'mine', dbh_cm: 30, off_site: 'yes' }),
      tree(-5, 5, { id: 'theirs', dbh_cm: 30, off_site: 'yes' }),
      tree(6, 6, { id: 'plain', dbh_cm: 30 }),
    ],
    FAR,
    { lots: LOTS },
  );
  expect(findings.filter(({ code }) => code === 'off-site-on-lot').map(({ id, message }) => [id, message])).toEqual([
    ['mine', 'tree mine is marked off_site, but its trunk stands on lot A'],
  ]);
});
