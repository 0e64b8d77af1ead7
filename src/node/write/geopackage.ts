// Assessment -> GeoPackage 1.3 (OGC 12-128r17): one table per role, each with an R-tree, a table `layer_styles` with their
// colours, and a table `rootberth` with what was done. In: a path and what to write; out: a file. Terms: fid = row number from 1; blob = header + WKB (clause 2.1.3).
// Coordinates are easting, northing or longitude, latitude in every case (clause 1.1.2.1.2), whatever the code's axis order.

import type { Database, Statement } from 'better-sqlite3';
import { esriWkt } from '../../crs/index.js';
import { peer } from '../../read/index.js';
import { toSld } from '../../style/index.js';
import { quotedName } from '../../text/index.js';
import { boxOf, type OutGeometry, promoted, provenance, type RoleTable, type Value, wkb } from '../../write/index.js';
import { columnNames, epsgOf, type OutputFormat, systemOf, tablesFor, type Writing } from './format.js';
import { LAYER_STYLES, rtreeSql, SCHEMA } from './geopackage-sql.js';
import { writeWhole } from './write-file.js';

export const geopackage: OutputFormat = {
  extensions: ['gpkg'],
  title: 'GeoPackage, one table per role',
  sidecar: false,
  roles: null,
  write: async (path, writing) => {
    const { default: Sqlite } = await peer('better-sqlite3', 'GeoPackage', path, () => import('better-sqlite3'));
    return writeWhole(path, async (temporary) => {
      const db = new Sqlite(temporary);
      try {
        return fill(db, writing);
      } finally {
        db.close();
      }
    });
  },
};

function fill(db: Database, writing: Writing): ReturnType<ReturnType<typeof tablesFor>['findings']> {
  // The file is a temporary one until it is complete: nothing needs to survive a crash.
  db.pragma('journal_mode = OFF');
  db.pragma('synchronous = OFF');
  db.exec(SCHEMA);
  const srs = addSystem(db, writing);
  const tables = tablesFor(writing);
  db.exec('BEGIN');
  for (const table of tables.tables) addTable(db, table, srs);
  addStyles(db, writing);
  addProvenance(db, writing);
  db.exec('COMMIT');
  return tables.findings();
}

/** The id of the output's system in the file, its row added when it is not one that every file has. */
function addSystem(db: Database, { plan }: Writing): number {
  const crs = systemOf(plan);
  const code = epsgOf(crs);
  if (crs === null || code === 4326) return 4326;
  if (crs.kind === 'local') return -1; // "undefined Cartesian", which every file has
  const id = code ?? 100_000; // outside EPSG's range: a system without a code
  db.prepare('INSERT INTO gpkg_spatial_ref_sys VALUES (?, ?, ?, ?, ?, ?)').run(
    crs.name,
    id,
    code === null ? 'NONE' : 'EPSG',
    id,
    esriWkt(crs) ?? 'undefined',
    `${crs.datum.name}; from WGS 84: ${crs.datum.operation}`,
  );
  return id;
}

const SQL_TYPES = { text: 'TEXT', integer: 'INTEGER', real: 'DOUBLE', boolean: 'BOOLEAN' } as const;

function addTable(db: Database, table: RoleTable, srs: number): void {
  const name = table.role;
  const names = columnNames(table, ['fid', 'geom']);
  const columns = names.map((column, i) => `${quotedName(column)} ${SQL_TYPES[table.fields[i]?.type ?? 'text']}`);
  db.exec(
    `CREATE TABLE ${quotedName(name)} (fid INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL, ${['geom BLOB', ...columns].join(', ')})`,
  );
  // The type of a column of geometries is stated in it and in gpkg_geometry_columns; SQLite itself ignores it.
  const { create, triggers } = rtreeSql(name);
  db.exec(create);
  const marks = ['?', '?', ...names.map(() => '?')].join(', ');
  const insert = db.prepare(`INSERT INTO ${quotedName(name)} VALUES (${marks})`);
  const index = db.prepare(`INSERT INTO "rtree_${name}_geom" VALUES (?, ?, ?, ?, ?)`);
  const { box, types } = addRows(table, srs, insert, index);
  db.prepare(
    'INSERT INTO gpkg_contents (table_name, data_type, identifier, description, min_x, min_y, max_x, max_y, srs_id) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)',
  ).run(name, 'features', name, `role ${name} of the assessment`, ...(box ?? [null, null, null, null]), srs);
  const [only] = types;
  const type = types.size === 1 && only !== undefined ? only.toUpperCase() : 'GEOMETRY';
  db.prepare('INSERT INTO gpkg_geometry_columns VALUES (?, ?, ?, ?, 0, 0)').run(name, 'geom', type, srs);
  db.prepare('INSERT INTO gpkg_extensions VALUES (?, ?, ?, ?, ?)').run(
    name,
    'geom',
    'gpkg_rtree_index',
    'http://www.geopackage.org/spec130/#extension_rtree',
    'write-only',
  );
  db.exec(triggers);
}

function addRows(
  table: RoleTable,
  srs: number,
  insert: Statement,
  index: Statement,
): { box: number[] | null; types: Set<string> } {
  const types = new Set<string>();
  let box: [number, number, number, number] | null = null;
  let fid = 0;
  for (const { geometry, values } of table.features()) {
    fid++;
    let bytes: Uint8Array | null = null;
    if (geometry !== null) {
      // Polygons and multipolygons in one column would have no common type, so all become multi.
      const kept = geometry.type.endsWith('Polygon') ? promoted(geometry) : geometry;
      const b = boxOf(kept);
      bytes = blob(kept, srs, b);
      types.add(kept.type);
      index.run(fid, b[0], b[2], b[1], b[3]);
      box =
        box === null
          ? b
          : [Math.min(box[0], b[0]), Math.min(box[1], b[1]), Math.max(box[2], b[2]), Math.max(box[3], b[3])];
    }
    insert.run(fid, bytes, ...values.map(bound));
  }
  return { box, types };
}

function bound(value: Value): string | number | bigint | null {
  return typeof value === 'boolean' ? Number(value) : value;
}

/** GeoPackage header, then WKB; points need no envelope. */
function blob(geometry: OutGeometry, srs: number, box: readonly number[]): Uint8Array {
  const envelope = geometry.type === 'Point' ? 0 : 32;
  const bytes = wkb(geometry, 8 + envelope);
  const view = new DataView(bytes.buffer);
  bytes[0] = 0x47; // G
  bytes[1] = 0x50; // P
  bytes[2] = 0; // version 1
  bytes[3] = envelope === 0 ? 0b0001 : 0b0011; // little-endian; envelope of x and y
  view.setInt32(4, srs, true);
  if (envelope > 0) {
    const [west = 0, south = 0, east = 0, north = 0] = box;
    [west, east, south, north].forEach((value, i) => {
      view.setFloat64(8 + 8 * i, value, true);
    });
  }
  return bytes;
}

/** A style for each table, as SLD: what opens a table draws it in our colours. */
function addStyles(db: Database, { plan }: Writing): void {
  db.exec(LAYER_STYLES);
  const insert = db.prepare(
    'INSERT INTO layer_styles (f_table_catalog, f_table_schema, f_table_name, f_geometry_column, styleName, styleSLD, ' +
      "useAsDefault, description, owner) VALUES ('', '', ?, 'geom', ?, ?, 1, ?, '')",
  );
  for (const role of plan.roles) {
    insert.run(role, role, toSld([role], plan.prefix), `role ${role} in the colours of the report`);
  }
  addAttributes(db, 'layer_styles', 'styles of the tables, as SLD 1.1');
}

function addProvenance(db: Database, { assessment, plan }: Writing): void {
  db.exec('CREATE TABLE rootberth (id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL, name TEXT, json TEXT)');
  db.prepare('INSERT INTO rootberth (name, json) VALUES (?, ?)').run(
    'provenance',
    [...provenance(assessment, plan)].join(''),
  );
  addAttributes(db, 'rootberth', 'rule, inputs, counts and findings, as JSON');
}

function addAttributes(db: Database, table: string, description: string): void {
  db.prepare('INSERT INTO gpkg_contents (table_name, data_type, identifier, description) VALUES (?, ?, ?, ?)').run(
    table,
    'attributes',
    table,
    description,
  );
}
