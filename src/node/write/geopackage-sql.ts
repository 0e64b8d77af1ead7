// The SQL that makes a database a GeoPackage 1.3 (OGC 12-128r17, annexes C and F.3). In: names of tables; out: SQL.
// Terms: rtree = the spatial index extension, its triggers as the annex prints them.

/** Application id "GPKG", version 1.3, and the tables every GeoPackage has. WGS 84 and the two undefined systems are a must. */
export const SCHEMA: string = `
PRAGMA application_id = 0x47504B47;
PRAGMA user_version = 10300;
CREATE TABLE gpkg_spatial_ref_sys (
  srs_name TEXT NOT NULL, srs_id INTEGER NOT NULL PRIMARY KEY, organization TEXT NOT NULL,
  organization_coordsys_id INTEGER NOT NULL, definition TEXT NOT NULL, description TEXT);
INSERT INTO gpkg_spatial_ref_sys VALUES
  ('Undefined Cartesian SRS', -1, 'NONE', -1, 'undefined', 'undefined Cartesian coordinate reference system'),
  ('Undefined geographic SRS', 0, 'NONE', 0, 'undefined', 'undefined geographic coordinate reference system'),
  ('WGS 84 geodetic', 4326, 'EPSG', 4326,
   'GEOGCS["WGS 84",DATUM["WGS_1984",SPHEROID["WGS 84",6378137,298.257223563,AUTHORITY["EPSG","7030"]],AUTHORITY["EPSG","6326"]],PRIMEM["Greenwich",0,AUTHORITY["EPSG","8901"]],UNIT["degree",0.0174532925199433,AUTHORITY["EPSG","9122"]],AUTHORITY["EPSG","4326"]]',
   'longitude/latitude coordinates in decimal degrees on the WGS 84 spheroid');
CREATE TABLE gpkg_contents (
  table_name TEXT NOT NULL PRIMARY KEY, data_type TEXT NOT NULL, identifier TEXT UNIQUE, description TEXT DEFAULT '',
  last_change DATETIME NOT NULL DEFAULT (strftime('%Y-%m-%dT%H:%M:%fZ','now')),
  min_x DOUBLE, min_y DOUBLE, max_x DOUBLE, max_y DOUBLE, srs_id INTEGER,
  CONSTRAINT fk_gc_r_srs_id FOREIGN KEY (srs_id) REFERENCES gpkg_spatial_ref_sys(srs_id));
CREATE TABLE gpkg_geometry_columns (
  table_name TEXT NOT NULL, column_name TEXT NOT NULL, geometry_type_name TEXT NOT NULL, srs_id INTEGER NOT NULL,
  z TINYINT NOT NULL, m TINYINT NOT NULL,
  CONSTRAINT pk_geom_cols PRIMARY KEY (table_name, column_name),
  CONSTRAINT uk_gc_table_name UNIQUE (table_name),
  CONSTRAINT fk_gc_tn FOREIGN KEY (table_name) REFERENCES gpkg_contents(table_name),
  CONSTRAINT fk_gc_srs FOREIGN KEY (srs_id) REFERENCES gpkg_spatial_ref_sys (srs_id));
CREATE TABLE gpkg_extensions (
  table_name TEXT, column_name TEXT, extension_name TEXT NOT NULL, definition TEXT NOT NULL, scope TEXT NOT NULL,
  CONSTRAINT ge_tce UNIQUE (table_name, column_name, extension_name));
`;

/**
 * The table in which map tools look for styles: a convention of theirs, not of the standard, to which it is a table of
 * attributes. `update_time` stays empty: a file's bytes depend on nothing but the job.
 */
export const LAYER_STYLES: string = `
CREATE TABLE layer_styles (
  id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL, f_table_catalog TEXT, f_table_schema TEXT, f_table_name TEXT,
  f_geometry_column TEXT, styleName TEXT, styleQML TEXT, styleSLD TEXT, useAsDefault BOOLEAN, description TEXT,
  owner TEXT, ui TEXT, update_time DATETIME);
`;

/** The index of a table's `geom` by `fid`, and the triggers by which other programs keep it up to date. */
export function rtreeSql(table: string): { readonly create: string; readonly triggers: string } {
  const r = `"rtree_${table}_geom"`;
  const t = `"${table}"`;
  const box = 'ST_MinX(NEW.geom), ST_MaxX(NEW.geom), ST_MinY(NEW.geom), ST_MaxY(NEW.geom)';
  const put = `INSERT OR REPLACE INTO ${r} VALUES (NEW.fid, ${box})`;
  const full = 'NEW.geom NOTNULL AND NOT ST_IsEmpty(NEW.geom)';
  const empty = '(NEW.geom ISNULL OR ST_IsEmpty(NEW.geom))';
  const trigger = (name: string, when: string, condition: string, act: string): string =>
    `CREATE TRIGGER "rtree_${table}_geom_${name}" AFTER ${when} ON ${t} WHEN ${condition} BEGIN ${act}; END;`;
  return {
    create: `CREATE VIRTUAL TABLE ${r} USING rtree(id, minx, maxx, miny, maxy)`,
    triggers: [
      trigger('insert', 'INSERT', `(${full})`, put),
      trigger('update1', 'UPDATE OF geom', `OLD.fid = NEW.fid AND (${full})`, put),
      trigger('update2', 'UPDATE OF geom', `OLD.fid = NEW.fid AND ${empty}`, `DELETE FROM ${r} WHERE id = OLD.fid`),
      trigger('update3', 'UPDATE', `OLD.fid != NEW.fid AND (${full})`, `DELETE FROM ${r} WHERE id = OLD.fid; ${put}`),
      trigger(
        'update4',
        'UPDATE',
        `OLD.fid != NEW.fid AND ${empty}`,
        `DELETE FROM ${r} WHERE id IN (OLD.fid, NEW.fid)`,
      ),
      trigger('delete', 'DELETE', 'OLD.geom NOTNULL', `DELETE FROM ${r} WHERE id = OLD.fid`),
    ].join('\n'),
  };
}
