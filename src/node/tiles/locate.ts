// How tiles will read an input. In: its path, the layer read from it; out: byte ranges of its rows, boxes, or neither.
// Terms: ranges = a tile reads its own bytes only; box = it asks the file's index; table =
// it asks the database; whole = it reads all and takes its rows.

import { open } from 'node:fs/promises';
import { extname } from 'node:path';
import { type FormatName, GEOMETRY_KINDS, type Layer } from '../../model/index.js';
import { delimiterOf } from '../../read/index.js';
import { LineScanner, RangeScanner, type Ranges } from '../../tiles/index.js';
import type { FileReadOptions } from '../read/files.js';

export type Located =
  | { readonly read: 'ranges'; readonly ranges: Ranges; readonly head?: string }
  | { readonly read: 'box' }
  | { readonly read: 'table' }
  | { readonly read: 'whole' };

const WHOLE: Located = { read: 'whole' };
const CHUNK = 4 << 20;
const HEAD = 64 << 10;

type Finder = (path: string, layer: Layer, options: FileReadOptions) => Promise<Located>;

/** Formats of which a part can be read; all others are read whole. */
const FINDERS: Readonly<Partial<Record<FormatName, Finder>>> = {
  geojson: async (path, layer) => {
    const scanner = new RangeScanner();
    await eachChunk(path, (chunk) => scanner.push(chunk));
    return located(scanner.take(layer.count));
  },
  geojsonseq: async (path, layer) => {
    const scanner = new LineScanner();
    await eachChunk(path, (chunk) => scanner.push(chunk));
    return located(scanner.take(layer.count, 0));
  },
  csv: tableLines,
  flatgeobuf: async (_path, layer) => boxed(layer),
  geopackage: async (_path, layer) => boxed(layer),
  postgis: async (_path, layer) => asked(layer),
};

/** Decides by the format, and by what the file holds: an archive, text in an old encoding or a doubtful table is read whole. */
export async function locate(path: string, layer: Layer, options: FileReadOptions): Promise<Located> {
  const find = FINDERS[layer.format];
  const isPlain = options.layer === undefined && !/\.(zip|kmz)$/i.test(extname(path));
  if (find === undefined || !isPlain || layer.setAside !== undefined) return WHOLE;
  if (layer.findings.some(({ code }) => code === 'encoding-assumed')) return WHOLE;
  return find(path, layer, options);
}

function located(ranges: Ranges | null, head?: string): Located {
  if (ranges === null) return WHOLE;
  return head === undefined ? { read: 'ranges', ranges } : { read: 'ranges', ranges, head };
}

/** Features without a place have no box to search by. */
function boxed(layer: Layer): Located {
  return layer.geometry.kind.every((kind) => kind !== 0 && kind !== 7) ? { read: 'box' } : WHOLE;
}

/** A database is also asked for rows without a place; a shape that can't be read (kind `broken`) has a box we do not know. */
function asked(layer: Layer): Located {
  return layer.geometry.kind.every((kind) => GEOMETRY_KINDS[kind] !== 'broken') ? { read: 'table' } : WHOLE;
}

/**
 * Rows of a table, where a few of them are read as all of them are: no quotes; commas or semicolons between cells; no
 * row wider than the heading.
 */
async function tableLines(path: string, layer: Layer, options: FileReadOptions): Promise<Located> {
  const noHeader = options.noHeader === true;
  const start = await firstBytes(path);
  const text = new TextDecoder().decode(start).replace(/^\uFEFF/, '');
  if (/^sep=/i.test(text) || start[0] === 0xef) return WHOLE;
  const delimiter = delimiterOf(text);
  if (delimiter !== ',' && delimiter !== ';') return WHOLE;
  const heading = /^[^\r\n]*/.exec(text)?.[0] ?? '';
  if (heading.trim() === '') return WHOLE;
  const scanner = new LineScanner();
  const width = new WidthScanner(delimiter.charCodeAt(0));
  await eachChunk(path, (chunk) => {
    scanner.push(chunk);
    width.push(chunk);
  });
  if (!width.isSteady) return WHOLE;
  // The delimiter is stated beforehand, so that it is not guessed from a few rows.
  const head = `sep=${delimiter}\n${noHeader ? '' : `${heading}\n`}`;
  return located(scanner.take(layer.count, noHeader ? 0 : 1), head);
}

/** Whether no line holds a quote or more cells than the first. */
class WidthScanner {
  readonly #delimiter: number;
  #first = -1;
  #marks = 0;
  isSteady: boolean = true;

  constructor(delimiter: number) {
    this.#delimiter = delimiter;
  }

  push(chunk: Uint8Array): void {
    for (const c of chunk) {
      if (c === this.#delimiter) this.#marks++;
      else if (c === 0x22) this.isSteady = false;
      else if (c === 0x0a || c === 0x0d) {
        if (this.#first < 0) this.#first = this.#marks;
        if (this.#marks > this.#first) this.isSteady = false;
        this.#marks = 0;
      }
    }
  }
}

async function firstBytes(path: string): Promise<Uint8Array> {
  const file = await open(path, 'r');
  try {
    const bytes = new Uint8Array(HEAD);
    return bytes.subarray(0, (await file.read(bytes, 0, HEAD, 0)).bytesRead);
  } finally {
    await file.close();
  }
}

/** Hands on a file in chunks. */
export async function eachChunk(path: string, take: (chunk: Uint8Array) => void): Promise<void> {
  const file = await open(path, 'r');
  try {
    const bytes = new Uint8Array(CHUNK);
    for (let at = 0; ; ) {
      const { bytesRead } = await file.read(bytes, 0, CHUNK, at);
      if (bytesRead === 0) return;
      take(bytes.subarray(0, bytesRead));
      at += bytesRead;
    }
  } finally {
    await file.close();
  }
}
