// Fewer corners: against the same method of another library, point by point.
import { Clipper } from 'clipper2-ts';
import fc from 'fast-check';
import { expect, it } from 'vitest';
import { simplified } from '../../src/geometry/rings/simplify.js';

const point = fc.record({ x: fc.integer({ min: -9000, max: 9000 }), y: fc.integer({ min: -9000, max: 9000 }) });

it('keeps the points that clipper2-ts keeps', () => {
  fc.assert(
    fc.property(fc.array(point, { maxLength: 60 }), fc.integer({ min: 0, max: 3000 }), (path, tolerance) => {
      expect(simplified(path, tolerance)).toEqual(Clipper.ramerDouglasPeucker(path, tolerance));
    }),
  );
});
