// What holds for any file: what is written comes back exactly, and damage ends in a finding or an InputError.

import { parse } from 'csv-parse/sync';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { InputError } from '../../src/model/findings.js';
import type { Layer } from '../../src/model/index.js';
import { readZip } from '../../src/node/read/index.js';
import { readLayer } from '../../src/read/index.js';
import { quotedRecords } from '../../src/read/quoted.js';
import { readShapefile, type ShapefileParts } from '../../src/read/shapefile.js';
import { bytesOf, coordinatesOf } from '../support/layers.js';
import { runs } from '../support/runs.js';
import { writeShapefile, zipShapefile } from '../support/shapefile.js';

const finite = fc.oneof(
  fc.double({ noNaN: true, noDefaultInfinity: true, min: -1e9, max: 1e9 }),
  fc.double({ min: -180, max: 180, noNaN: true }),
);
// JSON has no negative zero that survives every comparison; it is not a coordinate either.
const number = finite.map((v) => (v === 0 ? 0 : v));
const position = fc.oneof(fc.tuple(number, number), fc.tuple(number, number, number));
const line = fc.array(position, { minLength: 2, maxLength: 5 });
const ring = fc.array(position, { minLength: 1, maxLength: 6 });
const polygon = fc.array(ring, { minLength: 1, maxLength: 3 });
const geometry = fc.oneof(
  fc.constant(null),
  position.map((coordinates) => ({ type: 'Point', coordinates })),
  fc.array(position, { minLength: 1, maxLength: 4 }).map((coordinates) => ({ type: 'MultiPoint', coordinates })),
  line.map((coordinates) => ({ type: 'LineString', coordinates })),
  fc.array(line, { minLength: 1, maxLength: 3 }).map((coordinates) => ({ type: 'MultiLineString', coordinates })),
  polygon.map((coordinates) => ({ type: 'Polygon', coordinates })),
  fc.array(polygon, { minLength: 1, maxLength: 3 }).map((coordinates) => ({ type: 'MultiPolygon', coordinates })),
);
const feature = fc.record({
  type: fc.constant('Feature'),
  id: fc.oneof(fc.string(), fc.integer()),
  geometry,
  properties: fc.dictionary(fc.string({ maxLength: 8 }), fc.jsonValue({ maxDepth: 1 }), { maxKeys: 4 }),
});

function expectSame(layer: Layer, text: string): void {
  const { features } = JSON.parse(text) as {
    features: { id: unknown; geometry: { coordinates: unknown } | null; properties: unknown }[];
  };
  expect(layer.count).toBe(features.length);
  features.forEach((f, i) => {
    expect(layer.id(i)).toBe(f.id);
    expect(layer.properties(i)).toEqual(f.properties);
    expect(coordinatesOf(layer, i)).toEqual(f.geometry === null ? null : f.geometry.coordinates);
  });
  expect(layer.findings.every((f) => f.code === 'geometry-null')).toBe(true);
  expect(layer.findings.length).toBe(features.filter((f) => f.geometry === null).length);
}

describe('round trips', () => {
  it('keeps count, ids, properties and coordinates of any GeoJSON, in each of its forms', () => {
    fc.assert(
      fc.property(fc.array(feature, { maxLength: 8 }), (features) => {
        const text = JSON.stringify({ type: 'FeatureCollection', features });
        expectSame(readLayer(bytesOf(text), { name: 'a.geojson' }), text);
        if (features.length === 0) return;
        const lines = features.map((f) => JSON.stringify(f));
        expectSame(readLayer(bytesOf(lines.join('\n')), { name: 'a.ndjson', format: 'geojsonseq' }), text);
        expectSame(readLayer(bytesOf(lines.map((l) => `\u001e${l}\n`).join('')), { name: 'a' }), text);
      }),
      { numRuns: runs(90) },
    );
  });

  it('keeps count and coordinates of any shapefile of points and lines', () => {
    const xyz = fc.tuple(number, number, number);
    fc.assert(
      fc.property(
        fc.array(fc.option(xyz), { maxLength: 10 }),
        fc.array(fc.array(xyz, { minLength: 2, maxLength: 5 }), { minLength: 2, maxLength: 4 }),
        (points, lines) => {
          const fields = [{ name: 'N', type: 'N', length: 6 }] as const;
          const layer = readShapefile(
            writeShapefile({
              type: 'point',
              z: true,
              fields,
              features: points.map((c, i) => ({
                geometry: c === null ? null : { type: 'Point', coordinates: c },
                properties: { N: i },
              })),
            }),
            { name: 'a.shp' },
          );
          expect(points.map((_, i) => coordinatesOf(layer, i))).toEqual(points);
          expect(points.map((_, i) => layer.properties(i))).toEqual(points.map((_, i) => ({ N: i })));
          const multi = readShapefile(
            writeShapefile({
              type: 'polyline',
              z: true,
              fields,
              features: [{ geometry: { type: 'MultiLineString', coordinates: lines } }],
            }),
            { name: 'a.shp' },
          );
          expect(coordinatesOf(multi, 0)).toEqual(lines);
        },
      ),
      { numRuns: runs(60) },
    );
  });
});

describe('damage', () => {
  /** Overwrites, removes or doubles a few bytes. */
  const mutation = fc.array(fc.tuple(fc.nat(), fc.nat(255), fc.constantFrom('set', 'cut', 'double', 'drop')), {
    minLength: 1,
    maxLength: 4,
  });
  const mutated = (bytes: Uint8Array, changes: readonly (readonly [number, number, string])[]): Uint8Array => {
    let out = bytes.slice();
    for (const [where, value, how] of changes) {
      const at = where % Math.max(1, out.length);
      if (how === 'set') out[at] = value;
      else if (how === 'cut') out = out.slice(0, at);
      else if (how === 'double')
        out = Uint8Array.from([...out.slice(0, at), ...out.slice(Math.max(0, at - (value % 16)))]);
      else out = Uint8Array.from([...out.slice(0, at), ...out.slice(at + (value % 8))]);
    }
    return out;
  };
  const survives = (act: () => Layer): void => {
    try {
      const layer = act();
      expect(layer.geometry.kind.length).toBe(layer.count);
      expect(layer.geometry.xy.every(Number.isFinite)).toBe(true);
      for (let i = 0; i < layer.count; i++) layer.properties(i);
    } catch (error) {
      if (!(error instanceof InputError)) throw error;
    }
  };
  const square = [
    [0, 0],
    [0, 5],
    [5, 5],
    [5, 0],
    [0, 0],
  ];
  const shapefile = (): ShapefileParts =>
    writeShapefile({
      type: 'polygon',
      z: true,
      m: true,
      fields: [
        { name: 'ID', type: 'C', length: 6 },
        { name: 'D', type: 'D', length: 8 },
        { name: 'N', type: 'N', length: 6 },
      ],
      features: [
        {
          geometry: { type: 'Polygon', coordinates: [square, square.map(([x = 0, y = 0]) => [1 + x / 5, 1 + y / 5])] },
          properties: { ID: 'a', D: '2024-01-31', N: 3 },
        },
        { geometry: null, properties: { ID: 'b' } },
        {
          geometry: { type: 'MultiPolygon', coordinates: [[square], [square.map(([x = 0, y = 0]) => [x + 9, y])]] },
          properties: { ID: 'c' },
        },
      ],
    });
  const geojson = bytesOf(
    '{"type":"FeatureCollection","crs":{"type":"name","properties":{"name":"EPSG:2913"}},"features":[{"type":"Feature","id":1,"geometry":{"type":"Polygon","coordinates":[[[0,0],[1,0],[1,1],[0,0]]]},"properties":{"a":"\\u00e9"}},\n{"type":"Feature","geometry":{"type":"Point","coordinates":[7650000.5,680000]},"properties":null}]}',
  );
  const lines = bytesOf(
    '{"type":"Feature","geometry":{"type":"Point","coordinates":[1,2]},"properties":{}}\n'.repeat(3),
  );
  const csv = bytesOf('tag,easting,northing,elev,note\nT1,7650000.25,680000,312,"an ""oak"""\nT2,1,2,,\n');

  it('ends in a layer or an InputError, whatever a few changed bytes do to text', () => {
    fc.assert(
      fc.property(mutation, (changes) => {
        survives(() => readLayer(mutated(geojson, changes), { name: 'a.geojson' }));
        survives(() => readLayer(mutated(lines, changes), { name: 'a.ndjson' }));
        survives(() => readLayer(mutated(csv, changes), { name: 'a.csv' }));
      }),
      { numRuns: runs(600) },
    );
  });

  it('ends in a layer or an InputError, whatever a few changed bytes do to a shapefile', () => {
    const sound = shapefile();
    const part = fc.constantFrom('shp', 'shx', 'dbf', 'dbf', 'shp');
    fc.assert(
      fc.property(mutation, part, fc.boolean(), (changes, which, withIndex) => {
        const parts: Record<string, Uint8Array> = { ...sound, [which]: mutated(sound[which] as Uint8Array, changes) };
        if (!withIndex) delete parts.shx;
        survives(() => readShapefile(parts as unknown as ShapefileParts, { name: 'a.shp' }));
      }),
      { numRuns: runs(600) },
    );
  });

  it('ends in parts or an InputError, whatever a few changed bytes do to a zip', async () => {
    const sound = shapefile();
    const zips = [false, true].map((deflate) => zipShapefile('trees', sound, deflate));
    await fc.assert(
      fc.asyncProperty(mutation, fc.nat(1), async (changes, which) => {
        try {
          const { parts } = await readZip(mutated(zips[which]!, changes), 'a.zip');
          for (const [extension, bytes] of parts) {
            // A check sum stands behind each part: what comes out is what went in.
            expect(Buffer.compare(bytes, sound[extension as keyof ShapefileParts] as Uint8Array)).toBe(0);
          }
        } catch (error) {
          if (!(error instanceof InputError)) throw error;
        }
      }),
      { numRuns: runs(150) },
    );
  });
});

describe('a table with quotes', () => {
  it('is split as csv-parse splits it, stray quotes and all', () => {
    const pieces = fc.constantFrom('"', '"', '""', ',', '\n', '\r\n', '\r', 'a', '12" oak', ' ', 'é', ';');
    fc.assert(
      fc.property(fc.array(pieces, { maxLength: 14 }), (parts) => {
        const text = parts.join('');
        const ours = quotedRecords(text, ',');
        let theirs: string[][] | null = null;
        try {
          theirs = parse(text, {
            record_delimiter: ['\r\n', '\n', '\r'],
            relax_column_count: true,
            relax_quotes: true,
          });
        } catch {}
        expect('records' in ours ? ours.records : null, JSON.stringify(text)).toEqual(theirs);
      }),
      { numRuns: runs(400) },
    );
  });
});
