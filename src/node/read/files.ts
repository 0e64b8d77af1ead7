// Files -> Layer: in: a path, or '-' for standard input; out: the Layer, with the SHA-256 of the bytes read.
// Terms: companion = a part of a loose shapefile beside its .shp: .shx .dbf .prj .cpg, in any case.
// A system error on reading a file becomes an InputError with a cure.

import { open, readdir, readFile, stat } from 'node:fs/promises';
import { basename, dirname, extname, join } from 'node:path';
import type { Layer } from '../../model/index.js';
import { InputError } from '../../model/index.js';
import type { Database } from '../../postgis/index.js';
import { isTable } from '../../postgis/index.js';
import type { Box, FieldNotes, ReadOptions } from '../../read/index.js';
import { readNotes, readShapefile, type ShapefilePart, type ShapefileParts } from '../../read/index.js';
import { embeddedLayer, isEmbedded } from './embedded.js';
import { readFlatGeobufBox } from './flatgeobuf-file.js';
import { isDatabase, readAny } from './formats.js';
import { type ReadProgress, readLargeGeoJson } from './geojson-file.js';
import { readGeoPackage } from './gpkg.js';
import { hashOf, LARGE_BYTES, PartFile } from './parts.js';
import { readXlsxNotes } from './xlsx.js';
import type { ZipCaps, ZipLayer } from './zip.js';
import { readZip } from './zip.js';

/** Options of `readLayer`: those of the core, and what only files have. */
export interface FileReadOptions extends Partial<Omit<ReadOptions, 'sha256'>> {
  /**
   * Which of several layers: of a zip by file name, with or without extension; of a GeoPackage, workbook, KML, LandXML or
   * drawing by table, sheet, folder, group or drawing layer.
   */
  readonly layer?: string;
  /** Caps on zips. */
  readonly zip?: ZipCaps;
  /** The stream that '-' reads; default the process's standard input. */
  readonly stdin?: AsyncIterable<Uint8Array | string>;
  /** Called with how much of a large file is read. */
  readonly progress?: ReadProgress;
  /** Tables (`postgis:SCHEMA.TABLE`): where the database is; default: what the variables PGHOST and so on say. */
  readonly database?: Database | undefined;
  /** Tables: the coordinate system the caller knows, where the table states none. */
  readonly crs?: string | undefined;
}

/** The order in which the parts of a shapefile are hashed. */
const PARTS = ['shp', 'dbf', 'shx', 'prj', 'cpg'] as const;

/**
 * Reads one file of any format (docs/formats.md): the companions of a loose shapefile are found beside it, a GeoPackage
 * is opened in place, a zip or KMZ is unpacked, a layer of a job file (`{"name", "geojson"}`) is read as it stands. `-` is standard input, `postgis:SCHEMA.TABLE` a table of a database.
 *
 * @returns the layer; `name` is the file's base name, `sha256` that of its bytes (a loose shapefile: of .shp, .dbf,
 *   .shx, .prj, .cpg in this order)
 * @throws InputError `file-missing`, `file-directory`, `file-permission`, `file-too-large`, `file-unreadable`,
 *   and those of the core's `readLayer` and of zips
 * @example
 * const trees = await readLayer('survey/trees.shp');
 */
export async function readLayer(path: string, options: FileReadOptions = {}): Promise<Layer> {
  if (isTable(path)) return (await import('../../postgis/index.js')).readTable(path, options);
  if (isEmbedded(path)) return readEmbedded(path, options);
  const name = options.name ?? (path === '-' ? 'stdin' : basename(path));
  if (path !== '-' && options.layer === undefined) {
    const large = await attempt(() => readLargeGeoJson(path, { ...options, name }, options.progress), name);
    if (large !== null) return large;
  }
  const { layer, zip, stdin: _stdin, progress: _progress, database: _database, crs, ...own } = options;
  const core = crs === undefined ? own : { ...own, notes: { crs, ...own.notes } };
  if (path !== '-' && extname(path).toLowerCase() === '.shp') return readLoose(path, { ...core, name });
  if (path !== '-' && (await isLargeZip(path, name))) return readPacked(path, layer, zip, { ...core, name });
  if (path !== '-' && (await isDatabase(path))) return readDatabase(path, { ...options, name });
  const { bbox } = core;
  if (bbox !== undefined && path !== '-' && isFlatGeobuf(path, core)) {
    const sha256 = await hashOfInput(path); // in blocks: only features in the box are held
    return attempt(() => readFlatGeobufBox(path, { ...core, bbox, name, sha256 }), name);
  }
  const bytes = path === '-' ? await collect(options.stdin ?? process.stdin) : await readOne(path, name);
  if (isZip(bytes) && options.format !== 'xlsx' && !/\.xls[xmb]$/i.test(name) && !isWorkbook(bytes)) {
    return readPacked(bytes, layer, zip, { ...core, name });
  }
  const picked = layer === undefined ? {} : { layer };
  try {
    return await readAny(bytes, { ...core, ...picked, name, sha256: hashOf([bytes]) }, zip);
  } catch (error) {
    // The name says zip but the content does not: the zip reader reports what is wrong.
    const unknown = error instanceof InputError && error.code === 'format-unknown';
    if (unknown && /\.(?:zip|kmz)$/i.test(name)) return readPacked(bytes, layer, zip, { ...core, name });
    throw error;
  }
}

async function readEmbedded(path: string, options: FileReadOptions): Promise<Layer> {
  const { name, bytes } = embeddedLayer(path);
  const { layer: _1, zip: _2, stdin: _3, progress: _4, database: _5, crs: _6, ...own } = options;
  return readAny(bytes, { ...own, format: 'geojson', name, sha256: hashOf([bytes]) }, undefined);
}

/**
 * The field notes of a CSV or a workbook; see `readNotes`.
 *
 * @throws InputError as `readLayer`, and those of `readNotes`
 */
export async function readNotesFile(path: string, options: FileReadOptions = {}): Promise<FieldNotes> {
  const name = options.name ?? (path === '-' ? 'standard input' : basename(path));
  const bytes = await readBytes(path, name, options.stdin);
  const { stdin: _1, zip: _2, progress: _3, database: _4, crs, ...own } = options;
  const asked = { ...own, name, notes: { crs, ...own.notes } };
  if (isZip(bytes)) return readXlsxNotes(bytes, asked);
  return readNotes(bytes, asked);
}

/**
 * A part of an indexed file (GeoPackage, FlatGeobuf), by its index: nothing else is read, so there is no hash.
 *
 * @throws InputError as `readLayer`
 */
export async function readBox(
  path: string,
  format: 'geopackage' | 'flatgeobuf',
  options: FileReadOptions & { readonly bbox: Box; readonly name: string },
): Promise<Layer> {
  const { zip: _1, stdin: _2, progress: _3, database: _4, crs: _5, ...own } = options;
  return attempt(async () => {
    if (format === 'geopackage') return readGeoPackage(path, { ...own, isPart: true });
    return readFlatGeobufBox(path, own);
  }, options.name);
}

function isFlatGeobuf(path: string, { format }: { readonly format?: string }): boolean {
  return format === undefined ? extname(path).toLowerCase() === '.fgb' : format === 'flatgeobuf';
}

/**
 * SHA-256 of a file, of the parts of a loose shapefile or of the rows of a table, as `readLayer` computes it, without reading what is in it.
 *
 * @throws InputError as `readLayer` does for files that can't be read
 */
export async function hashOfInput(path: string, database?: Database): Promise<string> {
  if (isTable(path)) return (await import('../../postgis/index.js')).hashOfTable(path, database);
  if (isEmbedded(path)) return hashOf([embeddedLayer(path).bytes]);
  const name = basename(path);
  const open: PartFile[] = [];
  try {
    if (extname(path).toLowerCase() === '.shp') {
      const parts = await companions(path, name, open);
      return hashOf(PARTS.flatMap((part) => parts.get(part) ?? []));
    }
    const file = await attempt(async () => new PartFile(path), name);
    open.push(file);
    return hashOf([file.source]);
  } finally {
    for (const file of open) file.dispose();
  }
}

/** A GeoPackage by its path: opened read-only, hashed in blocks. */
async function readDatabase(path: string, options: ReadOptions): Promise<Layer> {
  const file = new PartFile(path);
  try {
    return await readGeoPackage(path, { ...options, sha256: hashOf([file.source]) });
  } finally {
    file.dispose();
  }
}

/** A loose shapefile; large parts are read in blocks. */
async function readLoose(path: string, options: ReadOptions): Promise<Layer> {
  const open: PartFile[] = [];
  try {
    const parts = await companions(path, options.name, open);
    const sha256 = hashOf(PARTS.flatMap((part) => parts.get(part) ?? []));
    return await readParts(parts, options.name, { ...options, sha256 });
  } finally {
    for (const file of open) file.dispose();
  }
}

/** One layer of an archive, given by its bytes or by its path. */
async function readPacked(
  archive: Uint8Array | string,
  layer: string | undefined,
  caps: ZipCaps | undefined,
  options: ReadOptions,
): Promise<Layer> {
  const { found, within } = await unpack(archive, layer, caps, options);
  try {
    const picked = within === undefined ? {} : { layer: within };
    const read = await readParts(found.parts, found.name, {
      ...picked,
      ...options,
      sha256: await hashOfArchive(archive),
    });
    return found.findings.length === 0 ? read : { ...read, findings: [...found.findings, ...read.findings] };
  } finally {
    found.dispose();
  }
}

/** Formats that hold layers of their own: the name that no file of the archive has may be one of those. */
const LAYERED = ['kml', 'dxf', 'gpkg'];

/** The archive's one layer; `within` is the layer's name where it is to be looked for inside that. */
async function unpack(
  archive: Uint8Array | string,
  layer: string | undefined,
  caps: ZipCaps | undefined,
  options: ReadOptions,
): Promise<{ readonly found: ZipLayer; readonly within: string | undefined }> {
  const get = (name: string | undefined): Promise<ZipLayer> =>
    readZip(archive, options.name, name, caps, options.salvage);
  // The document of a KMZ is called doc.kml where there are several (OGC 12-007r2, annex C).
  const first = layer ?? (/\.kmz$/i.test(options.name) ? 'doc.kml' : undefined);
  try {
    return { found: await get(first), within: undefined };
  } catch (error) {
    if (first === undefined || !(error instanceof InputError) || error.code !== 'zip-layer') throw error;
    const found = await get(undefined).catch(() => {
      throw error;
    });
    if ([...found.parts.keys()].some((part) => LAYERED.includes(part))) return { found, within: layer };
    found.dispose();
    throw error;
  }
}

async function hashOfArchive(archive: Uint8Array | string): Promise<string> {
  if (typeof archive !== 'string') return hashOf([archive]);
  const file = new PartFile(archive);
  try {
    return hashOf([file.source]);
  } finally {
    file.dispose();
  }
}

async function readParts(
  parts: ReadonlyMap<string, ShapefilePart>,
  inner: string,
  options: ReadOptions,
): Promise<Layer> {
  const shp = parts.get('shp');
  if (shp !== undefined) {
    const whole = (part: string): Uint8Array | undefined => parts.get(part) as Uint8Array | undefined;
    const [shx, dbf, prj, cpg] = [parts.get('shx'), parts.get('dbf'), whole('prj'), whole('cpg')];
    const shapefile: ShapefileParts = {
      shp,
      ...(shx === undefined ? {} : { shx }),
      ...(dbf === undefined ? {} : { dbf }),
      ...(prj === undefined ? {} : { prj }),
      ...(cpg === undefined ? {} : { cpg }),
    };
    return readShapefile(shapefile, options);
  }
  const [bytes = new Uint8Array()] = [...parts.values()] as Uint8Array[];
  // The name inside the archive helps to recognise the format; the archive's own name stays the layer's.
  return readAny(bytes, options, undefined, inner);
}

/** Whether a path holds a zip that is too large for memory; what can't be opened is reported when it is read. */
async function isLargeZip(path: string, name: string): Promise<boolean> {
  return attempt(async () => {
    const { size } = await stat(path);
    if (size <= LARGE_BYTES) return false;
    const file = await open(path, 'r');
    try {
      const head = new Uint8Array(4096);
      await file.read(head, 0, head.length, 0);
      return isZip(head) && !isWorkbook(head);
    } finally {
      await file.close();
    }
  }, name);
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

/** The .shp and the files beside it; an exact name is preferred to one that differs in case. */
async function companions(path: string, name: string, open: PartFile[]): Promise<Map<string, ShapefilePart>> {
  const folder = dirname(path);
  const stem = basename(path, extname(path));
  const siblings = await attempt(() => readdir(folder), name);
  const parts = new Map<string, ShapefilePart>([['shp', await partAt(path, name, open)]]);
  for (const part of PARTS) {
    if (part === 'shp') continue;
    const matching = siblings.filter((s) => s.toLowerCase() === `${stem}.${part}`.toLowerCase());
    const best = matching.find((s) => s.startsWith(`${stem}.`)) ?? matching[0];
    if (best !== undefined) parts.set(part, await partAt(join(folder, best), best, open));
  }
  return parts;
}

async function partAt(path: string, name: string, open: PartFile[]): Promise<ShapefilePart> {
  const { size } = await attempt(() => stat(path), name);
  if (size <= LARGE_BYTES) return readOne(path, name);
  const file = await attempt(async () => new PartFile(path), name);
  open.push(file);
  return file.source;
}

/** The bytes of a file, or of standard input for -. */
export async function readBytes(
  path: string,
  name: string,
  stdin: AsyncIterable<Uint8Array | string> = process.stdin,
): Promise<Uint8Array> {
  return path === '-' ? collect(stdin) : readOne(path, name);
}

/** The bytes of a file; an InputError with a message where the system refuses. */
export async function readOne(path: string, name: string): Promise<Uint8Array> {
  return attempt(async () => {
    if ((await stat(path)).isDirectory()) {
      throw new InputError('file-directory', `${name} is a folder`, { layer: name, cure: 'give a file in it' });
    }
    return readFile(path);
  }, name);
}

/** System error -> code, words and cure. */
const SYSTEM_ERRORS: Readonly<Record<string, readonly [code: string, message: string, cure: string]>> = {
  ENOENT: ['file-missing', 'does not exist', 'check the name and the folder'],
  ENOTDIR: ['file-missing', 'does not exist', 'check the name and the folder'],
  EISDIR: ['file-directory', 'is a folder', 'give a file in it'],
  EACCES: [
    'file-permission',
    'cannot be opened: you have no permission to read it',
    'ask for permission to read it, or copy it to a folder of your own',
  ],
  EPERM: [
    'file-permission',
    'cannot be opened: you have no permission to read it',
    'ask for permission to read it, or copy it to a folder of your own',
  ],
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
      'check the disk or copy the file again',
    ];
    throw new InputError(code, `${name} ${message}`, { layer: name, cure });
  }
}
