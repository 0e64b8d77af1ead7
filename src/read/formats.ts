// The formats: how each is recognised and which of them are read synchronously. In: a file's bytes, name and options; out: its format.
// Terms: sniff = a cheap look at the first bytes; head = those as text. Files of other kinds are refused by name.

import type { FormatName, Layer } from '../model/index.js';
import { InputError } from '../model/index.js';
import { readCsv } from './csv.js';
import { foreignFile } from './foreign.js';
import { readGeoJson, readGeoJsonSequence } from './geojson.js';
import { isNotes } from './notes-head.js';
import type { ReadOptions } from './options.js';
import { pointColumns, readPoints } from './points.js';
import { bomLength, headText } from './text.js';

export type Reader = (bytes: Uint8Array, options: ReadOptions) => Layer;

interface Format {
  readonly extensions: readonly string[];
  /** Whether the content cannot be another format. */
  sniff(bytes: Uint8Array, head: string): boolean;
  /** Reads it; `on demand`: its code is loaded when first used (on-demand.ts); `in Node`: only `rootberth/node` reads it. */
  readonly read: Reader | 'on demand' | 'in Node';
}

/** XML with such an element in its first bytes. */
const xmlWith = (name: string): RegExp => new RegExp(`^\\s*<[^]*<(?:\\w+:)?${name}\\b|^\\s*<(?:\\w+:)?${name}\\b`, 'i');
const KML = xmlWith('kml');
const LANDXML = xmlWith('LandXML');

/** The formats, in the order in which their sniffs are asked. */
export const FORMATS: Readonly<Record<FormatName, Format>> = {
  shapefile: {
    extensions: ['shp'],
    sniff: (bytes) => bytes[0] === 0 && bytes[1] === 0 && bytes[2] === 0x27 && bytes[3] === 0x0a, // 9994
    read: 'on demand',
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
    read: 'on demand',
  },
  landxml: {
    extensions: ['xml', 'landxml'],
    sniff: (_, head) => LANDXML.test(head),
    read: 'on demand',
  },
  dxf: {
    extensions: ['dxf'],
    sniff: (_, head) =>
      /^\s*(?:999\s*\n[^\n]*\n\s*)*0\s*\n\s*SECTION\b/.test(head) || head.startsWith('AutoCAD Binary DXF'),
    read: 'on demand',
  },
  geopackage: { extensions: ['gpkg'], sniff: (_, head) => head.startsWith('SQLite format 3'), read: 'in Node' },
  flatgeobuf: { extensions: ['fgb'], sniff: (_, head) => head.startsWith('fgb\u0003fgb'), read: 'in Node' },
  xlsx: { extensions: ['xlsx', 'xlsm'], sniff: (bytes, head) => isWorkbook(bytes, head), read: 'in Node' },
  notes: {
    extensions: [], // recognised by its columns
    sniff: (_, head) => isNotes(head),
    read: 'on demand',
  },
  csv: {
    extensions: ['csv', 'tsv', 'tab', 'txt', 'pnezd', 'asc'],
    sniff: () => false, // any text might be one: recognised by its name
    read: readCsv,
  },
  points: {
    extensions: [], // recognised by the option `columns` alone
    sniff: () => false,
    read: readPoints,
  },
  postgis: { extensions: [], sniff: () => false, read: 'in Node' }, // a table of a database: recognised by its path
};

/**
 * The format that the options name, else the content, else the file's name.
 *
 * @throws InputError `file-empty`, `file-kind`, `format-unknown`, `option-format`
 */
export function formatOf(bytes: Uint8Array, options: ReadOptions): FormatName {
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

/** Text whose columns are given as letters and whose content fits no other format. */
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
  // A sequence may begin with a damaged line: then its name decides, unless the text is one document over many lines.
  const byName =
    FORMATS.geojsonseq.extensions.includes(extension) && /^[^\n]*(?:\}\s*\n|\n\s*\{)/.test(head.trimStart());
  if (sniffed === 'geojson' && byName) return 'geojsonseq';
  if (sniffed !== undefined) return sniffed;
  const named = names.find((f) => FORMATS[f].extensions.includes(extension));
  if (named !== undefined) return named;
  throw new InputError('format-unknown', `${name}: neither its name nor its content shows the format`, {
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
