// Which trees are fenced together, on a plane: those of one place are looked at once.
import { expect, test } from 'vitest';
import type { Frame } from '../../src/model/index.js';
import { groupsOf } from '../../src/plan/fence/groups.js';

const PER_DEGREE = 111_195; // metres on a sphere, nearly
const frame = {
  toFrame(from: Float64Array, to: Float64Array) {
    for (let i = 0; i < from.length; i++) to[i] = from[i]! * PER_DEGREE;
  },
} as unknown as Frame;
const at = (row: number, eastM: number, reachM: number) => ({ row, lon: eastM / PER_DEGREE, lat: 0, reachM });
const rows = (groups: ReturnType<typeof groupsOf>): number[][] => groups.map((group) => group.map(({ row }) => row));

test('trees of one place and their neighbours, without a look at every pair', () => {
  let looks = 0;
  const frameAt = (): Frame => {
    looks++;
    return frame;
  };
  // in turn a stem of one clump, one of another 9 m on, and one of a third that touches neither
  const trees = Array.from({ length: 900 }, (_, i) => at(i, [0, 9, 30][i % 3]!, 5));
  expect(rows(groupsOf(trees, frameAt))).toEqual([
    trees.filter((_, i) => i % 3 < 2).map(({ row }) => row),
    trees.filter((_, i) => i % 3 === 2).map(({ row }) => row),
  ]);
  expect(looks).toBeLessThan(trees.length);
});

test('a larger reach at the same place joins what the smaller does not', () => {
  expect(rows(groupsOf([at(0, 0, 2), at(1, 9, 5)], () => frame))).toEqual([[0], [1]]);
  expect(rows(groupsOf([at(0, 0, 2), at(1, 9, 5), at(2, 0, 5)], () => frame))).toEqual([[0, 1, 2]]);
});
