// Where the footprint can go: closed forms, symmetry, brute force, lots it does not fit, the ordinary path.
import { describe, expect, it } from 'vitest';
import type { AssessJob } from '../../src/assess/index.js';
import { assess } from '../../src/assess/index.js';
import type { AssessOptions } from '../../src/model/index.js';
import type { Rule } from '../../src/model/rule.js';
import { builtinRule, withLimit } from '../../src/rules/index.js';
import { siting } from '../../src/siting/siting.js';
import { sitingWords } from '../../src/write/index.js';
import { box, type LocalFeature, localLayer, tree } from '../support/local-job.js';

/** foot-per-inch without its ring: one limit on the zone. */
const plain: Rule = { ...builtinRule('foot-per-inch'), rings: [] };

function job(
  trees: readonly LocalFeature[],
  works: readonly LocalFeature[],
  more: { rule?: Rule; lots?: readonly LocalFeature[]; options?: AssessOptions } = {},
): AssessJob {
  return {
    trees: localLayer('trees.csv', trees),
    works: [{ layer: localLayer('works.csv', works) }],
    ...(more.lots === undefined ? {} : { lots: localLayer('lots.csv', more.lots) }),
    rule: more.rule ?? plain,
    options: { crs: 'local:m', ...more.options },
  };
}

const oak = (x: number, y: number, radius = 10, more: object = {}) =>
  tree(x, y, { dbh_cm: 40, zone_radius_m: radius, ...more });
const house = (w: number, s: number, e: number, n: number, id = 'house') => box(w, s, e, n, { id, kind: 'building' });

/** No siting found is allowed to disagree with the ordinary assessment. */
function agrees(found: ReturnType<typeof siting>): void {
  for (const one of found.sitings) {
    const over = found.trees.filter((row) => ['over-limit', 'stem-in-works'].includes(one.after.tree(row).verdict));
    expect(over).toEqual(one.over);
  }
}

describe('the smallest move', () => {
  // d/R at which a chord cuts off a share of a circle: acos(u) - u sqrt(1 - u^2) = share pi, solved.
  it.each([
    [0.2, 0.4918618328],
    [0.1, 0.6870488261],
  ])('a half plane of house: limit %f is met where the chord is %f radii from the trunk', (limit, u) => {
    const found = siting(job([oak(0, 0)], [house(2, -200, 200, 200)], { rule: withLimit(plain, limit) }), {
      shiftM: 10,
    });
    expect(found.status).toBe('sited');
    const [best] = found.sitings;
    expect(best?.eastM).toBeCloseTo(10 * u - 2, 2);
    expect(best?.eastM).toBeGreaterThanOrEqual(10 * u - 2 - 1e-9); // never on the wrong side
    expect(Math.abs(best?.northM!)).toBeLessThan(0.02);
    expect(best?.after.tree(0).overlapPct).toBeCloseTo(limit * 100, 1);
    expect(best?.after.tree(0).verdict).toBe('within-limit');
    agrees(found);
  });

  it('as drawn, where that keeps every tree', () => {
    const found = siting(job([oak(0, 0)], [house(20, -5, 30, 5)]));
    expect(found.status).toBe('in-place');
    expect(found.sitings[0]).toMatchObject({ eastM: 0, northM: 0, turnDeg: 0, mirrored: false, travelM: 0, over: [] });
    expect(found.sitings.map((one) => sitingWords(found, one))[0]).toBe(
      'keeps the one tree within its limits: as drawn',
    );
  });

  it('between a symmetric pair: in the middle, though the gap is narrower than the grid', () => {
    // Each trunk stands half the house and 4.918618 m (20 % of 10 m, see above) from the middle, and 5 mm more.
    const away = 10 + 4.918618 + 0.005;
    const found = siting(job([oak(-away, 0), oak(away, 0)], [house(-6.83, -60, 13.17, 60)]), { shiftM: 6 });
    expect(found.status).toBe('sited');
    expect(Math.abs(found.sitings[0]?.eastM! + 3.17)).toBeLessThan(0.0051);
    agrees(found);
    const wide = siting(job([oak(-14, 0), oak(14, 0)], [house(-9, -60, 11, 60)]), { shiftM: 10 });
    expect(wide.status).toBe('trade'); // both zones lose more than 20 % wherever it stands across them
  });

  it('with a turn where turning is shorter than going', () => {
    const trees = [oak(0, 9, 8), oak(40, -9, 8)];
    const works = [house(-5, -4, 45, 4)];
    const straight = siting(job(trees, works, { rule: withLimit(plain, 0.01) }), { shiftM: 20 });
    const turned = siting(job(trees, works, { rule: withLimit(plain, 0.01) }), { shiftM: 20, turnDeg: 20 });
    expect(turned.status).toBe('sited');
    if (straight.status === 'sited') {
      expect(turned.sitings[0]?.travelM).toBeLessThan(straight.sitings[0]?.travelM!);
    }
    expect(turned.sitings[0]?.turnDeg).toBeLessThan(-1); // anticlockwise: its west end leaves the tree north of it
    agrees(turned);
  });
});

describe('what stands in the way', () => {
  it('a footprint larger than its lot', () => {
    const lots = [box(-10, -10, 10, 10, { id: 'L1' })];
    const found = siting(job([oak(30, 0)], [house(-8, -5, 8, 5)], { lots }), { setback: 3 });
    expect(found.status).toBe('no-room');
    expect(found.sitings).toEqual([]);
    const [finding] = found.findings;
    expect(finding?.code).toBe('siting-no-room');
    expect(finding?.message).toContain('1.00 m outside'); // 16 m into 14 m: a metre on either side
  });

  it('a lot on which one tree is lost wherever the house stands', () => {
    const lots = [box(-12, -12, 12, 12, { id: 'L1' })];
    const trees = [oak(0, 0, 11, { id: 'T1' }), oak(60, 60, 6, { id: 'T2' })];
    const found = siting(job(trees, [house(-9, -9, 9, 9)], { lots }), { setback: 1 });
    expect(found.status).toBe('trade');
    expect(found.findings.map(({ code }) => code)).toContain('siting-trade');
    expect(found.findings[0]?.message).toContain('T1 is over its limit wherever the footprint fits');
    expect(found.sitings[0]?.over).toEqual([0]);
    // The best of it is a corner of the room: 2 m away both ways.
    expect(Math.abs(found.sitings[0]?.eastM!)).toBeCloseTo(2, 1);
    expect(Math.abs(found.sitings[0]?.northM!)).toBeCloseTo(2, 1);
    agrees(found);
  });

  it('a tree that other works have lost already is not a reason to give up the rest', () => {
    const trees = [oak(14, 0, 10, { id: 'T1' }), oak(40, 0, 10, { id: 'T2' })];
    const works = [house(31, -5, 45, 5), box(-5, -20, 30, 20, { id: 'drive', kind: 'paving' })];
    const found = siting(job(trees, works), { move: ['house'] });
    expect(found.status).toBe('sited');
    expect(found.findings.map(({ code }) => code)).toContain('siting-beyond-help');
    expect(found.sitings[0]?.after.tree(1).verdict).not.toBe('over-limit');
  });

  it('trees to be removed do not count', () => {
    const found = siting(job([oak(0, 0, 10, { disposition: 'remove' })], [house(-5, -5, 5, 5)]));
    expect(found.status).toBe('in-place');
    expect(found.trees).toEqual([]);
  });

  it('works that are not there, works off every lot', () => {
    expect(() => siting(job([oak(0, 0)], [house(2, 0, 9, 9)]), { move: ['hause'] })).toThrow('did you mean house?');
    const lots = [box(100, 100, 120, 120, { id: 'L1' })];
    expect(() => siting(job([oak(0, 0)], [house(2, 0, 9, 9)], { lots }))).toThrow('none of the lots');
  });
});

describe('brute force', () => {
  const cases = [
    { trees: [oak(0, 0, 8), oak(14, 9, 7), oak(9, -9, 6)], works: [house(2, -5, 13, 4)] },
    {
      trees: [oak(0, 0, 9), oak(3, 15, 5), oak(16, 2, 4)],
      works: [house(-2, 2, 9, 11), box(9, 5, 12, 8, { id: 'porch', kind: 'building' })],
    },
  ];
  it.each(cases)('5 cm by 5 cm finds none better by more than 5 cm', ({ trees, works }) => {
    const given = job(trees, works, { rule: builtinRule('foot-per-inch') });
    const found = siting(given, { shiftM: 8 });
    expect(found.status).toBe('sited');
    const best = found.sitings[0]!;
    // A disc of shifts shorter than the best by more than 5 cm: none keeps all.
    const reach = best.travelM - 0.05;
    const step = 0.05;
    let tried = 0;
    const kept: string[] = [];
    for (let e = -Math.floor(reach / step); e <= reach / step; e++) {
      for (let n = -Math.floor(reach / step); n <= reach / step; n++) {
        // All of them near the rim, every eighth both ways farther in.
        const shift = Math.hypot(e * step, n * step);
        if (shift > reach || (shift < reach - 0.06 && (e % 8 !== 0 || n % 8 !== 0))) continue;
        tried++;
        if (isKept(given, e * step, n * step)) kept.push(`${e * step}, ${n * step}`);
      }
    }
    expect(tried).toBeGreaterThan(50);
    expect(kept).toEqual([]);
    agrees(found);
  });

  it('with turns: no shorter motion of six hundred keeps all', () => {
    const ring = [
      [-1, -6],
      [13, -6],
      [13, 2],
      [5, 2],
      [5, 5],
      [-1, 5],
    ] as const;
    const works = [{ rings: [ring], properties: { id: 'house', kind: 'building' } }];
    const given = job([oak(0, 0, 8), oak(16, 7, 7), oak(9, -11, 6)], works, { rule: builtinRule('foot-per-inch') });
    const found = siting(given, { shiftM: 10, turnDeg: 30 });
    expect(found.status).toBe('sited');
    const best = found.sitings[0]!;
    agrees(found);
    // The mean of the corners, and their root mean square distance from it: what a turn costs.
    const mean = [0, 1].map((axis) => ring.reduce((sum, at) => sum + at[axis]!, 0) / ring.length) as [number, number];
    const rms = Math.sqrt(ring.reduce((sum, [x, y]) => sum + (x - mean[0]) ** 2 + (y - mean[1]) ** 2, 0) / ring.length);
    expect(best.travelM).toBeCloseTo(
      Math.hypot(best.eastM, best.northM, 2 * Math.sin((best.turnDeg * Math.PI) / 360) * rms),
      6,
    );
    let seed = 20_261_125;
    const random = (): number => {
      seed = (seed * 48_271) % 2_147_483_647;
      return (seed / 2_147_483_647) * 2 - 1;
    };
    const kept: string[] = [];
    for (let k = 0; k < 600; k++) {
      // Half of them about the siting found, half anywhere.
      const near = k % 2 === 0;
      const [e, n, deg] = near
        ? [best.eastM + random() * 0.5, best.northM + random() * 0.5, best.turnDeg + random() * 4]
        : [random() * 6, random() * 6, random() * 30];
      const travel = Math.hypot(e, n, 2 * Math.sin((deg * Math.PI) / 360) * rms);
      if (travel > best.travelM - 0.05 || Math.abs(deg) > 30) continue;
      if (isKept(given, e, n, deg, mean)) kept.push(`${e}, ${n}, ${deg}: ${travel} < ${best.travelM}`);
    }
    expect(kept).toEqual([]);
  });
});

/** Whether all trees are within limits with all works shifted: by an assessment of works drawn there. */
function isKept(given: AssessJob, east: number, north: number, degrees = 0, about = [0, 0]): boolean {
  const [sin, cos] = [Math.sin((-degrees * Math.PI) / 180), Math.cos((degrees * Math.PI) / 180)];
  const [cx = 0, cy = 0] = about;
  const works = given.works.map((input) => {
    const { xy: home } = input.layer.geometry;
    const xy = home.map((_, i) => {
      const [x, y] = [home[i - (i % 2)]! - cx, home[i - (i % 2) + 1]! - cy];
      return i % 2 === 0 ? cx + x * cos - y * sin + east : cy + x * sin + y * cos + north;
    });
    return { ...input, layer: { ...input.layer, geometry: { ...input.layer.geometry, xy } } };
  });
  const { verdicts } = assess({ ...given, works, options: { ...given.options, margins: false } }).counts;
  return verdicts['over-limit'] + verdicts['stem-in-works'] === 0;
}

describe('outlines of very many corners', () => {
  const round = (n: number, x: number, r: number, id: string): LocalFeature => ({
    rings: [
      Array.from({ length: n }, (_, k): [number, number] => {
        const angle = (2 * Math.PI * k) / n;
        return [x + r * Math.cos(angle), r * Math.sin(angle)];
      }),
    ],
    properties: { id, kind: 'building' },
  });

  it('that would take hours beside others are told', () => {
    const many = job([oak(0, 20)], [round(1500, 0, 8, 'house'), round(1500, 25, 8, 'other')]);
    expect(() => siting(many, { move: ['house'], shiftM: 5 })).toThrow(/outlines to move have 1500 corners/);
  });

  it('are looked at by the signal before the search and within it', () => {
    let looks = 0;
    const stopAt = (after: number) => ({
      aborted: false,
      throwIfAborted() {
        if (++looks > after) throw new Error('stopped');
      },
    });
    const some = job([oak(0, 20)], [round(300, 0, 8, 'house'), round(300, 25, 8, 'other')]);
    for (const after of [8, 40]) {
      looks = 0;
      expect(() => siting({ ...some, signal: stopAt(after) }, { move: ['house'], shiftM: 5 })).toThrow('stopped');
    }
  });
});
