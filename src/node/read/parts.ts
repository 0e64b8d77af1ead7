// Large parts of a shapefile as files that are read in blocks. In: paths, or bytes as they are unpacked; out: sources.
// Terms: large = over LARGE_BYTES: never held in memory; scratch file = a temporary one, gone when it is disposed of.

import { createHash, type Hash } from 'node:crypto';
import { closeSync, fstatSync, mkdtempSync, openSync, readSync, rmSync, writeSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { type ByteSource, blockSource, type ShapefilePart } from '../../read/index.js';

/** Files above this size are read in blocks. */
export const LARGE_BYTES: number = 50 * 1_000_000;

/** An open file that is read in blocks. */
export class PartFile {
  readonly #fd: number;
  readonly source: ByteSource;

  /** `blockBytes` are read at once: few where a reader jumps about. */
  constructor(path: string, blockBytes?: number) {
    this.#fd = openSync(path, 'r');
    this.source = sourceOfFile(this.#fd, blockBytes);
  }

  dispose(): void {
    closeSync(this.#fd);
  }
}

/** A temporary file that is written once, then read in blocks. */
export class ScratchFile {
  readonly #folder: string;
  readonly #fd: number;

  constructor() {
    this.#folder = mkdtempSync(join(tmpdir(), 'rootberth-'));
    this.#fd = openSync(join(this.#folder, 'part'), 'w+');
    // Gone from the folder at once where the system allows it, so that nothing is left behind if the process is ended.
    this.#remove();
  }

  #remove(): void {
    try {
      rmSync(this.#folder, { recursive: true, force: true });
    } catch {
      // open files can't be removed on every system; it goes when it is closed
    }
  }

  write(bytes: Uint8Array): void {
    for (let at = 0; at < bytes.length; ) at += writeSync(this.#fd, bytes, at);
  }

  source(): ByteSource {
    return sourceOfFile(this.#fd);
  }

  dispose(): void {
    closeSync(this.#fd);
    this.#remove();
  }
}

function sourceOfFile(fd: number, blockBytes?: number): ByteSource {
  return blockSource(fstatSync(fd).size, (into, from) => readSync(fd, into, 0, into.length, from), blockBytes);
}

const HASH_BYTES = 1 << 20;

/** SHA-256 of parts one after the other, hex. */
export function hashOf(parts: Iterable<ShapefilePart>): string {
  const hash = createHash('sha256');
  for (const part of parts) addTo(hash, part);
  return hash.digest('hex');
}

function addTo(hash: Hash, part: ShapefilePart): void {
  if (part instanceof Uint8Array) hash.update(part);
  else for (let at = 0; at < part.size; at += HASH_BYTES) hash.update(part.at(at, HASH_BYTES));
}
