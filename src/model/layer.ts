// A layer as read: columns of geometry, own properties, what the file states. In: nothing; out: types.
// Terms: native = in the source’s own coordinates; part = rows of a layer that a tile reads.

import type { Finding } from './findings.js';
import type { LengthUnit } from './units.js';

export type Properties = Readonly<Record<string, unknown>>;

export type LayerRole = 'trees' | 'works' | 'existing' | 'lots' | 'zones' | 'crowns' | 'limbs' | 'grades';

export type FormatName =
  | 'geojson'
  | 'geojsonseq'
  | 'shapefile'
  | 'csv'
  | 'points'
  | 'kml'
  | 'landxml'
  | 'dxf'
  | 'flatgeobuf'
  | 'geopackage'
  | 'xlsx'
  | 'notes'
  | 'postgis';

/** What a feature's geometry is; `none` is a null geometry, `broken` one that could not be read. */
export const GEOMETRY_KINDS = [
  'none',
  'point',
  'multipoint',
  'line',
  'multiline',
  'polygon',
  'multipolygon',
  'broken',
] as const;

export type GeometryKind = (typeof GEOMETRY_KINDS)[number];

/**
 * Geometry of a whole layer without an object per vertex.
 * Feature f has parts partStart[f] .. partStart[f+1]; part p has rings ringStart[p] .. ringStart[p+1];
 * ring r has vertices vertexStart[r] .. vertexStart[r+1]. A point or a line is a part with one ring.
 * Rings are stored as read (closed or not, either way round); `check` puts them right.
 */
export interface GeometryTable {
  readonly kind: Uint8Array; // index into GEOMETRY_KINDS, per feature
  readonly partStart: Uint32Array; // features + 1
  readonly ringStart: Uint32Array; // parts + 1
  readonly vertexStart: Uint32Array; // rings + 1
  readonly xy: Float64Array; // 2 per vertex: easting, northing or lon, lat; native
  readonly z: Float64Array | null; // 1 per vertex, NaN where absent; null when no vertex has one
  readonly m: Float64Array | null; // the same for measures (shapefile M)
}

/** How a file states its own coordinate reference system. */
export type CrsStatement =
  | { readonly from: 'prj' | 'crs-member' | 'file'; readonly text: string }
  | { readonly from: 'rfc7946'; readonly text: 'OGC:CRS84' };

// GeoJSON without a statement whose every coordinate fits degrees

/** The unit a file states for its own coordinates; `foot` leaves open which foot is meant. */
export interface StatedUnit {
  readonly unit: LengthUnit | 'foot' | 'other';
  readonly metresPerUnit: number;
  readonly from: string; // where it says so: '$INSUNITS', '<Units>'
}

/** One layer as read: native coordinates, own properties, nothing dropped. */
export interface Layer {
  readonly name: string; // file name without its folders
  readonly format: FormatName;
  readonly count: number; // features
  readonly geometry: GeometryTable;
  readonly crs: CrsStatement | null;
  /** Names of the properties, in order of first appearance. */
  readonly fields: readonly string[];
  /** The feature's own id (GeoJSON `id` member), or undefined. */
  id(feature: number): string | number | undefined;
  /** The feature's own properties; `{}` when it has none. The same values every time it is asked. */
  properties(feature: number): Properties;
  /** One of the feature's own properties, or undefined; cheaper than `properties` for a layer of a million. */
  value(feature: number, field: string): unknown;
  /** The own properties as the JSON they were read from (UTF-8, no white space outside strings), or null. */
  propertyBytes(feature: number): Uint8Array | null;
  readonly findings: readonly Finding[];
  /** SHA-256 of the bytes read, hex; null where it was not computed. */
  readonly sha256: string | null;
  /** The unit the file states for its coordinates, beside or in place of a coordinate system. */
  readonly unit?: StatedUnit;
  /** Features the reader kept but that are not to be used, and why: `code-unmapped`, `layer-not-mapped`, ... */
  readonly setAside?: ReadonlyMap<number, string>;
  /** What is in each layer, for a file that holds several (folders, drawing layers) and was read as a whole. */
  readonly contents?: readonly LayerContent[];
  /** The columns of a table that were read as easting and northing (or longitude and latitude). */
  readonly columns?: readonly [x: string, y: string];
  /** For a layer that is part of another: the positions and names of its features there. */
  readonly part?: LayerPart;
}

/** One of several layers within a file: its name as the option `layer` takes it, and how many features of each shape it has. */
export interface LayerContent {
  readonly name: string;
  readonly points: number;
  readonly lines: number;
  readonly areas: number;
}

/** Some features of a layer, in its order: the part of the layer that a tile of a split job holds. */
export interface LayerPart {
  readonly rows: Uint32Array; // of the whole layer, ascending
  readonly keys: Names; // unique in the whole job
}

/** Names of rows; an array of texts will do. A million names are kept as bytes and made into text when asked for. */
export interface Names {
  readonly length: number;
  at(row: number): string | undefined;
}
