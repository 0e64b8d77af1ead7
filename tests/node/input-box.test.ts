// Reading by a box, XML in UTF-16, and what check says of a drawing: in: files made here; out: what is read, what is told.
import { mkdtempSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import fc from 'fast-check';
import { geojson as flatgeobuf } from 'flatgeobuf';
import { describe, expect, it } from 'vitest';
import { assessCommand } from '../../src/describe/command.js';
import { describeLayer } from '../../src/describe/describe.js';
import { InputError } from '../../src/model/findings.js';
import { readLayer } from '../../src/node/read/files.js';
import { tellFormat } from '../../src/read/index.js';
import { run } from '../support/cli.js';
import { dxf, entity, type Group, lwpolyline } from '../support/dxf.js';
import { coordinatesOf } from '../support/layers.js';
import { gpkgBlob, withIndex, wkb } from '../support/wkb.js';

const dir = mkdtempSync(join(tmpdir(), 'rootberth-box-'));
const put = (name: string, bytes: Uint8Array | string): string => {
  writeFileSync(join(dir, name), bytes);
  return join(dir, name);
};

/** Points and segments, one null; with the R-tree that writers of GeoPackages keep (annex F.3), or without. */
function geoPackage(places: readonly (readonly [number, number])[], rtree: boolean): Uint8Array {
  const db = new Database(':memory:');
  db.exec(`
    CREATE TABLE gpkg_spatial_ref_sys (srs_name TEXT, srs_id INTEGER PRIMARY KEY, organization TEXT, organization_coordsys_id INTEGER, definition TEXT);
    CREATE TABLE gpkg_geometry_columns (table_name TEXT, column_name TEXT, geometry_type_name TEXT, srs_id INTEGER, z INTEGER, m INTEGER);
    INSERT INTO gpkg_spatial_ref_sys VALUES ('Oregon North', 2913, 'EPSG', 2913, '');
    INSERT INTO gpkg_geometry_columns VALUES ('old trees', 'geom', 'GEOMETRY', 2913, 0, 0);
    CREATE TABLE "old trees" (fid INTEGER PRIMARY KEY, geom BLOB, tag TEXT);
    CREATE VIRTUAL TABLE "rtree_old trees_geom" USING rtree(id, minx, maxx, miny, maxy);`);
  const row = db.prepare('INSERT INTO "old trees" VALUES (?, ?, ?)');
  const box = db.prepare('INSERT INTO "rtree_old trees_geom" VALUES (?, ?, ?, ?, ?)');
  row.run(1, null, 'none');
  places.forEach(([x, y], i) => {
    const line = i % 3 === 2; // three units long, north-east
    const geometry = line
      ? wkb.line([
          [x, y],
          [x + 3, y + 3],
        ])
      : wkb.point([x, y]);
    row.run(i + 2, gpkgBlob(geometry), `T${i}`);
    box.run(i + 2, x, line ? x + 3 : x, y, line ? y + 3 : y);
  });
  if (!rtree) db.exec('DROP TABLE "rtree_old trees_geom"');
  const bytes = new Uint8Array(db.serialize());
  db.close();
  return bytes;
}

const lattice = (n: number): [number, number][] =>
  Array.from({ length: n * n }, (_, i) => [7650000.125 + (i % n), 680000.125 + Math.floor(i / n)]);
const refused = async (act: Promise<unknown>): Promise<InputError> => {
  const error: unknown = await act.catch((e: unknown) => e);
  if (error instanceof InputError) return error;
  throw new Error('not refused');
};

describe('a box on a GeoPackage', () => {
  const places = lattice(12);
  const plain = put('plain.gpkg', geoPackage(places, false));
  const indexed = put('indexed.gpkg', geoPackage(places, true));

  it('reads the same features with the R-tree and without it, and counts the others', async () => {
    await fc.assert(
      fc.asyncProperty(
        fc.array(fc.double({ min: -3, max: 15, noNaN: true }), { minLength: 4, maxLength: 4 }),
        async (at) => {
          const [a = 0, b = 0, c = 0, d = 0] = at;
          const bbox = [
            7650000 + Math.min(a, b),
            680000 + Math.min(c, d),
            7650000 + Math.max(a, b),
            680000 + Math.max(c, d),
          ] as const;
          const wanted = places.flatMap(([x, y], i) => {
            const size = i % 3 === 2 ? 3 : 0;
            return x <= bbox[2] && x + size >= bbox[0] && y <= bbox[3] && y + size >= bbox[1] ? [`T${i}`] : [];
          });
          for (const path of [plain, indexed]) {
            const layer = await readLayer(path, { bbox });
            expect(Array.from({ length: layer.count }, (_, f) => layer.value(f, 'tag'))).toEqual(wanted);
            expect(layer.findings.map((f) => f.code)).toEqual(wanted.length === 145 ? [] : ['outside-box']);
            expect(layer.findings[0]?.message).toContain(`${145 - wanted.length} of 145 features`);
          }
        },
      ),
      { numRuns: 15 },
    );
  });

  it('without a box reads all, the one without geometry too', async () => {
    const layer = await readLayer(indexed);
    expect([layer.count, layer.findings.map((f) => f.code)]).toEqual([145, ['geometry-null']]);
  });

  it('FlatGeobuf counts what it leaves out as well, by its index and without', async () => {
    const collection = {
      type: 'FeatureCollection' as const,
      features: places.map(([x, y]) => ({
        type: 'Feature' as const,
        properties: {},
        geometry: { type: 'Point' as const, coordinates: [x, y] },
      })),
    };
    const bytes = flatgeobuf.serialize(collection, 2913);
    for (const file of [bytes, withIndex(bytes)]) {
      const layer = await readLayer(put('t.fgb', file), { bbox: [7650000, 680000, 7650002, 680001] });
      expect(layer.count).toBe(2);
      expect(layer.findings.map((f) => [f.code, f.message.slice(0, 23)])).toEqual([
        ['outside-box', '142 of 144 features lie'],
      ]);
    }
  });

  it('other formats have none', async () => {
    const error = await refused(readLayer(put('a.csv', 'x,y\n1,2\n'), { bbox: [0, 0, 1, 1] }));
    expect([error.code, error.usage, error.message]).toEqual([
      'option-format',
      true,
      'a.csv: a box to filter by is for FlatGeobuf and GeoPackage only',
    ]);
  });

  it('on the command line', async () => {
    const box = '7650000,680000,7650002,680001';
    const { out, err } = await run('check', indexed, '--bbox', box);
    expect(out).toMatch(/features\s+│ 2 \(2 point\)/);
    expect(err).toContain('143 of 145 features lie outside the box');
    expect(out).toContain(`--bbox ${box}`);
    for (const wrong of ['1,2,3', '3,0,1,1', '0,0,1,x', 'roads=0,0,1,1']) {
      expect((await run('check', indexed, '--bbox', wrong)).code).toBe(2);
    }
  });
});

describe('XML in UTF-16', () => {
  const kml =
    '<?xml version="1.0" encoding="UTF-16"?>\n<kml><Placemark><name>Säulen-Eiche</name><Point><coordinates>-122.5,45.5</coordinates></Point></Placemark></kml>';
  const landxml =
    '<LandXML><Units><Metric linearUnit="meter"/></Units><CgPoints><CgPoint name="Ä1">680000.5 7650000.25</CgPoint></CgPoints></LandXML>';
  const wide = (text: string, big: boolean): Uint8Array => {
    const bytes = Buffer.from(`\uFEFF${text}`, 'utf16le');
    return big ? bytes.swap16() : bytes;
  };

  it.each([false, true])('is read by its byte order mark (big endian: %s)', async (big) => {
    const placed = await readLayer(put('a.kml', wide(kml, big)));
    expect([placed.value(0, 'name'), coordinatesOf(placed, 0)]).toEqual(['Säulen-Eiche', [-122.5, 45.5]]);
    const points = await readLayer(put('a.xml', wide(landxml, big)));
    expect([points.id(0), coordinatesOf(points, 0)]).toEqual(['Ä1', [7650000.25, 680000.5]]);
    expect(tellFormat(wide(kml, big), 'nameless')).toBe('kml');
  });

  it('other text in UTF-16, and XML without the mark, are refused by name', async () => {
    for (const bytes of [wide('tag,x,y\n', false), Buffer.from(kml, 'utf16le')]) {
      const error = await refused(readLayer(put('b.kml', bytes)));
      expect([error.code, error.message]).toEqual(['file-kind', 'b.kml is UTF-16 text']);
    }
    const gml = await refused(readLayer(put('c.xml', wide('<?xml version="1.0"?><gml:a xmlns:gml="x"/>', true))));
    expect(gml.message).toContain('neither KML nor LandXML');
  });
});

describe('check of a drawing', () => {
  const ring = [
    [0, 0],
    [10, 0],
    [10, 10],
    [0, 10],
  ];
  const advise = async (entities: readonly (readonly Group[])[], options = {}) => {
    const path = put('site.dxf', dxf(entities, 2));
    const layer = await readLayer(path, options);
    return assessCommand([{ path: 'site.dxf', description: describeLayer(layer), error: null }], []);
  };

  it('suggests a kind for each drawing layer whose name says it, and lists the others', async () => {
    const { command, notes } = await advise([
      lwpolyline('A-BLDG', ring, true),
      lwpolyline('C-DRIV', ring, true),
      lwpolyline('C-DRIV', ring, true),
      lwpolyline('Q 7', ring, true),
    ]);
    expect(command).toContain('--works site.dxf');
    expect(command).toContain('--layer A-BLDG=building --layer C-DRIV=paving --');
    expect(notes.join('\n')).toContain('left out, unless you add --layer NAME=kind for those that are works: Q 7 (1)');
    expect(notes.join('\n')).not.toContain('does not say the kind');
  });

  it('leaves the kind open where no name says it', async () => {
    const { command, notes } = await advise([lwpolyline('Q 7', ring, true), lwpolyline('Z', ring, true)]);
    expect(command).toContain("--layer 'Q 7=KIND'");
    expect(notes.join('\n')).toContain('Q 7 (1), Z (1): for each that holds works, give its kind');
  });

  it('says nothing once they are chosen', async () => {
    const entities = [lwpolyline('A-BLDG', ring, true), lwpolyline('Z', ring, true)];
    const { command } = await advise(entities, { layerKinds: { 'A-BLDG': 'building' } });
    expect(command).not.toContain('--layer');
  });

  it('picks the drawing layer of the trees', async () => {
    const point = (layer: string, x: number) => entity('POINT', layer, [10, x], [20, 0]);
    const { command } = await advise([point('V-TREE', 1), point('V-TREE', 2), point('V-CTRL', 3)]);
    expect(command).toContain('--trees site.dxf');
    expect(command).toContain('--layer V-TREE');
    expect((await advise([point('A', 1), point('B', 2)])).command).toContain('--layer NAME');
    expect((await advise([point('A', 1), point('A', 2)])).command).not.toContain('--layer');
  });
});
