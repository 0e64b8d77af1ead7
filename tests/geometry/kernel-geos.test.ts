// The kernel against GEOS (geos-wasm 3.1.1, 2048 segments a quadrant, scaled to the circle's area): random unions and
// a list of hard cases. The many-sided circle itself is wrong by up to about 1e-7 points, so the bound is 1e-6 points.
import { beforeAll, describe, expect, it } from 'vitest';
import { Meter } from '../../src/geometry/kernel/meter.js';
import { PieceBuilder } from '../../src/geometry/kernel/pieces.js';
import { type GeosEngine, geosEngine } from '../support/geos.js';
import { mulberry32 } from '../support/random.js';
import { runs } from '../support/runs.js';
import { rect, reversed, star } from '../support/shapes.js';

type Polygon = readonly ArrayLike<number>[];

let geos: GeosEngine;
beforeAll(async () => {
  geos = await geosEngine();
});

function meterOf(polygons: readonly Polygon[]): Meter {
  const b = new PieceBuilder();
  polygons.forEach((p, i) => {
    b.add(p, { owner: i, classBit: 8 << (i % 7), cuts: i % 2 === 0 });
  });
  return new Meter(b.finish());
}

function difference(polygons: readonly Polygon[], x: number, y: number, r: number): number {
  const ours = meterOf(polygons).disc(x, y, r);
  const theirs = geos.overlap(polygons, x, y, r, 2048);
  expect(Number.isFinite(ours)).toBe(true);
  return (Math.abs(ours - theirs) / (Math.PI * r * r)) * 100;
}

const h = Math.SQRT1_2;
const hard: readonly [string, readonly Polygon[], number?][] = [
  ['tangent outside', [[rect(1, -1, 3, 1)]]],
  ['tangent inside', [[rect(-1, -1, 1, 1)]]],
  ['corner on the circle', [[rect(h, h, 2, 2)]]],
  ['inscribed square', [[rect(-h, -h, h, h)]]],
  ['corner at the centre', [[rect(0, 0, 3, 3)]]],
  ['edge through the centre', [[rect(-3, 0, 3, 3)]]],
  ['edge along the cut ray', [[[-3, 0, -0.5, 0, -0.5, 1, -3, 1]]]],
  ['edge below the cut ray', [[[-3, -1, -0.5, -1, -0.5, 0, -3, 0]]]],
  ['centre in a hole', [[rect(-2, -2, 2, 2), reversed(rect(-0.3, -0.4, 0.5, 0.6))]]],
  ['disc inside a polygon', [[rect(-5, -5, 5, 5)]]],
  ['disc inside two polygons', [[rect(-5, -5, 5, 5)], [rect(-6, -4, 5, 7)]]],
  ['shared edge', [[rect(-2, -2, 0.2, 2)], [rect(0.2, -2, 2, 2)]]],
  ['shared edge through the centre', [[rect(-2, -2, 0, 2)], [rect(0, -2, 2, 2)]]],
  ['duplicates', [[rect(0.1, -2, 2, 2)], [rect(0.1, -2, 2, 2)], [rect(0.1, -2, 2, 2)]]],
  ['nearly the same edge', [[rect(0.1, -2, 2, 2)], [[0.1 + 1e-12, -2, 2, -2, 2, 2, 0.1 - 1e-12, 2]]]],
  ['sliver', [[[-2, 0.1, 2, 0.1 + 1e-9, 2, 0.1 + 2e-9]], [rect(-0.5, 0, 0.5, 0.1)]]],
  ['four quadrants of a grid', [[rect(0, 0, 2, 2)], [rect(-2, 0, 0, 2)], [rect(-2, -2, 0, 0)], [rect(0, -2, 2, 0)]]],
  [
    'fan of triangles',
    Array.from({ length: 12 }, (_, i) => {
      const a = (i * Math.PI) / 6;
      const b = ((i + 0.6) * Math.PI) / 6;
      return [[0.2, 0.1, 0.2 + 2 * Math.cos(a), 0.1 + 2 * Math.sin(a), 0.2 + 2 * Math.cos(b), 0.1 + 2 * Math.sin(b)]];
    }),
  ],
  [
    'fan from the centre',
    Array.from({ length: 8 }, (_, i) => {
      const a = (i * Math.PI) / 4;
      const b = ((i + 0.5) * Math.PI) / 4;
      return [[0, 0, 2 * Math.cos(a), 2 * Math.sin(a), 2 * Math.cos(b), 2 * Math.sin(b)]];
    }),
  ],
  [
    'grid of squares',
    Array.from({ length: 49 }, (_, i) => {
      const x = -1.05 + 0.3 * (i % 7);
      const y = -1.05 + 0.3 * Math.floor(i / 7);
      return [rect(x, y, x + 0.2, y + 0.2)];
    }),
  ],
  ['crossing strips', [[rect(-2, -0.1, 2, 0.1)], [rect(-0.1, -2, 0.1, 2)], [[-2, -2.1, 2.1, 2, 2, 2.1, -2.1, -2]]]],
  [
    'a comb',
    [
      [
        Array.from({ length: 40 }, (_, i) => [-1 + i * 0.05, i % 2 === 0 ? 0 : 0.9])
          .flat()
          .concat([1, -0.1, -1, -0.1]),
      ],
    ],
  ],
];

describe('kernel against GEOS', () => {
  for (const [name, polygons] of hard) {
    for (const [dx, dy, scale] of [
      [0, 0, 1],
      [2_000_000.25, 680_000.5, 8],
    ] as const) {
      it(`${name}${dx === 0 ? '' : ', far from the origin'}`, () => {
        const moved = polygons.map((p) =>
          p.map((ring) => Array.from(ring, (v, k) => v * scale + (k % 2 === 0 ? dx : dy))),
        );
        expect(difference(moved, dx, dy, scale)).toBeLessThan(1e-6);
      });
    }
  }

  it('random unions', () => {
    const random = mulberry32(20_261_125);
    let worst = 0;
    for (let round = 0; round < runs(75); round++) {
      const polygons: Polygon[] = [];
      const n = 1 + Math.floor(random() * 6);
      for (let i = 0; i < n; i++) polygons.push([star(random)]);
      worst = Math.max(worst, difference(polygons, 0, 0, 1));
    }
    expect(worst).toBeLessThan(1e-6);
  });
});
