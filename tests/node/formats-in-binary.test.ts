// GeoPackage, FlatGeobuf, workbooks and KMZ -> Layer (Node): fixtures are made here by the libraries themselves.

import { mkdtemp, readdir, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import ExcelJS from 'exceljs';
import fc from 'fast-check';
import { geojson as flatgeobuf } from 'flatgeobuf';
import type { FeatureCollection, Geometry } from 'geojson';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { InputError } from '../../src/model/findings.js';
import type { Layer } from '../../src/model/index.js';
import { LayerBuilder } from '../../src/model/index.js';
import { assessFiles } from '../../src/node/assess-files.js';
import { type FileReadOptions, readLayer } from '../../src/node/read/files.js';
import { readWkb } from '../../src/read/wkb.js';
import { dxf, entity, lwpolyline } from '../support/dxf.js';
import { bytesOf, coordinatesOf, kindOf } from '../support/layers.js';
import { runs } from '../support/runs.js';
import { writeZip } from '../support/shapefile.js';
import { gpkgBlob, withIndex, wkb } from '../support/wkb.js';

let folder = '';
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'formats-in-'));
});
afterAll(() => rm(folder, { recursive: true, force: true }));
const put = async (name: string, bytes: Uint8Array): Promise<string> => {
  const path = join(folder, name);
  await writeFile(path, bytes);
  return path;
};
const refusal = async (act: Promise<unknown>): Promise<InputError> => {
  const error = await act.then(
    () => new Error('nothing was refused'),
    (e: unknown) => e,
  );
  if (error instanceof InputError) return error;
  throw error;
};
const all = <T>(layer: Layer, of: (layer: Layer, f: number) => T): T[] =>
  Array.from({ length: layer.count }, (_, f) => of(layer, f));

// ---------------------------------------------------------------- GeoPackage

interface Table {
  readonly name: string;
  readonly srs: number;
  readonly columns: string;
  readonly rows: readonly (readonly unknown[])[];
}

/** A GeoPackage in memory, as bytes. */
function geoPackage(tables: readonly Table[], wal = false): Uint8Array {
  const db = new Database(':memory:');
  db.exec(`
    CREATE TABLE gpkg_spatial_ref_sys (srs_name TEXT, srs_id INTEGER PRIMARY KEY, organization TEXT,
      organization_coordsys_id INTEGER, definition TEXT);
    CREATE TABLE gpkg_geometry_columns (table_name TEXT, column_name TEXT, geometry_type_name TEXT, srs_id INTEGER, z INTEGER, m INTEGER);
    INSERT INTO gpkg_spatial_ref_sys VALUES ('none', -1, 'NONE', -1, 'undefined'), ('none', 0, 'NONE', 0, 'undefined'),
      ('Oregon North', 2913, 'epsg', 2913, 'PROJCS[...]'), ('own', 100001, 'site office', 7, 'PROJCS["own"]');`);
  for (const { name, srs, columns, rows } of tables) {
    db.exec(`CREATE TABLE "${name.replaceAll('"', '""')}" (fid INTEGER PRIMARY KEY, geom BLOB, ${columns})`);
    db.prepare('INSERT INTO gpkg_geometry_columns VALUES (?, ?, ?, ?, 0, 0)').run(name, 'geom', 'GEOMETRY', srs);
    for (const row of rows)
      db.prepare(`INSERT INTO "${name.replaceAll('"', '""')}" VALUES (${row.map(() => '?').join(', ')})`).run(...row);
  }
  const bytes = new Uint8Array(db.serialize());
  db.close();
  if (wal) bytes[18] = bytes[19] = 2;
  return bytes;
}

const trees: Table = {
  name: 'trees',
  srs: 2913,
  columns: 'tag TEXT, dbh_in REAL, protected BOOLEAN, serial INTEGER, photo BLOB',
  rows: [
    [
      2,
      gpkgBlob(wkb.point([7650010, 680010, 30], { z: true })),
      '0012',
      24.5,
      1,
      123456789012345678n,
      Buffer.from('x'),
    ],
    [1, gpkgBlob(wkb.point([7650000.25, 680000.5])), 'T1', null, 0, 5, null],
    [3, null, 'T3', 9, null, null, null],
    [4, gpkgBlob(wkb.point([Number.NaN, Number.NaN])), 'T4', 9, null, null, null],
    [5, Buffer.from('GPxx'), 'T5', 9, null, null, null],
    [6, 'POINT (1 2)', 'T6', 9, null, null, null],
  ],
};

describe('GeoPackage', () => {
  it('reads a table with its values, system and geometries, in order of its key', async () => {
    const layer = await readLayer(await put('survey.gpkg', geoPackage([trees])));
    expect([layer.format, layer.name, layer.crs, layer.sha256?.length]).toEqual([
      'geopackage',
      'survey.gpkg',
      { from: 'file', text: 'EPSG:2913' },
      64,
    ]);
    expect(all(layer, kindOf)).toEqual(['point', 'point', 'none', 'none', 'broken', 'broken']);
    expect([coordinatesOf(layer, 0), coordinatesOf(layer, 1)]).toEqual([
      [7650000.25, 680000.5],
      [7650010, 680010, 30],
    ]);
    expect(layer.properties(1)).toEqual({
      fid: 2,
      tag: '0012',
      dbh_in: 24.5,
      protected: true,
      serial: '123456789012345678',
      photo: 'eA==',
    });
    expect(layer.findings.map((f) => [f.code, f.feature, f.path])).toEqual([
      ['geometry-null', 2, 'column "geom"'],
      ['geometry-null', 3, 'column "geom"'],
      ['geometry-broken', 4, 'column "geom"'],
      ['geometry-broken', 5, 'column "geom"'],
    ]);
  });

  it('lists several tables, picks one, and takes the definition where the code is nobody’s', async () => {
    const works: Table = {
      name: 'Site "works"',
      srs: 100001,
      columns: 'kind TEXT',
      rows: [
        [
          1,
          gpkgBlob(
            wkb.polygon([
              [
                [0, 0],
                [4, 0],
                [4, 4],
                [0, 0],
              ],
            ]),
          ),
          'paving',
        ],
      ],
    };
    const open: Table = { name: 'open', srs: -1, columns: 'a TEXT', rows: [] };
    const path = await put('two.gpkg', geoPackage([trees, works, open]));
    const error = await refusal(readLayer(path));
    expect([error.code, error.message]).toEqual([
      'layer-several',
      expect.stringMatching(/trees \(\d+ \w+\), Site "works" \(1 \w+\), open \(0 \w+\)/),
    ]);
    const layer = await readLayer(path, { layer: 'SITE "WORKS"' });
    expect([layer.crs, coordinatesOf(layer, 0), layer.properties(0)]).toEqual([
      { from: 'file', text: 'PROJCS["own"]' },
      [
        [
          [0, 0],
          [4, 0],
          [4, 4],
          [0, 0],
        ],
      ],
      { fid: 1, kind: 'paving' },
    ]);
    expect((await readLayer(path, { layer: 'open' })).crs).toBeNull();
    expect((await refusal(readLayer(path, { layer: 'lots' }))).code).toBe('layer-missing');
  });

  it('reads it in a zip, from standard input, and in write-ahead mode, and leaves nothing beside it', async () => {
    async function* stdin(bytes: Uint8Array) {
      yield bytes;
    }
    expect((await readLayer('-', { stdin: stdin(geoPackage([trees])) })).count).toBe(6);
    const two = geoPackage([trees, { ...trees, name: 'more' }]);
    const zip = await put('packed.zip', writeZip([{ name: 'a/survey.gpkg', bytes: two }]));
    expect((await readLayer(zip, { layer: 'more' })).count).toBe(6);
    const wal = await put('wal.gpkg', geoPackage([trees], true));
    expect((await readLayer(wal)).count).toBe(6);
    expect((await readdir(folder)).filter((name) => name.startsWith('wal'))).toEqual(['wal.gpkg']);
  });

  it('refuses other databases and damage in words', async () => {
    const plain = new Database(':memory:');
    plain.exec('CREATE TABLE a (b)');
    const other = await refusal(readLayer(await put('other.gpkg', new Uint8Array(plain.serialize()))));
    expect([other.code, other.message]).toEqual(['gpkg-broken', expect.stringContaining('not a GeoPackage')]);
    expect((await refusal(readLayer(await put('none.gpkg', geoPackage([]))))).code).toBe('gpkg-empty');
    const cut = geoPackage([trees]);
    expect((await refusal(readLayer(await put('cut.gpkg', cut.slice(0, 4096))))).code).toBe('gpkg-broken');
  });
});

describe('well-known binary', () => {
  const read = (bytes: Uint8Array): Layer => {
    const into = new LayerBuilder('a.gpkg', 'geopackage');
    readWkb(bytes, 0, into, 'geom');
    into.end({});
    return into.finish({ crs: null, sha256: null });
  };
  const ring = [
    [0, 0],
    [4, 0],
    [4, 4],
    [0, 0],
  ];
  const shapes = (o: { little?: boolean; z?: boolean; m?: boolean }): [string, Uint8Array, unknown][] => {
    const up = (p: readonly number[]): number[] => [...p, ...(o.z ? [7] : []), ...(o.m ? [8] : [])];
    const flat = (p: readonly number[]): number[] => [...p, ...(o.z ? [7] : [])];
    return [
      ['point', wkb.point(up([1, 2]), o), flat([1, 2])],
      ['line', wkb.line(ring.map(up), o), ring.map(flat)],
      ['polygon', wkb.polygon([ring.map(up)], o), [ring.map(flat)]],
      [
        'multipoint',
        wkb.multi(4, [wkb.point(up([1, 2]), o), wkb.point(up([3, 4]), o)], o),
        [flat([1, 2]), flat([3, 4])],
      ],
      ['multiline', wkb.multi(5, [wkb.line(ring.map(up), o)], o), [ring.map(flat)]],
      ['multipolygon', wkb.multi(6, [wkb.polygon([ring.map(up)], o)], o), [[ring.map(flat)]]],
      ['multipoint', wkb.multi(7, [wkb.point(up([1, 2]), o)], o), [flat([1, 2])]],
    ];
  };

  it.each([{}, { little: false }, { z: true }, { m: true }, { z: true, m: true, little: false }])(
    'reads every type: %o',
    (options) => {
      for (const [kind, bytes, coordinates] of shapes(options)) {
        const layer = read(bytes);
        expect([kindOf(layer, 0), coordinatesOf(layer, 0), layer.findings]).toEqual([kind, coordinates, []]);
        expect(layer.geometry.m?.[0]).toBe('m' in options ? 8 : undefined);
      }
    },
  );

  it('reads the flags of the extended form, with its SRID', () => {
    const bytes = new Uint8Array([1, 1, 0, 0, 0xa0, 0, 0, 0, 0, ...new Uint8Array(new Float64Array([1, 2, 3]).buffer)]);
    expect(coordinatesOf(read(bytes), 0)).toEqual([1, 2, 3]);
  });

  it.each([
    ['empty line', wkb.line([]), 'none'],
    ['empty polygon', wkb.polygon([]), 'none'],
    ['empty collection', wkb.multi(7, []), 'none'],
    ['mixed collection', wkb.multi(7, [wkb.point([1, 2]), wkb.line(ring)]), 'broken'],
    ['a line among points', wkb.multi(4, [wkb.line(ring)]), 'broken'],
    ['a curve', new Uint8Array([1, 8, 0, 0, 0, 0, 0, 0, 0]), 'broken'],
    ['an unknown type', new Uint8Array([1, 99, 0, 0, 0, 0, 0, 0, 0]), 'broken'],
    ['no byte order', new Uint8Array([7, 1, 0, 0, 0]), 'broken'],
    [
      'an infinite number',
      wkb.line([
        [0, 0],
        [Number.POSITIVE_INFINITY, 1],
      ]),
      'broken',
    ],
    ['a count beyond the bytes', new Uint8Array([1, 2, 0, 0, 0, 255, 255, 255, 255]), 'broken'],
  ])('keeps what it cannot use: %s', (_, bytes, kind) => {
    const layer = read(bytes);
    expect([kindOf(layer, 0), layer.geometry.xy.length, layer.findings.length]).toEqual([kind, 0, 1]);
  });

  it('survives truncation at every byte and any change', () => {
    for (const [, bytes] of shapes({ z: true })) {
      for (let n = 0; n < bytes.length; n++) expect(kindOf(read(bytes.slice(0, n)), 0)).toBe('broken');
    }
    const whole = wkb.multi(6, [wkb.polygon([ring, ring]), wkb.polygon([ring])]);
    fc.assert(
      fc.property(
        fc.array(fc.tuple(fc.nat(whole.length - 1), fc.nat(255)), { minLength: 1, maxLength: 4 }),
        (changes) => {
          const copy = whole.slice();
          for (const [at, value] of changes) copy[at] = value;
          const layer = read(copy);
          expect(layer.count === 1 && layer.geometry.xy.every(Number.isFinite)).toBe(true);
        },
      ),
      { numRuns: runs(100) },
    );
  });
});

// ---------------------------------------------------------------- FlatGeobuf

const collection = (geometries: readonly Geometry[]): FeatureCollection => ({
  type: 'FeatureCollection',
  features: geometries.map((geometry, i) => ({
    type: 'Feature',
    geometry,
    properties: { tag: `T${i}`, dbh_in: i + 0.5, keep: i % 2 === 0 },
  })),
});
const grid = (n: number): Geometry[] =>
  Array.from({ length: n }, (_, i) => ({
    type: 'Point',
    coordinates: [7650000 + (i % 20), 680000 + Math.floor(i / 20)],
  }));

describe('FlatGeobuf', () => {
  const read = async (bytes: Uint8Array, options: FileReadOptions = {}): Promise<Layer> =>
    readLayer(await put('a.fgb', bytes), options);

  it('reads properties, system and every type of geometry', async () => {
    const layer = await read(flatgeobuf.serialize(collection(grid(3)), 2913));
    expect([layer.format, layer.crs, layer.findings]).toEqual(['flatgeobuf', { from: 'file', text: 'EPSG:2913' }, []]);
    expect(all(layer, coordinatesOf)).toEqual(grid(3).map((g) => g.type === 'Point' && g.coordinates));
    expect(layer.properties(1)).toEqual({ tag: 'T1', dbh_in: 1.5, keep: false });
    const ring = [
      [0, 0],
      [4, 0],
      [4, 4],
      [0, 0],
    ];
    const hole = [
      [1, 1],
      [2, 1],
      [2, 2],
      [1, 1],
    ];
    const mixed: Geometry[] = [
      {
        type: 'LineString',
        coordinates: [
          [0, 0, 5],
          [1, 1, 6],
        ],
      },
      { type: 'Polygon', coordinates: [ring] },
      { type: 'Polygon', coordinates: [ring, hole] },
      {
        type: 'MultiPoint',
        coordinates: [
          [1, 2],
          [3, 4],
        ],
      },
      { type: 'MultiLineString', coordinates: [ring, hole] },
      { type: 'MultiPolygon', coordinates: [[ring, hole], [ring]] },
    ];
    for (const geometry of mixed) {
      const one = await read(flatgeobuf.serialize(collection([geometry])));
      expect(coordinatesOf(one, 0)).toEqual('coordinates' in geometry ? geometry.coordinates : undefined);
      expect(one.crs).toBeNull();
    }
    const together = await read(flatgeobuf.serialize(collection(mixed)));
    expect(all(together, coordinatesOf)).toEqual(mixed.map((g) => 'coordinates' in g && g.coordinates));
  });

  it('filters by a box, with the index and without it, to the same features', async () => {
    const plain = flatgeobuf.serialize(collection(grid(400)), 2913);
    const indexed = withIndex(plain);
    expect((await read(indexed)).count).toBe(400);
    for (const bbox of [
      [7650003, 680002, 7650005.5, 680004],
      [0, 0, 1, 1],
      [7650000, 680000, 7650020, 680020],
    ] as const) {
      const [a, b] = [await read(plain, { bbox }), await read(indexed, { bbox })];
      expect(all(b, coordinatesOf)).toEqual(all(a, coordinatesOf));
      expect(all(b, (l, f) => l.properties(f))).toEqual(all(a, (l, f) => l.properties(f)));
    }
    expect(all(await read(indexed, { bbox: [7650003, 680002, 7650004, 680002] }), coordinatesOf)).toEqual([
      [7650003, 680002],
      [7650004, 680002],
    ]);
    const other = await refusal(readLayer(await put('a.csv', bytesOf('x,y\n1,2\n')), { bbox: [0, 0, 1, 1] }));
    expect([other.code, other.usage]).toEqual(['option-format', true]);
  });

  it('refuses a file that is cut off', async () => {
    const bytes = flatgeobuf.serialize(collection(grid(20)), 2913);
    for (let n = 10; n < bytes.length - 1; n += 97) {
      const error = await refusal(read(bytes.slice(0, n)));
      expect([error.code, error.layer]).toEqual(['flatgeobuf-broken', 'a.fgb']);
    }
  });
});

// ---------------------------------------------------------------- workbooks

describe('XLSX', () => {
  const book = async (fill: (book: ExcelJS.Workbook) => void): Promise<Uint8Array> => {
    const workbook = new ExcelJS.Workbook();
    fill(workbook);
    return new Uint8Array(await workbook.xlsx.writeBuffer());
  };
  const survey = (workbook: ExcelJS.Workbook): void => {
    const sheet = workbook.addWorksheet('Trees');
    sheet.addRow(['Tag', 'Easting', 'Northing', 'dbh_in', 'surveyed', 'note', 'sum', 'ok']);
    sheet.addRow([
      '0012',
      7650000.25,
      680000.5,
      0.1 + 0.2,
      new Date(Date.UTC(2024, 4, 17)),
      { richText: [{ text: 'big ' }, { text: 'oak' }] },
      { formula: '1+1', result: 2 },
      true,
    ]);
    sheet.addRow([]);
    sheet.addRow(['T2', '7650010', 'n/a', '24"']);
    sheet.addRow(['T3']);
    const notes = workbook.addWorksheet('Notes');
    notes.addRow(['lon', 'lat']);
    notes.addRow([-122.5, 45.25]);
  };

  it('reads the first sheet by its heading, with values as they are typed', async () => {
    const layer = await readLayer(await put('survey.xlsx', await book(survey)));
    expect([layer.format, layer.crs, all(layer, kindOf)]).toEqual(['xlsx', null, ['point', 'broken', 'none']]);
    expect(coordinatesOf(layer, 0)).toEqual([7650000.25, 680000.5]);
    expect(layer.properties(0)).toEqual({
      Tag: '0012',
      Easting: 7650000.25,
      Northing: 680000.5,
      dbh_in: 0.1 + 0.2,
      surveyed: '2024-05-17',
      note: 'big oak',
      sum: 2,
      ok: true,
    });
    expect(layer.findings.map((f) => [f.code, f.feature, f.path])).toEqual([
      ['layer-picked', null, null],
      ['geometry-broken', 1, 'row 4, column "Northing"'],
      ['geometry-null', 2, 'row 5, column "Easting"'],
    ]);
  });

  it('takes the sheet that is named, and tells those there are', async () => {
    const path = await put('survey.xlsx', await book(survey));
    const layer = await readLayer(path, { layer: 'notes' });
    expect([coordinatesOf(layer, 0), layer.crs, layer.findings]).toEqual([
      [-122.5, 45.25],
      { from: 'file', text: 'OGC:CRS84' },
      [],
    ]);
    expect((await refusal(readLayer(path, { layer: 'Lots' }))).cure).toContain('Trees, Notes');
    const empty = await put('empty.xlsx', await book((workbook) => void workbook.addWorksheet('A')));
    expect((await refusal(readLayer(empty))).code).toBe('file-empty');
    const bytes = await book(survey);
    const cut = await refusal(readLayer(await put('cut.xlsx', bytes.slice(0, bytes.length / 2))));
    expect(cut.code).toBe('zip-broken');
    expect((await refusal(readLayer(path, { zip: { entries: 2 } }))).code).toBe('zip-caps');
  });
});

// ---------------------------------------------------------------- archives of other formats, and the whole job

describe('KMZ and the whole job', () => {
  const kml = (lon: number): Uint8Array =>
    bytesOf(
      `<kml xmlns="http://www.opengis.net/kml/2.2"><Folder><name>Oaks</name><Placemark><Point><coordinates>${lon},45</coordinates></Point></Placemark></Folder></kml>`,
    );

  it('reads the document of a KMZ, its folders by name too', async () => {
    const path = await put(
      'site.kmz',
      writeZip([
        { name: 'other.kml', bytes: kml(1) },
        { name: 'doc.kml', bytes: kml(2) },
        { name: 'files/a.png', bytes: kml(3) },
      ]),
    );
    const layer = await readLayer(path);
    expect([layer.format, layer.name, coordinatesOf(layer, 0)]).toEqual(['kml', 'site.kmz', [2, 45]]);
    const one = await put('one.kmz', writeZip([{ name: 'site.kml', bytes: kml(4) }]));
    expect(coordinatesOf(await readLayer(one), 0)).toEqual([4, 45]);
    expect((await readLayer(one, { layer: 'Oaks' })).count).toBe(1);
    expect((await refusal(readLayer(one, { layer: 'Elms' }))).code).toBe('layer-missing');
    expect((await refusal(readLayer(await put('zip.kmz', writeZip([{ name: 'a.png', bytes: kml(1) }]))))).code).toBe(
      'zip-empty',
    );
  });

  it('assesses survey points against a drawing: what was set aside is not assessed, and says why', async () => {
    const trees = await put('shots.txt', bytesOf('1,680000,7650000,300,OAK 24"\n2,680100,7650000,300,EP\n'));
    const works = await put(
      'site.dxf',
      bytesOf(
        dxf(
          [
            lwpolyline(
              'A-BLDG',
              [
                [7650010, 679970],
                [7650030, 679970],
                [7650030, 680030],
                [7650010, 680030],
              ],
              true,
            ),
            entity('LINE', 'A-GRID', [10, 7650000], [20, 679000], [11, 7650000], [21, 681000]),
          ],
          2,
        ),
      ),
    );
    const assessment = await assessFiles({
      trees,
      works: [works],
      crs: 'EPSG:2913',
      read: {
        trees: { columns: [...'PNEZD'], codes: { OAK: 'Quercus' } },
        works: { layerKinds: { 'A-BLDG': 'building' } },
      },
    });
    expect(assessment.trees.map((tree) => [tree.verdict, tree.reasons])).toEqual([
      ['over-limit', expect.any(Array)],
      ['not-assessed', ['code-unmapped']],
    ]);
    expect(assessment.trees[0]?.overlapPct).toBeGreaterThan(20);
    expect(assessment.counts.works).toEqual({ in: 2, counted: 1, notCounted: 0, rejected: 1 });
    expect(new Set(assessment.findings.map((f) => f.code))).toEqual(
      new Set(
        ['default-rule', 'rule-note', 'code-unmapped', 'layer-not-mapped', 'crs-assigned', 'height-unit'].filter(
          (code) => assessment.findings.some((f) => f.code === code),
        ),
      ),
    );
    const none = await refusal(
      assessFiles({
        trees,
        works: [trees],
        crs: 'EPSG:2913',
        read: { trees: { columns: [...'PNEZD'] }, works: { columns: [...'PNEZD'], layerKinds: { A: 'paving' } } },
      }),
    );
    expect([none.code, none.usage]).toEqual(['option-format', true]);
  });
});
