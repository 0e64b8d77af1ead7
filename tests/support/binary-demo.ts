// The demo's survey and works as a GeoPackage and as a workbook. In: data/demo; out: bytes, made by the libraries themselves.
// Terms: hard cells = what engines and builds of a library might read otherwise: 64-bit integers, blobs, dates, formulas.

import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { parse } from 'csv-parse/sync';
import ExcelJS from 'exceljs';
import type { FeatureCollection, Polygon } from 'geojson';
import { gpkgBlob, wkb } from './wkb.js';

const folder = join(import.meta.dirname, '../../data/demo');
const COLUMNS = ['id', 'tag', 'species', 'dbh_in', 'stems_in', 'disposition'] as const;

function survey(): Record<string, string>[] {
  return parse(readFileSync(join(folder, 'survey.csv'), 'utf8'), { columns: true });
}

/** A number where the text is one. */
function typed(text: string | undefined): string | number | null {
  if (text === undefined || text === '') return null;
  return /^-?\d+(\.\d+)?$/.test(text) ? Number(text) : text;
}

/** Trees (EPSG:2913) and works (EPSG:4326) in one file, in write-ahead mode as many programs leave it. */
export function demoGeoPackage(): Uint8Array {
  const db = new Database(':memory:');
  db.exec(`
    CREATE TABLE gpkg_spatial_ref_sys (srs_name TEXT, srs_id INTEGER PRIMARY KEY, organization TEXT,
      organization_coordsys_id INTEGER, definition TEXT);
    CREATE TABLE gpkg_geometry_columns (table_name TEXT, column_name TEXT, geometry_type_name TEXT, srs_id INTEGER, z INTEGER, m INTEGER);
    INSERT INTO gpkg_spatial_ref_sys VALUES ('Oregon North', 2913, 'EPSG', 2913, 'PROJCS[...]'), ('WGS 84', 4326, 'EPSG', 4326, 'GEOGCS[...]');
    INSERT INTO gpkg_geometry_columns VALUES ('trees', 'geom', 'POINT', 2913, 0, 0), ('works', 'geom', 'POLYGON', 4326, 0, 0);
    CREATE TABLE trees (fid INTEGER PRIMARY KEY, geom BLOB, ${COLUMNS.join(', ')}, serial INTEGER, checked BOOLEAN, photo BLOB);
    CREATE TABLE works (fid INTEGER PRIMARY KEY, geom BLOB, id TEXT, kind TEXT, depth_ft REAL);`);
  const marks = (count: number): string => Array.from({ length: count }, () => '?').join(', ');
  const tree = db.prepare(`INSERT INTO trees VALUES (${marks(COLUMNS.length + 5)})`);
  survey().forEach((row, i) => {
    const geometry = gpkgBlob(wkb.point([Number(row.easting), Number(row.northing)]));
    const photo = i % 7 === 0 ? Buffer.from([0, 255, i]) : null;
    tree.run(i + 1, geometry, ...COLUMNS.map((name) => typed(row[name])), 2n ** 60n + BigInt(i), i % 2, photo);
  });
  const works = db.prepare(`INSERT INTO works VALUES (${marks(5)})`);
  const { features } = JSON.parse(readFileSync(join(folder, 'works.geojson'), 'utf8')) as FeatureCollection<Polygon>;
  features.forEach(({ geometry, properties }, i) => {
    if (geometry.type !== 'Polygon') return;
    const shape = gpkgBlob(wkb.polygon(geometry.coordinates));
    works.run(i + 1, shape, properties?.id, properties?.kind, properties?.depth_ft ?? null);
  });
  const bytes = new Uint8Array(db.serialize());
  db.close();
  bytes[18] = bytes[19] = 2;
  return bytes;
}

/** The survey as the first of two sheets. */
export async function demoWorkbook(): Promise<Uint8Array> {
  const workbook = new ExcelJS.Workbook();
  const sheet = workbook.addWorksheet('Survey');
  workbook.addWorksheet('Notes').addRow(['invented data']);
  sheet.addRow(['easting', 'northing', ...COLUMNS, 'surveyed', 'remarks']);
  survey().forEach((row, i) => {
    const diameter = typed(row.dbh_in);
    sheet.addRow([
      Number(row.easting),
      Number(row.northing),
      ...COLUMNS.map((name) =>
        name === 'dbh_in' && typeof diameter === 'number'
          ? { formula: `${diameter / 2}*2`, result: diameter }
          : typed(row[name]),
      ),
      new Date(`${row.surveyed}T00:00:00Z`),
      i % 5 === 0 ? { richText: [{ text: 'crown ' }, { text: 'thin', font: { bold: true } }] } : null,
    ]);
  });
  return new Uint8Array(await workbook.xlsx.writeBuffer());
}
