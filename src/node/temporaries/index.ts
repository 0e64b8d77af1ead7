// Temporary files of this process, so that none is left behind. In: paths as they are begun and done with; out: their
// removal when the process ends. Terms: shared list = the same paths in memory that another thread sees, which removes
// them when it stops the one that writes: a thread that is stopped can do nothing any more.

import { rmSync } from 'node:fs';

const mine = new Set<string>();
let list: SharedList | null = null;

/** Bytes of either half of a shared list: some hundred paths. */
const HALF = 1 << 16;
const [WHICH, LENGTHS] = [0, 1] as const;
const HEAD = 4 * Int32Array.BYTES_PER_ELEMENT;

/**
 * Paths in shared memory. Two halves by turns: one is written, then named as the one that counts, so that whoever looks in
 * at any time sees a whole list.
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

/** From now on paths stand in this memory, and their removal is the business of who gave it. */
export function shareTemporaries(memory: SharedArrayBuffer): void {
  list = new SharedList(memory);
}

/** Removes what a thread has left that was stopped. */
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

/** Removes, then dies of the same signal, as if nobody had listened (a shell reports 130); others' listeners decide for themselves. */
function onSignal(signal: NodeJS.Signals): void {
  removeMine();
  stopListening();
  if (process.listenerCount(signal) === 0) process.kill(process.pid, signal);
}
