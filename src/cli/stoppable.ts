// A long command in a thread of its own, so that this one can stop it. In: arguments; out: the exit code. A loop that
// measures or draws lets no signal through to the thread it runs in; here nothing runs, so a signal is heard at once,
// whatever the job is at, and also as the first process of a container, which the system does not stop by itself.
// Terms: to stop = to end the thread, remove the temporary files it has begun, and leave with 128 + the signal's number.

import { constants } from 'node:os';
import { getHeapStatistics } from 'node:v8';
import { Worker } from 'node:worker_threads';
import { listMemory, removeTemporariesIn } from '../node/temporaries/index.js';
import { EXIT, processIo } from './io.js';

/** Commands that may take long; the others are done before a thread has started. */
const LONG: readonly string[] = ['assess', 'siting', 'check', 'split', 'run', 'merge', 'demo'];
const HELP: readonly string[] = ['-h', '--help'];

/** What the thread is started with. */
export interface JobStart {
  readonly argv: readonly string[];
  readonly colour: { readonly out: boolean; readonly err: boolean };
  /** Whether stderr is a terminal, where a bar may be drawn. */
  readonly terminal: boolean;
  /** Whether a person can be asked: stdin and stderr are a terminal. */
  readonly asks: boolean;
  readonly temporaries: SharedArrayBuffer;
}

/** The thread wants standard input: nothing is taken from it unasked, since it may belong to a loop of the shell. */
export const WANTS_STDIN = 'stdin';

/** The thread wants no more of it: what it has asked is answered. */
export const STDIN_DONE = 'stdin-done';

/** How long the thread is given to end when it is stopped, milliseconds: it may be within a call to the system. */
const PATIENCE_MS = 700;

export function isLong(argv: readonly string[]): boolean {
  return LONG.includes(argv[0] ?? '') && !argv.some((word) => HELP.includes(word));
}

/** Runs the command line in a thread, and stops it on SIGINT, SIGTERM and SIGHUP. */
export function runStoppable(argv: readonly string[]): Promise<number> {
  const temporaries = listMemory();
  const { colour } = processIo();
  const terminal = process.stderr.isTTY === true;
  const start: JobStart = { argv, colour, terminal, asks: terminal && process.stdin.isTTY === true, temporaries };
  const worker = new Worker(new URL('./job-thread.js', import.meta.url), {
    workerData: start,
    stdin: true,
    // The thread may take what the process may: threads are given less by default.
    resourceLimits: { maxOldGenerationSizeMb: Math.floor(getHeapStatistics().heap_size_limit / 2 ** 20) },
  });
  const clean = (): void => removeTemporariesIn(temporaries);
  process.on('exit', clean);
  for (const signal of ['SIGINT', 'SIGTERM', 'SIGHUP'] as const) {
    process.on(signal, () => void stop(worker, signal, clean));
  }
  worker.on('message', (message: unknown) => {
    const { stdin } = worker;
    if (stdin === null) return;
    if (message === WANTS_STDIN) process.stdin.pipe(stdin);
    else if (message === STDIN_DONE) {
      // The terminal goes on; the thread's end of it does not, or it would wait for more.
      process.stdin.unpipe(stdin);
      stdin.end();
    }
  });
  return new Promise((resolve) => {
    let failed: number | null = null;
    worker.on('error', (error: NodeJS.ErrnoException) => {
      failed = report(error);
    });
    worker.on('exit', (code) => {
      process.stdin.unpipe();
      process.stdin.pause();
      process.stdin.unref?.();
      resolve(failed ?? code);
    });
  });
}

let stopping = false;

async function stop(worker: Worker, signal: NodeJS.Signals, clean: () => void): Promise<void> {
  if (stopping) die(signal, clean); // asked twice
  stopping = true;
  setTimeout(() => die(signal, clean), PATIENCE_MS);
  await worker.terminate();
  process.exit(128 + constants.signals[signal]); // removes on its way out
}

/** Ends the process by the signal itself, which waits for nobody. */
function die(signal: NodeJS.Signals, clean: () => void): void {
  clean();
  process.removeAllListeners(signal);
  process.kill(process.pid, signal);
}

function report(error: NodeJS.ErrnoException): number {
  if (error.code === 'ERR_WORKER_OUT_OF_MEMORY') {
    const most = Math.floor(getHeapStatistics().heap_size_limit / 2 ** 20);
    process.stderr.write(
      `error memory-full: the job needs more than the ${most} MB that it may take\n    split it (rootberth split), or allow more: NODE_OPTIONS=--max-old-space-size=${2 * most}\n`,
    );
    return EXIT.unusableInput;
  }
  process.stderr.write(`${error.stack ?? String(error)}\n`);
  return EXIT.defect;
}
