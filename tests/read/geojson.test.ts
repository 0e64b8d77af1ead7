// GeoJSON -> Layer: forms, coordinate systems, broken features, refusals.

import { describe, expect, it } from 'vitest';
import { InputError } from '../../src/model/findings.js';
import type { Layer } from '../../src/model/index.js';
import { type ReadOptions, readLayer } from '../../src/read/index.js';
import { jsonErrorAt } from '../../src/read/json.js';
import { bytesOf, codesOf, coordinatesOf, kindOf } from '../support/layers.js';

const tree = (coordinates: unknown, properties: unknown = { tag: 'T1' }) => ({
  type: 'Feature',
  geometry: { type: 'Point', coordinates },
  properties,
});
const collection = (features: unknown, more: object = {}) => ({ type: 'FeatureCollection', ...more, features });
const read = (value: unknown, options: Partial<ReadOptions> = {}): Layer =>
  readLayer(bytesOf(typeof value === 'string' ? value : JSON.stringify(value)), { name: 'trees.geojson', ...options });
const refusal = (act: () => unknown): InputError => {
  try {
    act();
  } catch (error) {
    if (error instanceof InputError) return error;
    throw error;
  }
  throw new Error('nothing was refused');
};

describe('forms', () => {
  it('reads a collection with every geometry type', () => {
    const geometries = [
      { type: 'Point', coordinates: [1, 2, 30] },
      {
        type: 'MultiPoint',
        coordinates: [
          [1, 2],
          [3, 4],
        ],
      },
      {
        type: 'LineString',
        coordinates: [
          [0, 0],
          [5, 5],
        ],
      },
      {
        type: 'MultiLineString',
        coordinates: [
          [
            [0, 0],
            [5, 5],
          ],
          [
            [6, 6],
            [7, 8],
            [9, 9],
          ],
        ],
      },
      {
        type: 'Polygon',
        coordinates: [
          [
            [0, 0],
            [9, 0],
            [9, 9],
            [0, 0],
          ],
          [
            [5, 2],
            [6, 3],
            [6, 2],
            [5, 2],
          ],
        ],
      },
      {
        type: 'MultiPolygon',
        coordinates: [
          [
            [
              [0, 0],
              [1, 0],
              [1, 1],
            ],
          ],
          [
            [
              [5, 5],
              [6, 5],
              [6, 6],
            ],
          ],
        ],
      },
    ];
    const layer = read(
      collection(geometries.map((geometry, i) => ({ type: 'Feature', id: i, geometry, properties: { i } }))),
    );
    expect(geometries.map((_, i) => coordinatesOf(layer, i))).toEqual(geometries.map((g) => g.coordinates));
    expect(geometries.map((_, i) => kindOf(layer, i))).toEqual([
      'point',
      'multipoint',
      'line',
      'multiline',
      'polygon',
      'multipolygon',
    ]);
    expect(layer.id(3)).toBe(3);
    expect(layer.properties(3)).toEqual({ i: 3 });
    expect(layer.findings).toEqual([]);
  });

  it('reads a single feature and a bare geometry as one feature', () => {
    expect(coordinatesOf(read(tree([-122, 45])), 0)).toEqual([-122, 45]);
    expect(coordinatesOf(read({ type: 'Point', coordinates: [-122, 45] }), 0)).toEqual([-122, 45]);
  });

  it('skips a byte order mark', () => {
    expect(read(`\ufeff${JSON.stringify(collection([tree([1, 2])]))}`).count).toBe(1);
  });

  const lines = [tree([1, 2], { tag: 'A' }), tree([3, 4], { tag: 'B' })].map((f) => JSON.stringify(f));
  it.each([
    ['one per line', lines.join('\n')],
    ['one per line, CRLF, blank lines, a mark in front', `\ufeff\r\n${lines.join('\r\n\r\n')}\r\n`],
    ['RFC 8142', lines.map((l) => `\u001e${l}\n`).join('')],
    [
      'RFC 8142 with line breaks inside',
      lines.map((l) => `\u001e${JSON.stringify(JSON.parse(l), null, 2)}\n`).join(''),
    ],
  ])('reads a sequence: %s', (_, text) => {
    for (const name of ['trees.geojson', 'trees.ndjson', 'trees']) {
      const layer = read(text, { name });
      expect([layer.format, layer.count, layer.properties(1)]).toEqual(['geojsonseq', 2, { tag: 'B' }]);
      expect(layer.findings).toEqual([]);
    }
  });

  it('keeps a line that is not JSON as a broken feature', () => {
    const layer = read(`${lines[0]}\n{"type": "Feature", oops}\n${lines[1]}`, { name: 'trees.ndjson' });
    expect([0, 1, 2].map((i) => kindOf(layer, i))).toEqual(['point', 'broken', 'point']);
    expect(layer.findings).toMatchObject([{ code: 'feature-broken', feature: 1, path: 'line 2' }]);
  });

  it('does not take a pretty-printed collection for a sequence', () => {
    expect(read(JSON.stringify(collection([tree([1, 2]), tree([1, 2])]), null, 1)).format).toBe('geojson');
  });

  it('hands on the hash and an empty collection', () => {
    const layer = read(collection([]), { sha256: 'abc' });
    expect([layer.count, layer.sha256, layer.geometry.xy.length]).toEqual([0, 'abc', 0]);
  });
});

describe('coordinate system', () => {
  it.each([
    [
      'degrees without a statement (RFC 7946 section 4)',
      collection([tree([-180, 90]), tree([180, -90])]),
      { from: 'rfc7946', text: 'OGC:CRS84' },
    ],
    ['feet without a statement', collection([tree([7650000, 680000])]), null],
    ['one coordinate beyond degrees', collection([tree([1, 2]), tree([1, 90.1])]), null],
    [
      'legacy member (GeoJSON 2008 section 3)',
      collection([tree([7650000, 680000])], {
        crs: { type: 'name', properties: { name: 'urn:ogc:def:crs:EPSG::2913' } },
      }),
      { from: 'crs-member', text: 'urn:ogc:def:crs:EPSG::2913' },
    ],
    [
      'legacy EPSG form',
      collection([tree([1, 2])], { crs: { type: 'EPSG', properties: { code: 2913 } } }),
      { from: 'crs-member', text: 'EPSG:2913' },
    ],
    ['null member', collection([tree([1, 2])], { crs: null }), { from: 'rfc7946', text: 'OGC:CRS84' }],
  ])('%s', (_, value, crs) => {
    expect(read(value).crs).toEqual(crs);
  });
});

describe('broken features are kept and located', () => {
  const polygon = (coordinates: unknown) => ({
    type: 'Feature',
    geometry: { type: 'Polygon', coordinates },
    properties: { id: 'B1' },
  });
  it.each([
    ['text', tree(['1', 2]), 'features[1].geometry.coordinates[0]'],
    [
      'text deep inside',
      polygon([
        [
          [0, 0],
          [1, 0],
          [1, 1],
          [0, '0'],
        ],
      ]),
      'features[1].geometry.coordinates[0][3][1]',
    ],
    ['null', tree([1, null]), 'features[1].geometry.coordinates[1]'],
    [
      'too large for a number',
      '{"type":"Feature","geometry":{"type":"Point","coordinates":[1e999,2]},"properties":{"tag":"T1"}}',
      'features[1].geometry.coordinates[0]',
    ],
    ['a height that is text', tree([1, 2, '3']), 'features[1].geometry.coordinates[2]'],
    ['one ordinate', tree([1]), 'features[1].geometry.coordinates'],
    ['nested once too deep', tree([[1, 2]]), 'features[1].geometry.coordinates[0]'],
    [
      'nested too flat',
      polygon([
        [0, 0],
        [1, 0],
        [1, 1],
      ]),
      'features[1].geometry.coordinates[0][0]',
    ],
    ['an empty ring', polygon([[]]), 'features[1].geometry.coordinates[0]'],
    ['no list', tree('1,2'), 'features[1].geometry.coordinates'],
    [
      'a line of one position',
      { type: 'Feature', geometry: { type: 'LineString', coordinates: [[1, 2]] }, properties: {} },
      'features[1].geometry.coordinates',
    ],
    [
      'unknown type',
      { type: 'Feature', geometry: { type: 'Circle', coordinates: [1, 2] }, properties: {} },
      'features[1].geometry.type',
    ],
    [
      'type __proto__',
      { type: 'Feature', geometry: { type: '__proto__', coordinates: [1, 2] }, properties: {} },
      'features[1].geometry.type',
    ],
    ['a geometry that is text', { type: 'Feature', geometry: 'POINT(1 2)', properties: {} }, 'features[1].geometry'],
    [
      'a collection of geometries',
      { type: 'Feature', geometry: { type: 'GeometryCollection', geometries: [] }, properties: {} },
      'features[1].geometry',
    ],
  ])('%s', (_, feature, path) => {
    const text = typeof feature === 'string' ? feature : JSON.stringify(feature);
    const layer = read(
      `{"type":"FeatureCollection","features":[${JSON.stringify(tree([7, 8]))},${text},${JSON.stringify(tree([5, 6]))}]}`,
    );
    expect([0, 1, 2].map((i) => kindOf(layer, i))).toEqual(['point', 'broken', 'point']);
    expect(layer.findings).toMatchObject([
      { code: 'geometry-broken', severity: 'error', feature: 1, path, layer: 'trees.geojson' },
    ]);
    expect(layer.findings[0]?.cure).not.toBe('');
    expect(layer.properties(1)).toEqual(JSON.parse(text).properties);
    expect([coordinatesOf(layer, 0), coordinatesOf(layer, 2)]).toEqual([
      [7, 8],
      [5, 6],
    ]);
  });

  it('words a refusal with the shape check', () => {
    expect(read(collection([tree(['1', 2])])).findings[0]?.message).toMatch(
      /text "1" instead of a number .*Position must only contain numbers/,
    );
  });

  it.each([
    ['null', null],
    ['missing', undefined],
    ['empty (RFC 7946 section 3.1)', { type: 'Point', coordinates: [] }],
  ])('no geometry: %s', (_, geometry) => {
    const layer = read(collection([{ type: 'Feature', geometry, properties: { tag: 'T9' } }]));
    expect([kindOf(layer, 0), codesOf(layer), layer.properties(0)]).toEqual(['none', ['geometry-null'], { tag: 'T9' }]);
  });

  it.each([
    [null],
    ['text'],
    [[1, 2]],
    [{ type: 'Point', coordinates: [1, 2] }],
    [{ geometry: null }],
    [{ type: '__proto__' }],
  ])('a member that is not a feature: %j', (member) => {
    const layer = read(collection([tree([1, 2]), member]));
    expect([layer.count, kindOf(layer, 1)]).toEqual([2, 'broken']);
    expect(layer.findings).toMatchObject([{ code: 'feature-broken', feature: 1, path: 'features[1]' }]);
  });

  it('keeps a feature whose properties are not an object', () => {
    const layer = read(collection([tree([1, 2], 'oak'), tree([1, 2], null)]));
    expect([kindOf(layer, 0), layer.properties(0), codesOf(layer)]).toEqual(['point', {}, ['properties-broken']]);
  });

  it('takes null for an unknown height', () => {
    expect(coordinatesOf(read(collection([tree([1, 2, null]), tree([1, 2, 3])])), 0)).toEqual([1, 2]);
  });

  it('keeps heights in step behind a broken geometry', () => {
    const layer = read(
      collection([
        tree([1, 2]),
        polygon([
          [
            [0, 0, 5],
            [1, 'x', 6],
          ],
        ]),
        tree([3, 4, 9]),
        tree([5, 6]),
      ]),
    );
    expect([0, 2, 3].map((i) => coordinatesOf(layer, i))).toEqual([
      [1, 2],
      [3, 4, 9],
      [5, 6],
    ]);
  });

  it('has no heights when the only ones were in a broken geometry', () => {
    expect(
      read(
        collection([
          tree([1, 2]),
          tree([1, 'x', 3]),
          polygon([
            [
              [0, 0, 5],
              ['x', 0],
            ],
          ]),
        ]),
      ).geometry.z,
    ).toBeNull();
  });
});

describe('files that are refused', () => {
  it.each([
    ['{"type": "FeatureCollection",\n "features": [{]}', 'not-json', /line 2, column 16/],
    ['{"type": "FeatureCollection", "features": [', 'not-json', /ends too early/],
    ['[1, 2]', 'geojson-shape', /a list/],
    ['{"type": "Topology", "objects": {}}', 'geojson-shape', /TopoJSON/],
    ['{"features": [{"attributes": {}}]}', 'geojson-shape', /Esri/],
    ['{"type": "FeatureCollection", "features": {}}', 'geojson-shape', /not a list/],
    ['{"type": "__proto__"}', 'geojson-shape', /__proto__/],
    ['', 'file-empty', /empty/],
    [' \n\t', 'file-empty', /empty/],
    ['<!DOCTYPE html><html><body>Sign in</body></html>', 'file-kind', /web page/],
    ['<?xml version="1.0"?><kml/>', 'file-kind', /XML/],
  ])('%j', (text, code, message) => {
    const error = refusal(() => read(text));
    expect([error.code, error.layer, error.usage]).toEqual([code, 'trees.geojson', false]);
    expect(error.message).toMatch(message);
    expect(error.cure).not.toBe('');
  });

  it('names UTF-16, spreadsheets, zips, databases and parts of a shapefile', () => {
    const utf16 = (mark: number[]) =>
      Uint8Array.from([...mark, ...[...'{"type":1}'].flatMap((c) => [c.charCodeAt(0), 0])]);
    const kinds: [Uint8Array, string, RegExp][] = [
      [utf16([0xff, 0xfe]), 'a.geojson', /UTF-16/],
      [utf16([]), 'a.geojson', /UTF-16/],
      [Uint8Array.of(0x50, 0x4b, 3, 4, 20, 0), 'trees.xlsx', /Excel/],
      [bytesOf('PK\u0003\u0004......[Content_Types].xml'), 'trees.csv', /Excel/],
      [Uint8Array.of(0xd0, 0xcf, 0x11, 0xe0, 0xa1), 'trees.xls', /Excel/],
      [Uint8Array.of(0x50, 0x4b, 3, 4, 20, 0), 'trees.zip', /zip/],
      [Uint8Array.of(0x1f, 0x8b, 8), 'trees.geojson.gz', /gzip/],
      [bytesOf('SQLite format 3\0'), 'trees.gpkg', /database/],
      [bytesOf('%PDF-1.7'), 'plan.pdf', /PDF/],
      [Uint8Array.of(3, 126, 1, 1), 'trees.dbf', /part of a shapefile/],
    ];
    for (const [bytes, name, message] of kinds) {
      const error = refusal(() => readLayer(bytes, { name }));
      expect([error.code, error.layer]).toEqual(['file-kind', name]);
      expect(error.message).toMatch(message);
    }
    expect(refusal(() => readLayer(bytesOf('hello world'), { name: 'notes.doc' })).code).toBe('format-unknown');
  });

  it('reads text that is not UTF-8 as windows-1252, and says so', () => {
    const latin = Uint8Array.from(
      [...JSON.stringify(tree([1, 2], { species: 'Ch\u00eane' }))].map((c) => c.charCodeAt(0)),
    );
    const layer = readLayer(latin, { name: 'trees.geojson' });
    expect([layer.properties(0), codesOf(layer)]).toEqual([{ species: 'Ch\u00eane' }, ['encoding-assumed']]);
  });
});

describe('where JSON breaks', () => {
  it.each([
    ['{"a":1,}', 7],
    ['{"a" 1}', 5],
    ['[1,2', 4],
    ['[01]', 2],
    ['[1.]', 2],
    ['"abc', 4],
    ['"a\\x"', 2],
    ['"a\nb"', 2],
    ['{} {}', 3],
    ['[tru]', 1],
    ["{'a':1}", 1],
    ['NaN', 0],
    ['', 0],
  ])('%j at %i', (text, at) => {
    expect(() => JSON.parse(text)).toThrow();
    expect(jsonErrorAt(text)).toBe(at);
  });

  it('survives deep nesting', () => {
    expect(jsonErrorAt('['.repeat(1_000_000))).toBe(1_000_000);
    expect(refusal(() => read('['.repeat(200_000))).code).toBe('not-json');
  });
});
