// One entry of a zip -> its bytes, or a scratch file where it is large. In: a yauzl entry and what is left of the caps;
// out: a part of a shapefile. Terms: budget = entries and bytes that an archive, and those in it, may still use.

import { InputError } from '../../model/index.js';
import type { ShapefilePart } from '../../read/index.js';
import { crc32 } from '../../read/index.js';
import { LARGE_BYTES, ScratchFile } from './parts.js';

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
/** Small tables of blanks pack very well and are no danger. */
const RATIO_FLOOR = 2 ** 20;
const CURE = 'unpack it yourself and check its contents, or raise the cap';

/** The caps of an archive and what has been used of them; an archive within it uses the same. */
export class Budget {
  readonly archive: string;
  readonly caps: Required<ZipCaps>;
  #entries = 0;
  #bytes = 0;

  constructor(archive: string, caps: ZipCaps) {
    this.archive = archive;
    this.caps = { ...DEFAULT_CAPS, ...caps };
  }

  takeEntries(count: number): void {
    this.#entries += count;
    if (this.#entries <= this.caps.entries) return;
    const message = `${this.archive} holds ${this.#entries} files or more, more than the ${this.caps.entries} allowed`;
    throw new InputError('zip-caps', message, { layer: this.archive, cure: 'pack only the layer that is needed' });
  }

  /** `name` is about to give `size` bytes from `packed`. */
  takeBytes(name: string, size: number, packed: number): void {
    this.takeMore(name, size);
    if (size > RATIO_FLOOR && size > packed * this.caps.ratio) {
      throw this.refusal('zip-caps', name, `grows more than ${this.caps.ratio}-fold when unpacked`, CURE);
    }
  }

  takeMore(name: string, bytes: number): void {
    this.#bytes += bytes;
    if (this.#bytes > this.caps.bytes) {
      throw this.refusal('zip-caps', name, `is too large unpacked (cap: ${this.caps.bytes} bytes)`, CURE);
    }
  }

  refusal(code: string, name: string, problem: string, cure: string): InputError {
    return new InputError(code, `${this.archive}: ${name} ${problem}`, { layer: this.archive, cure });
  }
}

/** What is used of yauzl's entries; written out, so that the package's declarations ask for no types of others. */
interface PackedEntry {
  readonly fileName: string;
  readonly compressedSize: number;
  readonly uncompressedSize: number;
  readonly crc32: number;
  isEncrypted(): boolean;
}

/** Inflates one entry; stops as soon as it is larger than the directory says or the caps allow. */
export async function inflate<E extends PackedEntry>(
  zip: { openReadStreamPromise(entry: E): Promise<unknown> },
  entry: E,
  budget: Budget,
  scratch: ScratchFile[],
  large: boolean,
): Promise<ShapefilePart> {
  const name = entry.fileName;
  const refusal = (code: string, problem: string, cure: string): InputError =>
    budget.refusal(code, name, problem, cure);
  if (entry.isEncrypted()) throw refusal('zip-encrypted', 'is protected by a password', 'pack it without one');
  const size = entry.uncompressedSize;
  budget.takeBytes(name, size, entry.compressedSize);
  const stream = (await zip.openReadStreamPromise(entry)) as AsyncIterable<Uint8Array>;
  const toFile = large && size > LARGE_BYTES;
  const file = toFile ? new ScratchFile() : undefined;
  if (file !== undefined) scratch.push(file);
  const out = new Uint8Array(toFile ? 0 : size);
  let at = 0;
  let crc = 0;
  for await (const chunk of stream) {
    if (at + chunk.length > size) throw refusal('zip-broken', 'is larger than the archive says', 'pack it again');
    crc = crc32(chunk, crc);
    if (file === undefined) out.set(chunk, at);
    else file.write(chunk);
    at += chunk.length;
  }
  if (at !== size) throw refusal('zip-broken', 'is smaller than the archive says', 'pack it again');
  // The library does not verify check sums, and one wrong bit may be a wrong coordinate.
  if (crc !== entry.crc32) throw refusal('zip-broken', 'is damaged (wrong check sum)', SALVAGE);
  return file === undefined ? out : file.source();
}

const SALVAGE = 'download or copy the zip again; --salvage reads what is left';
