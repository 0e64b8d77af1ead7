// Files written by us, read back by libraries that are not ours. In: a path; out: features as GeoJSON, per role.
import { readFile } from 'node:fs/promises';
import Sqlite from 'better-sqlite3';
import type { Feature, Geometry, Position } from 'geojson';
import { asyncBufferFromFile, parquetMetadataAsync, parquetReadObjects } from 'hyparquet';

export type Row = { geometry: Geometry | null; properties: Record<string, unknown> };

/** WKB (OGC 06-103r4), little-endian, two dimensions, by a reader of its own. */
export function fromWkb(bytes: Uint8Array): Geometry {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  let at = 0;
  const int = (): number => {
    at += 4;
    return view.getUint32(at - 4, true);
  };
  const position = (): Position => {
    at += 16;
    return [view.getFloat64(at - 16, true), view.getFloat64(at - 8, true)];
  };
  const list = <T>(item: () => T): T[] => Array.from({ length: int() }, item);
  const one = (): Geometry => {
    if (view.getUint8(at) !== 1) throw new Error('not little-endian');
    at += 1;
    const members = (): { coordinates: never }[] => list(() => one() as unknown as { coordinates: never });
    const code = int();
    if (code === 1) return { type: 'Point', coordinates: position() };
    if (code === 2) return { type: 'LineString', coordinates: list(position) };
    if (code === 3) return { type: 'Polygon', coordinates: list(() => list(position)) };
    const many = { 4: 'MultiPoint', 5: 'MultiLineString', 6: 'MultiPolygon' } as const;
    const type = many[code as 4 | 5 | 6];
    if (type === undefined) throw new Error(`geometry code ${code}`);
    return { type, coordinates: members().map((m) => m.coordinates) } as Geometry;
  };
  const geometry = one();
  if (at !== bytes.length) throw new Error('bytes are left over');
  return geometry;
}

export interface Gpkg {
  readonly rows: Map<string, Row[]>;
  readonly sql: (text: string) => Record<string, unknown>[];
  readonly close: () => void;
}

/** Opens a GeoPackage and reads every feature table. */
export function readGpkg(path: string): Gpkg {
  const db = new Sqlite(path, { readonly: true });
  const sql = (text: string) => db.prepare(text).all() as Record<string, unknown>[];
  const rows = new Map<string, Row[]>();
  for (const { table_name: name, srs_id: srs } of sql(
    "SELECT table_name, srs_id FROM gpkg_contents WHERE data_type = 'features'",
  )) {
    rows.set(
      String(name),
      sql(`SELECT * FROM "${name}" ORDER BY fid`).map(({ fid: _, geom, ...properties }) => ({
        geometry: geom === null ? null : fromBlob(geom as Uint8Array, Number(srs)),
        properties,
      })),
    );
  }
  return { rows, sql, close: () => void db.close() };
}

/** Header of clause 2.1.3, checked, then WKB. */
function fromBlob(blob: Uint8Array, srs: number): Geometry {
  const view = new DataView(blob.buffer, blob.byteOffset, blob.byteLength);
  if (blob[0] !== 0x47 || blob[1] !== 0x50 || blob[2] !== 0) throw new Error('no GeoPackage blob');
  if (view.getInt32(4, true) !== srs) throw new Error('another srs than the table');
  const envelope = [0, 32, 48, 48, 64][(blob[3]! >> 1) & 7]!;
  return fromWkb(blob.subarray(8 + envelope));
}

export async function readParquet(path: string): Promise<{ rows: Row[]; geo: Record<string, never> }> {
  const file = await asyncBufferFromFile(path);
  const metadata = await parquetMetadataAsync(file);
  const geo = JSON.parse(metadata.key_value_metadata?.find(({ key }) => key === 'geo')?.value ?? '{}');
  // GeoParquet is decoded by hyparquet itself (WKB to GeoJSON); the geometry column is told apart by `geo`.
  const rows = (await parquetReadObjects({ file, metadata })) as Record<string, unknown>[];
  return {
    geo,
    rows: rows.map(({ geometry, ...properties }) => ({
      geometry: geometry instanceof Uint8Array ? fromWkb(geometry) : ((geometry ?? null) as Geometry | null),
      properties,
    })),
  };
}

export async function readFgb(path: string): Promise<Row[]> {
  const { deserialize } = await import('flatgeobuf/lib/mjs/geojson.js');
  const rows: Row[] = [];
  for await (const feature of deserialize(new Uint8Array(await readFile(path)))) {
    const { geometry, properties } = feature as unknown as Feature;
    rows.push({ geometry, properties: properties ?? {} });
  }
  return rows;
}

/** Every polygon as a multipolygon: formats with one type per table write them so. */
export function asMulti(geometry: Geometry | null): Geometry | null {
  return geometry?.type === 'Polygon' ? { type: 'MultiPolygon', coordinates: [geometry.coordinates] } : geometry;
}
