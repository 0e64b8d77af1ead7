// The kernel against an integral over angle that shares no code with it (scripts/lib/by-angle.mjs): the first 3,000 of
// the cases that scripts/fuzz-kernel.mjs runs a million of, and the integral itself against closed forms.
import { describe, expect, it } from 'vitest';
import { byAngle } from '../../scripts/lib/by-angle.mjs';
import { fuzz } from '../../scripts/lib/kernel-fuzz.mjs';
import { fuzzScenes } from '../../scripts/lib/scene-fuzz.mjs';
import { Meter } from '../../src/geometry/kernel/meter.js';
import { PieceBuilder, type Pieces } from '../../src/geometry/kernel/pieces.js';
import { compactParts } from '../../src/geometry/kernel/subdivide.js';
import { Sweep } from '../../src/geometry/kernel/sweep.js';
import { runs } from '../support/runs.js';
import { rect, reversed } from '../support/shapes.js';

const disc = { x: 0, y: 0, r: 1 };
const works = (...rings: number[][]): { rings: number[][]; kind: number; cuts: boolean } => ({
  rings,
  kind: 0,
  cuts: true,
});

describe('integral over angle', () => {
  it('has the areas of closed forms', () => {
    const segment = Math.acos(0.5) - 0.5 * Math.sqrt(0.75);
    const strip = byAngle([works(rect(0.5, -2, 3, 2))], disc);
    expect(strip.covered).toBeCloseTo(segment, 13);
    expect(strip.distance).toBe(0.5);
    const quarterRing = byAngle([works(rect(0, 0, 2, 2), reversed(rect(0.1, 0.1, 0.3, 0.2)))], disc);
    expect(quarterRing.covered).toBeCloseTo(Math.PI / 4 - 0.02, 13);
    // severed behind a wall x = 0.5 .. 0.6, |y| < 0.3: the sector within the wall's angle less the triangle to its far side
    // and the two thin triangles beside its ends
    const wall = byAngle([works(rect(0.5, -0.3, 0.6, 0.3))], disc);
    expect(wall.covered).toBeCloseTo(0.06, 13);
    const half = Math.atan2(0.3, 0.5);
    const taken = 0.5 * 0.3 + 0.06 + 0; // the triangle before the wall, the wall
    expect(wall.severed).toBeCloseTo(half - taken, 13);
  });

  it('has the area of a quarter ellipse', () => {
    const zone = { x: 0, y: 0, radii: [2, 3, 1, 0.5], turn: 0.3 };
    expect(byAngle([works(rect(-9, -9, 9, 9))], zone).covered).toBeCloseTo((Math.PI / 4) * (6 + 3 + 0.5 + 1), 12);
  });
});

/** Measures every zone edge by edge, as crowded ones are (radial.ts). */
class EdgeMeter extends Meter {
  constructor(pieces: Pieces, index?: ArrayBufferLike, spareExisting?: boolean) {
    super(pieces, index, spareExisting, new Sweep(0));
  }
}
const kernels = [
  ['slab by slab', Meter],
  ['edge by edge', EdgeMeter],
] as const;

describe.each(kernels)('kernel against the integral over angle, %s', (_name, Meter) => {
  it('agrees to 1e-6 points in overlap, severed, shares and distance', () => {
    const broken: unknown[] = [];
    const table = fuzz({ Meter, PieceBuilder, compactParts }, runs(1500), 20_261_125, (found) => broken.push(found));
    expect({ broken: broken.length, first: broken[0] }).toEqual({ broken: 0, first: undefined });
    expect([...table.values()].reduce((sum, row) => sum + row.cases, 0)).toBe(runs(1500));
  }, 120_000);
});

describe.each(kernels)('owners, hard ground, polygon zones and works drawn back, %s', (_name, Meter) => {
  it('agree with the integral to 1e-6 points in overlap, severed, works alone and hard ground', () => {
    const broken: unknown[] = [];
    const table = fuzzScenes({ Meter, PieceBuilder }, runs(450), 20_261_125, (found) => broken.push(found));
    expect({ broken: broken.length, first: broken[0] }).toEqual({ broken: 0, first: undefined });
    expect([...table.values()].reduce((sum, row) => sum + row.cases, 0)).toBe(runs(450));
  }, 120_000);
});

// Before AT_TRUNK (sweep.ts) these gave 0, a half or three quarters, as the edge happened to run.
describe('works that only touch the trunk sever nothing behind it', () => {
  const turned = (ring: readonly number[], angle: number): number[] => {
    const out: number[] = [];
    for (let i = 0; i < ring.length; i += 2) {
      const x = ring[i]!;
      const y = ring[i + 1]!;
      out.push(x * Math.cos(angle) - y * Math.sin(angle), x * Math.sin(angle) + y * Math.cos(angle));
    }
    return out;
  };
  const severedBy = (ring: readonly number[], x = 0): number => {
    const b = new PieceBuilder();
    b.add([ring], { owner: 0, classBit: 8, cuts: true });
    const meter = new Meter(b.finish());
    meter.disc(x, 0, 1);
    return (meter.severed / Math.PI) * 100;
  };

  for (const [name, ring] of [
    ['an edge', rect(0, -2, 2, 2)],
    ['a corner', rect(0, 0, 2, 2)],
    ['a sharp corner', [0, 0, 2, 0.1, 2, 0.3]],
    ['a corner that points in', [-2, -2, 0, 0, 2, -2, 2, 2, -2, 2]],
  ] as const) {
    it(`${name}, whichever way it lies`, () => {
      for (let k = 0; k < 16; k++) {
        const severed = severedBy(turned(ring, (k * Math.PI) / 8));
        expect(severed).toBeGreaterThan(-1e-9);
        expect(severed).toBeLessThan(1e-9);
      }
    });
  }

  it('but a trunk a hundredth of a millimetre inside has everything behind it severed', () => {
    expect(severedBy(rect(-2, -2, 0, 2), -1e-5)).toBeGreaterThan(49.9);
  });
});

describe('a part of an edge that rounding turns round due east of the trunk', () => {
  it('is no full turn', () => {
    // the corner lies on the circle, 3e-17 south of due east; the edge into it meets the circle at its very end, where
    // the crossing is computed as due east: the part between them ran backwards, and was taken to go round the circle
    const triangle = [1, -1, 1, -3.3e-17, -1, 1];
    const line = [0, 0, 0, 1, 0, 1];
    const b = new PieceBuilder();
    b.add([triangle], { owner: 0, classBit: 8, cuts: false });
    b.add([line], { owner: 1, classBit: 16, cuts: false });
    const expected = byAngle([works(triangle)], disc).covered;
    expect(expected).toBeCloseTo(0.8636476090008057, 12);
    expect(new Meter(b.finish()).disc(0, 0, 1)).toBeCloseTo(expected, 12);
  });
});
