// Fewer corners outside a ring: all of it stays inside, nothing lies farther out than asked, straight shapes stay.
import { describe, expect, test } from 'vitest';
import { fewerCorners } from '../../src/geometry/rings/fewer-corners.js';
import { box, localJob } from '../support/local-job.js';

const OUT = 0.08;
const circle = (radius: number, n: number): number[] =>
  Array.from({ length: n }, (_, i) => {
    const a = (2 * Math.PI * i) / n;
    return [radius * Math.cos(a), radius * Math.sin(a)];
  }).flat();
const areaOf = (ring: readonly number[]): number => {
  let twice = 0;
  for (let i = 0; i < ring.length; i += 2) {
    const j = (i + 2) % ring.length;
    twice += ring[i]! * ring[j + 1]! - ring[j]! * ring[i + 1]!;
  }
  return twice / 2;
};

describe('a circle of many pieces', () => {
  test.each([
    [3, 400],
    [10, 720],
    [40, 400],
  ])('of radius %f and %i corners', (radius, n) => {
    const ring = circle(radius, n);
    const few = fewerCorners(ring, OUT);
    expect(few.length).toBeLessThan(ring.length / 2);
    // every line of it passes outside the circle's own corners, every corner no farther out than asked
    for (let i = 0; i < few.length; i += 2) {
      const j = (i + 2) % few.length;
      const [ax, ay, bx, by] = [few[i], few[i + 1], few[j], few[j + 1]] as [number, number, number, number];
      expect(Math.hypot(ax, ay)).toBeLessThanOrEqual(radius + OUT + 1e-9);
      const away = (ax * by - ay * bx) / Math.hypot(bx - ax, by - ay);
      expect(away).toBeGreaterThanOrEqual(radius * Math.cos(Math.PI / n) - 1e-9);
    }
    // at most the ring of width OUT round it
    expect(areaOf(few)).toBeGreaterThanOrEqual(areaOf(ring));
    expect(areaOf(few)).toBeLessThan(Math.PI * (radius + OUT) ** 2);
  });

  test('as a hole stays open: nothing in it bulges', () => {
    const hole = circle(5, 60).map((value, i) => (i % 2 === 0 ? value : -value)); // clockwise
    expect(fewerCorners(hole, OUT)).toBe(hole);
  });
});

test('squares and triangles stay', () => {
  for (const ring of [circle(5, 4), circle(5, 3), [0, 0, 9, 0, 9, 4, 4, 4, 4, 9, 0, 9]]) {
    expect(fewerCorners(ring, OUT)).toBe(ring);
  }
});

test('the fence round a hedge has posts by its length, not by its arcs', () => {
  const [fence] = localJob([box(0, 0, 18, 6, { dbh_in: 8 })], []).fences.fences;
  // 2 (18 + 6) + 2 pi R, R = 8 ft: a post every 10 ft and a corner every chord of 8 cm on the arcs
  const length = 48 + 2 * Math.PI * 8 * 0.3048;
  expect(fence?.lengthM! / length).toBeGreaterThan(0.9999);
  expect(fence?.lengthM! / length).toBeLessThan(1.01);
  expect(fence?.posts!).toBeLessThan(45);
});
