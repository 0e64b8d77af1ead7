// Ellipses, splines and hatches: in: drawings written here and one written by another library (ezdxf 1.4.4, kept in
// scenarios/drawing with the areas and points it computes itself); out: areas, points, chord errors, refusals.
import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type Spline, splineFault, splineVertices } from '../../src/geometry/curves/spline.js';
import { InputError } from '../../src/model/findings.js';
import type { Layer } from '../../src/model/index.js';
import { readDxf } from '../../src/read/dxf.js';
import { nestingDepth } from '../../src/read/rings.js';
import { dxf, entity, type Group } from '../support/dxf.js';
import { bytesOf, kindOf, partsOf } from '../support/layers.js';

type XY = readonly number[];
const area = (ring: readonly XY[]): number => {
  const [ox = 0, oy = 0] = ring[0] ?? [];
  return ring.reduce((sum, [x = 0, y = 0], i) => {
    const [u = 0, v = 0] = ring[(i + 1) % ring.length] ?? [];
    return sum + ((x - ox) * (v - oy) - (u - ox) * (y - oy)) / 2;
  }, 0);
};
const filled = (layer: Layer, f: number): number =>
  partsOf(layer, f).reduce(
    (sum, [shell = [], ...holes]) =>
      sum + Math.abs(area(shell)) - holes.reduce((h, ring) => h + Math.abs(area(ring)), 0),
    0,
  );
const distance = (p: XY, line: readonly XY[]): number => {
  let best = Number.POSITIVE_INFINITY;
  for (let i = 0; i + 1 < line.length; i++) {
    const [[ax = 0, ay = 0], [bx = 0, by = 0]] = [line[i]!, line[i + 1]!];
    const [px, py, dx, dy] = [p[0]! - ax, p[1]! - ay, bx - ax, by - ay];
    const t = Math.min(Math.max((px * dx + py * dy) / (dx * dx + dy * dy || 1), 0), 1);
    best = Math.min(best, Math.hypot(px - t * dx, py - t * dy));
  }
  return best;
};

describe('a drawing of another library', () => {
  const file = (name: string): Buffer => readFileSync(new URL(`../scenarios/drawing/${name}`, import.meta.url));
  interface Expected {
    readonly name: string;
    readonly type: string;
    readonly area?: number;
    readonly points?: readonly XY[];
    readonly rings?: readonly number[];
    readonly start?: XY;
    readonly mid?: XY;
    readonly end?: XY;
  }
  const all = JSON.parse(file('curves.json').toString('utf8')) as readonly Expected[];
  const layer = readDxf(file('curves.dxf'), { name: 'curves.dxf' });

  it('is read to the last entity', () => {
    expect(Array.from({ length: layer.count }, (_, f) => layer.value(f, 'entity'))).toEqual(all.map((one) => one.type));
    expect(layer.findings.map((f) => f.code)).toEqual(['arc-chorded']);
    expect(layer.findings[0]?.message).toContain('none lies more than 1 mm off');
  });

  it.each(all.map((one, f) => [one.name, one, f] as const))('%s', (name, one, f) => {
    const line = partsOf(layer, f)[0]?.[0] ?? [];
    if (one.points !== undefined) {
      // points of the curve by their own evaluation: none more than 1 mm from ours, and heights with them
      for (const point of one.points) expect(distance(point, line)).toBeLessThan(0.001 + 1e-9);
      expect(line[0]?.[2]).toBe(one.points[0]?.[2]);
      expect(line.at(-1)?.[2]).toBeCloseTo(one.points.at(-1)?.[2]!, 9);
    }
    for (const point of [one.start, one.mid, one.end]) {
      if (point !== undefined) expect(distance(point, line)).toBeLessThan(0.001 + 1e-9);
    }
    if (one.start !== undefined && one.end !== undefined) {
      expect(Math.hypot(...one.start.map((v, i) => v - line[0]?.[i]!))).toBeLessThan(1e-6);
      expect(Math.hypot(...one.end.map((v, i) => v - line.at(-1)?.[i]!))).toBeLessThan(1e-6);
    }
    // its own areas of arcs are those of Bezier curves near them: 3 in 10,000
    if (one.area !== undefined) expect(Math.abs(filled(layer, f) / one.area - 1)).toBeLessThan(1e-3);
    const [a = 0, b = 0, c = 0, d = 0] = one.rings ?? [];
    const rule: Record<string, number> = {
      'nested style 0': a - b + c - d,
      'nested style 1': a - b,
      'nested style 2': a,
    };
    if (one.rings !== undefined) expect(Math.abs(filled(layer, f) / (rule[name] ?? a) - 1)).toBeLessThan(1e-3);
  });

  it('areas by closed form, as far as chords of 1 mm reach', () => {
    const of = (name: string): number =>
      filled(
        layer,
        all.findIndex((one) => one.name === name),
      );
    const segment = (chord: number, bulge: number): number => {
      const turn = 4 * Math.atan(Math.abs(bulge));
      const radius = (chord * (1 + bulge * bulge)) / (4 * Math.abs(bulge));
      return ((radius * radius) / 2) * (turn - Math.sin(turn)) * Math.sign(bulge);
    };
    const inside = (got: number, exact: number, length: number): void => {
      expect(got - exact).toBeLessThan(1e-6);
      expect(exact - got).toBeLessThan(0.001 * length);
    };
    inside(of('whole ellipse'), Math.PI * 100 * 0.35, 70);
    inside(of('half disc ccw'), (Math.PI * 25) / 2, 26);
    inside(of('sector cw'), ((110 * Math.PI) / 180) * 12.5, 20);
    inside(of('whole circle cw'), Math.PI * 16, 26);
    inside(of('whole ellipse edge'), Math.PI * 90 * 0.4, 48);
    expect(Math.abs(of('bulged polyline') - (100 + segment(10, 0.5) + segment(10, -0.25)))).toBeLessThan(0.02);
    // from below: the same area on the other side of x = 0
    expect(of('from below')).toBeCloseTo(of('bulged polyline'), 6);
    const mirrored =
      partsOf(
        layer,
        all.findIndex((one) => one.name === 'from below'),
      )[0]?.[0] ?? [];
    for (const [x = 0] of mirrored) expect(x).toBeLessThan(-7_649_000);
  });
});

// ---------------------------------------------------------------- splines by themselves

/** De Boor's algorithm as printed, at one parameter: what the curve is, without Bezier pieces. */
function deBoor({ degree, knots, points, weights }: Spline, t: number): [number, number] {
  let span = degree;
  while (span < points.length - 1 && t >= knots[span + 1]!) span++;
  const d = Array.from({ length: degree + 1 }, (_, j) => {
    const i = span - degree + j;
    const [x, y] = points[i]!;
    const w = weights?.[i] ?? 1;
    return [x * w, y * w, w];
  });
  for (let r = 1; r <= degree; r++) {
    for (let j = degree; j >= r; j--) {
      const i = span - degree + j;
      const low = knots[i]!;
      const a = (t - low) / (knots[i + degree - r + 1]! - low);
      d[j] = d[j]!.map((v, k) => (1 - a) * d[j - 1]![k]! + a * v);
    }
  }
  const [x = 0, y = 0, w = 1] = d[degree]!;
  return [x / w, y / w];
}

const splines = fc
  .record({
    degree: fc.integer({ min: 1, max: 5 }),
    more: fc.integer({ min: 0, max: 6 }),
    places: fc.array(fc.tuple(fc.integer({ min: -500, max: 500 }), fc.integer({ min: -500, max: 500 })), {
      minLength: 12,
      maxLength: 12,
    }),
    steps: fc.array(fc.integer({ min: 0, max: 3 }), { minLength: 20, maxLength: 20 }),
    weights: fc.array(fc.integer({ min: 1, max: 40 }), { minLength: 12, maxLength: 12 }),
    rational: fc.boolean(),
    clamped: fc.boolean(),
  })
  .map(({ degree, more, places, steps, weights, rational, clamped }): Spline => {
    const n = degree + 1 + more;
    const inner: number[] = [];
    for (const step of steps.slice(0, n - degree - 1)) inner.push((inner.at(-1) ?? 0) + step + 1);
    const end = (inner.at(-1) ?? 0) + 1;
    const knots = clamped
      ? [...Array<number>(degree + 1).fill(0), ...inner, ...Array<number>(degree + 1).fill(end)]
      : Array.from({ length: n + degree + 1 }, (_, i) => i);
    return {
      degree,
      knots,
      points: places.slice(0, n).map(([x, y]) => [x / 10, y / 10, 0] as const),
      weights: rational ? weights.slice(0, n).map((w) => w / 10) : null,
    };
  });

describe('splines', () => {
  it('every point of the curve lies within the tolerance of the chords, and the chords end on it', () => {
    fc.assert(
      fc.property(splines, fc.constantFrom(0.001, 0.05, 1), (spline, tolerance) => {
        expect(splineFault(spline)).toBeUndefined();
        const line: XY[] = [];
        expect(splineVertices(spline, tolerance, (...p) => line.push(p))).toBe(true);
        const { knots, degree, points } = spline;
        const [from, to] = [knots[degree]!, knots[points.length]!];
        for (let i = 0; i <= 60; i++) {
          const t = from + ((to - from) * i) / 60;
          expect(distance(deBoor(spline, t), line)).toBeLessThan(tolerance + 1e-9);
        }
        expect(Math.hypot(...deBoor(spline, from).map((v, i) => v - line[0]?.[i]!))).toBeLessThan(1e-9);
        expect(Math.hypot(...deBoor(spline, to).map((v, i) => v - line.at(-1)?.[i]!))).toBeLessThan(1e-9);
      }),
      { numRuns: 60 },
    );
  });

  it('a quarter circle as a rational parabola is the quarter circle', () => {
    const quarter: Spline = {
      degree: 2,
      knots: [0, 0, 0, 1, 1, 1],
      points: [
        [2_000_010, 0, 0],
        [2_000_010, 10, 0],
        [2_000_000, 10, 0],
      ],
      weights: [1, Math.SQRT1_2, 1],
    };
    const line: XY[] = [];
    splineVertices(quarter, 0.001, (...p) => line.push(p));
    for (const [x = 0, y = 0] of line) expect(Math.hypot(x - 2_000_000, y)).toBeCloseTo(10, 8);
    expect(area([[2_000_000, 0], ...line])).toBeCloseTo(Math.PI * 25, 1);
    expect(line.length).toBeLessThan(200); // 56 at best; the hull of a parabola is twice as far off as the parabola;
  });

  it.each([
    [{ degree: 0 }, 'degree'],
    [{ knots: [0, 0, 1, 1, 1] }, 'it has 5 knots, and needs 6'],
    [{ knots: [0, 0, 1, 0.5, 1, 1] }, 'do not ascend'],
    [{ knots: [1, 1, 1, 1, 1, 1] }, 'all the same'],
    [{ weights: [1, 0, 1] }, 'above 0'],
    [{ points: [[0, 0, 0]] }, 'it has 1 control points, and needs 3'],
  ])('%j is refused', (change, words) => {
    const sound: Spline = {
      degree: 2,
      knots: [0, 0, 0, 1, 1, 1],
      points: [
        [0, 0, 0],
        [1, 1, 0],
        [2, 0, 0],
      ],
      weights: null,
    };
    expect(splineFault({ ...sound, ...(change as Partial<Spline>) })).toContain(words);
  });
});

// ---------------------------------------------------------------- what cannot be used

describe('damaged curves stay, broken, with their place', () => {
  const read = (...groups: (readonly Group[])[]): Layer => readDxf(bytesOf(dxf(groups, 6)), { name: 'site.dxf' });
  const hatch = (...groups: Group[]): readonly Group[] =>
    entity(
      'HATCH',
      'A',
      [10, 0],
      [20, 0],
      [30, 0],
      [2, 'SOLID'],
      [70, 1],
      [71, 0],
      ...groups,
      [75, 0],
      [76, 1],
      [98, 0],
    );
  const line = (x0: number, y0: number, x1: number, y1: number): Group[] => [
    [72, 1],
    [10, x0],
    [20, y0],
    [11, x1],
    [21, y1],
  ];

  it.each([
    [
      hatch([91, 1], [92, 0], [93, 3], ...line(0, 0, 1, 0), ...line(1, 0, 1, 1), ...line(2, 2, 0, 0)),
      'path 0, edge 2',
      'has a gap',
    ],
    [hatch([91, 1], [92, 0], [93, 2], ...line(0, 0, 1, 0), ...line(1, 0, 2, 2)), 'path 0', 'its last edge'],
    [hatch([91, 1], [92, 0], [93, 3], ...line(0, 0, 1, 0), ...line(1, 0, 0, 0)), 'path 0', 'states 3 edges and has 2'],
    [hatch([91, 2], [92, 2], [72, 0], [73, 1], [93, 1], [10, 0], [20, 0]), 'group 91', 'states 2 paths and has 1'],
    [hatch([91, 1], [92, 0], [93, 1], [72, 9]), 'edge 0', 'of the kind 9'],
    [hatch([91, 1], [92, 0], [93, 1], [72, 2], [10, 0], [20, 0], [40, 'x'], [50, 0], [51, 90]), 'edge 0', 'holds "x"'],
    [hatch([91, 0]), 'group 91', 'no boundary'],
    [hatch(), 'group 91', 'does not say'],
    [
      entity('SPLINE', 'A', [70, 8], [71, 3], [74, 2], [11, 0], [21, 0], [11, 5], [21, 5]),
      'group 10',
      'its curve is not stated',
    ],
    [entity('SPLINE', 'A', [71, 2], [40, 0], [10, 0], [20, 0]), 'SPLINE', 'control points'],
    [entity('ELLIPSE', 'A', [10, 0], [20, 0], [11, 0], [21, 0], [40, 0.5]), 'group 40', 'no width'],
    [
      entity('ELLIPSE', 'A', [10, 0], [20, 0], [11, 1], [21, 0], [40, 0.5], [210, 1], [220, 0], [230, 1]),
      'group 210',
      'tilted',
    ],
    [
      entity(
        'SPLINE',
        'A',
        [71, 2],
        ...[0, 0, 0, 1, 1, 1].map((k): Group => [40, k]),
        [10, 0],
        [20, 0],
        [10, 1e12],
        [20, 9e12],
        [10, 3e12],
        [20, 0],
      ),
      'SPLINE',
      'too large',
    ],
  ])('%#', (groups, path, words) => {
    const layer = read(groups);
    expect([layer.count, kindOf(layer, 0)]).toEqual([1, 'broken']);
    expect(layer.findings[0]?.code).toBe('geometry-broken');
    expect(layer.findings[0]?.path).toContain(path);
    expect(layer.findings[0]?.message).toContain(words);
  });

  it('edges drawn the other way are turned, a boundary drawn twice counts once, a gap for a text is none', () => {
    const box = (k: number): Group[] => [
      [72, 0],
      [73, 1],
      [93, 4],
      ...[
        [-k, -k],
        [k, -k],
        [k, k],
        [-k, k],
      ].flatMap(([x = 0, y = 0]): Group[] => [
        [10, x],
        [20, y],
      ]),
    ];
    const turned = hatch([91, 1], [92, 0], [93, 3], ...line(4, 0, 0, 0), ...line(4, 4, 4, 0), ...line(4, 4, 0, 0));
    const twice = hatch([91, 2], [92, 2], ...box(5), [92, 2], ...box(5));
    const text = hatch([91, 2], [92, 2], ...box(5), [92, 10], ...box(1));
    const island = hatch([91, 2], [92, 2], ...box(5), [92, 18], ...box(1));
    const layer = read(turned, twice, text, island);
    expect([0, 1, 2, 3].map((f) => filled(layer, f))).toEqual([8, 100, 100, 96]);
    expect(layer.value(0, 'pattern')).toBe('SOLID');
  });

  it('rings know how deep they lie', () => {
    const ring = (k: number): XY[] => [
      [-k, -k],
      [k, -k],
      [k, k],
      [-k, k],
    ];
    expect(nestingDepth([ring(1), ring(9), ring(5)]).map(({ depth }) => depth)).toEqual([2, 0, 1]);
  });
});

describe('changed values', () => {
  const text = readFileSync(new URL('../scenarios/drawing/curves.dxf', import.meta.url), 'utf8').split('\n');
  const odd = fc.constantFrom('0', '-1', '1e300', '-1e300', '1e-300', '360', '7', 'x', '', '1e15', 'nan', '2147483648');

  it('end in a layer of finite numbers or an InputError, soon', () => {
    fc.assert(
      fc.property(
        fc.array(fc.tuple(fc.integer({ min: 12, max: text.length - 3 }), odd), { minLength: 1, maxLength: 12 }),
        (changes) => {
          const lines = [...text];
          for (const [at, value] of changes) lines[at | 1] = value; // codes and values take turns, a code first
          try {
            const layer = readDxf(bytesOf(lines.join('\n')), { name: 'curves.dxf' });
            expect(layer.geometry.xy.every(Number.isFinite)).toBe(true);
            expect(layer.geometry.xy.length).toBeLessThan(1_000_000);
          } catch (error) {
            if (!(error instanceof InputError)) throw error;
          }
        },
      ),
      { numRuns: Number(process.env.CURVE_RUNS ?? 60) },
    );
  });
});
