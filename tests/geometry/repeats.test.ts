// Rings that come to a place twice: against a set of texts.
import fc from 'fast-check';
import { expect, it } from 'vitest';
import { comesTwice } from '../../src/geometry/rings/repeats.js';

it('says what a set of all places says', () => {
  const place = fc.tuple(fc.integer({ min: -40, max: 40 }), fc.integer({ min: -3, max: 3 }));
  fc.assert(
    fc.property(fc.array(place, { minLength: 3, maxLength: 60 }), (places) => {
      const ring = places.flatMap(([x, y]) => [x / 8, y / 8]);
      expect(comesTwice(ring)).toBe(new Set(places.map(([x, y]) => `${x + 0} ${y + 0}`)).size < places.length);
    }),
  );
});
it('0 and -0 are one place', () => {
  expect(comesTwice([0, 1, 2, 2, -0, 1])).toBe(true);
  expect(comesTwice([0, 1, 2, 2, 1, 0])).toBe(false);
});
