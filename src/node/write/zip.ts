// Entries -> a zip archive (APPNOTE 6.3). In: named entries, each as chunks of bytes; out: the archive, deflated as the
// chunks come. Terms: local header = what stands before an entry's bytes; its sizes are filled in afterwards.
// Times are the earliest the format knows: the same job gives the same bytes.

import { once } from 'node:events';
import { createDeflateRaw } from 'node:zlib';
import { InputError } from '../../model/index.js';
import { ByteFile } from './byte-file.js';

interface Entry {
  readonly name: Uint8Array;
  readonly offset: number;
  readonly about: Uint8Array; // the 26 bytes both headers share
}

const LARGEST = 2 ** 32 - 1;

export class ZipWriter {
  readonly #file: ByteFile;
  readonly #entries: Entry[] = [];
  #open = true;

  constructor(path: string) {
    this.#file = new ByteFile(path);
  }

  async add(name: string, chunks: Iterable<Uint8Array> | AsyncIterable<Uint8Array>): Promise<void> {
    const label = new TextEncoder().encode(name);
    const offset = this.#file.length;
    this.#file.write(new Uint8Array(30));
    this.#file.write(label);
    const start = this.#file.length;
    const { crc, size } = await this.#deflate(chunks);
    const packed = this.#file.length - start;
    if (size > LARGEST || this.#file.length > LARGEST) {
      throw new InputError('format-too-large', `${name} makes the zip larger than the 4 GiB it may be`, {
        cure: 'write a GeoPackage, or fewer roles with --roles',
      });
    }
    const about = new DataView(new ArrayBuffer(26));
    about.setUint16(0, 20, true); // version needed
    about.setUint16(2, 0x800, true); // names in UTF-8
    about.setUint16(4, 8, true); // deflated
    about.setUint16(8, 0x21, true); // 1980-01-01
    about.setUint32(10, crc, true);
    about.setUint32(14, packed, true);
    about.setUint32(18, size, true);
    about.setUint16(22, label.length, true);
    const bytes = new Uint8Array(about.buffer);
    this.#file.patch(offset, Uint8Array.of(0x50, 0x4b, 3, 4, ...bytes));
    this.#entries.push({ name: label, offset, about: bytes });
  }

  /** Writes the directory. */
  finish(): void {
    const start = this.#file.length;
    for (const { name, offset, about } of this.#entries) {
      const tail = new DataView(new ArrayBuffer(14));
      tail.setUint32(10, offset, true);
      this.#file.write(Uint8Array.of(0x50, 0x4b, 1, 2, 20, 0, ...about, ...new Uint8Array(tail.buffer)));
      this.#file.write(name);
    }
    const end = new DataView(new ArrayBuffer(22));
    end.setUint32(0, 0x06054b50, true);
    end.setUint16(8, this.#entries.length, true);
    end.setUint16(10, this.#entries.length, true);
    end.setUint32(12, this.#file.length - start, true);
    end.setUint32(16, start, true);
    this.#file.write(new Uint8Array(end.buffer));
  }

  close(): void {
    if (this.#open) this.#file.close();
    this.#open = false;
  }

  async #deflate(chunks: Iterable<Uint8Array> | AsyncIterable<Uint8Array>): Promise<{ crc: number; size: number }> {
    const packer = createDeflateRaw({ level: 6 });
    packer.on('data', (bytes: Uint8Array) => this.#file.write(bytes));
    const ended = once(packer, 'end');
    let crc = 0xffffffff;
    let size = 0;
    for await (const chunk of chunks) {
      for (let i = 0; i < chunk.length; i++) crc = CRC[(crc ^ chunk[i]!) & 0xff]! ^ (crc >>> 8);
      size += chunk.length;
      if (!packer.write(chunk)) await once(packer, 'drain');
    }
    packer.end();
    await ended;
    return { crc: (crc ^ 0xffffffff) >>> 0, size };
  }
}

/** CRC-32 (ISO 3309), the zip's check sum. */
const CRC = Uint32Array.from({ length: 256 }, (_, n) => {
  let c = n;
  for (let k = 0; k < 8; k++) c = (c & 1) === 1 ? 0xedb88320 ^ (c >>> 1) : c >>> 1;
  return c;
});
