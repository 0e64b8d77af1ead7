// Protection fences on a plane: closed forms, gates, ground outside the fence, temporary works, trees left out.
import { describe, expect, test } from 'vitest';
import type { Assessment, FencePlan, LonLatRing } from '../../src/model/index.js';
import { box, type LocalFeature, localJob, type XY } from '../support/local-job.js';

const FT = 0.3048;
const FAR = box(5000, 5000, 5001, 5001, { id: 'far', kind: 'building' });
/** A tree whose zone has a radius in metres. */
const zone = (x: number, y: number, radius: number, more: Record<string, unknown> = {}): LocalFeature => ({
  point: [x, y],
  properties: { dbh_in: radius / FT, ...more },
});

function fences(
  trees: readonly LocalFeature[],
  works: readonly LocalFeature[] = [FAR],
  workingSpaceM = 0,
): FencePlan & { assessment: Assessment } {
  const assessment = localJob(trees, works, { options: { fences: { workingSpaceM } } });
  return { ...assessment.fences, assessment };
}

/** Positions of a ring in the survey's own metres. */
function metres(assessment: Assessment, ring: LonLatRing): XY[] {
  const xy = Float64Array.from(ring.flat());
  assessment.job.treeTransform?.fromLonLat(xy);
  return ring.map((_, i) => [xy[i * 2]!, xy[i * 2 + 1]!]);
}

const lengthOf = (line: readonly XY[]): number =>
  line.slice(1).reduce((sum, [x, y], i) => sum + Math.hypot(x - (line[i]?.[0] ?? 0), y - (line[i]?.[1] ?? 0)), 0);

/** What a line of chords no farther than 10 cm outside a circle may be longer by: tan(a)/a - 1 with cos(a) = R/(R + 0.1). */
const longest = (radius: number): number => {
  const a = Math.acos(radius / (radius + 0.1));
  return Math.tan(a) / a;
};

describe('length', () => {
  test.each([1.8, 3, 6.096, 9.144, 15])('one zone of %f m: 2 pi R, and never shorter', (radius) => {
    const { fences: list } = fences([zone(10, 20, radius)]);
    expect(list).toHaveLength(1);
    const ratio = list[0]?.lengthM! / (2 * Math.PI * radius);
    expect(ratio).toBeGreaterThanOrEqual(1);
    expect(ratio).toBeLessThan(longest(radius) + 0.003);
    expect(list[0]).toMatchObject({ trees: [0], gates: 0 });
    expect(list[0]?.alongWorksM).toBeCloseTo(0, 6);
  });

  test('two zones that overlap have one fence round both: 2 R (2 pi - 2 acos(d / 2R))', () => {
    const [radius, d] = [8, 10];
    const { fences: list } = fences([zone(0, 0, radius), zone(d, 0, radius)]);
    const exact = 2 * radius * (2 * Math.PI - 2 * Math.acos(d / (2 * radius)));
    expect(list).toHaveLength(1);
    expect(list[0]?.trees).toEqual([0, 1]);
    expect(list[0]?.lengthM! / exact).toBeGreaterThan(0.999);
    expect(list[0]?.lengthM! / exact).toBeLessThan(longest(radius) + 0.003);
    const lens = 2 * radius ** 2 * Math.acos(d / (2 * radius)) - (d / 2) * Math.sqrt(4 * radius ** 2 - d * d);
    const area = 2 * Math.PI * radius ** 2 - lens;
    expect(list[0]?.areaM2! / area).toBeGreaterThan(1);
    expect(list[0]?.areaM2! / area).toBeLessThan(1.02);
  });

  test('two zones apart have a fence each', () => {
    expect(fences([zone(0, 0, 5), zone(12, 0, 5)]).fences.map((f) => f.trees)).toEqual([[0], [1]]);
  });

  test.each([0, 1, 1.5])('works that fill a half plane, %f m of working space: an arc and a chord', (space) => {
    const [radius, d] = [8, 4];
    const { fences: list, gates } = fences([zone(0, 0, radius)], [box(d, -50, 60, 50, { kind: 'fill' })], space);
    const cut = d - space;
    const chord = 2 * Math.sqrt(radius ** 2 - cut ** 2);
    const arc = radius * (2 * Math.PI - 2 * Math.acos(cut / radius));
    expect(list).toHaveLength(1);
    const { lengthM, alongWorksM } = list[0]!;
    expect(alongWorksM).toBeGreaterThan(chord - 0.01);
    expect(alongWorksM).toBeLessThan(chord + 0.4); // the chord of a line 10 cm outside the circle
    expect((lengthM - alongWorksM) / arc).toBeGreaterThan(0.995);
    expect((lengthM - alongWorksM) / arc).toBeLessThan(longest(radius) + 0.01);
    // a wide mouth has a gate in the strip at either end of the works; without working space there is no strip
    expect(gates).toHaveLength(space === 0 ? 0 : 2);
    for (const gate of gates) expect(gate.lengthM).toBeGreaterThan(space);
  });

  test('the line never comes inside a zone, nor farther than 10 cm from it', () => {
    const plan = fences([zone(0, 0, 6), zone(7, 3, 9.3), zone(3, -9, 4.1), zone(16, 6, 3)]);
    const places: [number, number, number][] = [
      [0, 0, 6],
      [7, 3, 9.3],
      [3, -9, 4.1],
      [16, 6, 3],
    ];
    for (const ring of plan.fences.flatMap((f) => f.shape.flat())) {
      const line = metres(plan.assessment, ring);
      for (let i = 1; i < line.length; i++) {
        const [[ax, ay], [bx, by]] = [line[i - 1]!, line[i]!];
        for (let t = 0; t <= 1; t += 0.1) {
          const [x, y] = [ax + t * (bx - ax), ay + t * (by - ay)];
          const out = Math.min(...places.map(([cx, cy, r]) => Math.hypot(x - cx, y - cy) - r));
          expect(out).toBeGreaterThan(-0.0005);
          expect(out).toBeLessThan(0.101);
        }
      }
    }
  });

  test('far from the origin the fence is the same', () => {
    const near = fences([zone(0, 0, 6), zone(7, 3, 9)], [box(3, -9, 5, -2, { kind: 'building' }), FAR], 1);
    const [x, y] = [640_000, 210_000];
    const far = fences(
      [zone(x, y, 6), zone(x + 7, y + 3, 9)],
      [box(x + 3, y - 9, x + 5, y - 2, { kind: 'building' })],
      1,
    );
    expect(far.fences.map((f) => f.lengthM.toFixed(2))).toEqual(near.fences.map((f) => f.lengthM.toFixed(2)));
    expect(far.gates.length).toBe(near.gates.length);
  });
});

describe('posts', () => {
  test('one at every corner, and none farther than the spacing from the next', () => {
    const trees = [zone(0, 0, 15, { id: 'T' })];
    const at = (postSpacingM: number) =>
      localJob(trees, [FAR], { options: { fences: { postSpacingM } } }).fences.fences[0];
    const corners = (at(50)?.shape[0]?.[0]?.length ?? 0) - 1;
    expect(at(50)?.posts).toBe(corners);
    const bay = 2 * Math.tan(Math.PI / corners) * 15.002;
    expect(at(bay * 1.001)?.posts).toBe(corners);
    expect(at(bay * 0.999)?.posts).toBe(2 * corners);
    expect(localJob(trees, [FAR]).fences.postSpacingM).toBeCloseTo(10 * FT, 9); // Ramsey MN, Durham NC: 10 ft at most
  });
});

describe('works in the zone', () => {
  test('a trench through it parts the fence in two, with a gate where it enters and where it leaves', () => {
    const trench: LocalFeature = {
      line: [
        [4, -30],
        [4, 30],
      ],
      properties: { id: 'trench', kind: 'trench', width_m: 0.6 },
    };
    const plan = fences([zone(0, 0, 8)], [trench], 1);
    expect(plan.fences.map((f) => f.trees)).toEqual([[0], []]);
    expect(plan.gates).toHaveLength(2);
    for (const gate of plan.gates) {
      expect(gate).toMatchObject({ fences: [0, 1], works: [0] });
      expect(gate.lengthM).toBeGreaterThan(2.6 / Math.cos(Math.asin(4 / 8)) - 0.3);
      expect(gate.lengthM).toBeLessThan(2.6 / Math.cos(Math.asin(4 / 8)) + 0.3);
    }
    // the strips beside the trench: its corridor of 2.6 m less its own 0.6 m
    const corridor = (a: number, b: number): number => {
      const f = (x: number): number => x * Math.sqrt(64 - x * x) + 64 * Math.asin(x / 8);
      return f(b) - f(a);
    };
    const strips = corridor(2.7, 5.3) - corridor(3.7, 4.3);
    const ground = plan.groundProtection.reduce((sum, g) => sum + g.areaM2, 0);
    expect(ground).toBeGreaterThan(strips);
    expect(ground).toBeLessThan(strips * 1.03);
    expect(plan.groundProtection.every((g) => g.works.includes(0))).toBe(true);
  });

  test('works beside the zone make it retreat without a gate', () => {
    const plan = fences([zone(0, 0, 8)], [box(8.2, -20, 30, 20, { kind: 'building' })], 1);
    expect(plan.fences[0]?.alongWorksM).toBeGreaterThan(3);
    expect(plan.gates).toEqual([]);
    expect(plan.groundProtection).toHaveLength(1);
  });

  test('a bore passes below; trees to be removed or moved and rows without a figure have no fence', () => {
    const bore: LocalFeature = {
      line: [
        [-30, 0.5],
        [30, 0.5],
      ],
      properties: { kind: 'bore', width_m: 0.2 },
    };
    const plan = fences(
      [
        zone(0, 5, 6),
        zone(40, 0, 6, { disposition: 'remove' }),
        zone(80, 0, 6, { disposition: 'transplant' }),
        { point: [120, 0], properties: { dbh_in: null } },
      ],
      [bore],
      1,
    );
    expect(plan.fences.map((f) => [f.trees, Math.round(f.alongWorksM)])).toEqual([[[0], 0]]);
    expect(plan.findings).toEqual([]);
  });

  test('a tree to be kept that cannot have a fence is told', () => {
    const works = [
      box(-1, -1, 1, 1, { id: 'on it', kind: 'building' }),
      box(100.8, -20, 130, 20, { id: 'close', kind: 'building' }),
    ];
    const { findings, fences: list } = fences([zone(0, 0, 6), zone(100, 0, 6)], works, 1.5);
    expect(findings.map((f) => [f.code, f.feature])).toEqual([
      ['fence-leaves-tree', 0],
      ['fence-leaves-tree', 1],
    ]);
    expect(findings[0]?.message).toMatch(/trunk stands in the works/);
    expect(list.flatMap((f) => f.trees)).toEqual([]);
  });

  test('a pocket that zones enclose is fenced with them, unless works reach it', () => {
    const ring = Array.from({ length: 8 }, (_, i) =>
      zone(12 * Math.cos((i * Math.PI) / 4), 12 * Math.sin((i * Math.PI) / 4), 6),
    );
    expect(fences(ring).fences[0]?.shape[0]).toHaveLength(1);
    const withHut = fences(ring, [box(-1, -1, 1, 1, { kind: 'building' })], 0.5);
    expect(withHut.fences[0]?.shape[0]).toHaveLength(2);
  });
});

describe('temporary works', () => {
  test('an area stays outside: the fence stands, and the overlap is told', () => {
    const yard = box(4, -3, 14, 3, { id: 'yard', kind: 'compaction', temporary: 'yes' });
    const plan = fences([zone(0, 0, 6, { id: 'T1' })], [yard], 1.5);
    expect(plan.fences[0]?.alongWorksM).toBeCloseTo(0, 6);
    expect(plan.gates).toEqual([]);
    expect(plan.findings).toHaveLength(1);
    expect(plan.findings[0]).toMatchObject({ code: 'temporary-in-zone', severity: 'warning', id: 'yard' });
    expect(plan.findings[0]?.message).toMatch(/zones of T1: the fence stands/);
    const area = Number(/take ([\d.]+) m2/.exec(plan.findings[0]?.message ?? '')?.[1]);
    const f = (y: number): number => (y * Math.sqrt(36 - y * y) + 36 * Math.asin(y / 6)) / 2; // x from 4 to the circle
    expect(area).toBeGreaterThan(2 * f(3) - 6 * 4 - 0.1);
    expect(area).toBeLessThan(2 * f(3) - 6 * 4 + 0.8);
    expect(fences([zone(0, 0, 6)], [box(7, -3, 14, 3, { kind: 'compaction', temporary: 'yes' })]).findings).toEqual([]);
  });

  test('a way passes through gates, and the ground under it is protected', () => {
    const way: LocalFeature = {
      line: [
        [-30, 4],
        [30, 4],
      ],
      properties: { id: 'access', kind: 'compaction', width_m: 3, temporary: 'yes' },
    };
    const plan = fences([zone(0, 0, 8)], [way], 0.5);
    expect(plan.gates).toHaveLength(2);
    expect(plan.findings.map((f) => f.code)).toEqual(['temporary-in-zone']);
    expect(plan.findings[0]?.message).toMatch(/pass through gates/);
    const half = (x: number): number => x * Math.sqrt(64 - x * x) + 64 * Math.asin(x / 8);
    const corridor = half(6) - half(2);
    const ground = plan.groundProtection.reduce((sum, g) => sum + g.areaM2, 0);
    expect(ground).toBeGreaterThan(corridor);
    expect(ground).toBeLessThan(corridor * 1.03);
  });
});

describe('whose ground', () => {
  test('ground that works part from the trunk names the trees whose zones it belongs to', () => {
    const drive = box(-30, 3, 30, 6, { id: 'D', kind: 'paving' });
    const plan = fences([zone(0, 0, 9, { id: 'A' }), zone(40, 0, 9, { id: 'B' })], [drive], 0.5);
    const apart = plan.fences.filter(({ trees }) => trees.length === 0);
    expect(apart).toHaveLength(1);
    expect(apart[0]?.zoneTrees).toEqual([0]);
    expect(plan.fences.filter(({ trees }) => trees.length > 0).map(({ zoneTrees }) => zoneTrees)).toEqual([[], []]);
  });
  test('a fence that leaves the lots is told, with its length, and stays whole', () => {
    // a circle of 6 m cut by the lot line at 3 m from its centre: 2 acos(1/2) R of it lie beyond
    const lots = [box(-50, -50, 3, 0, { id: 'S' }), box(-50, 0, 3, 50, { id: 'N' })]; // and over the line of two lots
    const of = (trees: readonly LocalFeature[], more: object) =>
      localJob(trees, [FAR], { ...more, options: { fences: { workingSpaceM: 0 } } }).fences;
    const { fences: told, findings } = of([zone(0, 0, 6)], { lots });
    expect(Math.abs((told[0]?.outsideLotsM ?? 0) - 2 * Math.acos(0.5) * 6)).toBeLessThan(0.2);
    expect(told[0]?.lengthM).toBeGreaterThan(2 * Math.PI * 6);
    expect(findings.map(({ code }) => code)).toEqual(['fence-off-lots']);
    expect(findings[0]?.message).toContain('fence 1 (12.');
    expect(of([zone(-20, 0, 6)], { lots })).toMatchObject({ fences: [{ outsideLotsM: 0 }], findings: [] });
    expect(of([zone(0, 0, 6)], {})).toMatchObject({ fences: [{ outsideLotsM: null }], findings: [] });
  });
});

test('options that make no sense are refused; a job without trees has no fences', () => {
  const trees = [zone(0, 0, 6)];
  const of = (options: object) => () => localJob(trees, [FAR], { options: { fences: options } }).fences;
  expect(of({ workingSpaceM: -1 })).toThrow(/can't be laid out/);
  expect(of({ postSpacingM: 0 })).toThrow(/can't be laid out/);
  expect(fences([]).fences).toEqual([]);
  expect(
    lengthOf([
      [0, 0],
      [3, 4],
    ]),
  ).toBe(5);
});
