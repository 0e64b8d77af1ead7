// Outlines moved by themselves: closed forms, ties, what it costs; many scenes against GEOS stand in properties/margins.test.ts.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { MovedOutline, Steps } from '../../src/assess/moved-outline.js';
import { clusters, edgesThatMeet } from '../../src/geometry/rings/meetings.js';
import { MovingBoundary, movedBoundary } from '../../src/geometry/rings/moved.js';
import { signedArea } from '../../src/geometry/rings/ring.js';
import type { Ring } from '../../src/geometry/rings/shapes.js';

const square = (x: number, y: number, side: number): number[] => [x, y, x + side, y, x + side, y + side, x, y + side];
const hole = (x: number, y: number, side: number): number[] => [x, y, x, y + side, x + side, y + side, x + side, y];
const area = (rings: readonly Ring[] | null): number =>
  rings?.reduce((sum, ring) => sum + signedArea(ring), 0) ?? Number.NaN;
const free = (): void => {};

describe('a boundary moved by itself', () => {
  it('outwards: sides, and quarters of a circle at the corners (Steiner 1840: A + L d + pi d^2)', () => {
    // chords hold the area of their arc but for their ends
    expect(Math.abs(area(movedBoundary([square(0, 0, 4)], 1, free)) - (16 + 16 + Math.PI))).toBeLessThan(1e-4);
  });
  it('inwards: square corners; nothing where it is no wider than twice the distance', () => {
    expect(area(movedBoundary([square(0, 0, 4)], -1, free))).toBeCloseTo(4, 6);
    expect(movedBoundary([square(0, 0, 4)], -2.001, free)).toEqual([]);
    expect(movedBoundary([square(0, 0, 4)], -2, free)).toEqual([]); // to the tie
  });
  it('a yard shrinks as the walls about it grow, and is gone when they meet', () => {
    const walls = [square(0, 0, 10), hole(3, 3, 4)];
    const outer = (d: number): number => 100 + 40 * d + Math.PI * d * d;
    expect(Math.abs(area(movedBoundary(walls, 1, free)) - (outer(1) - 4))).toBeLessThan(1e-4);
    expect(Math.abs(area(movedBoundary(walls, 2, free)) - outer(2))).toBeLessThan(1e-4);
    expect(Math.abs(area(movedBoundary(walls, 3, free)) - outer(3))).toBeLessThan(1e-4);
    // drawn back by 1: a frame of 8 less a yard of 4 with round corners
    expect(Math.abs(area(movedBoundary(walls, -1, free)) - (64 - 16 - 16 - Math.PI))).toBeLessThan(1e-4);
  });
  it('two blocks whose gap closes grow into one', () => {
    const two = [square(0, 0, 2), square(3, 0, 2)];
    expect(movedBoundary(two, 0.49, free)).toHaveLength(2);
    const one = movedBoundary(two, 0.51, free);
    expect(one).toHaveLength(1);
    // two capsuled squares less what both hold: about the notch, two sectors of half-angle acos(0.5 / 0.51)
    const [d, h] = [0.51, 0.5];
    const lens = 2 * (h + 0.5) * (2 * (d - h)); // sides of 2 m face each other over 2 (d - h)
    const segment = d * d * Math.acos(h / d) - h * Math.sqrt(d * d - h * h);
    expect(Math.abs(area(one) - (2 * (4 + 8 * d + Math.PI * d * d) - lens - 2 * segment))).toBeLessThan(1e-3);
  });
  it('is the same wherever it lies', () => {
    const away = movedBoundary([square(900, -900, 4), hole(901, -899, 1)], 0.3, free);
    expect(area(away)).toBeCloseTo(area(movedBoundary([square(0, 0, 4), hole(1, 1, 1)], 0.3, free)), 6);
  });
  it('a comb of teeth much narrower than the distance costs its neighbours, not their square', () => {
    const cost = (teeth: number): number => {
      const edge = Array.from({ length: 2 * teeth }, (_, i) => [-9 + (i * 9) / teeth, i % 2 === 0 ? 8 : 3]).flat();
      let steps = 0;
      const moved = movedBoundary([[...edge, 9, 9, -9, 9]], 0.1, (n) => {
        steps += n;
      });
      expect(area(moved)).toBeGreaterThan(100);
      return steps;
    };
    expect(cost(800) / cost(200)).toBeLessThan(12); // 4 would be in step, 16 the square
  });
  it('by one distance after another, to and fro: each as by itself', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 4, max: 60 }),
        fc.array(fc.double({ min: 0, max: 1, noNaN: true }), { minLength: 60, maxLength: 60 }),
        fc.array(fc.double({ min: 0.001, max: 5, noNaN: true }), { minLength: 2, maxLength: 8 }),
        fc.constantFrom(1 as const, -1 as const),
        (corners, depths, distances, side) => {
          const star = Array.from({ length: corners }, (_, k) => {
            const [angle, r] = [(2 * Math.PI * k) / corners, 10 - 7 * depths[k]!];
            return [r * Math.cos(angle), r * Math.sin(angle)];
          }).flat();
          const yard = hole(-0.5, -0.5, 1);
          const moving = new MovingBoundary([star, yard], side, free);
          for (const by of distances) {
            const alone = movedBoundary([star, yard], side * by, free);
            expect(moving.at(by)?.length).toBe(alone?.length);
            expect(area(moving.at(by))).toBeCloseTo(area(alone), 6);
          }
        },
      ),
    );
  });
  it('stops when its caller has had enough', () => {
    const enough = (): void => {
      throw new Error('enough');
    };
    expect(() => movedBoundary([square(0, 0, 4)], 1, enough)).toThrow('enough');
  });
  it('is stopped in the middle of a move that takes long', () => {
    const stop = (): void => {
      throw new Error('stopped');
    };
    const ring = Array.from(
      { length: 20_000 },
      (_, i) => 5 * (i % 2 === 0 ? Math.cos : Math.sin)((Math.PI * (i >> 1)) / 5000),
    );
    expect(() => new MovedOutline([ring], 1, 9, new Steps(undefined, stop)).at(2)).toThrow('stopped');
  });
  it('no rings, and rings without ground, move to none', () => {
    expect(movedBoundary([], 1, free)).toEqual([]);
    expect(movedBoundary([[0, 0, 1, 0]], 1, free)).toEqual([]);
  });
});

describe('what a union will cost', () => {
  it('boxes that meet, or by way of others, belong together', () => {
    expect(
      clusters([
        [0, 0, 2, 2],
        [5, 0, 6, 1],
        [1, 1, 3, 3],
        [3, 3, 4, 4],
      ]),
    ).toEqual([[0, 2, 3], [1]]);
    expect(clusters([])).toEqual([]);
  });
  it('bars across each other meet four times each', () => {
    const bar = (at: number): number[] => [at, -9, at + 1, -9, at + 1, 9, at, 9];
    const across = (at: number): number[] => [-9, at, 9, at, 9, at + 1, -9, at + 1];
    const own = edgesThatMeet([bar(0)], 99);
    const rings = [bar(0), bar(3), bar(6), across(0), across(3)];
    expect(edgesThatMeet(rings, 99) - own * rings.length).toBe(3 * 2 * 4);
    expect(edgesThatMeet(rings, 3)).toBeGreaterThan(3);
  });
});
