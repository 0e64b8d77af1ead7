// The two ways of measuring a disc, slab by slab and edge by edge, against each other: every figure, on random scenes, on
// hard ones, and with outlines laid on one another; and how the steps of the second grow.
import { describe, expect, it } from 'vitest';
import { Meter } from '../../src/geometry/kernel/meter.js';
import { EXISTING, PieceBuilder, type Pieces, WITHIN } from '../../src/geometry/kernel/pieces.js';
import { Sweep } from '../../src/geometry/kernel/sweep.js';
import { mulberry32 } from '../support/random.js';
import { runs } from '../support/runs.js';
import { gridPolygon, type Random, rect, reversed, star } from '../support/shapes.js';

type Rings = readonly (readonly number[])[];
interface Work {
  readonly rings: Rings;
  readonly owner: number;
  readonly classBit: number;
  readonly cuts: boolean;
}

function piecesOf(works: readonly Work[]): Pieces {
  const b = new PieceBuilder();
  for (const { rings, ...tag } of works) b.add(rings, tag);
  return b.finish();
}

/** Works of mixed owners and classes, some of which cut; now and then ground that is hard today. */
function mixed(list: readonly Rings[], random: Random): Work[] {
  return list.map((rings, i) => {
    if (random() < 0.1) return { rings, owner: i, classBit: EXISTING, cuts: false };
    const cuts = random() < 0.5;
    // What cuts may carry a second bit, as under a rule with a no-cut ring.
    const classBit = (8 << (i % 5)) | (cuts && random() < 0.7 ? CUT : 0);
    return { rings, owner: i >> (random() < 0.3 ? 1 : 0), classBit, cuts };
  });
}

const CUT = 1 << 9;
const RADIUS = 1;
type Measure = (meter: Meter) => void;
const disc: Measure = (meter) => void meter.disc(0, 0, RADIUS);
const quarters: Measure = (meter) => void meter.quarters(0, 0, [1, 0.6, 1.2, 0.8], 0.3);
const polygon: Measure = (meter) => {
  const b = new PieceBuilder();
  b.add([[0.9, -0.4, 0.2, 1, -0.7, 0.3, 0.1, 0.2]], { owner: 0, classBit: WITHIN, cuts: false });
  meter.polygon(0, 0, 1.05, b.finish());
};

/** All that a measure tells, in a fixed order. */
function figures(works: readonly Work[], measure: Measure, many: number, spared: boolean): number[] {
  const meter = new Meter(piecesOf(works), undefined, spared, new Sweep(many));
  measure(meter);
  const out = [meter.covered(), meter.severed];
  for (let bit = 1; bit <= CUT; bit *= 2) out.push(meter.coveredBy(bit), meter.coveredBy(bit, EXISTING));
  for (const { owner } of works) out.push(meter.touching.soleOf(owner));
  return out;
}

function difference(works: readonly Work[], measure: Measure = disc, spared: boolean = false): number {
  const slabs = figures(works, measure, Number.POSITIVE_INFINITY, spared);
  const edges = figures(works, measure, 0, spared);
  return slabs.reduce((worst, value, i) => Math.max(worst, Math.abs(value - edges[i]!)), 0);
}

const h = Math.SQRT1_2;
const hard: readonly [string, readonly Rings[]][] = [
  ['tangent outside', [[rect(1, -1, 3, 1)]]],
  ['tangent inside', [[rect(-1, -1, 1, 1)]]],
  ['corner on the circle', [[rect(h, h, 2, 2)]]],
  ['inscribed square', [[rect(-h, -h, h, h)]]],
  ['corner at the centre', [[rect(0, 0, 3, 3)]]],
  ['edge through the centre', [[rect(-3, 0, 3, 3)]]],
  ['edge along the cut ray', [[[-3, 0, -0.5, 0, -0.5, 1, -3, 1]]]],
  ['edge below the cut ray', [[[-3, -1, -0.5, -1, -0.5, 0, -3, 0]]]],
  ['centre in a hole', [[rect(-2, -2, 2, 2), reversed(rect(-0.3, -0.4, 0.5, 0.6))]]],
  ['disc inside two polygons', [[rect(-5, -5, 5, 5)], [rect(-6, -4, 5, 7)]]],
  ['shared edges', [[rect(-2, -2, 0.2, 2)], [rect(0.2, -2, 2, 2)], [rect(-2, 0.1, 0.2, 0.3)]]],
  ['shared edge through the centre', [[rect(-2, -2, 0, 2)], [rect(0, -2, 2, 2)]]],
  ['duplicates', [[rect(0.1, -2, 2, 2)], [rect(0.1, -2, 2, 2)], [rect(0.1, -2, 2, 2)]]],
  ['nearly the same edge', [[rect(0.1, -2, 2, 2)], [[0.1 + 1e-12, -2, 2, -2, 2, 2, 0.1 - 1e-12, 2]]]],
  ['sliver', [[[-2, 0.1, 2, 0.1 + 1e-9, 2, 0.1 + 2e-9]], [rect(-0.5, 0, 0.5, 0.1)]]],
  ['four quadrants', [[rect(0, 0, 2, 2)], [rect(-2, 0, 0, 2)], [rect(-2, -2, 0, 0)], [rect(0, -2, 2, 0)]]],
  ['fan from the centre', fan(0, 0, 8, 0.5)],
  ['fan beside it', fan(0.2, 0.1, 60, 0.6)],
  ['fan of overlapping blades', fan(0.2, 0.1, 30, 2.5)],
  ['grid of squares', grid(7, 0.3, 0.2)],
  ['grid without joints', grid(9, 0.25, 0.25)],
  ['grid of overlapping squares', grid(9, 0.2, 0.25)],
  ['crossing strips', [[rect(-2, -0.1, 2, 0.1)], [rect(-0.1, -2, 0.1, 2)], [[-2, -2.1, 2.1, 2, 2, 2.1, -2.1, -2]]]],
  ['a comb', [[comb(40)]]],
  ['a comb and a bar', [[comb(40)], [rect(-0.6, 0.3, 0.7, 0.4)], [rect(-0.6, 0.7, 0.7, 0.75)]]],
];

function fan(x: number, y: number, blades: number, width: number): Rings[] {
  return Array.from({ length: blades }, (_, i) => {
    const a = (i * 2 * Math.PI) / blades;
    const b = ((i + width) * 2 * Math.PI) / blades;
    return [[x, y, x + 2 * Math.cos(a), y + 2 * Math.sin(a), x + 2 * Math.cos(b), y + 2 * Math.sin(b)]];
  });
}
function grid(n: number, step: number, size: number): Rings[] {
  return Array.from({ length: n * n }, (_, i) => {
    const x = (-step * n) / 2 + step * (i % n);
    const y = (-step * n) / 2 + step * Math.floor(i / n);
    return [rect(x, y, x + size, y + size)];
  });
}
function comb(teeth: number): number[] {
  const points = Array.from({ length: teeth }, (_, i) => [-1 + (i * 2) / teeth, i % 2 === 0 ? 0.1 : 0.9]);
  return [...points.flat(), 1, -0.1, -1, -0.1];
}

describe('edge by edge as slab by slab', () => {
  for (const [name, list] of hard) {
    it(name, () => {
      const random = mulberry32(7);
      for (let round = 0; round < 4; round++) {
        const works = mixed(list, random);
        expect(difference(works)).toBeLessThan(1e-9);
        expect(difference(works, disc, true)).toBeLessThan(1e-9);
        expect(difference(works, quarters)).toBeLessThan(1e-9);
        expect(difference(works, polygon)).toBeLessThan(1e-9);
      }
    });
  }

  const scenes: readonly [string, (random: Random) => Rings][] = [
    ['stars', (random) => [star(random)]],
    ['corners on a grid', (random) => [gridPolygon(random)]],
    ['a few stars, all but the same', nearly(0)],
    ['the same to a few roundings', nearly(1e-15)],
    ['the same to a nanometre', nearly(1e-9)],
  ];
  for (const [name, make] of scenes) {
    it(`random scenes: ${name}`, () => {
      const random = mulberry32(20_261_201);
      let worst = 0;
      for (let round = 0; round < runs(150); round++) {
        const list = Array.from({ length: 1 + Math.floor(random() * 12) }, () => make(random));
        const works = mixed(list, random);
        const measure = [disc, quarters, polygon][round % 3]!;
        worst = Math.max(worst, difference(works, measure, random() < 0.3));
      }
      expect(worst).toBeLessThan(1e-9);
    });
  }

  it('far from the origin, where coordinates end at a nanometre', () => {
    const random = mulberry32(3);
    const [dx, dy] = [2_000_000.25, 680_000.5];
    for (let round = 0; round < runs(60); round++) {
      const make = round % 2 === 0 ? gridPolygon : star;
      const list = Array.from({ length: 8 }, () => [make(random).map((v, i) => v * 8 + (i % 2 === 0 ? dx : dy))]);
      const works = mixed(list, random);
      expect(difference(works, (meter) => void meter.disc(dx, dy, 8))).toBeLessThan(64e-9);
    }
  });

  it('a trunk on an edge, on a corner, and a hair beside', () => {
    const random = mulberry32(11);
    for (let round = 0; round < runs(60); round++) {
      const hair = [0, 1e-17, 1e-12, 1e-10, 1e-5][round % 5]!;
      const list = Array.from({ length: 6 }, () => {
        const ring = gridPolygon(random);
        const corner = 2 * Math.floor((random() * ring.length) / 2);
        const [x, y] = [ring[corner]! + hair, ring[corner + 1]! - hair / 2];
        return [ring.map((v, i) => v - (i % 2 === 0 ? x : y))];
      });
      expect(difference(mixed(list, random))).toBeLessThan(1e-9);
    }
  });

  it('draws the same ground behind works', () => {
    const random = mulberry32(5);
    for (let round = 0; round < runs(20); round++) {
      const works = mixed(
        Array.from({ length: 6 }, () => [star(random)]),
        random,
      );
      const reach = (many: number): number => {
        const meter = new Meter(piecesOf(works), undefined, false, new Sweep(many));
        let sum = 0;
        meter.disc(0, 0, 1);
        meter.sweep.onSlab = (from, to, near0, near1) => {
          sum += (to - from) * (near0 + near1);
        };
        meter.disc(0, 0, 1);
        return sum;
      };
      // the mean of both ends of a slab is not its integral: slabs of both must be fine enough to agree
      expect(Math.abs(reach(0) - reach(Number.POSITIVE_INFINITY))).toBeLessThan(0.05);
    }
  });
});

/** Copies of three stars, each corner off by up to `off`. */
function nearly(off: number): (random: Random) => Rings {
  return (random) => {
    const ring = star(mulberry32(1 + Math.floor(random() * 3)));
    return [ring.map((v) => v + (random() - 0.5) * 2 * off)];
  };
}

describe('steps', () => {
  const steps = (list: readonly Rings[]): number => {
    const sweep = new Sweep(0);
    const works = list.map((rings, i) => ({ rings, owner: i, classBit: 8, cuts: true }));
    new Meter(piecesOf(works), undefined, false, sweep).disc(0, 0, 1);
    return sweep.steps;
  };
  const round = (n: number): Rings[] => [
    [
      Array.from({ length: n }, (_, k) => [
        1 + Math.cos((k * 2 * Math.PI) / n),
        Math.sin((k * 2 * Math.PI) / n),
      ]).flat(),
    ],
  ];
  const holes = (n: number): Rings[] => [
    [rect(-2, -2, 2, 2), ...grid(Math.sqrt(n), 2 / Math.sqrt(n), 1 / Math.sqrt(n)).map(([ring]) => reversed(ring!))],
  ];
  it.each<[string, (n: number) => Rings[]]>([
    ['a round building', round],
    ['a comb', (n) => [[comb(n)]]],
    ['a slab with holes', holes],
    ['pavers with joints', (n) => grid(Math.sqrt(n), 2 / Math.sqrt(n), 1.8 / Math.sqrt(n))],
  ])('%s: four times the edges take no more than six times the steps', (_name, make) => {
    const few = steps(make(256));
    expect(few).toBeGreaterThan(256);
    expect(steps(make(1024)) / few).toBeLessThan(6);
  });
  it('crossing trenches: steps grow like the crossings', () => {
    const trenches = (n: number): Rings[] =>
      Array.from({ length: n }, (_, i) => {
        const at = -0.9 + (1.8 * (i >> 1)) / (n / 2);
        const ring = i % 2 === 0 ? rect(-2, at, 2, at + 0.4 / n) : rect(at, -2, at + 0.4 / n, 2);
        return [ring];
      });
    const few = steps(trenches(20));
    expect(steps(trenches(80)) / few).toBeLessThan(20); // 16 times the crossings
  });
});
