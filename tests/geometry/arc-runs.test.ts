// Chords taken for arcs. In: rings made of arcs, and rings that are none; out: bulges that give the arcs back, or null.
import { describe, expect, test } from 'vitest';
import { arcRuns, type BulgedVertex, bulgeArc } from '../../src/geometry/index.js';

/** Vertices with bulges -> chords, as a reader makes them. */
function chorded(vertices: readonly BulgedVertex[], sagitta: number, closed = true): Float64Array {
  const flat: number[] = [];
  const segments = closed ? vertices.length : vertices.length - 1;
  for (let i = 0; i < vertices.length; i++) {
    const [x, y, bulge] = vertices[i]!;
    flat.push(x, y);
    if (i === segments) break;
    const [nx, ny] = vertices[(i + 1) % vertices.length]!;
    bulgeArc(x, y, nx, ny, bulge, sagitta, (...at) => flat.push(at[0], at[1]));
  }
  return Float64Array.from(flat);
}

const QUARTER = Math.tan(Math.PI / 8);
/** 20 by 10 with corners of radius 2, as State Plane has it: far from 0. */
const [E, N] = [7_640_000, 680_000];
const ROUNDED: readonly BulgedVertex[] = [
  [E + 2, N, 0],
  [E + 18, N, QUARTER],
  [E + 20, N + 2, 0],
  [E + 20, N + 8, QUARTER],
  [E + 18, N + 10, 0],
  [E + 2, N + 10, QUARTER],
  [E, N + 8, 0],
  [E, N + 2, QUARTER],
];

describe('arcRuns', () => {
  test('rounded corners come back as four bulges of a quarter circle, between straight sides', () => {
    const flat = chorded(ROUNDED, 1e-3);
    expect(flat.length / 2).toBeGreaterThan(60);
    const found = arcRuns(flat, true, 2e-4, 1.2e-3)!;
    expect(found).toHaveLength(8);
    const start = ROUNDED.findIndex(([x, y]) => x === found[0]![0] && y === found[0]![1]);
    found.forEach(([x, y, bulge], i) => {
      const [rx, ry, rb] = ROUNDED[(start + i) % 8]!;
      expect([x, y]).toEqual([rx, ry]);
      expect(bulge).toBeCloseTo(rb, 6);
    });
  });

  test('so they do clockwise, with negative bulges, and rounded to six decimals', () => {
    const flat = chorded(ROUNDED, 1e-3).map((v) => Math.round(v * 1e6) / 1e6);
    const turned = Float64Array.from(
      Array.from({ length: flat.length / 2 }, (_, i) => [flat.at(-2 * i - 2)!, flat.at(-2 * i - 1)!]).flat(),
    );
    const bulges = arcRuns(turned, true, 2e-4, 1.2e-3)!.map(([, , bulge]) => bulge);
    expect(bulges).toHaveLength(8);
    expect(bulges.filter((b) => b !== 0).map((b) => Math.abs(b + QUARTER) < 1e-4)).toEqual([true, true, true, true]);
  });

  test('a whole circle is two half circles', () => {
    const flat = chorded(
      [
        [E, N, 1],
        [E + 10, N, 1],
      ],
      1e-3,
    );
    const found = arcRuns(flat, true, 2e-4, 1.2e-3)!;
    expect(found).toHaveLength(2);
    for (const [, , bulge] of found) expect(bulge).toBeCloseTo(1, 6);
  });

  test('an open line keeps both its ends', () => {
    const found = arcRuns(
      chorded(
        [
          [0, 0, 0],
          [10, 0, 0.5],
          [10, 8, 0],
          [0, 8, 0],
        ],
        1e-3,
        false,
      ),
      false,
      2e-4,
      1.2e-3,
    )!;
    expect(found[0]).toEqual([0, 0, 0]);
    expect(found.at(-1)).toEqual([0, 8, 0]);
    expect(found.map(([, , b]) => Math.round(b * 1e6) / 1e6)).toEqual([0, 0.5, 0, 0]);
  });

  test.each([
    [
      'a house of twelve sides',
      Array.from({ length: 12 }, (_, i) => [6 * Math.cos((i * Math.PI) / 6), 6 * Math.sin((i * Math.PI) / 6)]).flat(),
    ],
    [
      'a straight line in many pieces',
      Array.from({ length: 40 }, (_, i) => [i * 0.5, i * 0.25])
        .flat()
        .concat([0, 30]),
    ],
    ['a square', [0, 0, 10, 0, 10, 10, 0, 10]],
    ['a triangle', [0, 0, 10, 0, 5, 9]],
    ['nothing', []],
  ])('%s has no arc', (_, flat) => {
    expect(arcRuns(Float64Array.from(flat), true, 2e-4, 1.2e-3)).toBeNull();
  });

  test('a quarter of an ellipse is no arc of one circle: whatever is found lies within the chord error of it', () => {
    const quarter = Array.from({ length: 201 }, (_, i) => {
      const t = (i / 200) * (Math.PI / 2);
      return [10 * Math.cos(t), 4 * Math.sin(t)] as const;
    });
    const found = arcRuns(Float64Array.from([...quarter.flat(), 0, 0]), true, 2e-4, 1.2e-3);
    // Drawn again as chords, every vertex lies on the ellipse, but for the corner at 0, 0.
    const again = chorded(found ?? [], 1e-4);
    let most = 0;
    for (let i = 0; i < again.length; i += 2) {
      const [x, y] = [again[i]!, again[i + 1]!];
      if (x === 0 && y === 0) continue;
      most = Math.max(most, Math.abs(Math.hypot(x / 10, y / 4) - 1) * 4);
    }
    expect(found!.length).toBeLessThan(150);
    expect(most).toBeLessThan(2e-3);
  });
});
