// What the command line talks to. In: a process, or a test's stand-in; out: text on two streams, and one exit code.
// Terms: digest = findings on stderr, counts per code with the first example of each.

import type { Readable } from 'node:stream';

/** Exit codes; nothing else in the program knows a number. */
export const EXIT = {
  done: 0,
  unusableInput: 1,
  wrongUsage: 2,
  failOn: 3,
  defect: 70, // EX_SOFTWARE of BSD sysexits
  // A signal: 128 and its number (Ctrl-C 130, SIGTERM 143, SIGHUP 129); see stoppable.ts.
} as const;

export interface Io {
  /** The result or the short table. Resolves when more may be written. */
  out(text: string): Promise<void>;
  /** Resolves when what was given to `out` has left: on a terminal, what goes to stderr then stands below it. */
  readonly flush?: (() => Promise<void>) | undefined;
  /** Progress, findings, errors. */
  err(text: string): void;
  /** Standard input, where it is not the process's. */
  readonly in?: AsyncIterable<Uint8Array | string> | undefined;
  /** What a person types, where questions may be asked: input and stderr are a terminal. Left out where they are not. */
  readonly terminal?: (() => Readable) | undefined;
  /** Called when nothing more is asked. */
  readonly asked?: (() => void) | undefined;
  /** Whether stdout and stderr take colour. */
  readonly colour: { readonly out: boolean; readonly err: boolean };
}

/** The process's own streams. Colour where a person looks on, unless NO_COLOR is set (no-color.org). */
export function processIo(): Io {
  const { NO_COLOR = '', FORCE_COLOR = '', TERM = '' } = process.env;
  const coloured = (stream: NodeJS.WriteStream): boolean =>
    NO_COLOR === '' && (FORCE_COLOR !== '' || (stream.isTTY === true && TERM !== 'dumb'));
  return {
    out: (text) =>
      new Promise((resolve) => {
        if (process.stdout.write(text)) resolve();
        else process.stdout.once('drain', resolve);
      }),
    flush: () => new Promise((resolve) => void process.stdout.write('', () => resolve())),
    err: (text) => {
      process.stderr.write(text);
    },
    colour: { out: coloured(process.stdout), err: coloured(process.stderr) },
  };
}
