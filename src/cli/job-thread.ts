// The thread that runs a long command. In: JobStart; out: text on the process's streams, and its exit code.
// Terms: see stoppable.ts.

import { WriteStream } from 'node:tty';
import { parentPort, workerData } from 'node:worker_threads';
import { shareTemporaries } from '../node/temporaries/index.js';
import { processIo } from './io.js';
import { main } from './main.js';
import { type JobStart, STDIN_DONE, WANTS_STDIN } from './stoppable.js';

const { argv, colour, terminal, asks, temporaries } = workerData as JobStart;

shareTemporaries(temporaries);

// A bar is drawn while the job lets nothing through to the other thread, so it needs the terminal itself.
if (terminal) Object.defineProperty(process, 'stderr', { value: new WriteStream(2), configurable: true });

const { stdin } = process;
Object.defineProperty(process, 'stdin', {
  configurable: true,
  get() {
    Object.defineProperty(process, 'stdin', { value: stdin, configurable: true });
    parentPort?.postMessage(WANTS_STDIN);
    return stdin;
  },
});

process.exitCode = await main(argv, {
  ...processIo(),
  colour,
  terminal: asks ? () => process.stdin : undefined,
  asked() {
    process.stdin.resume(); // what is left is read to its end: a stream that waits would keep the thread
    parentPort?.postMessage(STDIN_DONE);
  },
});
