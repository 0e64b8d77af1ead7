// A file's bytes, whole or in blocks. In: bytes, or a function that reads from an open file; out: runs of bytes on demand.
// Terms: block = the part of a file that is held at a time; run = bytes asked for together.
// Readers that go through a source never hold a large file: only the block they are in.

/** Random access to the bytes of a file. */
export interface ByteSource {
  readonly size: number;
  /** The bytes from a place on: fewer than `length` at the end of the file. Valid until the next call. */
  at(from: number, length: number): Uint8Array;
}

/** Bytes that are in memory already. */
export function bytesSource(bytes: Uint8Array): ByteSource {
  // Node's Buffer is a Uint8Array whose slice() does not copy: a plain one behaves the same everywhere.
  const plain = new Uint8Array(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  return { size: plain.length, at: (from, length) => plain.subarray(from, from + length) };
}

const BLOCK_BYTES = 1 << 20;

/**
 * A file that is read in blocks. `read` fills a buffer from a place on and returns how many bytes it got.
 *
 * @example
 * const source = blockSource(statSync(path).size, (into, from) => readSync(fd, into, 0, into.length, from));
 */
export function blockSource(
  size: number,
  read: (into: Uint8Array, from: number) => number,
  blockBytes: number = BLOCK_BYTES,
): ByteSource {
  let block = new Uint8Array(Math.min(blockBytes, size));
  let start = 0;
  let end = 0; // of what the block holds
  const fill = (from: number, length: number): void => {
    if (length > block.length) block = new Uint8Array(length);
    start = from;
    end = from;
    while (end < from + length) {
      const got = read(block.subarray(end - from), end);
      if (got <= 0) return; // the file has become shorter
      end += got;
    }
  };
  return {
    size,
    at: (from, length) => {
      const wanted = Math.max(0, Math.min(length, size - from));
      if (from < start || from + wanted > end) fill(from, wanted);
      return block.subarray(from - start, Math.min(from - start + wanted, end - start));
    },
  };
}

/** A source of what may be bytes or a source already. */
export function sourceOf(file: Uint8Array | ByteSource): ByteSource {
  return file instanceof Uint8Array ? bytesSource(file) : file;
}

/** Big-endian 32-bit integer, as shapefile headers have them. */
export function int32(bytes: Uint8Array, at: number): number {
  return (bytes[at]! << 24) | (bytes[at + 1]! << 16) | (bytes[at + 2]! << 8) | bytes[at + 3]!;
}

/** Little-endian 32-bit integer, as shapefile contents have them. */
export function int32le(bytes: Uint8Array, at: number): number {
  return bytes[at]! | (bytes[at + 1]! << 8) | (bytes[at + 2]! << 16) | (bytes[at + 3]! << 24);
}
