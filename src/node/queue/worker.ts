// Workers: they take tiles and merges from the queues and run them in processes of their own. In: where the queues are;
// out: a pool that works until it is closed. Terms: sandbox = a process that runs one job at a time, so that a long
// computation never keeps the worker from renewing its lock; lock = a worker's claim on a job; stalled = a job whose
// lock ran out, because its worker died: another worker takes it.

import { fileURLToPath } from 'node:url';
import type { Job, Worker, WorkerOptions } from 'bullmq';
import { bull, connect, MERGES, prefixOf, type QueuePlace, TILES, type TileJob } from './redis.js';

export interface WorkOptions extends QueuePlace {
  /** Tiles run beside each other, each in a process of its own; default 1. */
  readonly concurrency?: number | undefined;
  /**
   * How long a claim lasts without being renewed. The tile of a dead worker is taken by another after about this time.
   * Default 30 s.
   */
  readonly lockMs?: number | undefined;
  /** Called for every job that is done or fails. */
  readonly onJob?: ((event: WorkEvent) => void) | undefined;
  /** The module that runs jobs, in place of our own: for tests and simulations. */
  readonly processor?: URL | undefined;
}

export interface WorkEvent {
  readonly what: 'done' | 'failed' | 'stalled';
  readonly job: string; // `tile 3 of 1f0c9a2b`, `merge of 1f0c9a2b`
  readonly cause: string | null;
}

export interface WorkPool {
  /** Waits for the jobs under way, then ends. */
  close(): Promise<void>;
}

/** How often a job may lose its worker before it is given up. Machines that come and go are not the job's fault. */
const STALLED_AT_MOST = 20;

/**
 * Starts to work: tiles first of all, merges when their tiles are done.
 *
 * @throws InputError `redis-unreachable`, `peer-missing`
 * @example
 * const pool = await work({ redis: 'redis://127.0.0.1:6379', concurrency: 2 });
 * await pool.close();
 */
export async function work(options: WorkOptions = {}): Promise<WorkPool> {
  const { Worker: BullWorker } = await bull();
  const { concurrency = 1, lockMs = 30_000 } = options;
  const processor = options.processor ?? new URL('./processor.js', import.meta.url);
  const connection = await connect(options);
  const common: WorkerOptions = {
    connection,
    prefix: prefixOf(options),
    lockDuration: lockMs,
    stalledInterval: lockMs,
    maxStalledCount: STALLED_AT_MOST,
  };
  const workers = [
    new BullWorker(TILES, fileURLToPath(processor), { ...common, concurrency }),
    new BullWorker(MERGES, fileURLToPath(processor), common),
  ];
  for (const worker of workers) listen(worker, options.onJob);
  return {
    async close() {
      await Promise.all(workers.map((worker) => worker.close()));
      connection.disconnect();
    },
  };
}

function listen(worker: Worker, tell: WorkOptions['onJob']): void {
  worker.on('error', () => undefined); // Redis is away: the worker waits for it
  worker.on('completed', (job) => tell?.({ what: 'done', job: nameOf(job), cause: null }));
  worker.on('failed', (job, error) => tell?.({ what: 'failed', job: nameOf(job), cause: error.message }));
  worker.on('stalled', (id) => tell?.({ what: 'stalled', job: id, cause: 'its worker died' }));
}

function nameOf(job: Job | undefined): string {
  if (job === undefined) return 'a job';
  const { id, tile } = job.data as Partial<TileJob>;
  const of = `of ${String(id).slice(0, 8)}`;
  return tile === undefined ? `merge ${of}` : `tile ${tile} ${of}`;
}
