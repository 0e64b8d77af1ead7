// A local ground system that is named holds for every layer that states none, whatever its numbers look like.
import { describe, expect, test } from 'vitest';
import { assess, readLayer } from '../../src/core.js';

const bytes = (value: unknown): Uint8Array =>
  new TextEncoder().encode(typeof value === 'string' ? value : JSON.stringify(value));
const ring = [
  [
    [53, 30],
    [70, 30],
    [70, 50],
    [53, 50],
    [53, 30],
  ],
];
const house = (crs?: string) =>
  readLayer(
    bytes({
      type: 'FeatureCollection',
      ...(crs === undefined ? {} : { crs: { type: 'name', properties: { name: crs } } }),
      features: [
        {
          type: 'Feature',
          properties: { id: 'house', kind: 'building' },
          geometry: { type: 'Polygon', coordinates: ring },
        },
      ],
    }),
    { name: 'house.geojson' },
  );
const point = { type: 'Point', coordinates: [50, 40] };
const treeJson = readLayer(bytes({ type: 'Feature', properties: { id: 'T', dbh_cm: 60 }, geometry: point }), {
  name: 'trees.geojson',
});
const treeCsv = readLayer(bytes('id,easting,northing,dbh_cm\nT,50,40,60\n'), { name: 'trees.csv' });

describe('--crs local:m', () => {
  test.each([
    ['two GeoJSON files', treeJson],
    ['a table and a GeoJSON file', treeCsv],
  ])('holds for %s whose numbers fit degrees', (_what, trees) => {
    const found = assess({ trees, works: [{ layer: house() }], options: { crs: 'local:m' } });
    expect(found.trees[0]?.nearestM).toBeCloseTo(3, 9); // 53 - 50
    expect(found.trees[0]?.verdict).toBe('over-limit');
    expect(found.inputs.map(({ crs }) => crs.split(' ')[0])).toEqual(['local:m', 'local:m']);
    expect(found.inputs[1]?.crsFrom).toContain('local ground system');
  });

  test('a file that states its own system keeps it, and the two are not combined', () => {
    const job = { trees: treeCsv, works: [{ layer: house('urn:ogc:def:crs:OGC:1.3:CRS84') }] };
    expect(() => assess({ ...job, options: { crs: 'local:m' } })).toThrow(/cannot be combined/);
  });

  test('with any other --crs a GeoJSON that fits degrees stays WGS 84, and is named', () => {
    const found = assess({ trees: treeJson, works: [{ layer: house() }], options: { crs: 'EPSG:25832' } });
    expect(found.inputs[1]?.crs).toContain('CRS84');
    expect(found.findings.some(({ code, layer }) => code === 'crs-assigned' && layer === 'house.geojson')).toBe(true);
  });
});
