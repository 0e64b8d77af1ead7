// What must always hold of crowns: a quarter turn swaps the radii, a growing clearance never lowers the overlap, a
// building raised never conflicts less, splitting a building changes nothing, figures stay within the crown.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type Building, crownOf } from '../support/crowns.js';
import { runs } from '../support/runs.js';

const radius = fc.double({ min: 0.5, max: 9, noNaN: true });
const radii = fc.tuple(radius, radius, radius, radius);
const place = fc.double({ min: -10, max: 10, noNaN: true });
const size = fc.double({ min: 0.3, max: 8, noNaN: true });
const house = fc
  .tuple(place, place, size, size)
  .map(([x, y, w, h]): number[] => [x, y, x + w, y, x + w, y + h, x, y + h]);
const RUNS = { numRuns: runs(20) };

const tree = ([n, e, s, w]: readonly number[], more: Record<string, number> = {}): Record<string, number> => ({
  crown_n_m: n!,
  crown_e_m: e!,
  crown_s_m: s!,
  crown_w_m: w!,
  ...more,
});
const buildings = (rings: readonly number[][], height?: number): Building[] =>
  rings.map((ring) => ({ ring, ...(height === undefined ? {} : { height_m: height }) }));
/** A quarter turn clockwise: what lay north lies east. */
const turned = (ring: readonly number[]): number[] => {
  const out: number[] = [];
  for (let i = 0; i < ring.length; i += 2) out.push(ring[i + 1]!, -ring[i]!);
  return out;
};

describe('crowns', () => {
  it('turn with the buildings when their radii swap', () => {
    fc.assert(
      fc.property(radii, fc.array(house, { minLength: 1, maxLength: 3 }), ([n, e, s, w], rings) => {
        const before = crownOf(tree([n, e, s, w]), buildings(rings));
        const after = crownOf(tree([w, n, e, s]), buildings(rings.map(turned)));
        expect(after.overlapM2).toBeCloseTo(before.overlapM2, 7);
        expect(after.arcDegrees).toBeCloseTo(before.arcDegrees, 5);
        expect(after.works).toBe(before.works);
      }),
      RUNS,
    );
  });

  it('lose no less with more clearance', () => {
    fc.assert(
      fc.property(radii, house, fc.double({ min: 0, max: 2, noNaN: true }), size, (four, ring, less, more) => {
        const near = crownOf(tree(four), buildings([ring]), { clearanceM: less });
        const far = crownOf(tree(four), buildings([ring]), { clearanceM: less + more });
        expect(far.overlapM2).toBeGreaterThanOrEqual(near.overlapM2 - 1e-6);
        expect(far.arcDegrees).toBeGreaterThanOrEqual(near.arcDegrees - 1e-4);
      }),
      RUNS,
    );
  });

  it('lose no less to a higher building, and lift by as much as it rises', () => {
    fc.assert(
      fc.property(radii, house, size, size, (four, ring, low, more) => {
        const base = 4;
        const one = crownOf(tree(four, { crown_base_m: base }), buildings([ring], low));
        const two = crownOf(tree(four, { crown_base_m: base }), buildings([ring], low + more));
        expect(two.overlapM2).toBeGreaterThanOrEqual(one.overlapM2);
        if (one.liftM !== null) expect(two.liftM).toBeCloseTo(one.liftM + more, 9);
      }),
      RUNS,
    );
  });

  it('see one building in two halves as one', () => {
    fc.assert(
      fc.property(radii, place, place, size, size, (four, x, y, w, h) => {
        const box = (x0: number, x1: number): number[] => [x0, y, x1, y, x1, y + h, x0, y + h];
        const whole = crownOf(tree(four), buildings([box(x, x + w)]));
        const halves = crownOf(tree(four), buildings([box(x, x + w / 2), box(x + w / 2, x + w)]));
        expect(halves.overlapM2).toBeCloseTo(whole.overlapM2, 7);
        expect(halves.arcDegrees).toBeCloseTo(whole.arcDegrees, 4);
        expect(whole.overlapM2).toBeLessThanOrEqual(Math.min(whole.areaM2, w * h) + 1e-9);
        expect(whole.arcDegrees).toBeLessThanOrEqual(360 + 1e-9);
      }),
      RUNS,
    );
  });
});
