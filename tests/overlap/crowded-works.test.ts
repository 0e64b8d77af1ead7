// Works that crowd a zone: drawn from a union that trees share, and still of the exact area, whoever else is drawn.
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { type Ring, shapeArea, unionOfMany, unionShape } from '../../src/geometry/rings/shapes.js';
import { toGeoJSON } from '../../src/write/index.js';
import { box, localJob, tree } from '../support/local-job.js';
import { runs } from '../support/runs.js';

const options = { margins: false };
const pavers = Array.from({ length: 400 }, (_, i) => {
  const [x, y] = [4 + (i % 20) * 0.5, (Math.floor(i / 20) - 10) * 0.5];
  return box(x, y, x + 0.47, y + 0.47, { kind: 'excavation' });
});
const trees = [0, 0.3, 1.1, 2.9].map((x, i) => tree(x, x / 3, { dbh_in: 22 + i }));

describe('a zone crowded with works', () => {
  const assessment = localJob(trees, pavers, { options });

  test('is drawn with the exact area of overlap and of severed ground', () => {
    for (const [row, result] of assessment.trees.entries()) {
      const shapes = assessment.shapes(row);
      expect(result.overlapM2).toBeGreaterThan(5);
      expect(shapes.overlap.length).toBeGreaterThan(50);
      expect([...shapes.findingsOf('overlap'), ...shapes.findingsOf('severed')]).toEqual([]);
    }
  });

  test('is drawn alike alone and among others, first or last', () => {
    const drawn = (of: readonly number[], row: number): string => {
      const job = localJob(
        of.map((i) => trees[i]!),
        pavers,
        { options },
      );
      for (let i = of.length - 1; i >= 0; i--) void job.shapes(i).overlap;
      const { overlap, severed } = job.shapes(row);
      return JSON.stringify([overlap, severed]);
    };
    expect(drawn([0, 1, 2, 3], 2)).toBe(drawn([2], 0));
    expect(drawn([3, 0, 2], 2)).toBe(drawn([2], 0));
  });

  test('writes valid rings: none shorter than a triangle, all closed', () => {
    const { features } = toGeoJSON(assessment, { roles: ['overlap', 'severed'] });
    expect(features.length).toBeGreaterThanOrEqual(trees.length);
    for (const { geometry } of features) {
      const polygons = geometry?.type === 'Polygon' ? [geometry.coordinates] : [];
      for (const ring of polygons.flat()) {
        expect(ring.length).toBeGreaterThanOrEqual(4);
        expect(ring.at(-1)).toEqual(ring[0]);
      }
    }
  });
});

test('a union by halves covers what a union at once covers', () => {
  const coordinate = fc.double({ min: -3, max: 3, noNaN: true });
  const side = fc.double({ min: 1, max: 6, noNaN: true });
  fc.assert(
    fc.property(fc.array(fc.tuple(coordinate, coordinate, side), { minLength: 40, maxLength: 120 }), (squares) => {
      const pieces = squares.map(([x, y, s]): Ring[] => [[x, y, x + s, y, x + s, y + s, x, y + s]]);
      expect(shapeArea(unionOfMany(pieces))).toBeCloseTo(shapeArea(unionShape(pieces)), 1);
    }),
    { numRuns: runs(30) },
  );
});
