// What the kernel tells beside the plain overlap, on random scenes: works taken alone, hard ground, polygon zones, zones
// grown round hard ground; against GEOS, or against the kernel itself with something left out.
import fc from 'fast-check';
import { beforeAll, describe, expect, it } from 'vitest';
import { Meter } from '../../src/geometry/kernel/meter.js';
import { EXISTING, indexedPieces, PieceBuilder, type Pieces, WITHIN } from '../../src/geometry/kernel/pieces.js';
import { addLine } from '../../src/geometry/kernel/strip.js';
import { grownRadius } from '../../src/overlap/regrow.js';
import { type GeosEngine, geosEngine } from '../support/geos.js';
import { mulberry32 } from '../support/random.js';
import { runs } from '../support/runs.js';
import { rect, reversed, star } from '../support/shapes.js';

type Rings = readonly (readonly number[])[];

let geos: GeosEngine;
beforeAll(async () => {
  geos = await geosEngine();
});
const RUNS = { numRuns: runs(60), seed: 20_261_125 };

/** A star, now and then with a smaller copy of itself as a hole; sizes of a site, metres. */
const polygon = fc.integer().map((seed): Rings => {
  const random = mulberry32(seed);
  const centred = star(random, 0);
  const [dx, dy] = [(random() - 0.5) * 12, (random() - 0.5) * 12];
  const at = (ring: readonly number[], size: number): number[] =>
    ring.map((v, i) => v * size + (i % 2 === 0 ? dx : dy));
  const shell = at(centred, 4);
  // with six corners no two are half a turn apart, so that the smaller copy lies inside
  return shell.length >= 12 && random() < 0.5 ? [shell, reversed(at(centred, 2.2))] : [shell];
});
/** A trench: its corners, its width. */
const line = fc.record({
  corners: fc.array(fc.double({ min: -8, max: 8, noNaN: true }), { minLength: 4, maxLength: 8 }),
  width: fc.double({ min: 0.2, max: 3, noNaN: true }),
});
interface Work {
  readonly owner: number;
  readonly kind: number;
  readonly cuts: boolean;
  readonly shape: Rings | { readonly corners: readonly number[]; readonly width: number };
}
const works = fc.array(
  fc.record({
    owner: fc.integer({ min: 0, max: 3 }),
    kind: fc.integer({ min: 0, max: 6 }),
    cuts: fc.boolean(),
    shape: fc.oneof({ weight: 3, arbitrary: polygon }, { weight: 1, arbitrary: line }),
  }),
  { minLength: 1, maxLength: 7 },
);
const radii = fc.tuple(...([1, 2, 3, 4] as const).map(() => fc.double({ min: 1, max: 9, noNaN: true })));

function piecesOf(list: readonly Work[], hard: readonly Rings[] = []): Pieces {
  const b = new PieceBuilder();
  for (const { owner, kind, cuts, shape } of list) {
    const tag = { owner, classBit: 8 << kind, cuts };
    if (!('corners' in shape)) b.add(shape, tag);
    else addLine(b, Float64Array.from(shape.corners), 0, Math.floor(shape.corners.length / 2), shape.width, 0, tag);
  }
  for (const rings of hard) b.add(rings, { owner: 0, classBit: EXISTING, cuts: false });
  return b.finish();
}

function zonePieces(zone: readonly Rings[]): { readonly pieces: Pieces; readonly reach: number } {
  const b = new PieceBuilder();
  for (const rings of zone) b.add(rings, { owner: 0, classBit: WITHIN, cuts: false });
  const corners = zone.flat(2);
  let reach = 0;
  for (let i = 0; i < corners.length; i += 2) {
    reach = Math.max(reach, Math.hypot(corners[i]!, corners[i + 1]!));
  }
  return { pieces: b.finish(), reach };
}

/** Zone by name -> what a meter takes of it. */
const ZONES = {
  disc: (meter: Meter) => meter.disc(0, 0, 6),
  quarters: (meter: Meter, four: readonly number[]) =>
    meter.quarters(0, 0, four as unknown as [number, number, number, number], 0.3),
  polygon: (meter: Meter, _four: readonly number[], zone: readonly Rings[]) => {
    const { pieces, reach } = zonePieces(zone);
    return meter.polygon(0, 0, reach, pieces);
  },
};

describe('works taken alone', () => {
  for (const name of Object.keys(ZONES) as (keyof typeof ZONES)[]) {
    it(`are what the union loses without that owner: ${name}`, () => {
      const hard = fc.array(polygon, { maxLength: 2 });
      const property = fc.property(
        works,
        hard,
        fc.boolean(),
        radii,
        fc.array(polygon, { minLength: 1, maxLength: 2 }),
        (list, existing, spared, four, zone) => {
          const covered = (of: readonly Work[]): { readonly area: number; readonly meter: Meter } => {
            const meter = new Meter(piecesOf(of, existing), undefined, spared);
            return { area: ZONES[name](meter, four, zone), meter };
          };
          const all = covered(list);
          all.meter.touching.findWorst();
          const { worst, worstM2 } = all.meter.touching;
          const alone = (owner: number): number => all.area - covered(list.filter((w) => w.owner !== owner)).area;
          const most = Math.max(...[0, 1, 2, 3].map(alone));
          expect(Math.abs(Math.max(worstM2, 0) - Math.max(most, 0))).toBeLessThan(1e-9);
          if (worst >= 0) expect(Math.abs(worstM2 - alone(worst))).toBeLessThan(3e-9); // equal to 1e-9 m2: the first row
        },
      );
      fc.assert(property, RUNS);
    });
  }
});

describe('polygon zones', () => {
  const overlapOf = (list: readonly Work[], zone: readonly Rings[], hard: readonly Rings[] = [], spared = false) => {
    const meter = new Meter(piecesOf(list, hard), undefined, spared);
    const { pieces, reach } = zonePieces(zone);
    return { meter, overlap: meter.polygon(0, 0, reach, pieces) };
  };
  /** A zone about, beside or touching the trunk, which stands at the origin. */
  const zone = fc
    .tuple(fc.array(polygon, { minLength: 1, maxLength: 3 }), fc.constantFrom('as it is', 'corner', 'edge', 'outside'))
    .map(([polygons, where]): readonly Rings[] => {
      const shell = polygons[0]?.[0]!;
      const [ax, ay, bx, by] = shell as unknown as readonly [number, number, number, number];
      const [dx, dy] =
        where === 'corner'
          ? [ax, ay]
          : where === 'edge'
            ? [(ax + bx) / 2, (ay + by) / 2]
            : where === 'outside'
              ? [40, 25]
              : [0, 0];
      return polygons.map((rings) => rings.map((ring) => ring.map((v, i) => v - (i % 2 === 0 ? dx : dy))));
    });
  const shifted = works.map((list) => list.filter((w) => !('corners' in w.shape)));

  it('overlap is the area in common, whatever the works’ and the zone’s shape', () => {
    fc.assert(
      fc.property(shifted, zone, (list, drawn) => {
        fc.pre(list.length > 0);
        const shapes = list.map((w) => w.shape as Rings);
        const { overlap, meter } = overlapOf(list, drawn);
        expect(Math.abs(overlap - geos.common(shapes, drawn))).toBeLessThan(1e-7);
        expect(meter.coveredBy(WITHIN)).toBeCloseTo(geos.unionArea(drawn), 7);
        // severed ground is bare ground of the zone
        const bare = geos.unionArea(drawn) - overlap;
        expect(meter.severed).toBeGreaterThanOrEqual(-1e-9);
        expect(meter.severed).toBeLessThanOrEqual(bare + 1e-7);
      }),
      RUNS,
    );
  });
  it('hard ground in them: its own area, and works beside it', () => {
    const hard = fc.array(polygon, { minLength: 1, maxLength: 3 });
    fc.assert(
      fc.property(shifted, zone, hard, (list, drawn, existing) => {
        fc.pre(list.length > 0);
        const shapes = list.map((w) => w.shape as Rings);
        const counted = overlapOf(list, drawn, existing);
        const spared = overlapOf(list, drawn, existing, true);
        expect(counted.meter.coveredBy(EXISTING)).toBeCloseTo(geos.common(existing, drawn), 7);
        expect(counted.overlap).toBeCloseTo(geos.common(shapes, drawn), 7);
        // works in the zone, less those on hard ground: |W n Z| - |W n Z n E| by inclusion and exclusion of unions
        const both = geos.common([...shapes, ...existing], drawn);
        expect(spared.overlap).toBeCloseTo(both - geos.common(existing, drawn), 7);
      }),
      RUNS,
    );
  });
});

describe('hard ground in discs', () => {
  const R = 6;
  const polygons = fc.array(polygon, { minLength: 1, maxLength: 4 });
  it('is told to the millionth of a point, and spares works or does not', () => {
    fc.assert(
      fc.property(polygons, polygons, (proposed, existing) => {
        const list = proposed.map((shape, owner): Work => ({ owner, kind: owner, cuts: owner === 0, shape }));
        const inDisc = (of: readonly Rings[]): number => geos.overlap(of, 0, 0, R, 1024);
        const hardM2 = inDisc(existing);
        const counted = new Meter(piecesOf(list, existing));
        const spared = new Meter(piecesOf(list, existing), undefined, true);
        const near = (ours: number, theirs: number): void =>
          expect((Math.abs(ours - theirs) / (Math.PI * R * R)) * 100).toBeLessThan(2e-6); // the many-sided circle is off by 4e-7 points
        near(counted.disc(0, 0, R), inDisc(proposed));
        near(counted.coveredBy(EXISTING), hardM2);
        near(spared.disc(0, 0, R), inDisc([...proposed, ...existing]) - hardM2);
        near(spared.coveredBy(EXISTING), hardM2);
      }),
      { numRuns: runs(15), seed: 20_261_125 },
    );
  });
  it('zones grow until their free area is the nominal one', () => {
    fc.assert(
      fc.property(polygons, fc.double({ min: 0.5, max: 8, noNaN: true }), (existing, radius) => {
        const pieces = piecesOf([], existing);
        const nominal = Math.PI * radius * radius;
        const grown = grownRadius(new Meter(pieces), 0, 0, radius, nominal);
        fc.pre(grown !== null);
        const meter = new Meter(pieces);
        const free = (r: number): number => {
          meter.disc(0, 0, r);
          return Math.PI * r * r - meter.coveredBy(EXISTING);
        };
        const r = grown;
        expect(r).toBeGreaterThanOrEqual(radius);
        expect(Math.abs(free(r) / nominal - 1)).toBeLessThan(1e-9);
        // and by GEOS, whose circle has 4,096 sides
        expect(Math.abs((Math.PI * r * r - geos.overlap(existing, 0, 0, r, 1024)) / nominal - 1)).toBeLessThan(
          1e-6 * (r / radius) ** 2,
        );
      }),
      { numRuns: runs(15), seed: 20_261_125 },
    );
  });
  it('a trunk all round which nothing is free is told so', () => {
    expect(grownRadius(new Meter(piecesOf([], [[rect(-99, -99, 99, 99)]])), 0, 0, 5, Math.PI * 25)).toBeNull();
  });
});

describe('classes', () => {
  it('of many depths measure what few do: the bit of a class moves no area', () => {
    fc.assert(
      fc.property(works, radii, (list, [a, b, c, d]) => {
        // Seven kinds fit an array of masks; the same kinds four bits apart, up to the highest bit there is, do not.
        const narrow = piecesOf(list);
        const wide = indexedPieces({
          ...narrow,
          classBit: narrow.classBit.map((bit) => 8 << (Math.log2(bit / 8) * 4.5)),
        });
        const few = new Meter(narrow);
        const many = new Meter(wide);
        const same = (): void => {
          expect(many.severed).toBe(few.severed);
          expect(many.covered()).toBeCloseTo(few.covered(), 9);
          for (let kinds = 1; kinds < 128; kinds += 9) {
            const at = [0, 1, 2, 3, 4, 5, 6].filter((k) => (kinds >> k) & 1);
            const bits = (step: number): number => at.reduce((sum, k) => sum | (8 << (k * step)), 0);
            expect(many.coveredBy(bits(4.5))).toBeCloseTo(few.coveredBy(bits(1)), 9);
          }
        };
        few.disc(0.1, 0.2, a!);
        many.disc(0.1, 0.2, a!);
        same();
        for (const meter of [few, many]) meter.quarters(0, 0, [a, b, c, d] as [number, number, number, number], 0.3);
        same();
      }),
      RUNS,
    );
  });
});
