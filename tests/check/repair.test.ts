// Repair on its own: in: segments and rings that once went wrong; out: segments that meet at ends, polygons.
import { describe, expect, it } from 'vitest';
import { ringsOf } from '../../src/geometry/rings/even-odd.js';
import { nodeSegments } from '../../src/geometry/rings/noding.js';
import { evenOddRepair } from '../../src/geometry/rings/repair.js';

describe('cutting segments', () => {
  it('settles where the two diagonals of one grid step cross', () => {
    expect(nodeSegments([0, 0, 1, 1, 0, 1, 1, 0])).not.toBeNull();
  });

  it('settles where three rings almost share a point and rounded crossings would creep', () => {
    const rings = [
      [3, 9, 14, 17, 14, 13],
      [17, 13, 13, 12, 3, 10, 18, 13],
      [19, 17, 12, 10, 17, 18, 16, 16],
    ];
    const xy = Float64Array.from(rings.flat(), (v) => v * 1e-5);
    expect(evenOddRepair(xy, [0, 3, 7, 11], 0, 3)).not.toBeNull();
  });

  it('drops what is there twice and keeps what is there three times once', () => {
    expect(nodeSegments([0, 0, 5, 0, 5, 0, 0, 0])).toEqual([]);
    expect(nodeSegments([0, 0, 5, 0, 5, 0, 0, 0, 0, 0, 5, 0])).toEqual([0, 0, 5, 0]);
    expect(nodeSegments([0, 0, 5, 0, 3, 0, 9, 0])).toEqual([0, 0, 3, 0, 5, 0, 9, 0]);
  });
});

describe('rings of segments', () => {
  it('parts a square from the island in its hole', () => {
    const square = (x: number, side: number): number[] => {
      const y = x + side;
      return [x, x, y, x, y, x, y, y, y, y, x, y, x, y, x, x];
    };
    const sets = ringsOf([...square(0, 9), ...square(2, 5), ...square(3, 2)]);
    expect(sets.map((set) => set.length)).toEqual([2, 1]);
    expect(ringsOf([])).toEqual([]);
  });
});
