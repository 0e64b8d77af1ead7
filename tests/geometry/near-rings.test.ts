// Long polygons about a place: what is left of them is the same there, and is little.
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { fencesOf } from '../../src/assess/fences.js';
import { FIRST_CLASS, PieceBuilder } from '../../src/geometry/kernel/pieces.js';
import { NearRings, type Rectangle } from '../../src/geometry/rings/near-rings.js';
import type { Ring } from '../../src/geometry/rings/shapes.js';
import type { Frame } from '../../src/model/index.js';
import { type LocalFeature, localJob, type XY } from '../support/local-job.js';
import { runs } from '../support/runs.js';

function nearRings(polygons: readonly (readonly Ring[])[]): NearRings {
  const builder = new PieceBuilder();
  for (const rings of polygons) builder.add(rings, { owner: 0, classBit: FIRST_CLASS, cuts: false });
  return new NearRings(builder.finish());
}

/** How often rings go round a place: crossings of the ray to the east, upwards less downwards. */
function winding(rings: readonly Ring[], x: number, y: number): number {
  let sum = 0;
  for (const ring of rings) {
    for (let i = 0; i < ring.length; i += 2) {
      const k = (i + 2) % ring.length;
      const [ax, ay, bx, by] = [ring[i]!, ring[i + 1]!, ring[k]!, ring[k + 1]!];
      if (ay > y === by > y || x >= ax + ((y - ay) / (by - ay)) * (bx - ax)) continue;
      sum += by > ay ? 1 : -1;
    }
  }
  return sum;
}

const coordinate = fc.double({ min: -50, max: 50, noNaN: true });
const wild = fc
  .array(fc.tuple(coordinate, coordinate), { minLength: 3, maxLength: 120 })
  .map((corners): Ring => corners.flat());

describe('rings near a rectangle', () => {
  test('go round every place in it as often as the whole rings do', () => {
    fc.assert(
      fc.property(
        fc.array(fc.array(wild, { minLength: 1, maxLength: 3 }), { minLength: 1, maxLength: 4 }),
        fc.tuple(coordinate, coordinate, fc.double({ min: 0.5, max: 20, noNaN: true })),
        fc.array(fc.tuple(fc.double({ min: 0, max: 1 }), fc.double({ min: 0, max: 1 })), { maxLength: 12 }),
        (polygons, [x, y, reach], places) => {
          const box: Rectangle = [-reach, -reach / 2, reach, reach / 2];
          const near = nearRings(polygons).within(box, x, y).flat();
          const whole = polygons.flat().map((ring) => ring.map((value, i) => value - (i % 2 === 0 ? x : y)));
          for (const [u, v] of places) {
            const [px, py] = [reach * (2 * u - 1), (reach / 2) * (2 * v - 1)];
            expect(winding(near, px, py)).toBe(winding(whole, px, py));
          }
        },
      ),
      { numRuns: runs(300) },
    );
  });

  test('leave out what lies beyond, however long', () => {
    // a band of 40,000 corners that winds up and down the plane, and a hole in it far off
    const upper = Array.from({ length: 20_000 }, (_, i) => [i * 0.5, Math.sin(i / 7) + 4]).flat();
    const lower = Array.from({ length: 20_000 }, (_, i) => [(19_999 - i) * 0.5, Math.sin((19_999 - i) / 7)]).flat();
    const hole = [9000, 2, 9000, 3, 9001, 3, 9001, 2];
    const near = nearRings([[[...upper, ...lower], hole]]);
    const polygons = near.within([-10, -10, 10, 10], 5000, 2);
    expect(polygons).toHaveLength(1);
    expect(polygons[0]).toHaveLength(1);
    expect(polygons[0]![0]!.length / 2).toBeGreaterThan(80);
    expect(polygons[0]![0]!.length / 2).toBeLessThan(140);
    expect(near.within([-10, -10, 10, 10], 5000, 200)).toEqual([]);
    expect(nearRings([]).within([-1, -1, 1, 1], 0, 0)).toEqual([]);
  });
});

describe('fences beside long works', () => {
  const count = 60;
  const trees = Array.from({ length: count }, (_, i): LocalFeature => {
    return { point: [20 + i * 40, 9], properties: { dbh_in: 20 } };
  });
  const far = 20 + count * 40;
  const edge = (from: number, to: number, y: number): XY[] => {
    const n = Math.round(Math.abs(to - from) / 0.5);
    return Array.from({ length: n + 1 }, (_, i): XY => [from + ((to - from) * i) / n, y + (i % 2) * 0.01]);
  };
  const road: LocalFeature = {
    rings: [[...edge(0, far, 0), ...edge(far, 0, 6)]],
    properties: { id: 'road', kind: 'paving' },
  };

  test('each is as beside the part of them that lies near', () => {
    const whole = localJob(trees, [road], { options: { margins: false } }).fences;
    expect(whole.fences).toHaveLength(count);
    for (const i of [0, 7, count - 1]) {
      const x = 20 + i * 40;
      const part: LocalFeature = {
        rings: [[...edge(x - 19, x + 19, 0), ...edge(x + 19, x - 19, 6)]],
        properties: { kind: 'paving' },
      };
      const [alone] = localJob([trees[i]!], [part], { options: { margins: false } }).fences.fences;
      expect(whole.fences[i]!.areaM2).toBeCloseTo(alone!.areaM2, 0);
      expect(whole.fences[i]!.lengthM).toBeCloseTo(alone!.lengthM, 0);
      expect(whole.fences[i]!.alongWorksM).toBeGreaterThan(5);
    }
  });

  test('they are projected once, not once for each group', () => {
    const { job, trees: results } = localJob(trees, [road], { options: { margins: false } });
    let placed = 0;
    const counting = (frame: Frame): Frame => ({
      ...frame,
      toFrame(from, to) {
        placed += from.length / 2;
        frame.toFrame(from, to);
      },
    });
    const judged = results.map(({ verdict }) => ({ verdict, consequence: '', reasons: [] }));
    const plan = fencesOf({ ...job, frameAt: (lon, lat) => counting(job.frameAt(lon, lat)) }, judged, {});
    expect(plan.fences).toHaveLength(count);
    expect(placed).toBeLessThan(2 * job.worksLonLat.length);
  });
});
