// Margins: the distance at which the verdict turns, against closed forms of the circular segment and by running the
// moved works through the ordinary path.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { builtinRule, parseRule } from '../../src/rules/index.js';
import { box, localJob, tree } from '../support/local-job.js';

const FAR = 500;
const R = 10;
const rule = (more: object = {}) =>
  parseRule(
    {
      id: 'town',
      title: 'Town code',
      source: 'invented',
      stems: { zone: 'sum' },
      zone: { radius: { length: '10 m' } },
      limits: [{ share: '20%' }],
      ...more,
    },
    'town.json',
  );
const TREE = tree(0, 0, { id: 'T1', dbh_cm: 50 });
const margin = (works: Parameters<typeof localJob>[1], chosen = rule(), more = {}) =>
  localJob([TREE], works, { rule: chosen, ...more }).trees[0]?.marginM!;
// a chord this far out (in radii) cuts off 20 %, 10 % of a circle: closed form
const TWENTY = 0.4918618328 * R;
const TEN = 0.6870488261 * R;

describe('margin', () => {
  it.each([
    ['a house front 8 m away may approach until it takes 20 %', 8, 8 - TWENTY],
    ['one beyond the zone, the same', 25, 25 - TWENTY],
    ['one at 3 m must retreat', 3, 3 - TWENTY],
  ])('%s', (_case, d, expected) => {
    expect(margin([box(d, -FAR, FAR, FAR, {})])).toBeCloseTo(expected, 2);
    expect(Math.abs(margin([box(d, -FAR, FAR, FAR, {})]) - expected)).toBeLessThan(0.002);
  });
  it('two fronts, one on either side, share the limit: 10 % each', () => {
    expect(margin([box(8, -FAR, FAR, FAR, {}), box(-FAR, -FAR, -8, FAR, { id: 'W' })])).toBeCloseTo(8 - TEN, 2);
  });
  it('a ring that bears nothing is met where works touch it, less its tolerance', () => {
    const ring = rule({ rings: [{ name: 'no-cut', radius: { length: '4 m' }, limits: [{ share: 0 }] }], tolerance: 0 });
    expect(margin([box(8, -0.5, FAR, 0.5, {})], ring)).toBeCloseTo(4, 1); // 1e-6 m2 of the ring may be touched
    expect(margin([box(3, -0.1, 3.2, 0.1, {})], ring)).toBeLessThan(0);
  });
  it('a trunk in the works: they retreat until they leave the trunk or take no more than the limit', () => {
    const narrow = [box(-0.2, -0.2, 0.2, 0.2, {})]; // takes next to nothing, but stands on the trunk
    const { trees } = localJob([TREE], narrow, { rule: rule() });
    expect(trees[0]?.verdict).toBe('stem-in-works');
    expect(Math.abs(trees[0]?.marginM! + 0.2)).toBeLessThan(0.01); // it has to go altogether: to a square centimetre
    expect(margin([box(-2, -FAR, FAR, FAR, {})])).toBeCloseTo(-2 - TWENTY, 2);
  });
  it('is null where there is more than 50 m, where there are no works, and where a tree is not assessed', () => {
    expect(margin([box(R + 51, -FAR, FAR, FAR, {})])).toBeNull();
    expect(margin([box(R + 49, -FAR, FAR, FAR, {})])).toBeCloseTo(R + 49 - TWENTY, 2);
    expect(margin([])).toBeNull();
  });
  it('touching works open no gap between them when they retreat', () => {
    const halves = [box(3, -FAR, FAR, 0, { id: 'a' }), box(3, 0, FAR, FAR, { id: 'b' })];
    expect(margin(halves)).toBeCloseTo(3 - TWENTY, 2);
  });
  it.each([
    ['one trench', [box(3, -FAR, 3.5, FAR, { kind: 'trench' })]],
    [
      'a trench of two pieces off the millimetre',
      [
        box(3.0004, -FAR, 3.5004, 0.0003, { id: 'a', kind: 'trench' }),
        box(3.0004, 0.0003, 3.5004, FAR, { id: 'b', kind: 'trench' }),
      ],
    ],
  ])('%s that has drawn back by half its width severs nothing any more', (_case, works) => {
    expect(Math.abs(margin(works, rule({ judge: 'affected' })) + 0.25)).toBeLessThan(0.0002);
  });
  it.each([15, 25, 50, 200])('a trunk %f m inside wide works: they retreat until they have vanished', (half) => {
    expect(Math.abs(margin([box(-half, -3000, half, 3000, {})]) + half)).toBeLessThan(0.0002);
    const two = [box(-half, -3000, 1, 3000, { id: 'a' }), box(1, -3000, half, 3000, { id: 'b' })];
    expect(Math.abs(margin(two) + half)).toBeLessThan(0.0002);
  });
  it('a retreat is told as far as works are looked for, 1,000 m round the trunk, whatever other trees there are', () => {
    // A plain that is covered for 900 or 1,100 m round the trunk, and beyond by works of their own: read only with more trees.
    const plain = (half: number) => [
      box(-half, -half, half, half, { id: 'M' }),
      box(half, -2000, 2000, 2000, { id: 'E' }),
      box(-2000, -2000, -half, 2000, { id: 'W' }),
      box(-half, half, half, 2000, { id: 'N' }),
      box(-half, -2000, half, -half, { id: 'S' }),
    ];
    const all = (half: number): (number | null | undefined)[] => {
      const works = plain(half);
      const others = [tree(300, 300, { id: 'T2', dbh_cm: 50 }), tree(-300, -300, { id: 'T3', dbh_cm: 50 })];
      const alone = localJob([TREE], works, { rule: rule() }).trees[0]?.marginM;
      return [alone, localJob([TREE, ...others], works, { rule: rule() }).trees[0]?.marginM];
    };
    expect(all(1100)).toEqual([null, null]);
    expect(all(900)).toEqual([null, null]);
    const hall = (half: number): number => margin([box(-half, -half, half, half, {})]);
    expect(Math.abs(hall(980) + 980)).toBeLessThan(0.0002);
    expect(hall(995)).toBeNull(); // its zone of 10 m reaches beyond what is looked at
  });
  it('forty works about a zone drawn far from its trunk: moved by the margin they are at the limit', () => {
    // a square of 20 m, 45 m off; posts of 1 m in rows 4 m apart: 25 of 400 m2 in it, (1 + 2 m)^2 each when they move by m
    const posts = (by: number) =>
      Array.from({ length: 49 }, (_, i) => {
        const [x, y] = [33 + 4 * (i % 7), -12 + 4 * Math.floor(i / 7)];
        return box(x - 0.5 - by, y - 0.5 - by, x + 0.5 + by, y + 0.5 + by, { id: `P${i}` });
      });
    const told = (limit: number) =>
      localJob([TREE], posts(0), { zones: [box(35, -10, 55, 10, { id: 'T1' })], rule: rule(), options: { limit } })
        .trees[0];
    expect(told(0.2)?.overlapPct).toBeCloseTo(6.25, 9);
    // square posts with round corners: 1 + 4 m + pi m^2 of 16 m2 each
    const root = (share: number): number => (-4 + Math.sqrt(16 - 4 * Math.PI * (1 - 16 * share))) / (2 * Math.PI);
    expect(Math.abs(told(0.2)?.marginM! - root(0.2))).toBeLessThan(0.0003);
    expect(Math.abs(told(0.5)?.marginM! - root(0.5))).toBeLessThan(0.0003);
    // drawn back they keep square corners: (1 - 2 m)^2
    expect(Math.abs(told(0.04)?.marginM! - (Math.sqrt(16 * 0.04) - 1) / 2)).toBeLessThan(0.0003);
  });
  it('works exactly at the limit have a margin of 0, not a hair below', () => {
    for (const by of [-1e-9, 0, 1e-9]) {
      const works = [box(TWENTY + by, -FAR, FAR, FAR, {})];
      const [at] = localJob([TREE], works, { rule: rule({ tolerance: 0 }) }).trees;
      const m = at?.marginM!;
      expect(Math.abs(m)).toBeLessThan(0.0002);
      expect(m < 0).toBe(at?.verdict === 'over-limit');
    }
  });
  it('hard ground stays where it is; works on it move', () => {
    const existing = [box(-FAR, -FAR, 0, FAR, {})];
    const options = { existingUse: 'spared' as const };
    expect(margin([box(-FAR, -FAR, -5, FAR, {})], rule(), { existing, options })).toBeGreaterThan(0);
  });
  it('moved by the margin, works are at the limit: within a hair before, over a hair behind', () => {
    const limit = builtinRule('foot-per-inch');
    fc.assert(
      fc.property(
        fc.record({
          x: fc.double({ min: 1, max: 9, noNaN: true }),
          y: fc.double({ min: -6, max: 6, noNaN: true }),
          w: fc.double({ min: 2, max: 30, noNaN: true }),
          h: fc.double({ min: 2, max: 30, noNaN: true }),
        }),
        ({ x, y, w, h }) => {
          const at = (by: number) =>
            localJob([TREE], [box(x - by, y - by, x + w + by, y + h + by, {})], {
              rule: limit,
              options: { margins: true },
            });
          const m = at(0).trees[0]?.marginM!;
          fc.pre(m < 0 && -m < Math.min(w, h) / 2 - 0.01); // narrowed boxes keep square corners: the closed form of moving
          const over = (by: number): boolean =>
            ['over-limit', 'stem-in-works'].includes(at(by).trees[0]?.verdict ?? '');
          expect(over(m - 0.005)).toBe(false);
          expect(over(m + 0.005)).toBe(true);
        },
      ),
      { numRuns: 25 },
    );
  });
});

describe('accuracy and trunks', () => {
  it('a move that puts the trunk of a tree over its limit into the works, or out of them, is told', () => {
    // trunk of 50 cm, works that begin d east of its centre: over the limit anyway
    const at = (d: number, accuracy: number) =>
      localJob([tree(0, 0, { id: 'T1', dbh_cm: 50, accuracy_m: accuracy })], [box(d, -FAR, FAR, FAR, {})], {
        options: { crs: 'local:m' },
      }).trees[0];
    expect([at(0.5, 0.2)?.verdict, at(0.5, 0.2)?.verdictHolds]).toEqual(['over-limit', true]);
    expect([at(0.5, 0.3)?.verdict, at(0.5, 0.3)?.verdictHolds]).toEqual(['over-limit', false]);
    expect([at(0.2, 0.1)?.verdict, at(0.2, 0.1)?.verdictHolds]).toEqual(['stem-in-works', false]);
    expect([at(0.2, 0.01)?.verdict, at(0.2, 0.01)?.verdictHolds]).toEqual(['stem-in-works', true]);
  });
});

describe('accuracy', () => {
  const holds = (properties: object, options = {}) =>
    localJob([tree(0, 0, { id: 'T1', dbh_cm: 50, ...properties })], [box(5, -FAR, FAR, FAR, {})], {
      rule: parseRule(
        {
          id: 'town',
          title: 'Town code',
          source: 'invented',
          stems: { zone: 'sum' },
          zone: { radius: { perDiameter: 20 } }, // 10 m: the margin is 5 m less 4.918 m, 0.081 m
          limits: [{ share: '20%' }],
        },
        'town.json',
      ),
      options,
    }).trees[0]?.verdictHolds;
  it.each([
    ['positions to 5 cm: the verdict holds', { accuracy_m: 0.05 }, {}, true],
    ['positions to 10 cm: it may turn', { accuracy_m: 0.1 }, {}, false],
    ['no accuracy given: nothing is said', {}, {}, null],
    // 1 cm more makes the zone 10.2 m, of which 20 % is met at 5.017 m: the front stands at 5 m
    ['diameters to 5 mm: it holds', {}, { dbhAccuracyM: 0.005 }, true],
    ['diameters to 1 cm: it turns', {}, { dbhAccuracyM: 0.01 }, false],
    ['both together', { accuracy_m: 0.05 }, { dbhAccuracyM: 0.005 }, false], // 0.081 m less 0.049 m is under 5 cm
  ])('%s', (_case, properties, options, expected) => {
    expect(holds(properties, options)).toBe(expected);
  });
});
