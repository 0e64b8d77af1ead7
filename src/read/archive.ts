// Zip archive in memory -> the parts of its one layer, without Node: for web pages. In: bytes; out: named parts, inflated.
// Terms: directory = the list at the archive's end, which is read and judged first (PKWARE APPNOTE 4.3); caps as in
// node/read/zip-inflate.ts, which reads large, split and damaged archives too.

import { InputError } from '../model/index.js';
import { crc32 } from './crc32.js';
import { archivesIn, candidatesOf, type Member, matching, theOne } from './zip-choose.js';

/** A web page holds the whole archive in memory, so the limits are lower than on the command line. */
const CAPS = { entries: 1000, ratio: 200, ratioFloor: 2 ** 20, bytes: 2 ** 29 };

const DIRECTORY_END = 0x06054b50;
const DIRECTORY_ENTRY = 0x02014b50;
const LOCAL_ENTRY = 0x04034b50;
const END_BYTES = 22;
const [STORED, DEFLATED] = [0, 8];
const ZIP64 = 0xffffffff; // marks a number that is stated elsewhere, as in archives beyond 4 GiB

export interface Unpacked {
  /** File name within the archive, without folders. */
  readonly name: string;
  /** Extension in lower case -> content; one member unless it is a shapefile. */
  readonly parts: ReadonlyMap<string, Uint8Array>;
}

interface Entry {
  readonly path: string;
  readonly encrypted: boolean;
  readonly method: number;
  readonly crc: number;
  readonly packed: number;
  readonly size: number;
  readonly at: number;
}

/**
 * The one layer of an archive, or the one called `layer`; where it holds no layer itself, the archives in it are searched.
 *
 * @throws InputError `zip-broken`, `zip-caps`, `zip-encrypted`, `zip-empty`, `zip-several` (lists the layers), `zip-layer`
 */
export async function unpack(bytes: Uint8Array, archive: string, layer?: string): Promise<Unpacked> {
  const reader = new Archive(archive);
  const members = reader.membersOf(bytes, '');
  const all = candidatesOf(members);
  if (matching(all, layer).length === 0) {
    for (const inner of archivesIn(members)) {
      all.push(...candidatesOf(reader.membersOf((await inner.open(false)) as Uint8Array, `${inner.path}/`)));
    }
  }
  // The document of a KMZ is called doc.kml where there are several (OGC 12-007r2, annex C).
  const document = layer === undefined && /\.kmz$/i.test(archive) && all.length > 1 ? 'doc.kml' : layer;
  const chosen = theOne(all, archive, document);
  const parts = new Map<string, Uint8Array>();
  for (const [extension, member] of chosen.members) parts.set(extension, (await member.open(false)) as Uint8Array);
  return { name: chosen.name, parts };
}

/**
 * An archive that another library will unpack, judged by the caps first: by the sizes that its directory states.
 *
 * @throws InputError `zip-broken`, `zip-caps`, `zip-encrypted`
 */
export function judge(bytes: Uint8Array, archive: string): void {
  new Archive(archive).judge(bytes);
}

class Archive {
  readonly #name: string;
  #entries = 0;
  #bytes = 0;

  constructor(name: string) {
    this.#name = name;
  }

  membersOf(bytes: Uint8Array, prefix: string): Member[] {
    return this.#directory(bytes).map((entry) => ({
      path: prefix + entry.path,
      open: () => this.#inflate(bytes, entry),
    }));
  }

  judge(bytes: Uint8Array): void {
    for (const entry of this.#directory(bytes)) this.#allow(entry);
  }

  #refuse(code: string, problem: string, cure: string): InputError {
    return new InputError(code, `${this.#name} ${problem}`, { layer: this.#name, cure });
  }

  #broken(problem: string): InputError {
    return this.#refuse(
      'zip-broken',
      `can't be unpacked: ${problem}`,
      'download or copy it again, or unpack it yourself',
    );
  }

  #directory(bytes: Uint8Array): Entry[] {
    const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
    let end = bytes.length - END_BYTES;
    const lowest = Math.max(0, end - 65_535); // a comment may stand behind it
    while (end >= lowest && view.getUint32(end, true) !== DIRECTORY_END) end--;
    if (end < lowest) throw this.#broken('its directory is missing');
    const count = view.getUint16(end + 10, true);
    this.#entries += count;
    if (this.#entries > CAPS.entries) {
      const problem = `holds ${this.#entries} files or more, more than the ${CAPS.entries} allowed`;
      throw this.#refuse('zip-caps', problem, 'pack only the layer that is needed');
    }
    const entries: Entry[] = [];
    let at = view.getUint32(end + 16, true);
    for (let i = 0; i < count; i++) {
      if (at + 46 > end || view.getUint32(at, true) !== DIRECTORY_ENTRY) throw this.#broken('its directory is damaged');
      const flags = view.getUint16(at + 8, true);
      const length = view.getUint16(at + 28, true);
      const entry: Entry = {
        path: nameOf(bytes.subarray(at + 46, at + 46 + length)),
        encrypted: (flags & 1) === 1,
        method: view.getUint16(at + 10, true),
        crc: view.getUint32(at + 16, true),
        packed: view.getUint32(at + 20, true),
        size: view.getUint32(at + 24, true),
        at: view.getUint32(at + 42, true),
      };
      if ([entry.packed, entry.size, entry.at].includes(ZIP64)) {
        throw this.#refuse(
          'zip-broken',
          'is of a kind (ZIP64) that is not opened here',
          'unpack it and give its files',
        );
      }
      entries.push(entry);
      at += 46 + length + view.getUint16(at + 30, true) + view.getUint16(at + 32, true);
    }
    return entries;
  }

  #allow({ path, size, packed, encrypted }: Entry): void {
    if (encrypted) throw this.#refuse('zip-encrypted', `: ${path} is protected by a password`, 'pack it without one');
    this.#bytes += size;
    if (this.#bytes > CAPS.bytes || (size > CAPS.ratioFloor && size > packed * CAPS.ratio)) {
      const cure = 'unpack it yourself and check its contents; the command line reads larger ones';
      throw this.#refuse('zip-caps', `: ${path} is too large unpacked (${size} bytes from ${packed})`, cure);
    }
  }

  async #inflate(bytes: Uint8Array, entry: Entry): Promise<Uint8Array> {
    const { path, size, packed, method } = entry;
    this.#allow(entry);
    const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
    if (entry.at + 30 > bytes.length || view.getUint32(entry.at, true) !== LOCAL_ENTRY) {
      throw this.#broken(`${path} is not where the directory says`);
    }
    const from = entry.at + 30 + view.getUint16(entry.at + 26, true) + view.getUint16(entry.at + 28, true);
    const content = bytes.subarray(from, from + packed);
    if (content.length < packed) throw this.#broken('it is cut off');
    if (method !== STORED && method !== DEFLATED) throw this.#broken(`${path} is packed by method ${method}`);
    const out = method === STORED ? content : await this.#deflated(content, entry);
    if (out.length !== size || crc32(out) !== entry.crc) throw this.#broken(`${path} is damaged (wrong check sum)`);
    return out;
  }

  /** Stops as soon as there is more than the directory says. */
  async #deflated(content: Uint8Array, { path, size }: Entry): Promise<Uint8Array> {
    const out = new Uint8Array(size);
    let at = 0;
    try {
      const source = new Blob([content as Uint8Array<ArrayBuffer>]).stream();
      const reader = source.pipeThrough(new DecompressionStream('deflate-raw')).getReader();
      for (;;) {
        const { done, value } = await reader.read();
        if (done) break;
        if (at + value.length > size) {
          await reader.cancel();
          throw this.#broken(`${path} is larger than the archive says`);
        }
        out.set(value, at);
        at += value.length;
      }
    } catch (error) {
      if (error instanceof InputError) throw error;
      throw this.#broken(`${path} is damaged`);
    }
    return out.subarray(0, at);
  }
}

/** UTF-8 where it is valid. Names in old code pages get wrong letters but keep their endings. */
function nameOf(bytes: Uint8Array): string {
  try {
    return new TextDecoder('utf-8', { fatal: true }).decode(bytes);
  } catch {
    return new TextDecoder('latin1').decode(bytes);
  }
}
