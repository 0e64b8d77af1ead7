// Margins on random scenes: more works never leave more room, moving the scene moves no margin, its sign is the verdict's;
// works moved by a distance are those of GEOS.
import fc from 'fast-check';
import { beforeAll, describe, expect, it } from 'vitest';
import { NearWorks } from '../../src/assess/near-works.js';
import { Meter } from '../../src/geometry/kernel/meter.js';
import { EXISTING, PieceBuilder, RETREATED } from '../../src/geometry/kernel/pieces.js';
import type { Frame } from '../../src/model/index.js';
import { builtinRule } from '../../src/rules/index.js';
import { type GeosEngine, geosEngine } from '../support/geos.js';
import { type LocalFeature, localJob, tree, type XY } from '../support/local-job.js';
import { mulberry32 } from '../support/random.js';
import { runs } from '../support/runs.js';
import { star } from '../support/shapes.js';

let geos: GeosEngine;
beforeAll(async () => {
  geos = await geosEngine();
});

/** A few polygons about a trunk at the origin, metres. */
const scene = fc
  .tuple(fc.integer(), fc.integer({ min: 1, max: 3 }))
  .map(([seed, n]): readonly (readonly number[])[] => {
    const random = mulberry32(seed);
    return Array.from({ length: n }, () => star(random, 4).map((v) => v * 3.5));
  });
const points = (ring: readonly number[], to: (x: number, y: number) => XY): XY[] =>
  Array.from({ length: ring.length / 2 }, (_, i) => to(ring[i * 2]!, ring[i * 2 + 1]!));
const FEET = 0.3048;

interface Told {
  readonly margin: number | null;
  readonly verdict: string;
  readonly holds: boolean | null;
  /** Trunk and works, metres: from its centre, from its face. */
  readonly centre: number | null;
  readonly face: number | null;
}
function told(
  rings: readonly (readonly number[])[],
  to: (x: number, y: number) => XY = (x, y) => [x, y],
  properties: object = {},
  options: object = {},
): Told {
  const works = rings.map((ring, i): LocalFeature => ({ rings: [points(ring, to)], properties: { id: `W${i}` } }));
  const [x, y] = to(0, 0);
  const [one] = localJob([tree(x, y, { id: 'T', dbh_cm: 50, ...properties })], works, {
    rule: builtinRule('foot-per-inch'),
    options: { margins: true, ...options },
  }).trees;
  return {
    margin: one?.marginM ?? null,
    verdict: one?.verdict ?? '',
    holds: one?.verdictHolds ?? null,
    centre: one?.nearestM ?? null,
    face: one?.nearestFaceM ?? null,
  };
}

describe('margins', () => {
  const RUNS = { numRuns: runs(12), seed: 20_261_125 };
  it('have the sign of the verdict, and fall when works are added', () => {
    fc.assert(
      fc.property(scene, scene, (rings, more) => {
        const one = told(rings);
        const both = told([...rings, ...more]);
        for (const { margin, verdict } of [one, both]) {
          if (margin !== null) expect(margin < 0).toBe(verdict === 'over-limit' || verdict === 'stem-in-works');
        }
        if (one.margin !== null) expect(both.margin ?? Infinity).toBeLessThan(one.margin + 0.0002);
      }),
      RUNS,
    );
  });
  it('stay when the scene is turned, mirrored or moved by two million feet', () => {
    fc.assert(
      fc.property(scene, fc.double({ min: 0, max: 6.28, noNaN: true }), (rings, a) => {
        const { margin } = told(rings);
        for (const to of [
          (x: number, y: number): XY => [x * Math.cos(a) - y * Math.sin(a), x * Math.sin(a) + y * Math.cos(a)],
          (x: number, y: number): XY => [-x, y],
          (x: number, y: number): XY => [x + 2_000_000 * FEET, y + 680_000 * FEET],
        ]) {
          const moved = told(rings, to).margin;
          if (margin === null || moved === null) expect(moved).toBe(margin);
          else expect(Math.abs(moved - margin)).toBeLessThan(0.0002);
        }
      }),
      RUNS,
    );
  });
  it('wider than the position’s accuracy at each diameter the tape may have meant: only then the verdict holds', () => {
    const seen = { true: 0, false: 0 };
    const isOver = ({ verdict }: Told): boolean => verdict === 'over-limit' || verdict === 'stem-in-works';
    fc.assert(
      fc.property(
        scene,
        fc.double({ min: 0.001, max: 1, noNaN: true }),
        fc.double({ min: 0.001, max: 0.1, noNaN: true }),
        (rings, accuracy, off) => {
          const still = (x: number, y: number): XY => [x, y];
          const asked = told(rings, still, { accuracy_m: accuracy }, { dbhAccuracyM: off });
          const each = [0, -off, off].map((by) => told(rings, still, { dbh_cm: 50 + 100 * by }));
          // A margin within a tenth of a millimetre of the accuracy may be told either way.
          if (each.some(({ margin }) => margin !== null && Math.abs(Math.abs(margin) - accuracy) < 2e-4)) return;
          const wide = (one: Told): boolean =>
            isOver(one) === isOver(asked) && (one.margin === null ? !isOver(one) : Math.abs(one.margin) > accuracy);
          // Over its limit, a verdict may also turn to or from stem-in-works, which margins do not show: a trunk outside
          // works stays out of them where its face is farther than the accuracy; one in them stays where its centre is, of
          // which no depth is told, or where its trunk reaches farther into them than the accuracy.
          const stays = ({ verdict, centre, face }: Told, dbhM: number): boolean => {
            if ((verdict === 'stem-in-works') !== (asked.verdict === 'stem-in-works')) return false;
            if (verdict !== 'stem-in-works') return face! > accuracy;
            return centre === 0 || dbhM / 2 - centre! > accuracy;
          };
          // (Nor one at which a face stands as far off as the accuracy.)
          const trunks = [0.5, 0.5 - off, 0.5 + off];
          if (each.some(({ centre }, k) => Math.abs(Math.abs(centre! - trunks[k]! / 2) - accuracy) < 1e-6)) return;
          const isWide = each.every((one, k) => wide(one) && (!isOver(asked) || stays(one, trunks[k]!)));
          expect(asked.holds).toBe(isWide);
          seen[`${asked.holds === true}`]++;
        },
      ),
      { ...RUNS, numRuns: runs(25) },
    );
    expect(Math.min(seen.true, seen.false)).toBeGreaterThan(3);
  });
});

interface Measured {
  readonly taken: number;
  readonly classes: readonly number[];
  readonly severed: number;
}

describe('works with their boundary moved', () => {
  const R = 6;
  const circle = Array.from({ length: 720 }, (_, i) => {
    const a = (Math.PI * Math.floor(i / 2)) / 180;
    return i % 2 === 0 ? R * Math.cos(a) : R * Math.sin(a);
  });
  const square = [-R, -R, R, -R, R, R, -R, R];
  it('take what buffers of GEOS take, widened or drawn back', () => {
    fc.assert(
      fc.property(scene, fc.double({ min: 0.05, max: 2, noNaN: true }), (rings, by) => {
        const b = new PieceBuilder();
        rings.forEach((ring, owner) => {
          b.add([ring], { owner, classBit: 8, cuts: true });
        });
        const meter = new Meter(b.finish());
        const near = new NearWorks({ meter, x: 0, y: 0, frame: {} as Frame }, R * Math.SQRT2, 30);
        const shapes = rings.map((ring) => [ring]);
        for (const zone of [circle, square]) {
          const z = new PieceBuilder();
          z.add([zone], { owner: 0, classBit: 2, cuts: false });
          const within = z.finish();
          const taken = (pieces: ReturnType<PieceBuilder['finish']>): number =>
            new Meter(pieces).polygon(0, 0, R * 1.5, within);
          // chords of round corners keep within 0.5 mm of the arc, GEOS' within 2 mm / 256: all corners together here
          // have less than 40 m of arc that lies in the zone
          const allowed = 0.0005 * 40;
          expect(Math.abs(taken(near.grown(by)) - geos.moved(shapes, by, [[zone]], 64))).toBeLessThan(allowed);
          expect(Math.abs(taken(near.narrowed(by)) - geos.moved(shapes, -by, [[zone]], 64))).toBeLessThan(allowed);
        }
      }),
      { numRuns: runs(30), seed: 20_261_125 },
    );
  });
  it('as outlines per class, the way of crowded sites, take what strips round every edge take', () => {
    fc.assert(
      fc.property(scene, fc.double({ min: 0.05, max: 4, noNaN: true }), (rings, by) => {
        const b = new PieceBuilder();
        rings.forEach((ring, owner) => {
          b.add([ring], { owner, classBit: 8 << owner, cuts: owner === 1 });
        });
        b.add([[-1, -1, 1, -1, 1, 1, -1, 1]], { owner: 0, classBit: EXISTING, cuts: false });
        const site = { meter: new Meter(b.finish()), x: 0, y: 0, frame: {} as Frame };
        const slow = new NearWorks(site, R * Math.SQRT2, 30, Infinity);
        const crowded = new NearWorks(site, R * Math.SQRT2, 30, 1);
        for (const way of ['grown', 'narrowed'] as const) {
          const huge = new NearWorks(site, R * Math.SQRT2, 30, 1, 1);
          const all = [slow, crowded, huge].map((near) => {
            const meter = new Meter(near[way](by));
            const taken = meter.disc(0, 0, R);
            return {
              taken,
              classes: [...[8, 16, 32].map((bit) => meter.coveredBy(bit, RETREATED)), meter.coveredBy(EXISTING)],
              severed: meter.severed,
            };
          }) as [Measured, ...Measured[]];
          const [one, ...others] = all;
          for (const other of others) {
            // Chords of all round corners in the zone miss less than 0.5 mm of less than 40 m of arc.
            expect(Math.abs(one.taken - other.taken)).toBeLessThan(0.02);
            expect(Math.abs(one.severed - other.severed)).toBeLessThan(0.02);
            one.classes.forEach((area, i) => void expect(Math.abs(area - other.classes[i]!)).toBeLessThan(0.02));
          }
        }
      }),
      { numRuns: runs(30), seed: 20_261_125 },
    );
  });
});
