// Temporary files of this process, so that none is left behind. In: paths as they are started and finished; out: their
// removal when the process ends. Terms: shared list = the same paths in memory that another thread sees, which removes
// them when it stops the one that writes: a stopped thread can no longer do anything.

import { rmSync } from 'node:fs';

const mine = new Set<string>();
let list: SharedList | null = null;

/** Bytes of either half of a shared list: some hundred paths. */
const HALF = 1 << 16;
const [WHICH, LENGTHS] = [0, 1] as const;
const HEAD = 4 * Int32Array.BYTES_PER_ELEMENT;

/**
 * Paths in shared memory. Two halves in turn: one is written, then marked as the valid one, so that any reader
 * always sees a whole list.
 */
class SharedList {
  readonly #head: Int32Array;
  readonly #bytes: Uint8Array;

  constructor(memory: SharedArrayBuffer) {
    this.#head = new Int32Array(memory, 0, HEAD / Int32Array.BYTES_PER_ELEMENT);
    this.#bytes = new Uint8Array(memory, HEAD);
  }

  write(paths: readonly string[]): void {
    const half = 1 - Atomics.load(this.#head, WHICH);
    const text = new TextEncoder().encode(JSON.stringify(paths));
    if (text.length > HALF) return; // never seen: a job writes one file at a time
    this.#bytes.set(text, half * HALF);
    Atomics.store(this.#head, LENGTHS + half, text.length);
    Atomics.store(this.#head, WHICH, half);
  }

  read(): readonly string[] {
    const half = Atomics.load(this.#head, WHICH);
    const length = Atomics.load(this.#head, LENGTHS + half);
    // A copy: text is not decoded from memory that another thread may write.
    const text = new TextDecoder().decode(this.#bytes.slice(half * HALF, half * HALF + length));
    return text === '' ? [] : (JSON.parse(text) as string[]);
  }
}

/** Memory for a list that two threads share. */
export function listMemory(): SharedArrayBuffer {
  return new SharedArrayBuffer(HEAD + 2 * HALF);
}

/** From now on paths are kept in this memory, and whoever gave it removes the files. */
export function shareTemporaries(memory: SharedArrayBuffer): void {
  list = new SharedList(memory);
}

/** Removes the files that a stopped thread has left. */
export function removeTemporariesIn(memory: SharedArrayBuffer): void {
  removeEach(new SharedList(memory).read());
}

/**
 * A temporary file or folder is about to be made. Listeners stand only while there are some: a standing Ctrl-C listener
 * would keep a long computation from being stopped.
 */
export function remember(path: string): void {
  if (mine.size === 0 && list === null) {
    process.on('exit', removeMine);
    for (const signal of SIGNALS) process.on(signal, onSignal);
  }
  mine.add(path);
  list?.write([...mine]);
}

/** It is gone, or has its final name. */
export function forget(path: string): void {
  mine.delete(path);
  list?.write([...mine]);
  if (mine.size === 0) stopListening();
}

const SIGNALS = ['SIGINT', 'SIGTERM', 'SIGHUP'] as const;

function stopListening(): void {
  process.off('exit', removeMine);
  for (const signal of SIGNALS) process.off(signal, onSignal);
}

function removeMine(): void {
  removeEach(mine);
}

function removeEach(paths: Iterable<string>): void {
  for (const path of paths) {
    try {
      rmSync(path, { recursive: true, force: true });
    } catch {
      // already renamed or gone: nothing is left to remove
    }
  }
}

/**
 * Removes the files, then ends by the same signal, as if nobody had listened (a shell reports 130), unless there are other
 * listeners.
 */
function onSignal(signal: NodeJS.Signals): void {
  removeMine();
  stopListening();
  if (process.listenerCount(signal) === 0) process.kill(process.pid, signal);
}
