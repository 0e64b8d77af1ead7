// Geometry in other output systems. In: small hand-made assessments; out: the two ways to GeoJSON text agree byte for byte,
// coordinates move with the system, and what has no image is said, not lost.
import { expect, test } from 'vitest';
import { findCrs, transformFor } from '../../src/crs/index.js';
import { tablesOf } from '../../src/write/features.js';
import { geojsonText, planOf, toGeoJSON } from '../../src/write/index.js';
import type { OutputSystem } from '../../src/write/shape.js';
import { handMade } from '../support/assessment.js';

const system = (code: string): OutputSystem => {
  const { crs, fromLonLat } = transformFor(findCrs(code));
  return { crs, toOutput: fromLonLat };
};

test('a system that changes nothing gives the bytes of the direct way, but for what it states', () => {
  const { assessment } = handMade();
  const features = (options: Parameters<typeof geojsonText>[1]) =>
    [...geojsonText(assessment, options)].join('').split('"features":[')[1];
  expect(features({ output: system('OGC:CRS84') })).toBe(features({}));
});

test('the collection says which system it is in, twice', () => {
  const { assessment } = handMade();
  const made = toGeoJSON(assessment, { output: system('EPSG:2913') }) as unknown as Record<string, never>;
  expect(made.crs).toEqual({ type: 'name', properties: { name: 'urn:ogc:def:crs:EPSG::2913' } });
  expect(made.rootberth!.written.positions).toMatch(
    /^easting, northing in ft of EPSG:2913 .*, not RFC 7946; datum from WGS 84: .+, accuracy [\d.]+ m$/,
  );
  expect(toGeoJSON(assessment)).not.toHaveProperty('crs');
});

test('positions come back where they were within 0.1 mm', () => {
  const { assessment } = handMade();
  const there = transformFor(findCrs('EPSG:2913'));
  const first = (options: object) => {
    const tree = toGeoJSON(assessment, { roles: ['tree'], ...options }).features[0]?.geometry;
    return Float64Array.from(tree?.type === 'Point' ? tree.coordinates : []);
  };
  const feet = first({ output: system('EPSG:2913') });
  expect(feet[0]).toBeGreaterThan(7_000_000);
  there.toLonLat(feet);
  const lonLat = first({});
  expect(Math.abs(feet[0]! - lonLat[0]!)).toBeLessThan(1e-9);
  expect(Math.abs(feet[1]! - lonLat[1]!)).toBeLessThan(1e-9);
});

test('a geometry without an image in the system is null, and a finding says how many', () => {
  const { assessment } = handMade();
  const output = { crs: findCrs('EPSG:2913'), toOutput: (xy: Float64Array) => xy.fill(Number.NaN) };
  const tables = tablesOf(assessment, planOf({ output, roles: ['lot', 'tree'] }));
  const all = tables.tables.flatMap((table) => [...table.features()]);
  expect(all.map((f) => f.geometry)).toEqual([null, null, null, null, null, null]);
  expect(tables.findings().map((f) => [f.code, f.severity])).toEqual([['output-unplaced', 'warning']]);
});

test('tables hold what GeoJSON holds: ids, geometry, values, in the same order', () => {
  const { assessment } = handMade();
  for (const table of tablesOf(assessment, planOf({})).tables) {
    const { features } = toGeoJSON(assessment, { roles: [table.role] });
    const names = table.fields.map((field) => field.name);
    const made = [...table.features()];
    expect(made.map((f) => f.id)).toEqual(features.map((f) => f.id));
    expect(made.map((f) => f.geometry?.type ?? null)).toEqual(features.map((f) => f.geometry?.type ?? null));
    made.forEach((f, i) => {
      const properties = features[i]?.properties ?? {};
      const row = Object.fromEntries(names.map((name, k) => [name, f.values[k]]));
      expect(row).toMatchObject(properties);
    });
  }
});
