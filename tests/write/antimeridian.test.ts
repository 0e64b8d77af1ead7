// Ground across 180 degrees: groups, works, lots and drawn zones drawn in one ring there have the figures of the same ones
// at Greenwich, where the lattice has a seam too.
import { describe, expect, it } from 'vitest';
import { assess, readLayer } from '../../src/core.js';
import type { Assessment, Layer } from '../../src/model/index.js';
import { cutLine } from '../../src/write/antimeridian.js';
import { toGeoJSON } from '../../src/write/index.js';

type Box = readonly [west: number, south: number, east: number, north: number];
const E5 = 1e-5; // degrees: 1.1 m
const turned = (lon: number): number => (lon > 180 ? lon - 360 : lon < -180 ? lon + 360 : lon);

function layer(name: string, features: readonly object[]): Layer {
  return readLayer(new TextEncoder().encode(JSON.stringify({ type: 'FeatureCollection', features })), { name });
}
function polygon(lon0: number, [west, south, east, north]: Box, properties: object): object {
  const ring = [
    [west, south],
    [east, south],
    [east, north],
    [west, north],
    [west, south],
  ].map(([x = 0, y = 0]) => [turned(lon0 + x * E5), -16.75 + 0.1 + y * E5]);
  return { type: 'Feature', properties, geometry: { type: 'Polygon', coordinates: [ring] } };
}

/** A hedge, a tree with a drawn zone, a house, a trench and a lot that all lie across a meridian. */
function job(lon0: number): Assessment {
  const point = { type: 'Point', coordinates: [turned(lon0 - 2 * E5), -16.75 + 0.1 + 12 * E5] };
  const trees = [
    polygon(lon0, [-9, -1, 7, 1], { id: 'H', dbh_in: 6 }),
    { type: 'Feature', properties: { id: 'T', dbh_in: 10 }, geometry: point },
  ];
  return assess({
    trees: layer('trees.geojson', trees),
    works: [
      {
        layer: layer('works.geojson', [
          polygon(lon0, [-4, 1.5, 3, 7], { id: 'B', kind: 'fill', depth_m: 1 }),
          polygon(lon0, [-3, 13, 4, 14], { id: 'D', kind: 'trench', depth_m: 1 }),
        ]),
      },
    ],
    lots: layer('lots.geojson', [polygon(lon0, [-30, -30, 40, 40], { id: 'L' })]),
    zones: layer('zones.geojson', [polygon(lon0, [-6, 9, 5, 16], { id: 'T' })]),
    options: { margins: true, fences: {} },
  });
}

describe('across 180 degrees', () => {
  const there = job(180);
  const here = job(0);
  it.each([0, 1])('row %i has the figures it has at Greenwich', (row) => {
    const [a, b] = [there.tree(row), here.tree(row)];
    expect(a.overlapM2).toBeGreaterThan(1);
    for (const figure of ['zoneAreaM2', 'overlapM2', 'severedM2', 'nearestM', 'marginM'] as const) {
      const [one, other] = [a[figure], b[figure]];
      if (one === null || other === null) expect(one).toBe(other);
      else expect(Math.abs(one - other)).toBeLessThan(figure === 'zoneAreaM2' || figure === 'overlapM2' ? 2e-3 : 5e-4);
    }
    expect([a.verdict, a.lot]).toEqual([b.verdict, 'L']);
    expect(Math.abs(a.lon ?? 0)).toBeLessThanOrEqual(180);
  });
  it('fences and lots too; what is written keeps to -180 .. 180', () => {
    expect(there.fences.fences).toHaveLength(here.fences.fences.length);
    there.fences.fences.forEach((fence, i) => {
      expect(Math.abs(fence.lengthM - (here.fences.fences[i]?.lengthM ?? 0))).toBeLessThan(0.01);
      expect(fence.outsideLotsM).toBeCloseTo(0, 6);
    });
    expect(there.lots[0]?.figures).toMatchObject({ trees: 2, kept: 2 });
    const numbers = JSON.stringify(toGeoJSON(there).features.map(({ geometry }) => geometry)).match(/-?[\d.]+/g) ?? [];
    expect(Math.max(...numbers.map((n) => Math.abs(Number(n))))).toBeLessThanOrEqual(180);
  });
  it('lines of fences are cut there (RFC 7946 3.1.9), and lose nothing', () => {
    const lengthOf = (line: readonly (readonly number[])[]): number =>
      line.slice(1).reduce((sum, [x = 0, y = 0], i) => sum + Math.hypot(x - line[i]![0]!, y - line[i]![1]!), 0);
    const linesOf = (assessment: Assessment): number[][][][] =>
      toGeoJSON(assessment, { roles: ['fence'] }).features.flatMap(({ geometry }) =>
        geometry?.type === 'LineString'
          ? [[geometry.coordinates]]
          : geometry?.type === 'MultiLineString'
            ? [geometry.coordinates]
            : [],
      );
    const [cut, whole] = [linesOf(there), linesOf(here)];
    expect(cut).toHaveLength(whole.length);
    expect(cut.some((parts) => parts.length > 1)).toBe(true);
    cut.forEach((parts, i) => {
      for (const line of parts) {
        for (const [k, [lon = 0]] of line.entries()) {
          if (k > 0) expect(Math.abs(lon - line[k - 1]![0]!)).toBeLessThan(1); // no edge round the globe
        }
      }
      const all = (of: number[][][]): number => of.reduce((sum, line) => sum + lengthOf(line), 0);
      expect(all(parts) / all(whole[i]!)).toBeCloseTo(1, 4);
    });
  });
  it.each([
    ['not there', [10, 1, 12, 2], [[10, 1, 12, 2]]],
    [
      'across, eastward',
      [179, 0, -179, 2],
      [
        [179, 0, 180, 1],
        [-180, 1, -179, 2],
      ],
    ],
    [
      'across, westward, out of range',
      [-179, 0, -181, 2],
      [
        [-179, 0, -180, 1],
        [180, 1, 179, 2],
      ],
    ],
    [
      'with a position on it',
      [179, 0, 180, 1, -179, 2],
      [
        [179, 0, 180, 1],
        [-180, 1, -179, 2],
      ],
    ],
    ['that only touches it', [179, 0, 180, 1, 179, 2], [[179, 0, 180, 1, 179, 2]]],
    ['that runs along it', [179, 0, 180, 1, 180, 2, 179, 3], [[179, 0, 180, 1, 180, 2, 179, 3]]],
    [
      'closed: two parts',
      [179, 0, -179, 0, -179, 2, 179, 2, 179, 0],
      [
        [-180, 0, -179, 0, -179, 2, -180, 2],
        [180, 2, 179, 2, 179, 0, 180, 0],
      ],
    ],
  ])('a line %s', (_, line, parts) => {
    const sorted = (list: readonly (readonly number[])[]): string[] => list.map((part) => part.join()).sort();
    expect(sorted(cutLine(line))).toEqual(sorted(parts));
  });
});
