// What the kernel promises for input that is no valid polygon: for any finite numbers it comes to an end, returns
// numbers, and an overlap between nothing and the whole zone. (What figures mean needs valid polygons; see check/index.ts.)
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { Meter } from '../../src/geometry/kernel/meter.js';
import { PieceBuilder } from '../../src/geometry/kernel/pieces.js';
import { compactParts } from '../../src/geometry/kernel/subdivide.js';
import { grownRadius } from '../../src/overlap/regrow.js';
import { runs } from '../support/runs.js';

const nasty = [0, -0, 5e-324, -5e-324, 2.3e-308, 1e-200, 1e-160, 1e-17, 1e15, 1e77, -1e77, 1e154, 1.8e154, 1e308];
const far = [Number.MAX_VALUE, -Number.MAX_VALUE, -1e308, 1, -1, 1 + Number.EPSILON, 0.5];

/** Any finite double: random bits, round numbers near each other (equal points, shared lines), and the hard ones. */
const finite = fc.oneof(
  fc.double({ noNaN: true, noDefaultInfinity: true }),
  fc.integer({ min: -3, max: 3 }),
  fc.constantFrom(...nasty, ...far),
);
const positive = fc.oneof(
  fc.double({ min: Number.MIN_VALUE, noNaN: true, noDefaultInfinity: true }),
  fc.constantFrom(1, 2, 5e-324, 1e-160, 1e-154, 1e-60, 1e15, 1e154, 1.5e154, 1e308, Number.MAX_VALUE),
);
const ring = fc
  .oneof(
    { weight: 6, arbitrary: fc.array(finite, { maxLength: 16 }) },
    { weight: 1, arbitrary: fc.array(finite, { minLength: 64, maxLength: 90 }) }, // long enough for chunks
    {
      weight: 1,
      arbitrary: fc
        .tuple(finite, finite, fc.integer({ min: 1, max: 6 }))
        .map(([x, y, n]) => Array.from({ length: n }, () => [x, y]).flat()),
    },
  )
  .map((flat) => flat.slice(0, flat.length - (flat.length % 2)));
const polygon = fc.record({
  rings: fc.array(ring, { minLength: 1, maxLength: 3 }),
  kind: fc.integer({ min: 0, max: 6 }),
  cuts: fc.boolean(),
});
const scene = fc.record({
  polygons: fc.array(polygon, { maxLength: 5 }),
  x: finite,
  y: finite,
  r: positive,
  radii: fc.tuple(positive, positive, positive, positive),
  turn: finite,
});

const isNumber = (v: number): boolean => !Number.isNaN(v);

describe('kernel on any finite input', () => {
  it('returns numbers, and an overlap between nothing and the whole zone', () => {
    fc.assert(
      fc.property(scene, ({ polygons, x, y, r, radii, turn }) => {
        const b = new PieceBuilder();
        polygons.forEach(({ rings, kind, cuts }, owner) => {
          b.add(rings, { owner, classBit: 8 << kind, cuts });
        });
        const meter = new Meter(b.finish());
        const figures = (): number[] => [
          meter.severed,
          ...Array.from({ length: 7 }, (_, k) => meter.coveredBy(8 << k)),
        ];

        const overlap = meter.discAndNearest(x, y, r);
        const whole = Math.PI * r * r;
        expect(overlap).toBeGreaterThanOrEqual(0);
        expect(overlap).toBeLessThanOrEqual(whole);
        expect(figures().filter((v) => !isNumber(v))).toEqual([]);
        if (meter.nearOwner >= 0) expect(meter.distance).toBeGreaterThanOrEqual(0);
        else expect(meter.distance).toBeNaN(); // nothing within reach

        const shaped = meter.quarters(x, y, radii, turn);
        expect(shaped).toBeGreaterThanOrEqual(0);
        expect(shaped).toBeLessThanOrEqual(Number.POSITIVE_INFINITY);
        expect(figures().filter((v) => !isNumber(v))).toEqual([]);
      }),
      { numRuns: runs(1000), seed: 20_261_125 },
    );
  });

  it('and so in drawn zones, beside hard ground and works drawn back, with what owners take alone', () => {
    const zones = fc.array(fc.array(ring, { minLength: 1, maxLength: 3 }), { minLength: 1, maxLength: 2 });
    const bits = fc.array(fc.constantFrom(1, 4, 8, 16, 32), { minLength: 5, maxLength: 5 });
    fc.assert(
      fc.property(scene, zones, bits, fc.boolean(), ({ polygons, x, y, r, radii, turn }, zone, bit, spared) => {
        const b = new PieceBuilder();
        polygons.forEach(({ rings, cuts }, i) => {
          const classBit = bit[i]!;
          b.add(rings, { owner: i % 3, classBit, cuts: cuts && classBit >= 8 });
        });
        const meter = new Meter(b.finish(), undefined, spared);
        const z = new PieceBuilder();
        for (const rings of zone) z.add(rings, { owner: 0, classBit: 2, cuts: false });
        const within = z.finish();
        for (const measure of [
          () => meter.disc(x, y, r),
          () => meter.quarters(x, y, radii, turn),
          () => meter.polygon(x, y, r, within),
        ]) {
          const overlap = measure();
          meter.touching.findWorst();
          const figures = [overlap, meter.severed, meter.coveredBy(1), meter.covered(), meter.touching.worstM2];
          expect(figures.filter((v) => !isNumber(v))).toEqual([]);
          expect(overlap).toBeGreaterThanOrEqual(0);
        }
        const nominal = Math.PI * r * r;
        if (r < 1e100) expect(grownRadius(meter, x, y, r, nominal)).not.toBeNaN();
      }),
      { numRuns: runs(500), seed: 20_261_125 },
    );
  });

  it('cuts any rings into parts without end or NaN', () => {
    fc.assert(
      fc.property(fc.array(ring, { minLength: 1, maxLength: 3 }), (rings) => {
        for (const part of compactParts(rings)) for (const one of part) expect(one.every(isNumber)).toBe(true);
      }),
      { numRuns: runs(150), seed: 20_261_125 },
    );
  });
});
