// rootberth work and rootberth enqueue. In: options of the command line; out: jobs in the queues, how far they have come on
// stdout, exit code. Terms: see docs/scale.md. Everything is done by rootberth/queue; this file only translates.

import { enqueue, type QueueState, queueState, work } from '../node/queue/index.js';
import { counted } from '../text/index.js';
import { EXIT, type Io } from './io.js';
import { manifestMissing, manifestOf } from './manifest-values.js';
import type { Flags } from './table/index.js';
import { type AllTakers, take } from './table/take.js';
import { usage, wholeOf } from './values.js';

const ENQUEUE: AllTakers<'enqueue'> = {
  tiles: { manifest: (manifest) => ({ manifest }) },
  enqueue: {
    redis: (redis) => ({ redis }),
    attempts: (attempts) => ({ attempts: wholeOf('--attempts', attempts, MOST_DIGITS, 3) }),
    backoff: (backoff) => ({ backoffMs: timeOf('--backoff', backoff) }),
  },
  run: { wait: (wait) => ({ wait }) },
};

const WORK: AllTakers<'work'> = {
  work: {
    redis: (redis) => ({ redis }),
    concurrency: (concurrency) => ({ concurrency: wholeOf('--concurrency', concurrency, MOST_DIGITS, 3) }),
    lock: (lock) => ({ lockMs: timeOf('--lock', lock) }),
  },
};

/** Of a number of tries, or of tiles beside each other. */
const MOST_DIGITS = 6;
const LOOK_MS = 500;
const LISTED_AT_MOST = 20;

/** Puts a job in, or takes it up again; with `wait` until it is merged or can't go on. */
export async function runEnqueue(file: string | undefined, flags: Flags<'enqueue'>, io: Io): Promise<number> {
  const manifest = manifestOf(file, take<'enqueue', 'tiles'>(flags, ENQUEUE.tiles).manifest);
  if (manifest === undefined) throw manifestMissing('enqueue');
  const options = take<'enqueue', 'enqueue'>(flags, ENQUEUE.enqueue);
  const { wait } = take<'enqueue', 'run'>(flags, ENQUEUE.run);
  const { redis } = options;
  let state = await enqueue(manifest, options);
  for (let told = -1; wait === true && !isSettled(state); state = await queueState(manifest, { redis })) {
    if (state.done !== told) io.err(`${state.done} of ${state.tiles} tiles\n`);
    told = state.done;
    await new Promise((resolve) => setTimeout(resolve, LOOK_MS));
  }
  await io.out(stateWords(state));
  return state.state === 'failed' || state.dead.length > 0 ? EXIT.unusableInput : EXIT.done;
}

/** The job has ended: nothing more happens until somebody acts. */
function isSettled({ state, done, dead, tiles }: QueueState): boolean {
  return state === 'done' || state === 'failed' || (dead.length > 0 && done + dead.length === tiles);
}

const WORDS: Readonly<Record<QueueState['state'], string>> = {
  absent: 'not in the queues',
  waiting: 'under way',
  done: 'merged',
  failed: 'the merge failed',
};

function stateWords({ state, tiles, done, dead, cause }: QueueState): string {
  const lines = [`${WORDS[state]}: ${done} of ${tiles} tiles done, ${dead.length} given up`];
  if (cause !== null) lines.push(`  ${cause}`);
  for (const { tile, attempts, cause: why } of dead.slice(0, LISTED_AT_MOST)) {
    lines.push(`  tile ${tile}, after ${counted(attempts, 'try', 'tries')}: ${why}`);
  }
  if (dead.length > LISTED_AT_MOST) lines.push(`  and ${dead.length - LISTED_AT_MOST} more`);
  if (dead.length > 0 || state === 'failed')
    lines.push('  fix the cause and enqueue the job again: it goes on from there');
  return `${lines.join('\n')}\n`;
}

/** Works until it is stopped (Ctrl-C, SIGTERM): jobs under way are finished then. */
export async function runWork(flags: Flags<'work'>, io: Io): Promise<number> {
  const pool = await work({
    ...take<'work', 'work'>(flags, WORK.work),
    onJob: ({ what, job, cause }) => io.err(`${what} ${job}${cause === null ? '' : `: ${cause}`}\n`),
  });
  io.err('working; Ctrl-C stops when the tiles under way are done\n');
  await new Promise<void>((resolve) => {
    process.once('SIGINT', resolve);
    process.once('SIGTERM', resolve);
  });
  await pool.close();
  return EXIT.done;
}

/** `500ms`, `30s`, `5min`. */
function timeOf(option: string, text: string): number {
  const [, number, unit = ''] = /^(\d+(?:\.\d+)?)(ms|s|min)$/.exec(text.trim()) ?? [];
  const ms = Number(number) * ({ ms: 1, s: 1000, min: 60_000 }[unit] ?? Number.NaN);
  if (ms >= 1) return ms;
  throw usage('time-invalid', `${option} ${text} is not a time`, `write ${option} 30s`);
}
