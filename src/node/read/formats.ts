// Bytes of any format -> Layer. In: a file's bytes (or the path of a database); out: the Layer.
// Formats that only Node reads stand in a table here; all others go to the core. Terms: see read/index.ts.

import { open } from 'node:fs/promises';
import type { FormatName, Layer } from '../../model/index.js';
import { type ReadOptions, readLayerAsync, tellFormat } from '../../read/index.js';
import { readFlatGeobuf } from './flatgeobuf.js';
import { readGeoPackage } from './gpkg.js';
import { readXlsx } from './xlsx.js';
import type { ZipCaps } from './zip.js';

type NodeReader = (bytes: Uint8Array, options: ReadOptions, caps: ZipCaps | undefined) => Promise<Layer>;

/** Loaded when first used: each brings an optional package along. */
const NODE_FORMATS: Readonly<Partial<Record<FormatName, NodeReader>>> = {
  geopackage: async (bytes, options) => readGeoPackage(bytes, options),
  flatgeobuf: async (bytes, options) => readFlatGeobuf(bytes, options),
  xlsx: async (bytes, options, caps) => readXlsx(bytes, options, caps),
};

/** Reads a whole file of any format; `inner` is the name by which the format is recognised, where it differs. */
export async function readAny(
  bytes: Uint8Array,
  options: ReadOptions,
  caps?: ZipCaps,
  inner: string = options.name,
): Promise<Layer> {
  const told = options.format ?? toldBy(bytes, inner);
  const reader = told === undefined ? undefined : NODE_FORMATS[told];
  if (reader !== undefined) return reader(bytes, options, caps);
  return readLayerAsync(bytes, inner === options.name || told === undefined ? options : { ...options, format: told });
}

/** Undefined where nothing shows it: the core then reports what is wrong, or uses its options. */
function toldBy(bytes: Uint8Array, name: string): FormatName | undefined {
  try {
    return tellFormat(bytes, name);
  } catch {
    return undefined;
  }
}

/** Whether a path holds an SQLite database (a GeoPackage is one): it is opened in place, never read whole. */
export async function isDatabase(path: string): Promise<boolean> {
  try {
    const file = await open(path, 'r');
    try {
      const head = new Uint8Array(16);
      await file.read(head, 0, 16, 0);
      return new TextDecoder('latin1').decode(head) === 'SQLite format 3\0';
    } finally {
      await file.close();
    }
  } catch {
    return false; // the ordinary reader reports what is wrong
  }
}
