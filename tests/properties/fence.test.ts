// What must hold of fences in any scene: they cross neither works nor each other, keep their working space, stay outside the
// zones, and enclose what GEOS says is left of them. The tests of crossing and distance are written out here, by hand.
import fc from 'fast-check';
import { beforeAll, describe, expect, test } from 'vitest';
import { outsideRing } from '../../src/geometry/rings/outline.js';
import type { Assessment, FencePlan, LonLatRing } from '../../src/model/index.js';
import { type GeosEngine, geosEngine } from '../support/geos.js';
import { type LocalFeature, localJob, type XY } from '../support/local-job.js';
import { runs } from '../support/runs.js';

const FT = 0.3048;
/** Crossings shallower than this are rounding to the millimetre, twice. */
const SHALLOW_M = 0.003;

interface Circle {
  readonly x: number;
  readonly y: number;
  readonly radius: number;
}
interface Slab {
  readonly x: number;
  readonly y: number;
  readonly length: number;
  readonly width: number;
  readonly turn: number;
  readonly line: boolean;
}

const between = (min: number, max: number) => fc.double({ min, max, noNaN: true });
const circles = (most: number) =>
  fc.array(fc.record({ x: between(-20, 20), y: between(-20, 20), radius: between(2, 11) }), {
    minLength: 1,
    maxLength: most,
  });
const slabs = (most: number) =>
  fc.array(
    fc.record({
      x: between(-20, 20),
      y: between(-20, 20),
      length: between(0.5, 50),
      width: between(0.3, 12),
      turn: between(0, Math.PI),
      line: fc.boolean(),
    }),
    { minLength: 0, maxLength: most },
  );

/** Corners of a slab grown by a distance all round (mitred, as of a right angle). */
function corners({ x, y, length, width, turn }: Slab, more = 0): XY[] {
  const [ux, uy] = [Math.cos(turn), Math.sin(turn)];
  const [l, w] = [length / 2 + more, width / 2 + more];
  return (
    [
      [-l, -w],
      [l, -w],
      [l, w],
      [-l, w],
    ] as const
  ).map(([a, b]): XY => [x + a * ux - b * uy, y + a * uy + b * ux]);
}

function planOf(trees: readonly Circle[], works: readonly Slab[], workingSpaceM: number) {
  const slabFeature = (slab: Slab): LocalFeature => {
    const [a, b, c, d] = corners(slab) as [XY, XY, XY, XY];
    const middle = (p: XY, q: XY): XY => [(p[0] + q[0]) / 2, (p[1] + q[1]) / 2];
    return slab.line
      ? { line: [middle(a, d), middle(b, c)], properties: { kind: 'trench', width_m: slab.width } }
      : { rings: [[a, b, c, d]], properties: { kind: 'building' } };
  };
  const far: LocalFeature = {
    rings: [
      [
        [900, 900],
        [901, 900],
        [901, 901],
      ],
    ],
    properties: { kind: 'building' },
  };
  const assessment = localJob(
    trees.map(({ x, y, radius }) => ({ point: [x, y], properties: { dbh_in: radius / FT } })),
    [...works.map(slabFeature), far],
    { options: { fences: { workingSpaceM } } },
  );
  return { plan: assessment.fences, assessment };
}

type Segment = readonly [number, number, number, number];

function segments(assessment: Assessment, line: LonLatRing): Segment[] {
  const xy = Float64Array.from(line.flat());
  assessment.job.treeTransform?.fromLonLat(xy);
  const out: Segment[] = [];
  for (let i = 0; i + 3 < xy.length; i += 2) {
    out.push([xy[i]!, xy[i + 1]!, xy[i + 2]!, xy[i + 3]!]);
  }
  return out;
}

/** Whether two segments cross, each end of either clearly on its own side of the other. */
function cross(s: Segment, t: Segment): boolean {
  const side = (a: Segment, x: number, y: number): number => {
    const [ux, uy] = [a[2] - a[0], a[3] - a[1]];
    const length = Math.hypot(ux, uy);
    return length === 0 ? 0 : (ux * (y - a[1]) - uy * (x - a[0])) / length;
  };
  const parted = (a: Segment, b: Segment): boolean => {
    const [p, q] = [side(a, b[0], b[1]), side(a, b[2], b[3])];
    return (p > SHALLOW_M && q < -SHALLOW_M) || (p < -SHALLOW_M && q > SHALLOW_M);
  };
  return parted(s, t) && parted(t, s);
}

function lines(assessment: Assessment, { fences, gates }: FencePlan) {
  return [
    ...fences.map((fence) => fence.shape.flat().flatMap((ring) => segments(assessment, ring))),
    ...gates.map((gate) => segments(assessment, gate.line)),
  ];
}

/** How far a place is inside a slab; negative outside. */
function depth(slab: Slab, x: number, y: number): number {
  const [ux, uy] = [Math.cos(slab.turn), Math.sin(slab.turn)];
  const [a, b] = [(x - slab.x) * ux + (y - slab.y) * uy, (y - slab.y) * ux - (x - slab.x) * uy];
  return Math.min(slab.length / 2 - Math.abs(a), slab.width / 2 - Math.abs(b));
}

describe('fences in any scene', () => {
  test('no fence or gate crosses another, or itself', () => {
    fc.assert(
      fc.property(circles(7), slabs(4), fc.constantFrom(0, 0.5, 1.5), (trees, works, space) => {
        const { plan, assessment } = planOf(trees, works, space);
        const all = lines(assessment, plan).flat();
        for (let i = 0; i < all.length; i++) {
          for (let k = 0; k < i; k++) if (cross(all[i]!, all[k]!)) throw new Error('lines cross');
        }
      }),
      { numRuns: runs(30) },
    );
  });

  test('no fence comes nearer to works than the working space, no gate crosses a building, and no fence is inside a zone it stands round', () => {
    fc.assert(
      fc.property(circles(6), slabs(4), between(0, 2), (trees, works, space) => {
        const { plan, assessment } = planOf(trees, works, space);
        for (const fence of plan.fences) {
          for (const [ax, ay, bx, by] of fence.shape.flat().flatMap((ring) => segments(assessment, ring))) {
            for (const t of [0, 0.25, 0.5, 0.75, 1]) {
              const [x, y] = [ax + t * (bx - ax), ay + t * (by - ay)];
              for (const slab of works) expect(depth(slab, x, y)).toBeLessThan(-space + SHALLOW_M);
            }
          }
        }
        const buildings = works.filter(({ line }) => !line);
        for (const [ax, ay, bx, by] of plan.gates.flatMap((gate) => segments(assessment, gate.line))) {
          for (const t of [0.1, 0.5, 0.9]) {
            for (const slab of buildings)
              expect(depth(slab, ax + t * (bx - ax), ay + t * (by - ay))).toBeLessThan(SHALLOW_M);
          }
        }
        // whatever of a zone is farther from works than the space lies inside a fence, or in a scrap too small for one
        const rings = plan.fences.map((fence) => fence.shape.flat().map((ring) => segments(assessment, ring)));
        const kept = assessment.trees.filter((tree) => tree.verdict !== 'stem-in-works').map(({ row }) => trees[row]!);
        let outside = 0;
        let asked = 0;
        for (const { x, y, radius } of kept) {
          for (let i = 0; i < 24; i++) {
            const [px, py] = [x + radius * 0.999 * Math.cos(i), y + radius * 0.999 * Math.sin(i)];
            if (works.some((slab) => depth(slab, px, py) > -space * 1.5 - 0.2)) continue; // mitred corners reach farther
            asked++;
            const inside = rings.some((polygon) => {
              const hits = polygon
                .flat()
                .filter(([ax, ay, bx, by]) => ay > py !== by > py && px < ax + ((py - ay) / (by - ay)) * (bx - ax));
              return hits.length % 2 === 1;
            });
            if (!inside) outside++;
          }
        }
        expect(outside).toBeLessThanOrEqual(asked * 0.25); // scraps under a square metre are ground, not fenced
      }),
      { numRuns: runs(30) },
    );
  });

  describe('beside GEOS', () => {
    let geos: GeosEngine;
    beforeAll(async () => {
      geos = await geosEngine();
    });

    test('area and length of what is fenced', () => {
      fc.assert(
        fc.property(circles(2), slabs(3), fc.constantFrom(0, 0.5, 1.5), (trees, works, space) => {
          const { plan, assessment } = planOf(trees, works, space);
          const kept = assessment.trees.filter((tree) => tree.verdict !== 'stem-in-works');
          fc.pre(kept.length > 0);
          const zones = kept.map(({ row }) => {
            const { x, y, radius } = trees[row]!;
            const r = radius + 0.002;
            return [outsideRing([r, r, r, r], 0, 0.08).map((v, i) => v + (i % 2 === 0 ? x : y))];
          });
          const { area, length } = geos.difference(
            zones,
            works.map((slab) => [corners(slab, space).flat()]),
          );
          const fencedArea = plan.fences.reduce((sum, f) => sum + f.areaM2, 0);
          const fencedLength = plan.fences.reduce((sum, f) => sum + f.lengthM, 0);
          // scraps under 1 m2 are not fenced: at most a few of them, each with an outline of its own
          expect(fencedArea).toBeLessThan(area + 0.002 * length + 0.05);
          expect(fencedArea).toBeGreaterThan(area - 0.002 * length - 4);
          if (Math.abs(fencedArea - area) < 0.02)
            expect(Math.abs(fencedLength - length)).toBeLessThan(0.01 * length + 0.3);
        }),
        { numRuns: runs(30) },
      );
    });
  });

  test('the order of trees changes no line', () => {
    fc.assert(
      fc.property(circles(6), slabs(3), (trees, works) => {
        const total = (list: readonly Circle[]) =>
          planOf(list, works, 1)
            .plan.fences.map((f) => f.lengthM.toFixed(3))
            .toSorted();
        expect(total([...trees].reverse())).toEqual(total(trees));
      }),
      { numRuns: runs(30) },
    );
  });
});
