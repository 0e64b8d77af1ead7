#!/usr/bin/env node
// The program `rootberth`: joins the process's arguments and streams to the command line in cli/main.ts.
// In: argv, stdin; out: stdout, stderr, exit code. Terms: see cli/io.ts. A long command runs in a thread of its own.

import { EXIT, isLong, main, processIo, runStoppable } from './cli/index.js';

// A reader that has seen enough (`| head`) closes the pipe: that is not an error, and there is nobody left to write to.
process.stdout.on('error', (error: NodeJS.ErrnoException) => {
  process.exit(error.code === 'EPIPE' ? EXIT.done : EXIT.unusableInput);
});
process.stderr.on('error', () => undefined);

// The code is set, not forced: what is still in the pipes gets out.
const argv = process.argv.slice(2);
process.exitCode = isLong(argv) ? await runStoppable(argv) : await main(argv, processIo());
