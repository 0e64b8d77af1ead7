// Local ground systems, ground factors, shots on the face, suspects; and the way from input to frame and back.

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type AssessJob, assess } from '../../src/assess/index.js';
import { rows, unfold } from '../../src/crs/crs-table.js';
import { assignCrs, checkPositions, findCrs, frameAt, planeFrame, transformFor } from '../../src/crs/index.js';
import { neighbours } from '../../src/crs/suspect.js';
import { InputError } from '../../src/model/findings.js';
import type { AssessOptions, Layer } from '../../src/model/index.js';
import { LayerBuilder } from '../../src/model/index.js';
import { toGeoJSON, toSchedule } from '../../src/write/index.js';
import { forward } from '../support/geodesy.js';

function points(name: string, at: readonly (readonly [number, number])[], more: Record<string, unknown> = {}): Layer {
  const b = new LayerBuilder(name, 'csv');
  for (const [i, [x, y]] of at.entries()) {
    b.begin('point');
    b.part();
    b.ring();
    b.vertex(x, y);
    b.end({ id: `T${i}`, dbh_in: 24, ...more }, `T${i}`);
  }
  return b.finish({ crs: null, sha256: null });
}

function square(
  name: string,
  [w, s, e, n]: readonly [number, number, number, number],
  crs: Layer['crs'] = null,
): Layer {
  const b = new LayerBuilder(name, 'geojson');
  b.begin('polygon');
  b.part();
  b.ring();
  for (const [x, y] of [
    [w, s],
    [e, s],
    [e, n],
    [w, n],
    [w, s],
  ] as const)
    b.vertex(x, y);
  b.end({ id: 'house', kind: 'building' }, 'house');
  return b.finish({ crs, sha256: null });
}

function errorOf(run: () => unknown): InputError {
  try {
    run();
  } catch (error) {
    if (error instanceof InputError) return error;
    throw error;
  }
  throw new Error('no error');
}

const run = (trees: Layer, works: Layer, options: AssessOptions, more: Partial<AssessJob> = {}) =>
  assess({ trees, works: [{ layer: works }], options, ...more });

describe('local ground systems', () => {
  // A 24 in tree has a zone of 24 ft; a wall 12 ft east of it takes d/R = 0.5: 19.550 % (circular segment).
  const at = (x: number, y: number) =>
    [points('t.csv', [[x, y]]), square('w.geojson', [x + 12, y - 100, x + 100, y + 100])] as const;

  it('figures are exact at any size of coordinates', () => {
    for (const [x, y] of [
      [0, 0],
      [5000, 5000],
      [-300, 20],
      [2_000_000, 10_000_000],
      [12_345_678.9, 98_765.43],
    ] as const) {
      const tree = run(...at(x, y), { crs: 'local:ft' }).trees[0];
      expect(tree?.overlapPct).toBeCloseTo(19.5501109478, 6);
      expect(tree?.zoneRadiusM).toBeCloseTo(24 * 0.3048, 9);
      expect(tree?.nearestM).toBeCloseTo(12 * 0.3048, 7);
      expect(tree?.nearestGridBearing).toBeCloseTo(90, 5);
      expect([tree?.lon, tree?.lat, tree?.nearestBearing, tree?.convergence]).toEqual([null, null, null, null]);
    }
  });

  it('one site in local:ft, local:ftUS and local:m: the same percent where the numbers mean the same', () => {
    const feet = run(...at(5000, 5000), { crs: 'local:ft' }).trees[0];
    const metres = run(points('t', [[1524, 1524]]), square('w', [1524 + 3.6576, 1500, 1560, 1560]), { crs: 'local:m' })
      .trees[0];
    expect(metres?.overlapPct).toBeCloseTo(feet?.overlapPct!, 6);
    expect(run(...at(5000, 5000), { crs: 'local:ftUS' }).trees[0]?.nearestM).toBeCloseTo((12 * 1200) / 3937, 7);
  });

  it('the output is planar, in the source’s own unit, and says so', () => {
    const lots = square('lots', [4000, 4000, 6000, 6000]);
    const out = toGeoJSON(run(...at(5000.25, 5000), { crs: 'local:ft' }, { lots })) as unknown as {
      crs: { properties: { name: string } };
      rootberth: { written: { crs: string; positions: string }; inputs: { crs: string }[] };
      features: { properties: Record<string, unknown>; geometry: { coordinates: number[][][] & number[] } }[];
    };
    expect(out.crs.properties.name).toBe('local:ft');
    expect(out.rootberth.written.crs).toBe('local:ft');
    expect(out.rootberth.written.positions).toContain('not longitude and latitude');
    const of = (role: string) => out.features.find((f) => f.properties.rb_role === role);
    expect(of('tree')?.geometry.coordinates).toEqual([5000.25, 5000]);
    expect(of('tree')?.properties.rb_lot).toBe('house');
    expect(of('works')?.geometry.coordinates[0]?.[0]).toEqual([5012.25, 4900]);
    const zone = of('zone')?.geometry.coordinates[0] ?? [];
    const wide = zone.map(([x = 0]) => x);
    expect(Math.max(...wide) - Math.min(...wide)).toBeCloseTo(48, 1);
    expect(toSchedule(run(...at(5000, 5000), { crs: 'local:ft' }))).toContain('deg from grid north');
  });

  it('cannot be placed on the earth, nor laid with layers that are', () => {
    const assessment = run(...at(0, 0), { crs: 'local:ft' });
    const to = transformFor(findCrs('EPSG:2913'));
    expect(errorOf(() => toGeoJSON(assessment, { output: { crs: to.crs, toOutput: to.fromLonLat } })).code).toBe(
      'crs-local',
    );
    expect(
      errorOf(() => run(at(0, 0)[0], at(0, 0)[1], { crs: 'EPSG:2913', crsFor: { trees: 'local:ft' } })).code,
    ).toMatch(/crs-/);
  });

  it('the plane is its own frame', () => {
    const t = transformFor(findCrs('local:ftUS'));
    fc.assert(
      fc.property(
        fc.double({ min: -2e7, max: 2e7, noNaN: true }),
        fc.double({ min: -2e7, max: 2e7, noNaN: true }),
        (x, y) => {
          const xy = Float64Array.of(x, y);
          t.toLonLat(xy);
          planeFrame.toFrame(xy, xy);
          expect(Math.abs(xy[0]! - (x * 1200) / 3937)).toBeLessThan(1e-7);
          planeFrame.toLonLat(xy, xy);
          t.fromLonLat(xy);
          expect(Math.hypot(xy[0]! - x, xy[1]! - y)).toBeLessThan(1e-7);
        },
      ),
    );
    expect(planeFrame.convergence(1, 2)).toBe(0);
  });
});

const OREGON = findCrs('EPSG:2913');
const SITE = forward(transformFor(OREGON), -122.7, 45.4);

describe('ground factor', () => {
  const ground = { factor: 1.000123, east: 7_600_000, north: 600_000 };
  const scaled = (at: readonly [number, number]): [number, number] => [
    ground.east + (at[0] - ground.east) * ground.factor,
    ground.north + (at[1] - ground.north) * ground.factor,
  ];

  it('brings ground coordinates onto the grid, and says by what', () => {
    const { assigned } = assignCrs([{ role: 'trees', layer: points('t', [scaled(SITE)]) }], {
      crs: 'EPSG:2913',
      ground,
    });
    expect(assigned[0]?.from).toBe('by --crs, brought from ground to grid: divided by 1.000123 about 7600000, 600000');
    const xy = Float64Array.from(scaled(SITE));
    transformFor(assigned[0]?.crs ?? OREGON).toLonLat(xy);
    expect(xy[0]).toBeCloseTo(-122.7, 9);
    expect(xy[1]).toBeCloseTo(45.4, 9);
    transformFor(assigned[0]?.crs ?? OREGON).fromLonLat(xy);
    expect(Math.hypot(xy[0]! - scaled(SITE)[0], xy[1]! - scaled(SITE)[1]) * 0.3048).toBeLessThan(1e-4);
  });

  it('is for layers named by an option; what a file states of itself is on the grid', () => {
    const [x, y] = SITE;
    const works = square('w', [x, y, x + 9, y + 9], { from: 'prj', text: 'EPSG:2913' });
    const { assigned } = assignCrs(
      [
        { role: 'trees', layer: points('t', [SITE]) },
        { role: 'works', layer: works },
      ],
      { crs: 'EPSG:2913', ground },
    );
    expect(assigned.map((one) => one.crs.ground?.factor)).toEqual([1.000123, undefined]);
    expect(errorOf(() => assignCrs([{ role: 'works', layer: works }], { ground })).code).toBe('ground-unused');
    expect(
      errorOf(() => assignCrs([{ role: 'trees', layer: points('t', [SITE]) }], { crs: 'local:ft', ground })).usage,
    ).toBe(true);
  });
});

describe('shots on the face', () => {
  const works = square('w', [SITE[0] + 500, SITE[1], SITE[0] + 510, SITE[1] + 10]);
  const moved = (bearing: unknown, north: 'true' | 'grid', crs = 'EPSG:2913', at: readonly [number, number] = SITE) => {
    const trees = points('t', [at], { AZ: bearing });
    const result = assess({ trees, works: [{ layer: works }], options: { crs, stemAt: { bearing: 'az', north } } });
    const [x = Number.NaN, y = Number.NaN] = result.job.trees.xy;
    return { result, dx: x - at[0], dy: y - at[1] };
  };

  it('moves half the diameter along the bearing, from grid or true north', () => {
    const east = moved(90, 'grid'); // 24 in: 1 ft
    expect(east.dx).toBeCloseTo(1, 3); // the grid's scale is within 1e-4 of true
    expect(east.dy).toBeCloseTo(0, 6);
    const south = moved('180', 'grid');
    expect(south.dy).toBeCloseTo(-1, 3);
    const convergence = (transformFor(OREGON).convergence(-122.7, 45.4) * Math.PI) / 180;
    const north = moved(0, 'true');
    expect(north.dx).toBeCloseTo(Math.sin(-convergence), 3);
    expect(north.dy).toBeCloseTo(Math.cos(convergence), 3);
    expect(Math.abs(north.dx)).toBeGreaterThan(0.02); // 1.5 degrees
    expect(east.result.findings.find((f) => f.code === 'stem-moved')?.message).toContain('1 of 1');
  });

  it('a local survey too; the tree is written where its centre is', () => {
    const local = assess({
      trees: points('t', [[100, 200]], { AZ: 90 }),
      works: [{ layer: square('w', [150, 150, 160, 160]) }],
      options: { crs: 'local:ft', stemAt: { bearing: 'AZ', north: 'true' } },
    });
    const tree = toGeoJSON(local).features.find((f) => f.properties?.rb_role === 'tree');
    expect(tree?.geometry).toEqual({ type: 'Point', coordinates: [101, 200] });
  });

  it.each([[''], [null], ['NE'], [361], [-5]])('%j is not a bearing: the tree stays, with a finding', (bearing) => {
    const { result, dx, dy } = moved(bearing, 'grid');
    expect(Math.hypot(dx, dy)).toBeLessThan(1e-6);
    expect(result.findings.filter((f) => f.code === 'stem-bearing-missing').map((f) => [f.feature, f.path])).toEqual([
      [0, 'properties.AZ'],
    ]);
  });

  it('a field that does not exist is wrong usage', () => {
    const error = errorOf(() =>
      assess({
        trees: points('t', [SITE]),
        works: [{ layer: works }],
        options: { crs: 'EPSG:2913', stemAt: { bearing: 'AZ', north: 'true' } },
      }),
    );
    expect([error.code, error.usage]).toEqual(['field-missing', true]);
  });
});

describe('suspects', () => {
  const place = (code: string, at: readonly (readonly [number, number])[]) =>
    checkPositions([{ role: 'trees', layer: points('t', at), crs: findCrs(code), from: '' }]).filter(
      (f) => f.code !== 'crs-datum-null',
    );
  const grid = (at: readonly [number, number]): [number, number][] =>
    Array.from({ length: 30 }, (_, i) => [at[0] + i, at[1] + 2 * i]);

  it('feet said to be metres, metres said to be feet: the unit and the system of it are named', () => {
    const feet = forward(transformFor(findCrs('EPSG:2264')), -79, 35.5);
    const found = place('EPSG:32119', grid(feet));
    expect(found.map((f) => f.code)).toEqual(['crs-unit-suspect']);
    expect(found[0]?.message).toContain('ftUS: EPSG:2264');
    const metres = forward(transformFor(findCrs('EPSG:32126')), -122.7, 45.4);
    expect(place('EPSG:2269', grid(metres))[0]?.message).toContain('m: EPSG:32126');
  });

  it('the neighbouring zone: the south of Oregon in the north, a UTM zone too far by area', () => {
    const south = forward(transformFor(findCrs('EPSG:2270')), -122.9, 42.3);
    const found = place('EPSG:2269', grid(south));
    expect(found.map((f) => f.code)).toEqual(['crs-zone-suspect']);
    expect(found[0]?.message).toContain('EPSG:2270 (NAD83 / Oregon South (ft))');
    expect(found[0]?.cure).toContain('EPSG:2270');
    expect(neighbours(findCrs('EPSG:2285')).map((crs) => crs.code)).toContain('EPSG:2286'); // Washington North and South
    expect(
      neighbours(findCrs('EPSG:26910'))
        .map((crs) => crs.code)
        .toSorted(),
    ).toEqual(['EPSG:26909', 'EPSG:26911']);
    expect(neighbours(findCrs('EPSG:3857'))).toEqual([]);
  });

  it('zones of UTM are told apart by two layers', () => {
    const here = forward(transformFor(findCrs('EPSG:26910')), -120.1, 45);
    const other = forward(transformFor(findCrs('EPSG:26911')), -120.1, 45); // just beyond its zone
    const layers = [
      { role: 'trees' as const, layer: points('t', grid(here)), crs: findCrs('EPSG:26910'), from: '' },
      { role: 'works' as const, layer: points('w', grid(other)), crs: findCrs('EPSG:26910'), from: '' },
    ];
    const found = checkPositions(layers).filter((f) => f.code === 'crs-zone-suspect' || f.code === 'layers-apart');
    expect(found.map((f) => [f.code, f.layer])).toEqual([['crs-zone-suspect', 'w']]);
    expect(found[0]?.message).toContain('EPSG:26911');
  });

  it('nothing is suspected of a layer in its place, of one far from everywhere, of one without positions', () => {
    expect(place('EPSG:2913', grid(SITE))).toEqual([]);
    expect(new Set(place('EPSG:2913', grid([5000, 5000])).map((f) => f.code))).toEqual(
      new Set(['outside-area-of-use']),
    );
    expect(place('EPSG:2913', [])).toEqual([]);
    expect(place('EPSG:2913', [[Number.NaN, 5]])).toEqual([]);
  });
});

describe('input to frame to output', () => {
  const projected = [...rows().values()].filter((row) => row.conversion >= 0 && row.area >= 0);
  it('comes back to the source’s own system within 0.1 mm, whatever the system', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 0, max: projected.length - 1 }),
        fc.double({ min: 0.1, max: 0.9, noNaN: true }),
        fc.double({ min: 0.1, max: 0.9, noNaN: true }),
        (pick, u, v) => {
          const crs = unfold(projected[pick]!);
          const [w, s, e, n] = crs.areaOfUse ?? [0, 0, 0, 0];
          const lon = w + (e >= w ? e - w : e + 360 - w) * u;
          const start = forward(transformFor(crs), lon > 180 ? lon - 360 : lon, s + (n - s) * v);
          if (!Number.isFinite(start[0])) return;
          const xy = Float64Array.from(start);
          transformFor(crs).toLonLat(xy);
          const frame = frameAt(xy[0]!, xy[1]!);
          frame.toFrame(xy, xy);
          frame.toLonLat(xy, xy);
          transformFor(crs).fromLonLat(xy);
          const miss = Math.hypot(xy[0]! - start[0], xy[1]! - start[1]) * crs.metresPerUnit;
          expect(miss, crs.code).toBeLessThan(1e-4);
        },
      ),
      { numRuns: 400 },
    );
  });
});
