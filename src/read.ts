// The read stage: in: the bytes of one file; out: a Layer (native coordinates, own properties, nothing dropped).
// The format comes from the option, else from content and name; files of other kinds are refused by name.
// Terms: sniff = a cheap look at the first bytes; layer = one file's features.

import { InputError } from './findings.js';
import { readCsv } from './read/csv.js';
import { foreignFile, isArchive } from './read/foreign.js';
import { readGeoJson, readGeoJsonSequence } from './read/geojson.js';
import type { ReadOptions } from './read/options.js';
import { pointColumns, readPoints } from './read/points.js';
import { bomLength, headText } from './read/text.js';
import type { FormatName, Layer } from './types.js';

export { type Box, boxesMeet } from './read/box.js';
export { GeoJsonStream } from './read/geojson.js';
export type { ReadOptions } from './read/options.js';
export type { ShapefilePart, ShapefileParts } from './read/shapefile.js';
export { type ByteSource, blockSource } from './read/source.js';
export { readWkb } from './read/wkb.js';

type Reader = (bytes: Uint8Array, options: ReadOptions) => Layer;

interface Format {
  readonly extensions: readonly string[];
  /** Whether the content can be nothing else. */
  sniff(bytes: Uint8Array, head: string): boolean;
  /** Reads it; null: only `rootberth/node` does. */
  readonly read: Reader | null;
  /** Formats that bring much code along: loaded when first used, so `read` is not at hand at once. */
  readonly load?: () => Promise<Reader>;
}

/** XML with such an element in its first bytes. */
const xmlWith = (name: string): RegExp => new RegExp(`^\\s*<[^]*<(?:\\w+:)?${name}\\b|^\\s*<(?:\\w+:)?${name}\\b`, 'i');
const KML = xmlWith('kml');
const LANDXML = xmlWith('LandXML');

/** The formats, in the order in which their sniffs are asked. */
const FORMATS: Readonly<Record<FormatName, Format>> = {
  shapefile: {
    extensions: ['shp'],
    sniff: (bytes) => bytes[0] === 0 && bytes[1] === 0 && bytes[2] === 0x27 && bytes[3] === 0x0a, // 9994
    read: null,
    load: async () => {
      const { readShapefile } = await import('./read/shapefile.js');
      return (bytes, options) => readShapefile({ shp: bytes }, options);
    },
  },
  geojsonseq: {
    extensions: ['geojsonl', 'geojsons', 'geojsonseq', 'ndjson', 'ndgeojson', 'jsonl'],
    sniff: isSequence,
    read: readGeoJsonSequence,
  },
  geojson: {
    extensions: ['geojson', 'json'],
    sniff: (_, head) => /^\s*[{[]/.test(head),
    read: readGeoJson,
  },
  kml: {
    extensions: ['kml'],
    sniff: (_, head) => KML.test(head),
    read: null,
    load: async () => (await import('./read/kml.js')).readKml,
  },
  landxml: {
    extensions: ['xml', 'landxml'],
    sniff: (_, head) => LANDXML.test(head),
    read: null,
    load: async () => (await import('./read/landxml.js')).readLandXml,
  },
  dxf: {
    extensions: ['dxf'],
    sniff: (_, head) =>
      /^\s*(?:999\s*\n[^\n]*\n\s*)*0\s*\n\s*SECTION\b/.test(head) || head.startsWith('AutoCAD Binary DXF'),
    read: null,
    load: async () => (await import('./read/dxf.js')).readDxf,
  },
  geopackage: { extensions: ['gpkg'], sniff: (_, head) => head.startsWith('SQLite format 3'), read: null },
  flatgeobuf: { extensions: ['fgb'], sniff: (_, head) => head.startsWith('fgb\u0003fgb'), read: null },
  xlsx: { extensions: ['xlsx', 'xlsm'], sniff: (bytes, head) => isWorkbook(bytes, head), read: null },
  csv: {
    extensions: ['csv', 'tsv', 'tab', 'txt', 'pnezd', 'asc'],
    sniff: () => false, // any text might be one: told by its name
    read: readCsv,
  },
  points: {
    extensions: [], // told by the option `columns` alone
    sniff: () => false,
    read: readPoints,
  },
  postgis: { extensions: [], sniff: () => false, read: null }, // a table of a database: told by its path
};

/**
 * Reads one file from its bytes: GeoJSON, CSV, survey points. DXF, KML, LandXML and a lone `.shp` need `readLayerAsync`;
 * zips, GeoPackage, FlatGeobuf and workbooks `rootberth/node`; the companions of a shapefile `readShapefile`.
 *
 * @param options `name` is the file's name without folders
 * @returns the layer; coordinates in the source's own system and unit
 * @throws InputError `file-empty`, `file-kind` (web page, UTF-16, a format read elsewhere, ...), `format-unknown`,
 *   `option-format` (an option that is for another format), and those of the format's reader
 * @example
 * const layer = readLayer(new TextEncoder().encode('tag,x,y\nT1,7650000,680000\n'), { name: 'trees.csv' });
 * layer.count; // 1
 */
export function readLayer(bytes: Uint8Array, options: ReadOptions): Layer {
  const name = formatOf(bytes, options);
  const { read, load } = FORMATS[name];
  if (read !== null) return read(bytes, options);
  throw new InputError('file-kind', `${options.name} is ${ELSEWHERE[name] ?? name}, which is not read here`, {
    layer: options.name,
    cure: load === undefined ? 'read it with readLayer of rootberth/node' : 'read it with readLayerAsync',
  });
}

/** What a file is called that `readLayer` of the core leaves to others. */
const ELSEWHERE: Readonly<Partial<Record<FormatName, string>>> = {
  shapefile: 'a part of a shapefile',
  dxf: 'a drawing (DXF)',
  kml: 'XML (KML)',
  landxml: 'XML (LandXML)',
  geopackage: 'a database (GeoPackage)',
  flatgeobuf: 'a FlatGeobuf file',
  xlsx: 'an Excel workbook',
  postgis: 'a table of a database',
};

/**
 * The same for every format of the core; those that bring much code along are loaded when first used. A zip is opened: its
 * one layer is read, or the one that `layer` names (zips beyond 4 GiB, damaged ones and `salvage`: `rootberth/node`).
 *
 * @throws InputError as `readLayer`, and `zip-broken`, `zip-caps`, `zip-encrypted`, `zip-empty`, `zip-several`, `zip-layer`
 * @example
 * const layer = await readLayerAsync(bytes, { name: 'site.kml' });
 */
export async function readLayerAsync(bytes: Uint8Array, options: ReadOptions): Promise<Layer> {
  if (options.format !== 'xlsx' && isArchive(bytes, headText(bytes), options.name)) return readPacked(bytes, options);
  const { load } = FORMATS[formatOf(bytes, options)];
  return load === undefined ? readLayer(bytes, options) : (await load())(bytes, options);
}

/** The layer of an archive keeps the archive's name. */
async function readPacked(bytes: Uint8Array, { layer, ...options }: ReadOptions): Promise<Layer> {
  const { unpack } = await import('./read/archive.js');
  const { name, parts } = await unpack(bytes, options.name, layer);
  const shp = parts.get('shp');
  if (shp !== undefined) {
    const { readShapefile } = await import('./read/shapefile.js');
    return readShapefile({ ...Object.fromEntries(parts), shp }, options);
  }
  const [content = new Uint8Array()] = [...parts.values()];
  return readLayerAsync(content, { format: tellFormat(content, name), ...options });
}

function formatOf(bytes: Uint8Array, options: ReadOptions): FormatName {
  const head = headText(bytes);
  if (bytes.length < 4096 && head.trim() === '') {
    throw new InputError('file-empty', `${options.name} is empty`, {
      layer: options.name,
      cure: 'export or copy the file again',
    });
  }
  const foreign = foreignFile(bytes, head, options.name);
  if (foreign !== undefined) {
    const { message, cure } = foreign;
    throw new InputError('file-kind', `${options.name} ${message}`, { layer: options.name, cure });
  }
  const name = options.format ?? (isPointFile(bytes, head, options) ? 'points' : tellFormat(bytes, options.name));
  if (options.bbox !== undefined) {
    throw new InputError('option-format', `${options.name}: a box to filter by is for FlatGeobuf and GeoPackage only`, {
      layer: options.name,
      cure: 'leave the box out, or convert the file to GeoPackage or FlatGeobuf',
      usage: true,
    });
  }
  return name;
}

/** Text whose columns are given as letters, and that is nothing else by its content. */
function isPointFile(bytes: Uint8Array, head: string, options: ReadOptions): boolean {
  return pointColumns(options.columns) !== undefined && !Object.values(FORMATS).some((f) => f.sniff(bytes, head));
}

/** A workbook is a zip whose first entries say so. */
function isWorkbook(bytes: Uint8Array, head: string): boolean {
  return bytes[0] === 0x50 && bytes[1] === 0x4b && /\[Content_Types\]\.xml|(^|\W)xl\//.test(head);
}

/**
 * The format of a file, from its content, else from its name.
 *
 * @throws InputError `format-unknown`
 */
export function tellFormat(bytes: Uint8Array, name: string): FormatName {
  const head = headText(bytes);
  const names = Object.keys(FORMATS) as FormatName[];
  const sniffed = names.find((f) => FORMATS[f].sniff(bytes, head));
  const extension = name.slice(name.lastIndexOf('.') + 1).toLowerCase();
  // A sequence may begin with a damaged line: then its name tells, unless the text is one document over many lines.
  const byName =
    FORMATS.geojsonseq.extensions.includes(extension) && /^[^\n]*(?:\}\s*\n|\n\s*\{)/.test(head.trimStart());
  if (sniffed === 'geojson' && byName) return 'geojsonseq';
  if (sniffed !== undefined) return sniffed;
  const named = names.find((f) => FORMATS[f].extensions.includes(extension));
  if (named !== undefined) return named;
  throw new InputError('format-unknown', `${name}: neither its name nor its content tells the format`, {
    layer: name,
    cure: `name it with one of the endings ${names.flatMap((f) => FORMATS[f].extensions.slice(0, 2)).join(', ')}, or give the format`,
  });
}

/** A record separator in front, or an object that ends with its line and another that starts on the next. */
function isSequence(bytes: Uint8Array, head: string): boolean {
  const start = bomLength(bytes);
  if (bytes[start] === 0x1e) return true;
  if (!/^\s*\{/.test(head)) return false;
  let at = start;
  while (isSpace(bytes[at])) at++;
  const lineEnd = bytes.indexOf(0x0a, at);
  if (lineEnd === -1) return false;
  let last = lineEnd;
  while (isSpace(bytes[last])) last--;
  let next = lineEnd;
  while (isSpace(bytes[next])) next++;
  return bytes[last] === 0x7d && bytes[next] === 0x7b;
}

function isSpace(byte: number | undefined): boolean {
  return byte === 0x20 || byte === 0x09 || byte === 0x0a || byte === 0x0d;
}
