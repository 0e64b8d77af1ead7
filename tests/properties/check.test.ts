// Properties of the check stage: in: random layers; out: the same count, sound rings, unchanged even-odd area.
// Terms: kink = a place where a ring crosses itself, found by an independent library.

import { kinks, polygon } from '@turf/turf';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { checkLots, checkTrees, checkWorks } from '../../src/check/index.js';
import { CrossingFinder } from '../../src/geometry/rings/crossings.js';
import { twins } from '../../src/geometry/rings/twins.js';
import { InputError } from '../../src/model/findings.js';
import { GEOMETRY_KINDS, type Layer, LayerBuilder } from '../../src/model/index.js';
import { areaOf, evenOddArea, named, partsOf, polygonLayer, type Ring, shoelace } from '../support/check-layers.js';
import { runs } from '../support/runs.js';

/** Corners on a small grid meet, overlap and touch all the time; on a large one they cross. */
const ringOn = (side: number, most: number): fc.Arbitrary<Ring> =>
  fc.array(fc.tuple(fc.integer({ min: 0, max: side }), fc.integer({ min: 0, max: side })), {
    minLength: 3,
    maxLength: most,
  });

const polygonOn = (side: number): fc.Arbitrary<readonly Ring[]> =>
  fc.array(ringOn(side, 9), { minLength: 1, maxLength: 3 });

const anyPolygon = fc.oneof(polygonOn(3), polygonOn(6), polygonOn(1000));

const origins = fc.constantFrom([0, 0] as const, [2_000_000, 600_000] as const, [0.1, -0.7] as const);

/** Rings that the check keeps at all: three distinct corners. */
function hasCorners(ring: Ring): boolean {
  return new Set(ring.map(([x, y]) => `${x},${y}`)).size >= 3;
}

function moved(rings: readonly Ring[], [x, y]: readonly [number, number]): Ring[] {
  return rings.map((ring) => ring.map(([u, v]) => [u + x, v + y] as const));
}

describe('polygons', () => {
  it('come out sound or rejected, and hold the ground the even-odd rule gives them', () => {
    fc.assert(
      fc.property(anyPolygon, origins, (rings, origin) => {
        const layer = polygonLayer([moved(rings, origin)]);
        const { table } = checkLots(layer);
        expect(table.count).toBe(1);
        const parts = partsOf(table.geometry, 0);
        if (table.rejected.has(0)) expect(parts).toEqual([]);
        else expect(parts.length).toBeGreaterThan(0);
        for (const part of parts) {
          part.forEach((ring, r) => {
            expect(ring.length).toBeGreaterThanOrEqual(3);
            expect(r === 0 ? shoelace(ring) : -shoelace(ring)).toBeGreaterThan(0);
          });
        }
        // a shell of fewer than three corners takes its polygon with it, such a hole only itself
        const kept = hasCorners(rings[0]!) ? rings.filter(hasCorners) : [];
        const expected = kept.length === 0 ? 0 : evenOddArea(kept);
        const extent = Math.max(...rings.flat(2), 1);
        expect(Math.abs(areaOf(table.geometry, 0) - expected)).toBeLessThan(extent * extent * 3e-7);
      }),
      { numRuns: runs(240) },
    );
  });

  it('have no kink that another library finds', () => {
    fc.assert(
      fc.property(anyPolygon, (rings) => {
        const { table } = checkLots(polygonLayer([rings]));
        for (const part of partsOf(table.geometry, 0)) {
          for (const ring of part) {
            // degrees do not matter to it: it works in the plane; touches at corners are allowed
            const found = kinks(polygon([[...ring, ring[0]!].map(([x, y]) => [x, y])])).features;
            const inner = found.filter((k) => {
              const [x = 0, y = 0] = k.geometry.coordinates;
              return !ring.some(([u, v]) => Math.hypot(u - x, v - y) < 1e-4);
            });
            expect(inner).toEqual([]);
          }
        }
      }),
      { numRuns: runs(45) },
    );
  });

  it('are left alone once clean: checking the result again changes nothing', () => {
    fc.assert(
      fc.property(anyPolygon, (rings) => {
        const first = checkLots(polygonLayer([rings])).table;
        const parts = partsOf(first.geometry, 0);
        const again = checkLots(polygonLayer(parts.map((part) => part.map((ring) => [...ring, ring[0]!]))));
        expect(again.findings).toEqual([]);
        expect(parts.map((_, i) => partsOf(again.table.geometry, i)[0])).toEqual(parts);
      }),
      { numRuns: runs(90) },
    );
  });

  it('are judged alike whichever ring corner comes first, either way round', () => {
    fc.assert(
      fc.property(ringOn(6, 8), fc.nat(7), fc.boolean(), (ring, turn, flip) => {
        const k = turn % ring.length;
        const turned = [...ring.slice(k), ...ring.slice(0, k)];
        if (flip) turned.reverse();
        const a = checkLots(polygonLayer([ring].map((r) => [r])));
        const b = checkLots(polygonLayer([turned].map((r) => [r])));
        expect(b.table.repaired.size).toBe(a.table.repaired.size);
        expect([...b.table.rejected]).toEqual([...a.table.rejected]);
        expect(areaOf(b.table.geometry, 0)).toBeCloseTo(areaOf(a.table.geometry, 0), 5);
      }),
      { numRuns: runs(90) },
    );
  });
});

describe('the crossing finder', () => {
  it('says the same with an index as without (a long tail of far corners switches it on)', () => {
    const finder = new CrossingFinder();
    // 150 corners of an arc far below, so that the ring is long and its head decides
    const tail = Array.from({ length: 150 }, (_, i) => {
      const a = Math.PI + (i * Math.PI) / 149;
      return [50 + 90 * Math.cos(a), -1000 + 90 * Math.sin(a)] as const;
    });
    fc.assert(
      fc.property(ringOn(9, 12), (ring) => {
        const clean = ring.filter(([x, y], i) => {
          const [u, v] = ring[(i + 1) % ring.length]!;
          return x !== u || y !== v;
        });
        if (clean.length < 3) return;
        const short = [...clean, ...tail.filter((_, i) => i % 10 === 0)];
        const long = [...clean, ...tail.slice(0, 141)];
        const verdicts = [short, long].map((r) => finder.find(Float64Array.from(r.flat()), [0, r.length], 0, 1));
        expect(verdicts[0] === 'none').toBe(verdicts[1] === 'none');
      }),
      { numRuns: runs(45) },
    );
  });
});

describe('twins', () => {
  it('are those a look at every pair finds', () => {
    fc.assert(
      fc.property(fc.array(fc.tuple(fc.integer({ min: 0, max: 40 }), fc.integer({ min: 0, max: 40 }))), (points) => {
        const xy = Float64Array.from(points.flat(), (v) => v / 8);
        const found = twins(xy, 0.2);
        points.forEach((_, i) => {
          const near = points.some((__, j) => {
            const close = (axis: 0 | 1): boolean => Math.abs(xy[j * 2 + axis]! - xy[i * 2 + axis]!) <= 0.2;
            return j < i && found[j] === -1 && close(0) && close(1);
          });
          expect(found[i] !== -1).toBe(near);
        });
      }),
    );
  });
});

const FIELDS = ['id', 'tag', 'dbh_in', 'dbh_cm', 'girth_m', 'stems_in', 'zone_radius_ft', 'height_m', 'crown_n_m'];
const MORE = ['disposition', 'age', 'tolerance', 'kind', 'depth_ft', 'width_m', 'no_dig', 'option', 'species', 'dbh'];

function anyLayer(values: fc.Arbitrary<unknown>): fc.Arbitrary<Layer> {
  const properties = fc.dictionary(fc.constantFrom(...FIELDS, ...MORE, '__proto__', 'constructor', ''), values);
  const coordinate = fc.oneof(fc.integer({ min: -5, max: 5 }), fc.double());
  const shape = fc.array(fc.array(fc.array(fc.tuple(coordinate, coordinate), { maxLength: 6 }), { maxLength: 3 }), {
    maxLength: 3,
  });
  const feature = fc.tuple(fc.constantFrom(...GEOMETRY_KINDS), shape, properties);
  return fc.array(feature, { maxLength: 6 }).map((features) => {
    const b = new LayerBuilder('any.geojson', 'geojson');
    for (const [kind, parts, own] of features) {
      b.begin(kind);
      for (const rings of parts) {
        b.part();
        for (const ring of rings) {
          b.ring();
          for (const [x, y] of ring) b.vertex(x, y);
        }
      }
      b.end(own);
    }
    return b.finish({ crs: null, sha256: null });
  });
}

describe('any layer', () => {
  const scalars = fc.oneof(
    fc.anything(),
    fc.double(),
    fc.integer({ min: -3, max: 50 }),
    fc.constantFrom('24', '24"', '12;9', '1,5', '', 'yes', 'keep', 'paving', '9e999', '- 3 ft', '["x"]'),
  );

  it('gives as many rows as it has features, each accepted or rejected with a reason and a finding, or an InputError', () => {
    fc.assert(
      fc.property(anyLayer(scalars), (layer) => {
        const runs = [
          () => checkTrees(layer, { dbhUnit: 'in' }),
          () => checkWorks([{ layer }, { layer, kind: 'trench' as const }]),
          () => checkLots(layer),
          () => checkTrees(layer),
        ];
        runs.forEach((run, i) => {
          let result: ReturnType<typeof run>;
          try {
            result = run();
          } catch (error) {
            expect(error).toBeInstanceOf(InputError);
            return;
          }
          const { table, findings } = result;
          expect(table.count).toBe(layer.count * (i === 1 ? 2 : 1));
          expect(table.key.length).toBe(table.count);
          expect(new Set(named(table.key)).size).toBe(table.count);
          for (const [row, reasons] of table.rejected) {
            expect(reasons.length).toBeGreaterThan(0);
            expect(findings.some((f) => f.feature === row % Math.max(layer.count, 1))).toBe(true);
          }
          if ('geometry' in table) expect(table.geometry.partStart.length).toBe(table.count + 1);
        });
      }),
      { numRuns: runs(120) },
    );
  });
});
