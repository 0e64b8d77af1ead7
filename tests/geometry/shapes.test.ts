// Drawn shapes: areas against the exact figures, nesting, and rings that hang the clipping library.
import { intersection, union } from 'polyclip-ts';
import { describe, expect, it } from 'vitest';
import { Meter } from '../../src/geometry/kernel/meter.js';
import { PieceBuilder } from '../../src/geometry/kernel/pieces.js';
import { nearPart } from '../../src/geometry/rings/near-part.js';
import { circleRing } from '../../src/geometry/rings/outline.js';
import { signedArea } from '../../src/geometry/rings/ring.js';
import {
  insideOf,
  lessShape,
  lessTurned,
  type Ring,
  shadowOf,
  shapeArea,
  unionShape,
  widenedShape,
} from '../../src/geometry/rings/shapes.js';
import { mulberry32 } from '../support/random.js';
import { rect, reversed, star } from '../support/shapes.js';

describe('drawn shapes', () => {
  it('overlap and severed ground of random works have the exact area, shells left, holes right', () => {
    const random = mulberry32(5);
    for (let round = 0; round < 60; round++) {
      const rings = Array.from({ length: 1 + Math.floor(random() * 4) }, () => star(random).map((v) => v * 6));
      const b = new PieceBuilder();
      rings.forEach((ring, i) => {
        b.add([ring], { owner: i, classBit: 8, cuts: true });
      });
      const meter = new Meter(b.finish());
      const exact = meter.disc(0, 0, 6);
      const severed = meter.severed;
      const outline = circleRing(6);
      const pieces = meter.piecesNear(0, 0, 6);
      const overlap = insideOf(pieces, [[outline]], exact);
      const shadow = shadowOf(meter.shadow(0, 0, 6), pieces, [[outline]], severed);
      expect(overlap.ok && shadow.ok).toBe(true);
      expect(Math.abs(shapeArea(overlap.shape) - exact)).toBeLessThan(0.1);
      expect(Math.abs(shapeArea(shadow.shape) - severed)).toBeLessThan(0.1);
      for (const polygon of [...overlap.shape, ...shadow.shape]) {
        polygon.forEach((ring, i) => {
          expect(signedArea(ring) > 0).toBe(i === 0);
        });
      }
    }
  });

  it('another engine, and the same one turned, get the same areas', () => {
    const random = mulberry32(23);
    const pairs = (ring: Ring) => Array.from({ length: ring.length / 2 }, (_, i) => [ring[i * 2], ring[i * 2 + 1]]);
    const clip = [[circleRing(6)]];
    for (let round = 0; round < 40; round++) {
      const pieces = Array.from({ length: 1 + Math.floor(random() * 4) }, () => [star(random).map((v) => v * 6)]);
      const polygons = pieces.map((rings) => [rings.map(pairs)]) as Parameters<typeof union>;
      const other = intersection(union(...polygons), [[pairs(circleRing(6))]] as never);
      const area = shapeArea(other.map((polygon) => polygon.map((ring) => ring.slice(0, -1).flat())));
      const { shape, ok } = insideOf(pieces, clip, area);
      expect(ok).toBe(true);
      expect(Math.abs(shapeArea(shape) - area)).toBeLessThan(0.03);
      const left = shapeArea(lessTurned(clip, shape));
      expect(Math.abs(left - shapeArea(lessShape(clip, shape)))).toBeLessThan(0.03);
      expect(Math.abs(left + area - shapeArea(clip))).toBeLessThan(0.03);
    }
  });

  it('corners beyond a zone are left out without moving a millimetre of what is inside it', () => {
    const random = mulberry32(11);
    let left = 0;
    for (let round = 0; round < 80; round++) {
      // a road that winds across, there and back; or a star far larger than the zone
      const along = Array.from({ length: 60 }, (_, i) => [i * 2 - 60, random() * 6 - 3] as const);
      const back = along.toReversed().map(([x, y]) => [x, y + 2] as const);
      const ring = round % 2 === 0 ? [...along, ...back].flat() : star(random).map((v) => v * (6 + random() * 40));
      const near = nearPart(ring, 7);
      left += ring.length - near.length;
      const clip = [[circleRing(6)]];
      expect(insideOf([[near]], clip, 0).shape).toEqual(insideOf([[ring]], clip, 0).shape);
    }
    expect(left).toBeGreaterThan(1000);
  });

  it('a trench right round the trunk severs a ring with a hole', () => {
    const b = new PieceBuilder();
    b.add([rect(-2, -2, 2, 2), reversed(rect(-1, -1, 1, 1))], { owner: 0, classBit: 16, cuts: true });
    const meter = new Meter(b.finish());
    meter.disc(0, 0, 5);
    expect(meter.severed).toBeCloseTo(Math.PI * 25 - 16, 9);
    const drawn = shadowOf(meter.shadow(0, 0, 5), meter.piecesNear(0, 0, 5), [[circleRing(5)]], meter.severed);
    expect(drawn.ok).toBe(true);
    expect(drawn.shape).toHaveLength(1);
    expect(drawn.shape[0]).toHaveLength(2);
  });

  it('ends on a ring that runs back along itself, on which clipper2-ts 2.0.1 alone never does', () => {
    const spiky = [100, 300, 300, 0, 200, 0, 0, 0, 200, 0, 300, 0, 200, 300];
    expect(shapeArea(unionShape([[spiky]]))).toBeCloseTo(15_000, 3);
  });

  it('a widened shape keeps what is left of a hole, and drops one that closes: closed forms', () => {
    const square = rect(0, 0, 10, 10);
    const hole = (width: number) => reversed(rect(1, 1, 1 + width, 9));
    const area = (...holes: number[][]) => shapeArea(widenedShape([[square, ...holes]], 1.5));
    expect(area()).toBeCloseTo(13 * 13, 6); // corners mitred
    expect(area(hole(4))).toBeCloseTo(13 * 13 - 1 * 5, 6);
    expect(area(hole(2.9))).toBeCloseTo(13 * 13, 6);
    expect(area(hole(3.002))).toBeCloseTo(13 * 13 - 0.002 * 5, 6);
  });

  it('a grating of thousands of holes is widened to its outline', () => {
    const holes = Array.from({ length: 8100 }, (_, i) => {
      const [x, y] = [1 + (i % 90) * 0.2, 1 + Math.floor(i / 90) * 0.2];
      return reversed(rect(x, y, x + 0.15, y + 0.15));
    });
    expect(widenedShape([[rect(0, 0, 20, 20), ...holes]], 1.5)).toEqual(widenedShape([[rect(0, 0, 20, 20)]], 1.5));
  });
});
