// Every output format, written from the demo and read back by libraries that are not ours. In: data/demo; out: counts per
// role, names, values and coordinates equal what the GeoJSON of the same assessment has.
import { mkdtemp, readdir, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { parse } from 'csv-parse/sync';
import Excel from 'exceljs';
import type { Feature, Geometry, Position } from 'geojson';
import { parseDbf, parseShp } from 'shpjs';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { crsFromWkt, transformFor } from '../../src/crs/index.js';
import { readZip } from '../../src/node/read/index.js';
import { type Assessment, assessFiles, findCrs, toGeoJSON, toSchedule, writeAssessment } from '../../src/node.js';
import { asMulti, type Row, readFgb, readGpkg, readParquet } from '../support/read-back.js';

const demo = (name: string): string => fileURLToPath(new URL(`../../data/demo/${name}`, import.meta.url));

let dir = '';
let assessment: Assessment;
let features: Feature[] = [];
beforeAll(async () => {
  dir = await mkdtemp(join(tmpdir(), 'formats-'));
  assessment = await assessFiles({
    trees: demo('survey.csv'),
    works: [demo('works.geojson')],
    lots: demo('lots.geojson'),
    crs: 'EPSG:2913',
  });
  features = toGeoJSON(assessment, { units: 'us' }).features;
});
afterAll(async () => {
  await rm(dir, { recursive: true });
});

const write = async (name: string, options: object = {}) => {
  const written = await writeAssessment(join(dir, name), assessment, { units: 'us', ...options });
  return { ...written, path: written.files[0]! };
};
const roleOf = (feature: Feature): string => feature.properties?.rb_role;
const ofRole = (role: string): Feature[] => features.filter((f) => roleOf(f) === role);
const roles = (): string[] => [...new Set(features.map(roleOf))];

/** Values a table may hold in another form than GeoJSON: a missing key is null, a structure its JSON text. */
function plain(properties: Feature['properties'], names: readonly string[]): Record<string, unknown> {
  return Object.fromEntries(
    names.map((name) => {
      const value = properties?.[name] ?? null;
      return [name, typeof value === 'object' && value !== null ? JSON.stringify(value) : value];
    }),
  );
}

/** "680142.920" among numbers is a number in a table. */
function asNumber(name: string, value: unknown, read: Record<string, unknown>): unknown {
  return typeof value === 'string' && typeof read[name] === 'number' ? Number(value) : value;
}

function sameRow(row: Row, feature: Feature | undefined, form: (value: unknown) => unknown = (v) => v): void {
  const { feature_id: id, ...properties } = row.properties;
  const expected = plain(feature?.properties ?? null, Object.keys(properties));
  expect(Object.fromEntries(Object.entries(properties).map(([k, v]) => [k, v ?? null]))).toEqual(
    Object.fromEntries(Object.entries(expected).map(([k, v]) => [k, form(asNumber(k, v, properties))])),
  );
  if (id !== undefined && id !== null) expect(id).toBe(feature?.id);
}

test('newline-delimited: the features of the collection, a line each, and the rest beside them', async () => {
  const { files, path } = await write('a.ndjson');
  const lines = (await readFile(path, 'utf8')).trimEnd().split('\n');
  expect(lines.map((line) => JSON.parse(line))).toEqual(features);
  expect(files[1]).toBe(`${path}.rootberth.json`);
  const about = JSON.parse(await readFile(files[1]!, 'utf8'));
  expect(about).toMatchObject({ rule: { id: 'foot-per-inch' }, counts: assessment.counts });
});

describe('GeoPackage', () => {
  test('tables, rows, values and geometry', async () => {
    const { path, files } = await write('a.gpkg');
    expect(files).toHaveLength(1);
    const gpkg = readGpkg(path);
    expect([...gpkg.rows.keys()].sort()).toEqual(roles().sort());
    for (const [role, rows] of gpkg.rows) {
      const expected = ofRole(role);
      expect(rows.length, role).toBe(expected.length);
      rows.forEach((row, i) => {
        expect(row.geometry).toEqual(asMulti(expected[i]?.geometry ?? null));
        sameRow(row, expected[i], (value) => (typeof value === 'boolean' ? Number(value) : value));
      });
    }
    gpkg.close();
  });

  test('is a GeoPackage by its own tables', async () => {
    const { path } = await write('b.gpkg', { outCrs: 'EPSG:2913' });
    const gpkg = readGpkg(path);
    expect(gpkg.sql('PRAGMA application_id')).toEqual([{ application_id: 0x47504b47 }]);
    expect(gpkg.sql('PRAGMA user_version')).toEqual([{ user_version: 10300 }]);
    expect(gpkg.sql('PRAGMA integrity_check')).toEqual([{ integrity_check: 'ok' }]);
    expect(gpkg.sql('PRAGMA foreign_key_check')).toEqual([]);
    const systems = gpkg.sql('SELECT srs_id, organization, definition FROM gpkg_spatial_ref_sys ORDER BY srs_id');
    expect(systems.map((s) => s.srs_id)).toEqual([-1, 0, 2913, 4326]);
    expect(crsFromWkt(String(systems[2]?.definition), 'b.gpkg').code).toBe('EPSG:2913');
    const columns = gpkg.sql('SELECT table_name, geometry_type_name, srs_id FROM gpkg_geometry_columns');
    expect(columns.find((c) => c.table_name === 'zone')).toMatchObject({
      geometry_type_name: 'MULTIPOLYGON',
      srs_id: 2913,
    });
    expect(columns.find((c) => c.table_name === 'tree')).toMatchObject({ geometry_type_name: 'POINT' });
    const [about] = gpkg.sql("SELECT json FROM rootberth WHERE name = 'provenance'");
    expect(JSON.parse(String(about?.json)).written.positions).toMatch(/^easting, northing in ft of EPSG:2913 /);
    gpkg.close();
  });

  test('the index finds what the boxes say, and nothing else', async () => {
    const { path } = await write('c.gpkg', { roles: ['tree'] });
    const gpkg = readGpkg(path);
    const [west, south, east, north] = [-122.6925, 45.511, -122.6915, 45.512];
    const found = gpkg
      .sql(
        `SELECT id FROM rtree_tree_geom WHERE maxx >= ${west} AND minx <= ${east} AND maxy >= ${south} AND miny <= ${north} ORDER BY id`,
      )
      .map((r) => r.id);
    const expected = ofRole('tree').flatMap(({ geometry }, i) => {
      const [x = 0, y = 0] = geometry.type === 'Point' ? geometry.coordinates : [];
      return x >= west && x <= east && y >= south && y <= north ? [i + 1] : [];
    });
    expect(expected.length).toBeGreaterThan(10);
    // The index holds boxes in 32 bits, rounded outwards: it may offer a neighbour (1e-5 degrees), never miss one.
    expect(found).toEqual(expect.arrayContaining(expected));
    expect(found.length).toBeLessThanOrEqual(expected.length + 2);
    gpkg.close();
  });
});

describe('shapefile', () => {
  const part = async (bytes: Uint8Array, layer: string) => (await readZip(bytes, 'a.zip', layer)).parts;
  /** As the format turns them: shells clockwise. shpjs hands rings on as it finds them. */
  const turned = (geometry: Geometry): Geometry => {
    if (geometry.type === 'Polygon')
      return { ...geometry, coordinates: geometry.coordinates.map((r) => r.toReversed()) };
    if (geometry.type !== 'MultiPolygon') return geometry;
    return { ...geometry, coordinates: geometry.coordinates.map((p) => p.map((r) => r.toReversed())) };
  };
  const text = (bytes: Uint8Array | undefined): string => new TextDecoder().decode(bytes);

  test('layers, records, values through the name map, and geometry', async () => {
    const { path, findings } = await write('a.zip');
    // what is said of fences is the plan's own affair: nothing was lost on the way into the file
    expect(
      findings.filter(({ code }) => !['fence-leaves-tree', 'fence-off-lots', 'temporary-in-zone'].includes(code)),
    ).toEqual([]);
    const bytes = new Uint8Array(await readFile(path));
    const map = parse(text((await part(bytes, 'fieldnames.csv')).get('csv')), { columns: true });
    for (const role of roles()) {
      const parts = await part(bytes, role);
      expect(text(parts.get('cpg'))).toBe('UTF-8');
      expect(text(parts.get('prj'))).toContain('AUTHORITY["EPSG","4326"]');
      const names = map.filter((m) => m.layer === role);
      // Ground to be protected is of another kind than lines of fences: a layer of its own, fence_polygon; and so is the
      // line of a bore that does not count, beside measured works: works_line.
      const isPolygon = ({ geometry }: Feature): boolean => geometry?.type.endsWith('Polygon') === true;
      const expected = ofRole(role).filter((f) =>
        role === 'fence' ? !isPolygon(f) : role !== 'works' || isPolygon(f),
      );
      const shapes = parseShp(viewOf(parts.get('shp'))) as Geometry[];
      const table = parseDbf(viewOf(parts.get('dbf')), viewOf(parts.get('cpg'))) as Record<string, unknown>[];
      expect([shapes.length, table.length], role).toEqual([expected.length, expected.length]);
      expect(new Set(names.map((n) => n.short.toLowerCase())).size).toBe(names.length);
      for (const { short } of names) expect(short).toMatch(/^[A-Za-z0-9_]{1,10}$/);
      expected.forEach((feature, i) => {
        // shpjs drops a hole that touches its shell at the corner it looks at: what it hands over must be ours.
        const ours = normal(turned(feature.geometry));
        const theirs = normal(shapes[i]!);
        expect(ours).toEqual(expect.arrayContaining(theirs));
        if (holes(feature.geometry) === 0) expect(theirs).toEqual(ours);
        for (const { short, name } of names) {
          if (name === 'feature_id') continue;
          const read = table[i]?.[short];
          const value = asNumber(short, feature.properties?.[name] ?? null, table[i] ?? {});
          if (typeof value === 'number') expect(read, name).toBeCloseTo(value, 9);
          else if (value === null || value === '')
            expect(read || null, name).toSatisfy((v) => v === null || Number.isNaN(v));
          else expect(read, name).toEqual(typeof value === 'object' ? JSON.stringify(value) : value);
        }
      });
    }
  });

  test('the .prj of an output system names it, and our own reader takes the layer back to the same places', async () => {
    const { path } = await write('b.zip', { outCrs: 'EPSG:2913', roles: ['tree'] });
    const parts = await part(new Uint8Array(await readFile(path)), 'tree');
    expect(crsFromWkt(text(parts.get('prj')), 'tree.prj').code).toBe('EPSG:2913');
    expect(text(parts.get('prj'))).toMatch(
      /^PROJCS\["NAD83_HARN_Oregon_North_ft",GEOGCS\["GCS_North_American_1983_HARN",DATUM\["D_North_American_1983_HARN",/,
    );
    const shapes = parseShp(viewOf(parts.get('shp'))) as { coordinates: Position }[];
    const { xy } = assessment.job.trees;
    const worst = Math.max(
      ...shapes.map(({ coordinates: [x = 0, y = 0] }, i) => Math.hypot(x - xy[i * 2]!, y - xy[i * 2 + 1]!)),
    );
    expect(worst * 0.3048).toBeLessThan(1e-4); // source system there and back: a tenth of a millimetre
  });
});

const viewOf = (bytes: Uint8Array | undefined): DataView => {
  const copy = Uint8Array.from(bytes ?? []);
  return new DataView(copy.buffer);
};

/** Rings in a fixed order: which shell a hole is in, a shapefile does not say, and readers decide each for themselves. */
function normal(geometry: Geometry): string[] {
  const rings = geometry.type === 'MultiPolygon' ? geometry.coordinates.flat() : [];
  const list = geometry.type === 'Polygon' ? geometry.coordinates : rings;
  const { type } = geometry;
  if (list.length === 0) return [JSON.stringify([type, 'coordinates' in geometry ? geometry.coordinates : null])];
  return list.map((ring) => JSON.stringify(ring)).sort();
}

function holes(geometry: Geometry): number {
  if (geometry.type === 'Polygon') return geometry.coordinates.length - 1;
  return geometry.type === 'MultiPolygon' ? geometry.coordinates.flat().length - geometry.coordinates.length : 0;
}

test('FlatGeobuf: one file with all roles, values and geometry equal', async () => {
  const { path } = await write('a.fgb');
  const rows = await readFgb(path);
  expect(rows.length).toBe(features.length);
  rows.forEach((row, i) => {
    expect(row.geometry).toEqual(asMulti(features[i]?.geometry ?? null));
    const own = Object.keys(features[i]?.properties ?? {});
    for (const name of own) {
      const value = features[i]?.properties?.[name] ?? null;
      const read = row.properties[name] ?? null;
      // A name that several roles have with unlike types is text for all of them.
      expect(typeof read === 'string' && typeof value === 'number' ? Number(read) : read, name).toEqual(
        asNumber(name, value, row.properties),
      );
    }
  });
});

test('GeoParquet: WKB, types, box and system stated; values equal', async () => {
  const { path } = await write('a.parquet', { outCrs: 'EPSG:2913', roles: ['zone', 'tree'] });
  const { rows, geo } = await readParquet(path);
  const expected = toGeoJSON(assessment, {
    units: 'us',
    roles: ['zone', 'tree'],
    output: systemOf('EPSG:2913'),
  }).features;
  expect(rows.length).toBe(expected.length);
  rows.forEach((row, i) => {
    expect(row.geometry).toEqual(expected[i]?.geometry);
    for (const [name, value] of Object.entries(expected[i]?.properties ?? {})) {
      const read = row.properties[name] ?? null;
      expect(typeof read === 'bigint' ? Number(read) : read, name).toEqual(asNumber(name, value, row.properties));
    }
  });
  expect(geo).toMatchObject({
    version: '1.1.0',
    primary_column: 'geometry',
    columns: {
      geometry: {
        encoding: 'WKB',
        geometry_types: ['Point', 'Polygon'],
        orientation: 'counterclockwise',
        crs: { type: 'ProjectedCRS', id: { authority: 'EPSG', code: 2913 } },
      },
    },
  });
  const plainOne = await readParquet((await write('b.parquet', { roles: ['tree'] })).path);
  expect(plainOne.geo).not.toHaveProperty('columns.geometry.crs'); // none stated: OGC:CRS84 (GeoParquet 1.1)
});

const systemOf = (code: string) => {
  const { crs, fromLonLat } = transformFor(findCrs(code));
  return { crs, toOutput: fromLonLat };
};

test('CSV: a row per tree with every property, lon/lat and the survey’s own coordinates', async () => {
  const { path } = await write('a.csv');
  const rows = parse(await readFile(path, 'utf8'), { columns: true });
  const trees = ofRole('tree');
  expect(rows.length).toBe(trees.length);
  rows.forEach((row, i) => {
    const properties = trees[i]?.properties ?? {};
    for (const [name, value] of Object.entries(properties)) {
      if (typeof value === 'string' && /^\d+\.\d+$/.test(value)) expect(Number(row[name]), name).toBe(Number(value));
      else expect(row[name], name).toBe(String(value ?? ''));
    }
    const { geometry } = trees[i]!;
    expect(geometry.type === 'Point' ? geometry.coordinates : []).toEqual([Number(row.rb_lon), Number(row.rb_lat)]);
    expect([row.rb_easting_ft, row.rb_northing_ft].map(Number)).toEqual(
      [properties.easting, properties.northing].map(Number),
    );
    expect(row.rb_native_crs).toBe('EPSG:2913');
  });
});

test('XLSX: the schedule as numbers, findings, and where it all comes from', async () => {
  const { path } = await write('a.xlsx');
  const book = new Excel.Workbook();
  await book.xlsx.readFile(path);
  expect(book.worksheets.map((sheet) => sheet.name)).toEqual(['Schedule', 'Findings', 'About']);
  const [schedule, findings, about] = book.worksheets;
  expect(schedule?.views[0]).toMatchObject({ state: 'frozen', ySplit: 1 });
  const csvRows = parse(toSchedule(assessment, { units: 'us' }));
  expect(schedule?.rowCount).toBe(csvRows.length);
  csvRows.forEach((cells, r) => {
    cells.forEach((cell, c) => {
      const read = schedule?.getCell(r + 1, c + 1);
      if (typeof read?.value === 'number') {
        const decimals = (read.numFmt.split('.')[1] ?? '').length;
        expect(read.value.toFixed(decimals).replace(/^-(0\.?0*)$/, '$1')).toBe(cell);
      } else expect(String(read?.value ?? '')).toBe(cell);
    });
  });
  expect(typeof schedule?.getCell(2, 5).value).toBe('number');
  expect(findings?.rowCount).toBe(assessment.findings.length + 1);
  const words = about?.getSheetValues().flat().filter(Boolean).join('\n') ?? '';
  for (const word of ['foot-per-inch', 'EPSG:2913', 'survey.csv', 'qualified arborist']) expect(words).toContain(word);
});

describe('files and folders', () => {
  test.each(['geopackage', 'shapefile', 'flatgeobuf', 'geoparquet', 'csv', 'dxf', 'ndjson', 'geojson'] as const)(
    'a folder gets one %s per role',
    async (format) => {
      const { files } = await write(`${format}/`, { format, roles: ['zone', 'tree'] });
      const names = (await readdir(join(dir, format))).sort();
      expect(names).toEqual(files.map((file) => file.slice(join(dir, format).length + 1)).sort());
      expect(names.filter((name) => /^(zone|tree)\./.test(name))).toHaveLength(2);
    },
  );

  test('the same job gives the same bytes where the format carries no time', async () => {
    for (const name of ['a.ndjson', 'a.zip', 'a.fgb', 'a.parquet', 'a.csv']) {
      const first = await readFile((await write(`one-${name}`)).path);
      const second = await readFile((await write(`two-${name}`)).path);
      expect(first.equals(second), name).toBe(true);
    }
  });

  test.each(['a.gpkg', 'a.zip', 'a.fgb', 'a.parquet', 'a.dxf', 'a.xlsx', 'a.csv'])(
    'an older %s stays when writing fails, and nothing else is left',
    async (name) => {
      const folder = await mkdtemp(join(dir, 'fail-'));
      const path = join(folder, name);
      await writeFile(path, 'older');
      const broken: Assessment = {
        ...assessment,
        shapes: () => {
          throw new Error('half-way');
        },
        eachTree: () => brokenTrees,
        get trees(): Assessment['trees'] {
          return brokenTrees;
        },
      };
      await expect(writeAssessment(path, broken)).rejects.toThrow('half-way');
      expect(await readFile(path, 'utf8')).toBe('older');
      expect(await readdir(folder)).toEqual([name]);
    },
  );

  test.each([
    ['a.shp', {}, 'format-unknown'],
    ['a.docx', {}, 'format-unknown'],
    ['a.geojson', { format: 'tiff' }, 'format-unknown'],
    ['a.csv', { roles: ['tree', 'zone'] }, 'format-one-role'],
    ['a.gpkg', { outCrs: 'EPSG:99999999' }, 'crs-unknown'],
    ['a.gpkg', { outCrs: 'local:ft' }, 'crs-local'],
    ['a.dxf', { outCrs: 'EPSG:4326' }, 'format-needs-plane'],
  ])('%s with %j is wrong usage: %s', async (name, options, code) => {
    await expect(write(name, options)).rejects.toMatchObject({ name: 'InputError', code, usage: true });
  });
});

/** Trees whose third is reached only to fail. */
const brokenTrees = new Proxy([] as unknown as Assessment['trees'], {
  get(_target, key) {
    const { trees } = assessment;
    if (key === Symbol.iterator) {
      return function* () {
        yield trees[0];
        throw new Error('half-way');
      };
    }
    return Reflect.get(trees, key);
  },
});
