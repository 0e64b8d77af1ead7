// The read stage: in: the bytes of one file; out: a Layer (native coordinates, own properties, nothing dropped).
// The format comes from the option, else from content and name; files of other kinds are refused by name.
// Terms: sniff = a cheap look at the first bytes; layer = one file's features.

import { InputError } from './findings.js';
import { readCsv } from './read/csv.js';
import { foreignFile } from './read/foreign.js';
import { readGeoJson, readGeoJsonSequence } from './read/geojson.js';
import type { ReadOptions } from './read/options.js';
import { readShapefile } from './read/shapefile.js';
import { bomLength, headText } from './read/text.js';
import type { FormatName, Layer } from './types.js';

export type { ReadOptions } from './read/options.js';
export { GeoJsonStream } from './read/geojson.js';
export { readShapefile, type ShapefilePart, type ShapefileParts } from './read/shapefile.js';
export { type ByteSource, blockSource } from './read/source.js';

interface Format {
  readonly extensions: readonly string[];
  /** Whether the content can be nothing else. */
  sniff(bytes: Uint8Array, head: string): boolean;
  read(bytes: Uint8Array, options: ReadOptions): Layer;
}

/** The formats, in the order in which their sniffs are asked. */
const FORMATS: Readonly<Record<FormatName, Format>> = {
  shapefile: {
    extensions: ['shp'],
    sniff: (bytes) => bytes[0] === 0 && bytes[1] === 0 && bytes[2] === 0x27 && bytes[3] === 0x0a, // 9994
    read: (bytes, options) => readShapefile({ shp: bytes }, options),
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
  csv: {
    extensions: ['csv', 'tsv', 'tab', 'txt', 'pnezd', 'asc'],
    sniff: () => false, // any text might be one: told by its name
    read: readCsv,
  },
};

/**
 * Reads one file from its bytes. Zips and the companions of a shapefile need `rootberth/node` or `readShapefile`.
 *
 * @param options `name` is the file's name without folders
 * @returns the layer; coordinates in the source's own system and unit
 * @throws InputError `file-empty`, `file-kind` (spreadsheet, web page, UTF-16, zip, ...), `format-unknown`,
 *   and those of the format's reader
 * @example
 * const layer = readLayer(new TextEncoder().encode('tag,x,y\nT1,7650000,680000\n'), { name: 'trees.csv' });
 * layer.count; // 1
 */
export function readLayer(bytes: Uint8Array, options: ReadOptions): Layer {
  const head = headText(bytes.subarray(bomLength(bytes)));
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
  return FORMATS[options.format ?? tellFormat(bytes, options.name)].read(bytes, options);
}

/**
 * The format of a file, from its content, else from its name.
 *
 * @throws InputError `format-unknown`
 */
export function tellFormat(bytes: Uint8Array, name: string): FormatName {
  const head = headText(bytes.subarray(bomLength(bytes)));
  const names = Object.keys(FORMATS) as FormatName[];
  const sniffed = names.find((f) => FORMATS[f].sniff(bytes, head));
  if (sniffed !== undefined) return sniffed;
  const extension = name.slice(name.lastIndexOf('.') + 1).toLowerCase();
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
