// Grade change against prisms in closed form, a raster of 1 cm, and what must always hold.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type GradesOptions, gradesOf } from '../../src/grades/index.js';
import type { Assessment, Rule, Surface } from '../../src/model/index.js';
import { builtinRule } from '../../src/rules/index.js';
import { box, type LocalFeature, localJob, tree } from '../support/local-job.js';
import { runs } from '../support/runs.js';
import { faced, grid, heightAt, spots } from '../support/surfaces.js';

interface More {
  readonly rule?: Rule;
  readonly trees?: readonly LocalFeature[];
  readonly works?: readonly LocalFeature[];
  readonly lots?: readonly LocalFeature[];
  readonly options?: GradesOptions;
}

function job(existing: Surface, proposed: Surface, more: More = {}): Assessment {
  return localJob(more.trees ?? [tree(5, 5, { id: 'T1', dbh_cm: 25 })], more.works ?? [], {
    rule: more.rule ?? builtinRule('foot-per-inch'),
    grades: gradesOf(existing, proposed, more.options),
    ...(more.lots === undefined ? {} : { lots: more.lots }),
  });
}

/** Of a disc beyond a chord at a distance from its centre (negative: the larger part). */
function segment(r: number, distance: number): number {
  return r * r * Math.acos(distance / r) - distance * Math.sqrt(r * r - distance * distance);
}

const level = grid(10, 10, () => 100);
const tilted = grid(10, 10, (x) => 100 + (x - 4) / 10);

describe('prisms in closed form', () => {
  it('a plane that tilts through another: zero line, areas, volumes, the zone of a tree', () => {
    // change = (x - 4) / 10: filled beyond x = 4.1, cut before x = 3.9
    const { grades, works, job: tables } = job(level, tilted);
    const { total, trees } = grades!;
    expect(total.filledM2).toBeCloseTo(59, 8);
    expect(total.cutM2).toBeCloseTo(39, 8);
    expect(total.unchangedM2).toBeCloseTo(2, 8);
    expect(total.fillM3).toBeCloseTo((10 * 6 * 0.6) / 2, 8);
    expect(total.cutM3).toBeCloseTo((10 * 4 * 0.4) / 2, 8);
    expect(trees[0]!.changeM).toBeCloseTo(0.1, 9);
    // radius 12 x 0.25 = 3 m
    expect(trees[0]!.filledM2).toBeCloseTo(segment(3, -0.9), 7);
    expect(trees[0]!.cutM2).toBeCloseTo(segment(3, 1.1), 7);
    expect(trees[0]!.unknownM2).toBe(0);
    // two pieces, with their depths
    expect(works.map(({ kind, key }) => [kind, key])).toEqual([
      ['fill', 'fill-1'],
      ['excavation', 'cut-1'],
    ]);
    expect([...tables.works.depthM]).toEqual([0.6, 0.4]);
  });

  it('the works made go the ordinary way: overlap by kind is the area filled and cut', () => {
    const { trees, grades } = job(level, tilted);
    expect(trees[0]!.overlapByKindM2!.fill).toBeCloseTo(grades!.trees[0]!.filledM2!, 6);
    expect(trees[0]!.overlapByKindM2!.excavation).toBeCloseTo(grades!.trees[0]!.cutM2!, 6);
    expect(trees[0]!.verdict).toBe('stem-in-works');
  });

  it('ground is divided along the depths of the rule, and fill no deeper than that does not count', () => {
    const usual = builtinRule('foot-per-inch');
    const rule: Rule = { ...usual, exempt: [{ kinds: ['fill'], upTo: '20 cm', reason: 'shallow' }] };
    const { works, trees, grades } = job(level, tilted, { rule, trees: [tree(8, 5, { id: 'T1', dbh_cm: 25 })] });
    expect(works.map(({ kind, countedReason }) => `${kind} ${countedReason}`)).toEqual([
      'fill shallow',
      'fill null',
      'excavation null',
    ]);
    // deeper than 0.2 m beyond x = 6; the disc is cut off by the edge of the surfaces at x = 10
    const area = segment(3, -2) - segment(3, 2);
    expect(grades!.fillDepthM).toBeCloseTo(0.2, 12);
    expect(grades!.trees[0]!.filledM2).toBeCloseTo(area, 7);
    expect(grades!.trees[0]!.unknownM2).toBeCloseTo(segment(3, 2), 7);
    expect(trees[0]!.overlapM2).toBeCloseTo(area, 6);
  });

  it('lots: volumes over an L-shaped lot with a hole, from its corners', () => {
    const lot: LocalFeature = {
      rings: [
        [
          [5, 1],
          [9, 1],
          [9, 5],
          [7, 5],
          [7, 9],
          [5, 9],
        ],
        [
          [6, 2],
          [6, 3],
          [7, 3],
          [7, 2],
        ],
      ],
      properties: { id: 'L' },
    };
    const { grades } = job(level, tilted, { lots: [lot, box(8, 8, 14, 9, { id: 'M' })] });
    const [l, m] = grades!.lots;
    // change is linear: area times change at the centroid of each rectangle
    expect(l!.filledM2).toBeCloseTo(2 * 8 + 2 * 4 - 1, 8);
    expect(l!.fillM3).toBeCloseTo(16 * 0.2 + 8 * 0.4 - 1 * 0.25, 8);
    expect(m!.filledM2).toBeCloseTo(2, 8);
    expect(m!.unknownM2).toBeCloseTo(4, 8);
  });

  it('a pad with battered sides: the frustum', () => {
    // top 4 x 4, foot 8 x 8, 1 m high; the existing ground is flat, of other triangles
    const pad = spots(
      [
        [1, 1],
        [9, 1],
        [9, 9],
        [1, 9],
        [3, 3],
        [7, 3],
        [7, 7],
        [3, 7],
        [0, 0],
        [10, 0],
        [10, 10],
        [0, 10],
      ],
      (x, y) => (x >= 3 && x <= 7 && y >= 3 && y <= 7 ? 101 : 100),
    );
    const { total } = job(
      grid(10, 2.5, () => 100),
      pad,
    ).grades!;
    expect(total.fillM3).toBeCloseTo((1 / 3) * (64 + 16 + Math.sqrt(64 * 16)), 8);
    expect(total.cutM3).toBe(0);
    // beyond 0.01 m: a square 0.02 m inside the foot
    expect(total.filledM2).toBeCloseTo((8 - 0.04) ** 2, 8);
  });

  it('no change is none, and a uniform change of exactly a depth is not beyond it', () => {
    const same = job(
      level,
      grid(10, 2.5, () => 100),
    );
    expect(same.grades!.total).toMatchObject({ filledM2: 0, cutM2: 0, fillM3: 0, cutM3: 0 });
    expect(same.trees[0]!.verdict).toBe('untouched');
    const options = { depthsM: [0.3048 / 3] };
    const even = job(
      level,
      grid(10, 5, () => 100 + 0.3048 / 3),
      { options },
    );
    expect(even.job.works.count).toBe(1);
    expect(even.job.works.layers.at(-1)!.properties(0)).toMatchObject({ depth_m: 0.1016, depth_up_to_m: 0.1016 });
  });
});

const place = fc.tuple(fc.integer({ min: 0, max: 300 }), fc.integer({ min: 0, max: 300 }));
const corners = [
  [0, 0],
  [3, 0],
  [3, 3],
  [0, 3],
] as const;
const surface = fc
  .tuple(
    fc.uniqueArray(place, { maxLength: 12, selector: String }),
    fc.infiniteStream(fc.integer({ min: -40, max: 40 })),
  )
  .map(([inner, heights]) => {
    const places = [...corners, ...inner.map(([x, y]) => [x / 100, y / 100] as const)];
    const h = places.map(() => (heights.next().value as number) / 100);
    let at = 0;
    return spots(places, () => 10 + h[at++]!);
  });

describe('against a raster of 1 cm', () => {
  it('areas and volumes of two rough surfaces', () => {
    fc.assert(
      fc.property(surface, surface, (existing, proposed) => {
        const { total, trees } = job(existing, proposed, { trees: [tree(1.4, 1.6, { id: 'T1', dbh_cm: 10 })] }).grades!;
        const sums = { filled: 0, cut: 0, fill: 0, dug: 0, zone: 0 };
        for (let i = 0; i < 300; i++) {
          for (let j = 0; j < 300; j++) {
            const [x, y] = [i / 100 + 0.005, j / 100 + 0.005];
            const change = heightAt(proposed, x, y) - heightAt(existing, x, y);
            if (change > 0.01) sums.filled += 1e-4;
            if (change < -0.01) sums.cut += 1e-4;
            if (change > 0) sums.fill += change * 1e-4;
            else sums.dug -= change * 1e-4;
            if (change > 0.01 && Math.hypot(x - 1.4, y - 1.6) < 1.2) sums.zone += 1e-4;
          }
        }
        // A line passes half the squares on its way wrongly: its length times the square's side, at most.
        expect(Math.abs(total.filledM2 - sums.filled)).toBeLessThan(0.03);
        expect(Math.abs(total.cutM2 - sums.cut)).toBeLessThan(0.03);
        expect(Math.abs(total.fillM3 - sums.fill)).toBeLessThan(0.002);
        expect(Math.abs(total.cutM3 - sums.dug)).toBeLessThan(0.002);
        expect(Math.abs(trees[0]!.filledM2! - sums.zone)).toBeLessThan(0.02);
      }),
      { numRuns: runs(4) },
    );
  });
});

describe('what must always hold', () => {
  it('cut, filled and unchanged ground make up the common ground; the works made are the ground filled and cut', () => {
    fc.assert(
      fc.property(surface, surface, (existing, proposed) => {
        const options = { depthsM: [0.05, 0.2] };
        const { grades, trees } = job(existing, proposed, {
          options,
          trees: [tree(1.5, 1.5, { id: 'T1', dbh_cm: 40 })],
        });
        const { total } = grades!;
        expect(total.filledM2 + total.cutM2 + total.unchangedM2).toBeCloseTo(9, 7);
        // the zone holds all ground
        expect(trees[0]!.overlapByKindM2!.fill).toBeCloseTo(total.filledM2, 3);
        expect(trees[0]!.overlapByKindM2!.excavation).toBeCloseTo(total.cutM2, 3);
      }),
      { numRuns: runs(15) },
    );
  });

  it('surfaces that change places change cut and fill', () => {
    fc.assert(
      fc.property(surface, surface, (a, b) => {
        const there = job(a, b).grades!.total;
        const back = job(b, a).grades!.total;
        expect(back.filledM2).toBeCloseTo(there.cutM2, 8);
        expect(back.cutM2).toBeCloseTo(there.filledM2, 8);
        expect(back.fillM3).toBeCloseTo(there.cutM3, 8);
        expect(back.cutM3).toBeCloseTo(there.fillM3, 8);
      }),
      { numRuns: runs(40) },
    );
  });

  it('far from the origin the figures are the same', () => {
    fc.assert(
      fc.property(surface, surface, (a, b) => {
        const far = (s: Surface): Surface => faced(pointsOf(s, 2_330_000, 210_000), [...s.faces]);
        const near = job(a, b).grades!.total;
        const there = job(far(a), far(b), { trees: [tree(2_330_001, 210_001, { id: 'T1', dbh_cm: 10 })] }).grades!
          .total;
        expect(there.filledM2).toBeCloseTo(near.filledM2, 6);
        expect(there.cutM3).toBeCloseTo(near.cutM3, 6);
      }),
      { numRuns: runs(40) },
    );
  });
});

function pointsOf({ xy, z }: Surface, dx: number, dy: number): [number, number, number][] {
  return Array.from(z, (h, i) => [xy[i * 2]! + dx, xy[i * 2 + 1]! + dy, h]);
}
