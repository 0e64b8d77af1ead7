// Bytes -> a file, through a buffer. In: chunks in order, and late corrections of bytes already written; out: the file.
// Terms: patch = bytes put at a place that was written before, for headers with values that are known only at the end.

import { closeSync, openSync, writeSync } from 'node:fs';

const BUFFER = 1 << 20;

/** Writes synchronously: writers draw between writes, and the buffer keeps system calls rare. */
export class ByteFile {
  /** Bytes written so far. */
  length = 0;
  readonly #handle: number;
  readonly #buffer = new Uint8Array(BUFFER);
  #held = 0;

  constructor(path: string) {
    this.#handle = openSync(path, 'w');
  }

  write(bytes: Uint8Array): void {
    if (this.#held + bytes.length > BUFFER) this.#flush();
    this.length += bytes.length;
    if (bytes.length > BUFFER) {
      this.#out(bytes, null);
      return;
    }
    this.#buffer.set(bytes, this.#held);
    this.#held += bytes.length;
  }

  patch(at: number, bytes: Uint8Array): void {
    this.#flush();
    this.#out(bytes, at);
  }

  close(): void {
    this.#flush();
    closeSync(this.#handle);
  }

  #flush(): void {
    this.#out(this.#buffer.subarray(0, this.#held), null);
    this.#held = 0;
  }

  #out(bytes: Uint8Array, position: number | null): void {
    let done = 0;
    while (done < bytes.length) {
      const at = position === null ? null : position + done;
      done += writeSync(this.#handle, bytes, done, bytes.length - done, at);
    }
  }
}

/** Opens, hands out, closes whatever happens. */
export function withByteFile<R>(path: string, use: (file: ByteFile) => R): R {
  const file = new ByteFile(path);
  let result: R;
  try {
    result = use(file);
  } catch (error) {
    try {
      file.close();
    } catch {
      // the first error names the cause
    }
    throw error;
  }
  file.close();
  return result;
}
