// Zip archive -> the bytes of one layer's parts. In: the archive's bytes and caps; out: named parts.
// Terms: entry = a file in the archive; ratio = inflated bytes per packed byte; cap = a limit against zip bombs.
// The directory is read first and judged; only the entries of the chosen layer are inflated, counted as they come.

import { Buffer } from 'node:buffer';
import { type Entry, fromBufferPromise, type ZipFile } from 'yauzl';
import { InputError } from '../findings.js';

/** Caps on what an archive may hold. */
export interface ZipCaps {
  /** Entries in the directory; default 1,000. */
  readonly entries?: number;
  /** Inflated bytes per packed byte of one entry (asked only above 1 MiB); default 200. */
  readonly ratio?: number;
  /** Inflated bytes of all entries that are read; default 2 GiB. */
  readonly bytes?: number;
}

const DEFAULT_CAPS: Required<ZipCaps> = { entries: 1000, ratio: 200, bytes: 2 * 2 ** 30 };
/** Small tables of blanks pack very well; they are no danger. */
const RATIO_FLOOR = 2 ** 20;

/** One layer of an archive: a shapefile with its parts, or a single file. */
export interface ZipLayer {
  /** File name within the archive, without folders: 'trees.shp', 'trees.geojson'. */
  readonly name: string;
  /** Extension in lower case -> bytes; one member unless it is a shapefile. */
  readonly parts: ReadonlyMap<string, Uint8Array>;
}

const SINGLE = ['geojson', 'json', 'geojsonl', 'geojsons', 'geojsonseq', 'ndjson', 'jsonl', 'csv', 'tsv'];
const COMPANIONS = ['shp', 'dbf', 'shx', 'prj', 'cpg'];

interface Candidate {
  readonly name: string;
  readonly entries: ReadonlyMap<string, Entry>;
}

/**
 * Reads the one layer of an archive, or the one that `layer` names (with or without extension).
 *
 * @throws InputError `zip-broken`, `zip-caps`, `zip-encrypted`, `zip-empty`, `zip-several` (lists the layers), `zip-layer`
 * @example
 * const { parts } = await readZip(bytes, 'trees.zip');
 * parts.get('shp');
 */
export async function readZip(
  bytes: Uint8Array,
  archive: string,
  layer?: string,
  caps: ZipCaps = {},
): Promise<ZipLayer> {
  const limits = { ...DEFAULT_CAPS, ...caps };
  let zip: ZipFile | undefined;
  try {
    const buffer = Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength);
    zip = await fromBufferPromise(buffer, { lazyEntries: true, decodeStrings: true, validateEntrySizes: true });
    const chosen = choose(await directory(zip, archive, limits), archive, layer);
    const parts = new Map<string, Uint8Array>();
    let total = 0;
    for (const [extension, entry] of chosen.entries) {
      const part = await inflate(zip, entry, archive, limits, total);
      total += part.length;
      parts.set(extension, part);
    }
    return { name: chosen.name, parts };
  } catch (error) {
    if (error instanceof InputError) throw error;
    const reason = error instanceof Error ? error.message : String(error);
    throw new InputError('zip-broken', `${archive} can't be unpacked: ${reason}`, {
      layer: archive,
      cure: 'download or copy it again; if that does not help, unpack and pack it anew',
    });
  } finally {
    zip?.close();
  }
}

async function directory(zip: ZipFile, archive: string, limits: Required<ZipCaps>): Promise<Entry[]> {
  const list: Entry[] = [];
  if (zip.entryCount > limits.entries) throw tooMany(archive, zip.entryCount, limits.entries);
  for await (const entry of zip.eachEntry()) {
    list.push(entry);
    if (list.length > limits.entries) throw tooMany(archive, list.length, limits.entries);
  }
  return list;
}

function tooMany(archive: string, count: number, limit: number): InputError {
  return new InputError('zip-caps', `${archive} holds ${count} files, more than the ${limit} allowed`, {
    layer: archive,
    cure: 'pack only the layer that is needed',
  });
}

/** Shapefiles come first; other data files count only in an archive without one. */
function choose(entries: readonly Entry[], archive: string, wanted: string | undefined): Candidate {
  const files = entries.filter((e) => isData(e.fileName));
  const all = [...shapefiles(files), ...singles(files)];
  const usual = all.some((c) => c.entries.has('shp')) ? all.filter((c) => c.entries.has('shp')) : all;
  const found = wanted === undefined ? usual : all.filter((c) => isNamed(c, wanted));
  if (found.length === 1) return found[0] as Candidate;
  const names = (wanted === undefined || found.length === 0 ? all : found).map((c) => c.name);
  if (names.length === 0) {
    throw new InputError('zip-empty', `${archive} holds no shapefile, GeoJSON or CSV`, {
      layer: archive,
      cure: 'pack the .shp with its .dbf, .shx and .prj',
    });
  }
  const cure = `choose one with the layer option: ${names.join(', ')}`;
  if (wanted !== undefined && found.length === 0) {
    throw new InputError('zip-layer', `${archive} holds no layer called ${JSON.stringify(wanted)}`, {
      layer: archive,
      cure,
    });
  }
  throw new InputError('zip-several', `${archive} holds ${names.length} layers: ${names.join(', ')}`, {
    layer: archive,
    cure,
  });
}

/** Neither a folder, nor a hidden file, nor the copies that macOS adds. */
function isData(path: string): boolean {
  return !path.endsWith('/') && !path.split('/').some((step) => step.startsWith('.') || step === '__MACOSX');
}

function baseName(path: string): string {
  return path.slice(path.lastIndexOf('/') + 1);
}

function split(path: string): { stem: string; extension: string } {
  const dot = path.lastIndexOf('.');
  return dot <= path.lastIndexOf('/')
    ? { stem: path, extension: '' }
    : { stem: path.slice(0, dot), extension: path.slice(dot + 1).toLowerCase() };
}

function shapefiles(files: readonly Entry[]): Candidate[] {
  return files
    .filter((e) => split(e.fileName).extension === 'shp')
    .map((main) => {
      const stem = split(main.fileName).stem;
      const parts = new Map<string, Entry>();
      for (const extension of COMPANIONS) {
        const same = files.filter((e) => split(e.fileName).extension === extension);
        const exact = same.find((e) => split(e.fileName).stem === stem);
        const part = exact ?? same.find((e) => split(e.fileName).stem.toLowerCase() === stem.toLowerCase());
        if (part !== undefined) parts.set(extension, part);
      }
      parts.set('shp', main);
      return { name: baseName(main.fileName), entries: parts };
    });
}

function singles(files: readonly Entry[]): Candidate[] {
  return files
    .filter((e) => SINGLE.includes(split(e.fileName).extension))
    .map((e) => ({ name: baseName(e.fileName), entries: new Map([[split(e.fileName).extension, e]]) }));
}

function isNamed(candidate: Candidate, wanted: string): boolean {
  const target = wanted.toLowerCase();
  const name = candidate.name.toLowerCase();
  const path = [...candidate.entries.values()].some((e) => e.fileName.toLowerCase() === target);
  return path || name === target || split(name).stem === target;
}

/** Inflates one entry; stops as soon as it is larger than the directory says or the caps allow. */
async function inflate(
  zip: ZipFile,
  entry: Entry,
  archive: string,
  limits: Required<ZipCaps>,
  before: number,
): Promise<Uint8Array> {
  const name = entry.fileName;
  const refuse = (code: string, problem: string, cure: string): never => {
    throw new InputError(code, `${archive}: ${name} ${problem}`, { layer: archive, cure });
  };
  if (entry.isEncrypted()) refuse('zip-encrypted', 'is protected by a password', 'pack it without one');
  const size = entry.uncompressedSize;
  const cure = 'unpack it yourself and look at what it holds, or raise the cap';
  if (size > RATIO_FLOOR && size > entry.compressedSize * limits.ratio) {
    refuse('zip-caps', `grows more than ${limits.ratio}-fold when unpacked`, cure);
  }
  if (before + size > limits.bytes) refuse('zip-caps', `is too large unpacked (cap: ${limits.bytes} bytes)`, cure);
  const stream = await zip.openReadStreamPromise(entry);
  const out = new Uint8Array(size);
  let at = 0;
  for await (const chunk of stream as AsyncIterable<Uint8Array>) {
    if (at + chunk.length > size) refuse('zip-broken', 'is larger than the archive says', 'pack it anew');
    out.set(chunk, at);
    at += chunk.length;
  }
  if (at !== size) refuse('zip-broken', 'is smaller than the archive says', 'pack it anew');
  // The library does not look at check sums, and one wrong bit may be a wrong coordinate.
  if (crc32(out) !== entry.crc32)
    refuse('zip-broken', 'is damaged (wrong check sum)', 'download or copy the zip again');
  return out;
}

const CRC_TABLE = Uint32Array.from({ length: 256 }, (_, n) => {
  let c = n;
  for (let k = 0; k < 8; k++) c = (c & 1) === 1 ? 0xedb88320 ^ (c >>> 1) : c >>> 1;
  return c;
});

/** CRC-32 as zip has it (ISO 3309, polynomial 0xEDB88320 reversed); zlib.crc32 is not in every Node 20. */
function crc32(bytes: Uint8Array): number {
  let c = 0xffffffff;
  for (let i = 0; i < bytes.length; i++) {
    c = (CRC_TABLE[(c ^ (bytes[i] as number)) & 0xff] as number) ^ (c >>> 8);
  }
  return (c ^ 0xffffffff) >>> 0;
}
