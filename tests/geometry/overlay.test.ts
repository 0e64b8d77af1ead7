// Boolean operations in strips: the same ground as at once, of simple rings, whatever way it is cut; and bounded between looks.
import { union } from 'polyclip-ts';
import { describe, expect, test } from 'vitest';
import { circleRing } from '../../src/geometry/rings/outline.js';
import { overlay, type Sets } from '../../src/geometry/rings/overlay.js';
import { type Ring, ringHolds, twiceArea } from '../../src/geometry/rings/ring.js';
import { joined } from '../../src/geometry/rings/seams.js';
import { lessShape, type Shape, setsOnGrid, shapeArea } from '../../src/geometry/rings/shapes.js';
import { mulberry32 } from '../support/random.js';
import { star } from '../support/shapes.js';

/** Few steps, so that everything is cut. */
const CUT = 60;

function areaBetween(a: Shape, b: Shape): number {
  return shapeArea(lessShape(a, b)) + shapeArea(lessShape(b, a));
}

/** Rings wound as they should be, none with a place twice, holes in their shells, as another engine reads them. */
function expectSound(shape: Shape): void {
  for (const [shell = [], ...holes] of shape) {
    expect(twiceArea(shell)).toBeGreaterThan(0);
    for (const hole of holes) {
      expect(twiceArea(hole)).toBeLessThan(0);
      expect(ringHolds(shell, (hole[0]! + hole[2]!) / 2, (hole[1]! + hole[3]!) / 2)).toBe(true);
    }
  }
  const pairs = (ring: Ring) => Array.from({ length: ring.length / 2 }, (_, i) => [ring[i * 2], ring[i * 2 + 1]]);
  const polygons = shape.map((rings) => [rings.map(pairs)]) as Parameters<typeof union>;
  const other = polygons.length === 0 ? [] : union(...polygons);
  const area = shapeArea(other.map((polygon) => polygon.map((ring) => ring.slice(0, -1).flat())));
  expect(Math.abs(area - shapeArea(shape))).toBeLessThan(0.001);
}

const moved = (ring: Ring, x: number, y: number): number[] => ring.map((v, i) => v + (i % 2 === 0 ? x : y));

describe('in strips', () => {
  test('random stars, clipped, lessened, united: the same ground as at once', () => {
    const random = mulberry32(77);
    const at = (): number => (random() - 0.5) * 16;
    for (let round = 0; round < 60; round++) {
      const stars = (n: number): Ring[] =>
        Array.from({ length: n }, () =>
          moved(
            star(random).map((v) => v * 4),
            at(),
            at(),
          ),
        );
      const sets: Sets = {
        subject: stars(2 + Math.floor(random() * 12)),
        clip: round % 3 === 0 ? null : [circleRing(7)],
        less: stars(Math.floor(random() * 4)),
      };
      const once = setsOnGrid(sets);
      const cut = overlay(sets, setsOnGrid, undefined, CUT);
      // Each of some hundred places where a line crosses an edge moves it by less than a millimetre.
      expect(areaBetween(once, cut)).toBeLessThan(0.03);
      expectSound(cut);
    }
  });

  test('a grid of squares stays its squares, and a slab with holes one polygon with as many holes', () => {
    const square = (i: number, size: number): number[] => {
      const [x, y] = [i % 20, Math.floor(i / 20)];
      return [x, y, x + size, y, x + size, y + size, x, y + size];
    };
    const squares = Array.from({ length: 400 }, (_, i) => square(i, 0.7));
    const cut = overlay({ subject: squares, clip: null, less: [] }, setsOnGrid, undefined, CUT);
    expect(cut).toHaveLength(400);
    expect(shapeArea(cut)).toBeCloseTo(400 * 0.49, 6);
    const slab = [[-1, -1, 21, -1, 21, 21, -1, 21]];
    const left = overlay({ subject: slab, clip: null, less: squares }, setsOnGrid, undefined, CUT);
    expect(left.map((rings) => rings.length)).toEqual([401]);
    expect(shapeArea(left)).toBeCloseTo(22 * 22 - 400 * 0.49, 6);
    expectSound(left);
  });

  test('a ring round everything and an island in its hole are two polygons', () => {
    const ring = [circleRing(9), [...circleRing(6)], circleRing(3)];
    const sets: Sets = { subject: [ring[0]!], clip: null, less: [] };
    const less = overlay({ ...sets, less: [ring[1]!] }, setsOnGrid, undefined, CUT);
    const all = overlay({ subject: [...less.flat(), ring[2]!], clip: null, less: [] }, setsOnGrid, undefined, CUT);
    expect(all.map((rings) => rings.length).sort()).toEqual([1, 2]);
    expect(shapeArea(all)).toBeCloseTo(Math.PI * (81 - 36 + 9), 1);
    expectSound(all);
  });

  test('pieces that touch in a point of a seam stay two', () => {
    const west = [[[0, 0, 1, 0, 1, 1, 0, 1]]];
    const east = [[[1, 1, 2, 1, 2, 2, 1, 2]]];
    const shape = joined([
      { west: 0, east: 1, shape: west },
      { west: 1, east: 2, shape: east },
    ]);
    expect(shape).toHaveLength(2);
    expect(shapeArea(shape)).toBe(2);
  });

  test('a seam that one side half covers leaves the other half as an edge', () => {
    const shape = joined([
      { west: 0, east: 1, shape: [[[0, 0, 1, 0, 1, 2, 0, 2]]] },
      { west: 1, east: 2, shape: [[[1, 1, 2, 1, 2, 3, 1, 3]]] },
    ]);
    expect(shape).toHaveLength(1);
    expect(shapeArea(shape)).toBe(4);
    expectSound(shape);
  });
});

describe('bounded', () => {
  /** A comb: all its edges are open at every height between, so that at once it takes steps like the square of its teeth. */
  const comb = (teeth: number): Ring => {
    const ring: number[] = [];
    for (let i = 0; i < 2 * teeth; i++) {
      const off = (i * 0.618) % 1; // every tooth of another height
      ring.push(-9 + (i * 9) / teeth, i % 2 === 0 ? 8 + off : 3 + off);
    }
    return [...ring, 9, 9.5, -9, 9.5];
  };

  test('every call of the engine is of few steps, and the signal is looked at before each', () => {
    for (const teeth of [1000, 4000]) {
      let [calls, looks, most] = [0, 0, 0];
      const counting = (sets: Sets): Shape => {
        calls++;
        most = Math.max(most, sets.subject.flat().length);
        return setsOnGrid(sets);
      };
      const shape = overlay({ subject: [comb(teeth)], clip: [circleRing(10)], less: [] }, counting, () => looks++);
      expect(shapeArea(shape)).toBeGreaterThan(20);
      expect(looks).toBeGreaterThan(teeth / 300);
      expect(calls).toBeLessThanOrEqual(2 * looks);
      expect(most).toBeLessThan(4000);
    }
  });

  test('a signal stops it between two strips', () => {
    let looks = 0;
    const stop = (): void => {
      looks++;
      if (looks === 3) throw new Error('stopped');
    };
    const draw = () => overlay({ subject: [comb(3000)], clip: [circleRing(10)], less: [] }, setsOnGrid, stop);
    expect(draw).toThrow('stopped');
    expect(looks).toBe(3);
  });
});
