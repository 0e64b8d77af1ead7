// Files -> Layer: in: a path, or '-' for standard input; out: the Layer, with the SHA-256 of the bytes read.
// Terms: companion = a part of a loose shapefile beside its .shp: .shx .dbf .prj .cpg, in any case.
// What the system says when a file can't be read becomes an InputError with a cure.

import { createHash } from 'node:crypto';
import { readdir, readFile, stat } from 'node:fs/promises';
import { basename, dirname, extname, join } from 'node:path';
import { InputError } from '../findings.js';
import { type ReadOptions, readLayer as readBytes, readShapefile, type ShapefileParts, tellFormat } from '../read.js';
import type { Layer } from '../types.js';
import { readLargeGeoJson } from './geojson-file.js';
import { readZip, type ZipCaps } from './zip.js';

/** Options of `readLayer`: those of the core, and what only files have. */
export interface FileReadOptions extends Partial<Omit<ReadOptions, 'sha256'>> {
  /** Which layer of a zip that holds several: its file name, with or without extension. */
  readonly layer?: string;
  /** Caps on zips. */
  readonly zip?: ZipCaps;
  /** Where '-' reads from; default the process's standard input. */
  readonly stdin?: AsyncIterable<Uint8Array | string>;
}

/** The order in which the parts of a shapefile are hashed. */
const PARTS = ['shp', 'dbf', 'shx', 'prj', 'cpg'] as const;

/**
 * Reads one file: GeoJSON, GeoJSON sequence, CSV, loose shapefile (its companions are found beside it), or a zip with one
 * of them. `-` is standard input.
 *
 * @returns the layer; `name` is the file's base name, `sha256` that of its bytes (a loose shapefile: of .shp, .dbf,
 *   .shx, .prj, .cpg in this order)
 * @throws InputError `file-missing`, `file-directory`, `file-permission`, `file-too-large`, `file-unreadable`,
 *   and those of the core's `readLayer` and of zips
 * @example
 * const trees = await readLayer('survey/trees.shp');
 */
export async function readLayer(path: string, options: FileReadOptions = {}): Promise<Layer> {
  const name = options.name ?? (path === '-' ? 'stdin' : basename(path));
  if (path !== '-' && options.layer === undefined) {
    const large = await readLargeGeoJson(path, { ...options, name });
    if (large !== null) return large;
  }
  const bytes = path === '-' ? await collect(options.stdin ?? process.stdin) : await readOne(path, name);
  const { layer, zip, stdin: _, ...core } = options;
  if (isZip(bytes) && !/\.xls[xmb]$/i.test(name) && !isWorkbook(bytes)) {
    const found = await readZip(bytes, name, layer, zip);
    return readParts(found.parts, found.name, { ...core, name, sha256: sha256(bytes) });
  }
  if (path !== '-' && extname(path).toLowerCase() === '.shp') {
    const parts = await companions(path, bytes, name);
    const inOrder = PARTS.flatMap((part) => parts.get(part) ?? []);
    return readParts(parts, name, { ...core, name, sha256: sha256(...inOrder) });
  }
  return readBytes(bytes, { ...core, name, sha256: sha256(bytes) });
}

function readParts(parts: ReadonlyMap<string, Uint8Array>, inner: string, options: ReadOptions): Layer {
  const shp = parts.get('shp');
  if (shp !== undefined) {
    const shapefile: { -readonly [K in keyof ShapefileParts]: ShapefileParts[K] } = { shp };
    for (const part of PARTS) {
      const bytes = parts.get(part);
      if (bytes !== undefined) shapefile[part] = bytes;
    }
    return readShapefile(shapefile, options);
  }
  const [bytes = new Uint8Array()] = [...parts.values()];
  // The name inside the archive helps to tell the format; the archive's own name stays the layer's.
  return readBytes(bytes, { ...options, format: options.format ?? tellFormat(bytes, inner) });
}

function isZip(bytes: Uint8Array): boolean {
  return (
    bytes[0] === 0x50 && bytes[1] === 0x4b && ((bytes[2] === 3 && bytes[3] === 4) || (bytes[2] === 5 && bytes[3] === 6))
  );
}

/** A workbook is a zip too; its first entries say so. */
function isWorkbook(bytes: Uint8Array): boolean {
  return new TextDecoder('latin1').decode(bytes.subarray(0, 4096)).includes('[Content_Types].xml');
}

function sha256(...chunks: readonly Uint8Array[]): string {
  const hash = createHash('sha256');
  for (const chunk of chunks) hash.update(chunk);
  return hash.digest('hex');
}

async function collect(source: AsyncIterable<Uint8Array | string>): Promise<Uint8Array> {
  const chunks: Uint8Array[] = [];
  let length = 0;
  for await (const chunk of source) {
    const bytes = typeof chunk === 'string' ? new TextEncoder().encode(chunk) : chunk;
    chunks.push(bytes);
    length += bytes.length;
  }
  const all = new Uint8Array(length);
  let at = 0;
  for (const chunk of chunks) {
    all.set(chunk, at);
    at += chunk.length;
  }
  return all;
}

/** The .shp and what stands beside it; an exact name is taken before one that differs in case. */
async function companions(path: string, shp: Uint8Array, name: string): Promise<Map<string, Uint8Array>> {
  const folder = dirname(path);
  const stem = basename(path, extname(path));
  const siblings = await attempt(() => readdir(folder), name);
  const parts = new Map<string, Uint8Array>([['shp', shp]]);
  for (const part of PARTS) {
    if (part === 'shp') continue;
    const matching = siblings.filter((s) => s.toLowerCase() === `${stem}.${part}`.toLowerCase());
    const best = matching.find((s) => s.startsWith(`${stem}.`)) ?? matching[0];
    if (best !== undefined) parts.set(part, await readOne(join(folder, best), best));
  }
  return parts;
}

async function readOne(path: string, name: string): Promise<Uint8Array> {
  return attempt(async () => {
    if ((await stat(path)).isDirectory()) {
      throw new InputError('file-directory', `${name} is a folder`, { layer: name, cure: 'give a file in it' });
    }
    return readFile(path);
  }, name);
}

/** System error -> code, words and cure. */
const SYSTEM_ERRORS: Readonly<Record<string, readonly [code: string, message: string, cure: string]>> = {
  ENOENT: ['file-missing', 'is not there', 'check the name and the folder'],
  ENOTDIR: ['file-missing', 'is not there', 'check the name and the folder'],
  EISDIR: ['file-directory', 'is a folder', 'give a file in it'],
  EACCES: ['file-permission', 'may not be read', 'ask for the right to read it, or copy it to a folder of yours'],
  EPERM: ['file-permission', 'may not be read', 'ask for the right to read it, or copy it to a folder of yours'],
  ERR_FS_FILE_TOO_LARGE: ['file-too-large', 'is larger than 2 GiB', 'split it, or clip it to the site'],
};

async function attempt<T>(read: () => Promise<T>, name: string): Promise<T> {
  try {
    return await read();
  } catch (error) {
    if (error instanceof InputError) throw error;
    const system = error instanceof Error && 'code' in error ? String(error.code) : '';
    const [code, message, cure] = SYSTEM_ERRORS[system] ?? [
      'file-unreadable',
      `can't be read (${system || String(error)})`,
      'check the disk or copy the file anew',
    ];
    throw new InputError(code, `${name} ${message}`, { layer: name, cure });
  }
}
