// Ground taken by works that move: the exact derivative against differences of the exact area, and closed forms.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { Meter } from '../../src/geometry/kernel/meter.js';
import { EXISTING, FIRST_CLASS, PieceBuilder, type Pieces, WORKS } from '../../src/geometry/kernel/pieces.js';
import { footprintOf, turnedPieces } from '../../src/siting/motion.js';
import { slopeOf } from '../../src/siting/slope.js';

const tag = (classBit: number) => ({ owner: 0, classBit, cuts: false });
type Part = readonly [rings: readonly (readonly number[])[], classBit: number];
function piecesOf(parts: readonly Part[]): Pieces {
  const builder = new PieceBuilder();
  for (const [rings, bit] of parts) builder.add(rings, tag(bit));
  return builder.finish();
}
const NONE = { pieces: piecesOf([]), x: 0, y: 0 };
const ALL = { bits: WORKS, without: 0 };
/** Turning only: the mirror line is not asked for. */
const SPOT = footprintOf([0, 0, 1, 0, 1, 1, 0, 1], []);

describe('the derivative of ground taken', () => {
  it('a half plane: each metre nearer takes the chord’s length', () => {
    const half = { pieces: piecesOf([[[[0, -100, 200, -100, 200, 100, 0, 100]], FIRST_CLASS]]), x: 3, y: 0 };
    const slope = slopeOf({ radiusM: 5 }, 0, 0, half, NONE, [], ALL);
    expect(slope.east).toBeCloseTo(-8, 12); // chord of a circle: 2 sqrt(25 - 9)
    expect(slope.north).toBeCloseTo(0, 12);
    expect(slope.turn).toBeCloseTo(0, 12); // about the middle of the chord both halves cancel
  });

  it('edges that two moving pieces share count for nothing, whichever comes first', () => {
    const one = piecesOf([[[[-4, -1, 4, -1, 4, 1, -4, 1]], FIRST_CLASS]]);
    const two: Part[] = [
      [[[-4, -1, 0.5, -1, 0.5, 1, -4, 1]], FIRST_CLASS],
      [[[0.5, -1, 4, -1, 4, 1, 0.5, 1]], FIRST_CLASS],
    ];
    const whole = slopeOf({ radiusM: 3 }, 0.3, 0.6, { pieces: one, x: 0, y: 0 }, NONE, [], ALL);
    for (const parts of [two, [...two].reverse(), [...two, ...two]]) {
      const slope = slopeOf({ radiusM: 3 }, 0.3, 0.6, { pieces: piecesOf(parts), x: 0, y: 0 }, NONE, [], ALL);
      for (const key of ['east', 'north', 'turn'] as const) expect(slope[key]).toBeCloseTo(whole[key], 10);
    }
  });

  const number = (from: number, to: number) => fc.double({ min: from, max: to, noNaN: true });
  /** A star-shaped polygon: never crosses itself. */
  const star = fc
    .array(number(1, 6), { minLength: 3, maxLength: 9 })
    .map((radii) =>
      radii.flatMap((r, i) => [
        r * Math.cos((2 * Math.PI * i) / radii.length),
        r * Math.sin((2 * Math.PI * i) / radii.length),
      ]),
    );
  const placed = fc
    .tuple(star, number(-6, 6), number(-6, 6))
    .map(([ring, x, y]) => ring.map((v, i) => v + (i % 2 === 0 ? x : y)));
  const zones = fc.constantFrom('disc', 'quarters', 'polygon');

  it('agrees with differences of the exact area: shift, turn, several pieces, hard ground spared, any shape of zone', () => {
    fc.assert(
      fc.property(
        fc.array(placed, { minLength: 1, maxLength: 3 }),
        fc.array(placed, { maxLength: 2 }),
        number(-5, 5),
        number(-5, 5),
        zones,
        (moving, staying, x, y, shape) => {
          const fixed = piecesOf(staying.map((ring, i) => [[ring], i === 0 ? FIRST_CLASS : EXISTING]));
          const own = piecesOf(moving.map((ring) => [[ring], FIRST_CLASS]));
          const polygon = piecesOf([[[[-3, -4, 4, -3, 1, 0, 3, 4, -4, 3]], FIRST_CLASS]]);
          const meter = new Meter(fixed, undefined, true);
          const four = [5, 4, 3, 6] as const;
          const area = (dx: number, dy: number, turn: number): number => {
            meter.carry(turnedPieces(own, SPOT, (-turn * 180) / Math.PI, false), x + dx, y + dy);
            if (shape === 'disc') return meter.disc(0, 0, 5);
            return shape === 'quarters' ? meter.quarters(0, 0, [...four], 0.3) : meter.polygon(0, 0, 6, polygon);
          };
          const zone =
            shape === 'disc'
              ? { radiusM: 5 }
              : shape === 'quarters'
                ? { quarters: four, turn: 0.3, radiusM: 6 }
                : { polygons: polygon, x: 0, y: 0, radiusM: 6 };
          const laid = { pieces: own, x, y };
          const stay = staying.map((_, i) => i);
          const taken = { bits: WORKS, without: EXISTING };
          const slope = slopeOf(zone, 0, 0, laid, { pieces: fixed, x: 0, y: 0 }, stay, taken);
          const h = 1e-4;
          const check = (exact: number, to: (by: number) => number): void => {
            // A corner that passes the boundary within the step bends the area: its one-sided slopes differ, by less than this.
            const [ahead, back] = [(to(h) - to(0)) / h, (to(0) - to(-h)) / h];
            const bend = Math.abs(ahead - back);
            expect(Math.abs(exact - (ahead + back) / 2)).toBeLessThan(1e-6 + bend);
          };
          check(slope.east, (by) => area(by, 0, 0));
          check(slope.north, (by) => area(0, by, 0));
          check(slope.turn, (by) => area(0, 0, by));
        },
      ),
      { numRuns: 100, seed: 20_261_125 },
    );
  });
});

describe('pieces laid over others', () => {
  it('are measured as if they stood there', () => {
    const ring = [0, 0, 4, 0, 4, 3, 0, 3];
    const other = [2, 1, 9, 1, 9, 2, 2, 2];
    const meter = new Meter(piecesOf([[[other], FIRST_CLASS]]));
    meter.carry(piecesOf([[[ring], FIRST_CLASS << 1]]), 1.5, -0.5);
    const moved = ring.map((v, i) => v + (i % 2 === 0 ? 1.5 : -0.5));
    const whole = new Meter(
      piecesOf([
        [[moved], FIRST_CLASS << 1],
        [[other], FIRST_CLASS],
      ]),
    );
    expect(meter.discAndNearest(3, 4, 4)).toBeCloseTo(whole.discAndNearest(3, 4, 4), 12);
    expect(meter.distance).toBeCloseTo(whole.distance, 12);
    expect(meter.coveredBy(FIRST_CLASS)).toBeCloseTo(whole.coveredBy(FIRST_CLASS), 12);
    expect(meter.severed).toBeCloseTo(whole.severed, 12);
    meter.nearest(30, 30);
    whole.nearest(30, 30);
    expect(meter.distance).toBeCloseTo(whole.distance, 12);
    meter.carry(null);
    expect(meter.disc(3, 4, 4)).toBeLessThan(whole.disc(3, 4, 4));
  });
});
