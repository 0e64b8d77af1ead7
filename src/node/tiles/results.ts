// Results of tiles on the disk. In: records by role and row; out: one data file a tile, its record with counts and hash, and
// readers that go through a section record by record. Terms: record = the JSON beside a data file, written last: once it
// exists, the tile is done; section = the records of one role; entry = `row length\n`, the bytes, a line feed.

import { createHash } from 'node:crypto';
import { closeSync, openSync, readSync } from 'node:fs';
import { mkdir, readFile } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import * as v from 'valibot';
import { InputError } from '../../model/index.js';
import type { RecordSource } from '../../tiles/index.js';
import { writePieces } from '../write/write-file.js';
import { folderOf, type Manifest, tileName } from './manifest.js';

/** The result of a tile: the JSON beside its data. */
export interface TileRecord {
  readonly format: 'rootberth-tile';
  readonly manifest: string; // id
  readonly tile: number;
  readonly trees: { readonly in: number; readonly assessed: number; readonly notAssessed: number };
  /** A digit for each tree, in the order of its rows: index into VERDICTS. */
  readonly verdicts: string;
  /** Trees to be kept that are over their limit, or in the works, under any of the rules. */
  readonly over: number;
  /** Whether works stand inside a ring where nothing should be cut. */
  readonly ringCut: boolean;
  /** In the order of the data file. */
  readonly sections: readonly SectionSum[];
  readonly bytes: number;
  readonly sha256: string; // of the data file
}

export interface SectionSum {
  readonly name: string;
  readonly bytes: number;
  readonly records: number;
}

const count = v.pipe(v.number(), v.integer(), v.minValue(0));

const recordSchema: v.GenericSchema<unknown, TileRecord> = v.object({
  format: v.literal('rootberth-tile'),
  manifest: v.string(), // id
  tile: count,
  trees: v.object({ in: count, assessed: count, notAssessed: count }),
  verdicts: v.pipe(v.string(), v.regex(/^[0-5]*$/)),
  over: count,
  ringCut: v.boolean(),
  sections: v.array(v.object({ name: v.string(), bytes: count, records: count })),
  bytes: count,
  sha256: v.string(),
});

export interface Section {
  readonly name: string;
  readonly entries: Iterable<readonly [row: number, text: string]>;
}

export function dataPath(manifestPath: string, index: number): string {
  return join(folderOf(manifestPath), 'results', `${tileName(index)}.data`);
}

export function recordPath(manifestPath: string, index: number): string {
  return join(folderOf(manifestPath), 'results', `${tileName(index)}.json`);
}

/** Writes a tile's data, then its record: each under another name until it is whole. */
export async function writeTile(
  manifestPath: string,
  about: Pick<TileRecord, 'manifest' | 'tile' | 'trees' | 'verdicts' | 'over' | 'ringCut'>,
  sections: Iterable<Section>,
): Promise<TileRecord> {
  const path = dataPath(manifestPath, about.tile);
  await mkdir(dirname(path), { recursive: true });
  const sums: SectionSum[] = [];
  const hash = createHash('sha256');
  await writePieces(path, entriesOf(sections, sums, hash));
  const bytes = sums.reduce((sum, section) => sum + section.bytes, 0);
  const record: TileRecord = {
    format: 'rootberth-tile',
    ...about,
    sections: sums,
    bytes,
    sha256: hash.digest('hex'),
  };
  await writePieces(recordPath(manifestPath, about.tile), one(`${JSON.stringify(record)}\n`));
  return record;
}

function* entriesOf(
  sections: Iterable<Section>,
  sums: SectionSum[],
  hash: ReturnType<typeof createHash>,
): Generator<Uint8Array, void, undefined> {
  const encoder = new TextEncoder();
  for (const { name, entries } of sections) {
    const sum = { name, bytes: 0, records: 0 };
    let held: Uint8Array[] = [];
    let size = 0;
    const flushed = (): Uint8Array => {
      const bytes = Buffer.concat(held);
      hash.update(bytes);
      sum.bytes += bytes.length;
      held = [];
      size = 0;
      return bytes;
    };
    for (const [row, text] of entries) {
      const body = encoder.encode(text);
      held.push(encoder.encode(`${row} ${body.length}\n`), body, LINE_FEED);
      size += body.length + 16;
      sum.records++;
      if (size > 1 << 18) yield flushed();
    }
    if (held.length > 0) yield flushed();
    sums.push(sum);
  }
}

const LINE_FEED = Uint8Array.of(0x0a);

/** A tile's record; null where the tile is not done, or was done for another manifest. */
export async function readTileRecord(
  manifestPath: string,
  manifest: Manifest,
  index: number,
): Promise<TileRecord | null> {
  const text = await readFile(recordPath(manifestPath, index), 'utf8').catch(() => null);
  if (text === null) return null;
  let json: unknown;
  try {
    json = JSON.parse(text);
  } catch {
    return null;
  }
  const checked = v.safeParse(recordSchema, json);
  if (!checked.success || checked.output.manifest !== manifest.id || checked.output.tile !== index) return null;
  return checked.output;
}

/** Whether the data file is the one that the record describes. */
export async function isWhole(manifestPath: string, record: TileRecord): Promise<boolean> {
  const hash = createHash('sha256');
  let fd: number;
  try {
    fd = openSync(dataPath(manifestPath, record.tile), 'r');
  } catch {
    return false;
  }
  try {
    const block = new Uint8Array(1 << 20);
    for (let n = readSync(fd, block); n > 0; n = readSync(fd, block)) hash.update(block.subarray(0, n));
  } finally {
    closeSync(fd);
  }
  return hash.digest('hex') === record.sha256;
}

/** The lines of a file, each ended, read in blocks: works of a state are more than memory holds. */
export function* linesOf(path: string): Generator<Uint8Array, void, undefined> {
  const fd = openSync(path, 'r');
  try {
    let rest: Uint8Array = new Uint8Array();
    const block = new Uint8Array(1 << 20);
    for (let n = readSync(fd, block); n > 0; n = readSync(fd, block)) {
      const bytes = Buffer.concat([rest, block.subarray(0, n)]);
      let from = 0;
      for (let to = bytes.indexOf(0x0a); to >= 0; to = bytes.indexOf(0x0a, from)) {
        yield bytes.subarray(from, to);
        from = to + 1;
      }
      rest = bytes.subarray(from);
    }
  } finally {
    closeSync(fd);
  }
}

const BLOCK = 16 << 10;

/** Goes through one section of a tile. The file is open only while a block of it is read: ten thousand tiles are merged at once. */
export class SectionReader implements RecordSource {
  row: number = -1;
  readonly #path: string;
  #at: number; // in the file, of the byte behind the block
  #left: number; // bytes of the section behind the block
  #block = new Uint8Array();
  #pos = 0;
  #length = 0; // of the entry that comes next

  constructor(manifestPath: string, record: TileRecord, name: string) {
    this.#path = dataPath(manifestPath, record.tile);
    let offset = 0;
    let bytes = 0;
    for (const section of record.sections) {
      if (section.name === name) {
        bytes = section.bytes;
        break;
      }
      offset += section.bytes;
    }
    this.#at = offset;
    this.#left = bytes;
    this.#head();
  }

  next(): Uint8Array {
    this.#ensure(this.#length + 1);
    const body = this.#block.subarray(this.#pos, this.#pos + this.#length);
    this.#pos += this.#length + 1;
    this.#head();
    return body;
  }

  #head(): void {
    if (this.#pos === this.#block.length && this.#left === 0) {
      this.row = -1;
      this.#block = new Uint8Array(); // done: ten thousand of them would hold their blocks
      this.#pos = 0;
      return;
    }
    this.#ensure(24);
    const end = this.#block.indexOf(0x0a, this.#pos);
    const [row = '', length = ''] = Buffer.from(this.#block.subarray(this.#pos, end)).toString('latin1').split(' ');
    this.row = Number(row);
    this.#length = Number(length);
    this.#pos = end + 1;
  }

  /** Makes the block hold `size` bytes, if the section has that many. It is a new block: bytes handed out stay unchanged. */
  #ensure(size: number): void {
    const held = this.#block.length - this.#pos;
    if (held >= size || this.#left === 0) return;
    const more = Math.min(Math.max(BLOCK, size - held), this.#left);
    const block = new Uint8Array(held + more);
    block.set(this.#block.subarray(this.#pos));
    const fd = openSync(this.#path, 'r');
    try {
      for (let got = 0; got < more; ) {
        const n = readSync(fd, block, held + got, more - got, this.#at + got);
        if (n === 0) throw damaged(this.#path);
        got += n;
      }
    } finally {
      closeSync(fd);
    }
    this.#at += more;
    this.#left -= more;
    this.#block = block;
    this.#pos = 0;
  }
}

function damaged(path: string): InputError {
  return new InputError('tile-damaged', `${path} ends too early`, { path, cure: 'run that tile again' });
}

function* one(text: string): Generator<string, void, undefined> {
  yield text;
}
