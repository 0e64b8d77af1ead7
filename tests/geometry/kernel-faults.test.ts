// Lines with width, hard ground that is spared, crowded sites, and stopping: through the whole assessment, and works moved
// against buffers of GEOS.
import fc from 'fast-check';
import { beforeAll, describe, expect, it } from 'vitest';
import { assess } from '../../src/assess/index.js';
import type { Margins } from '../../src/assess/margin.js';
import { MovedOutline, Steps, TooDear } from '../../src/assess/moved-outline.js';
import { NearWorks } from '../../src/assess/near-works.js';
import { steadiness } from '../../src/assess/steady.js';
import type { Variant } from '../../src/assess/variant.js';
import { Meter } from '../../src/geometry/kernel/meter.js';
import { PieceBuilder, type Pieces, pieceRings } from '../../src/geometry/kernel/pieces.js';
import { addLine } from '../../src/geometry/kernel/strip.js';
import { movedBoundary } from '../../src/geometry/rings/moved.js';
import { signedArea } from '../../src/geometry/rings/ring.js';
import { stepsAcross } from '../../src/geometry/rings/shapes.js';
import { rootOfMost } from '../../src/geometry/root.js';
import { LayerBuilder, type TreeTable } from '../../src/model/index.js';
import '../../src/node/crs.js';
import type { Frame } from '../../src/model/index.js';
import { builtinRule } from '../../src/rules/index.js';
import { type GeosEngine, geosEngine } from '../support/geos.js';
import { box, localJob, tree, type XY } from '../support/local-job.js';
import { runs } from '../support/runs.js';

let geos: GeosEngine;
beforeAll(async () => {
  geos = await geosEngine();
});
const R = 6;
const square = [-R, -R, R, -R, R, R, -R, R];
const near = (pieces: Pieces, crowdedFrom?: number, cornersFrom?: number): NearWorks =>
  new NearWorks(
    { meter: new Meter(pieces), x: 0, y: 0, frame: {} as Frame },
    R * Math.SQRT2,
    30,
    crowdedFrom,
    cornersFrom,
  );
/** What pieces take of the square. */
function taken(pieces: Pieces): number {
  const zone = new PieceBuilder();
  zone.add([square], { owner: 0, classBit: 2, cuts: false });
  return new Meter(pieces).polygon(0, 0, R * 1.5, zone.finish());
}
const ringsOf = (pieces: Pieces): number[][][] =>
  Array.from({ length: pieces.count }, (_, p) => pieceRings(pieces, p, 0, 0));

describe('bent lines with width', () => {
  const told = (crs: string, properties: object, line: readonly XY[], at: XY): number | null | undefined => {
    const trees = new LayerBuilder('trees.csv', 'csv');
    trees.begin('point');
    trees.part();
    trees.ring();
    trees.vertex(...at);
    trees.end({ id: 'T', dbh_in: 15 });
    const works = new LayerBuilder('works.csv', 'csv');
    works.begin('line');
    works.part();
    works.ring();
    for (const place of line) works.vertex(...place);
    works.end({ id: 'W', ...properties });
    const layer = (b: LayerBuilder) => b.finish({ crs: null, sha256: null });
    const job = { trees: layer(trees), works: [{ layer: layer(works) }], options: { crs, margins: true } };
    return assess(job).trees[0]?.marginM;
  };
  // Before the parts of a line had their corners in common: -0.250 and -1.524.
  it('must retreat as far as their outlines', () => {
    const fill = { kind: 'fill', width_m: 3.16 };
    const bend: XY[] = [
      [699_400, 5_335_000],
      [699_403.29, 5_335_007.437],
      [699_412.808, 5_335_009.272],
    ];
    expect(told('EPSG:25832', fill, bend, [699_399.137, 5_335_006.568])).toBeCloseTo(-0.346, 3);
    const drive: XY[] = [
      [7_686_700, 639_600],
      [7_686_690.71, 639_569.61],
      [7_686_690.05, 639_532.94],
    ];
    expect(told('EPSG:2913', { kind: 'paving', width_ft: 16 }, drive, [7_686_693.74, 639_569.18])).toBeCloseTo(
      -2.44,
      3,
    );
  });
  it('drawn back are as wide as buffers of GEOS', () => {
    const place = fc.double({ min: -8, max: 8, noNaN: true });
    fc.assert(
      fc.property(
        fc.array(place, { minLength: 6, maxLength: 8 }).filter((xy) => xy.length % 2 === 0),
        fc.double({ min: 1, max: 5, noNaN: true }),
        fc.double({ min: 0.02, max: 0.45, noNaN: true }),
        (xy, width, share) => {
          const b = new PieceBuilder();
          addLine(b, Float64Array.from(xy), 0, xy.length / 2, width, 0, { owner: 0, classBit: 8, cuts: true });
          const pieces = b.finish();
          const by = width * share;
          // GEOS keeps slits of its own where the corners of two parts differ by a rounding: they are closed first.
          const closed = geos.moved(ringsOf(pieces), -by, [[square]], 64);
          const ours = taken(near(pieces).narrowed(by));
          expect(ours - closed).toBeGreaterThan(-0.02);
          expect(taken(near(pieces, 1, 1).narrowed(by))).toBeCloseTo(ours, 1);
        },
      ),
      { numRuns: runs(30), seed: 20_261_201 },
    );
  });
  it('have the margin of their outline', () => {
    const rule = builtinRule('foot-per-inch');
    const trees = [tree(0, 0, { id: 'T', dbh_cm: 40 })];
    fc.assert(
      fc.property(
        fc.double({ min: 0.5, max: 5, noNaN: true }),
        fc.double({ min: 1.5, max: 5, noNaN: true }),
        fc.double({ min: 0.1, max: 1.2, noNaN: true }),
        (away, width, turn) => {
          const line: XY[] = [
            [away, -12],
            [away, 1],
            [away + 12 * Math.sin(turn), 1 + 12 * Math.cos(turn)],
          ];
          const h = width / 2;
          // right of the way lies inside the bend: both sides meet in a mitre, as the line's own pieces do outside
          const half = Math.tan(turn / 2) * h;
          const side = (s: number): XY[] => [
            [away + s * h, -12],
            [away + s * h, 1 - s * half],
            [away + 12 * Math.sin(turn) + s * h * Math.cos(turn), 1 + 12 * Math.cos(turn) - s * h * Math.sin(turn)],
          ];
          const outline = [...side(1), ...side(-1).reverse()];
          const asLine = localJob(trees, [{ line, properties: { kind: 'paving', width_m: width } }], { rule });
          const asPolygon = localJob(trees, [{ rings: [outline], properties: { kind: 'paving' } }], { rule });
          const [a, b] = [asLine.trees[0]!, asPolygon.trees[0]!];
          expect(a.overlapPct).toBeCloseTo(b.overlapPct!, 6);
          // margins are found to a tenth of a millimetre
          if (a.marginM === null || b.marginM === null) expect(a.marginM).toBe(b.marginM);
          else expect(Math.abs(a.marginM - b.marginM)).toBeLessThan(0.0002);
        },
      ),
      { numRuns: runs(12), seed: 20_261_201 },
    );
  });
});

describe('hard ground that is spared', () => {
  const slab = box(2, -3, 6, 4, { id: 'S' });
  const told = (works: ReturnType<typeof box>[], existing = [slab], existingUse: 'spared' | 'counted' = 'spared') =>
    localJob([tree(0, 0, { id: 'T', dbh_cm: 80 })], works, { existing, options: { existingUse } }).trees[0]!;
  it('bears a building of the same outline: nothing is lost and nothing severed', () => {
    const one = told([box(2, -3, 6, 4, { kind: 'building' })]);
    expect([one.overlapPct, one.severedPct]).toEqual([0, 0]);
    expect(told([box(2, -3, 6, 4, { kind: 'building' })], [slab], 'counted').severedPct).toBeGreaterThan(5);
  });
  it('with a corner more on one edge, a nanometre off, too', () => {
    const rings = [
      [
        [2, -3],
        [6, -3],
        [6, 4],
        [2 - 1e-9, 4],
        [2, 0.123],
      ] as XY[],
    ];
    const one = told([{ rings, properties: { kind: 'building' } }]);
    expect(one.overlapPct).toBeLessThan(1e-6);
    expect(one.severedPct).toBe(0);
  });
  it('is not lost again behind works that cut', () => {
    const trench = box(2, -20, 2.5, 20, { kind: 'trench' });
    const behind = [box(2.5, -20, 20, 20, { id: 'B' })];
    const bare = told([trench], [box(50, 50, 51, 51, { id: 'far' })]);
    expect(bare.severedPct).toBeGreaterThan(20);
    const paved = told([trench], behind);
    expect(paved.severedPct).toBeCloseTo(0, 9);
    expect(paved.overlapPct).toBeCloseTo(bare.overlapPct!, 9);
  });
  it('works partly on it cut where they stand beside it', () => {
    const house = box(2, -3, 6, 8, { kind: 'building' });
    const [part, all] = [told([house]), told([house], [box(50, 50, 51, 51, { id: 'far' })])];
    expect(part.severedPct).toBeGreaterThan(0);
    expect(part.severedPct).toBeLessThan(all.severedPct!);
  });
  it('a trunk in works severs the ground that is not hard, and no more', () => {
    const one = told([box(-0.5, -0.5, 0.5, 0.5, { kind: 'building' })]);
    const radius = one.zoneRadiusM!;
    expect(one.severedM2).toBeCloseTo(Math.PI * radius ** 2 - 28 - 1, 6); // the slab lies in the zone whole
  });
});

describe('crowded sites', () => {
  const comb = (teeth: number): XY[] => [
    ...Array.from({ length: teeth * 2 + 1 }, (_, i): XY => [-5 + (i * 5) / teeth, i % 2 === 0 ? 3 : 6]),
    [5, 8],
    [-5, 8],
  ];
  const round = (n: number): XY[] =>
    Array.from({ length: n }, (_, k) => [5 + 3 * Math.cos((2 * Math.PI * k) / n), 3 * Math.sin((2 * Math.PI * k) / n)]);
  it.each([
    ['a round building', round(600)],
    ['a comb', comb(220)],
  ])('%s, moved in steps, takes what buffers of GEOS take', (_name, outline) => {
    const b = new PieceBuilder();
    b.add([outline.flat()], { owner: 0, classBit: 8, cuts: true });
    const pieces = b.finish();
    for (const by of [0.001, 0.02, 0.3, 1.7]) {
      const works = near(pieces);
      expect(works.isCrowded).toBe(true);
      // 0.2 mm of arc in hundreds of round corners of a few millimetres, and GEOS' own chords
      expect(Math.abs(taken(works.grown(by)) - geos.moved(ringsOf(pieces), by, [[square]], 64))).toBeLessThan(0.02);
      expect(Math.abs(taken(works.narrowed(by)) - geos.moved(ringsOf(pieces), -by, [[square]], 64))).toBeLessThan(0.02);
    }
  });
  it('a round building: the margin is that of the same with fewer corners', () => {
    const job = (n: number) =>
      localJob([tree(0, 0, { id: 'T', dbh_cm: 50 })], [{ rings: [round(n)], properties: { kind: 'building' } }])
        .trees[0]!;
    const [few, many] = [job(380), job(800)]; // GEOS is no judge here: many corners against few
    expect(few.marginM).not.toBeNull();
    expect(Math.abs(few.marginM! - many.marginM!)).toBeLessThan(0.002);
  });
  it('the search asks hardly more often than halving would', () => {
    for (const f of [(x: number) => 1 - x ** 9, (x: number) => (x < 0.7 ? 1 : -1), (x: number) => 0.3 - x]) {
      let asked = 0;
      const root = rootOfMost(
        (x) => {
          asked++;
          return [f(x)];
        },
        0,
        2,
        1e-4,
        1,
        { from: [f(0)], to: [f(2)] },
      );
      expect(f(root)).toBeLessThanOrEqual(0);
      expect(f(root - 1e-4)).toBeGreaterThan(0);
      expect(asked).toBeLessThanOrEqual(2 + 16); // 15 halvings of 2 m
    }
  });
  it('an outline is moved only where that takes no more steps than are left', () => {
    const ring = round(100);
    const moved = (steps: number) => new MovedOutline([ring.flat()], 1, 9, new Steps(steps)).at(0.004);
    let across = 0;
    movedBoundary([ring.flat()], 0.004, (steps) => {
      across += steps;
    });
    expect(across).toBeGreaterThan(100); // each edge is a step or more
    expect(across).toBeLessThan(100 * 100);
    expect(() => moved(across - 1)).toThrow(TooDear);
    // a circle of 100 corners, 4 mm wider: to the chords of its round corners
    expect(signedArea(moved(across)[0]!)).toBeCloseTo(signedArea(ring.flat()) + 0.004 * 6 * Math.PI, 2);
  });
  it('steps are the edges, and the heights that each edge passes', () => {
    expect(stepsAcross([[0, 0, 1, 0, 1, 1, 0, 1]])).toBe(4 + 2);
    expect(
      stepsAcross([
        [0, 0, 1, 0, 1, 1, 0, 1],
        [5, 0.5, 6, 0.5, 6, 0.75],
      ]),
    ).toBe(4 + 2 * 3 + 3 + 2);
  });
  it('a margin that is too dear to look for is none, and no verdict holds by it', () => {
    const dear = { at: () => null, isWider: () => null, isTooDear: () => true } as unknown as Margins;
    const variant = { judged: [{ verdict: 'within-limit' }], zones: { radiusM: [5] } } as unknown as Variant;
    const trees = { accuracyM: [0.1] } as unknown as TreeTable;
    expect(steadiness(trees, [{ variant, margins: dear }])(0)).toBeNull();
    const far = { ...dear, isTooDear: () => false } as unknown as Margins;
    expect(steadiness(trees, [{ variant, margins: far }])(0)).toBe(true); // more room than is looked for
  });
  it('a margin stops when it is told to, between two measures', () => {
    const stop = new AbortController();
    const trees = [tree(0, 0, { id: 'T', dbh_cm: 50 })];
    const works = [{ rings: [round(100)], properties: { kind: 'building' } }];
    const done = localJob(trees, works, { signal: stop.signal });
    stop.abort(new Error('enough'));
    expect(() => done.trees[0]?.marginM).toThrow('enough');
  });
});
