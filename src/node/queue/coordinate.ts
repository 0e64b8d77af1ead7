// A split job in the queues: added, watched, resumed. In: a manifest; out: how far it has come.
// A flow: the tiles, and a merge that waits for all of them. Job ids follow from the manifest's id, so that adding a job
// twice, or by two coordinators, changes nothing. Terms: dead = failed for good; see redis.ts.

import { resolve } from 'node:path';
import type { Job, Queue } from 'bullmq';
import type { Redis } from 'ioredis';
import { type Manifest, readManifest } from '../tiles/manifest.js';
import { checkVersion } from '../tiles/run-tile.js';
import { bull, connect, MERGES, type MergeJob, prefixOf, type QueuePlace, TILES, type TileJob } from './redis.js';

export interface EnqueueOptions extends QueuePlace {
  /** How often a tile is tried before it is given up; default 3. */
  readonly attempts?: number | undefined;
  /** Wait before the second try, doubled before each further one; default 1 s. */
  readonly backoffMs?: number | undefined;
}

/** A tile that failed for good, and why. */
export interface DeadTile {
  readonly tile: number;
  readonly attempts: number;
  readonly cause: string;
}

export interface QueueState {
  /** `absent`: not in the queues; `waiting`: for tiles or a worker; `done`: merged; `failed`: the merge was given up. */
  readonly state: 'absent' | 'waiting' | 'done' | 'failed';
  readonly tiles: number;
  readonly done: number;
  readonly dead: readonly DeadTile[];
  /** Why the merge failed. */
  readonly cause: string | null;
}

/**
 * Adds a split job to the queues, or resumes it: tiles that failed for good are tried again. Nothing is added twice.
 *
 * @throws InputError `manifest-*`, `version-differs`, `redis-unreachable`, `peer-missing`
 * @example
 * await enqueue('job.json', { redis: 'redis://127.0.0.1:6379' }); // { state: 'waiting', tiles: 64, done: 0, ... }
 */
export async function enqueue(manifestPath: string, options: EnqueueOptions = {}): Promise<QueueState> {
  const manifest = await readManifest(manifestPath);
  checkVersion(manifest, manifestPath);
  return withQueues(options, async (queues, redis) => {
    const before = await stateIn(queues, manifest);
    if (before.state === 'absent') await putIn(resolve(manifestPath), manifest, options, redis);
    else if (before.state !== 'done') await takeUp(queues, manifest);
    return stateIn(queues, manifest);
  });
}

/**
 * How far a split job has come.
 *
 * @throws InputError as `enqueue`
 */
export async function queueState(manifestPath: string, place: QueuePlace = {}): Promise<QueueState> {
  const manifest = await readManifest(manifestPath);
  return withQueues(place, (queues) => stateIn(queues, manifest));
}

interface Queues {
  readonly tiles: Queue<TileJob>;
  readonly merges: Queue<MergeJob>;
}

async function withQueues<R>(place: QueuePlace, use: (queues: Queues, redis: Redis) => Promise<R>): Promise<R> {
  const { Queue: BullQueue } = await bull();
  const connection = await connect(place);
  const options = { connection, prefix: prefixOf(place) };
  const queues: Queues = { tiles: new BullQueue(TILES, options), merges: new BullQueue(MERGES, options) };
  try {
    return await use(queues, connection);
  } finally {
    await Promise.all([queues.tiles.close(), queues.merges.close()]);
    connection.disconnect();
  }
}

async function putIn(path: string, manifest: Manifest, options: EnqueueOptions, connection: Redis): Promise<void> {
  const { FlowProducer } = await bull();
  const flows = new FlowProducer({ connection, prefix: prefixOf(options) });
  const { id } = manifest;
  const opts = {
    attempts: options.attempts ?? 3,
    backoff: { type: 'exponential', delay: options.backoffMs ?? 1000 },
  };
  try {
    await flows.add({
      name: 'merge',
      queueName: MERGES,
      data: { manifest: path, id } satisfies MergeJob,
      opts: { ...opts, jobId: mergeId(id) },
      children: manifest.tiles.map((_, tile) => ({
        name: 'tile',
        queueName: TILES,
        data: { manifest: path, id, tile } satisfies TileJob,
        opts: { ...opts, jobId: tileId(id, tile) },
      })),
    });
  } finally {
    await flows.close();
  }
}

async function takeUp(queues: Queues, manifest: Manifest): Promise<void> {
  for (const job of await failedTiles(queues, manifest)) await tryAgain(job);
  const merge = await queues.merges.getJob(mergeId(manifest.id));
  if (merge !== undefined && (await merge.isFailed())) await tryAgain(merge);
}

/** Tried as if for the first time. Another coordinator may have been faster. */
async function tryAgain(job: Job): Promise<void> {
  try {
    await job.retry('failed', { resetAttemptsMade: true });
  } catch (error) {
    if (await job.isFailed()) throw error;
  }
}

async function stateIn(queues: Queues, manifest: Manifest): Promise<QueueState> {
  const merge = await queues.merges.getJob(mergeId(manifest.id));
  const tiles = manifest.tiles.length;
  if (merge === undefined) return { state: 'absent', tiles, done: 0, dead: [], cause: null };
  const [status, { processed = 0 }, failed] = await Promise.all([
    merge.getState(),
    merge.getDependenciesCount({ processed: true }),
    failedTiles(queues, manifest),
  ]);
  const dead = failed.map((job) => ({
    tile: job.data.tile,
    attempts: job.attemptsMade,
    cause: job.failedReason ?? 'not known',
  }));
  dead.sort((a, b) => a.tile - b.tile);
  const state = status === 'completed' ? 'done' : status === 'failed' ? 'failed' : 'waiting';
  return {
    state,
    tiles,
    done: processed,
    dead,
    cause: state === 'failed' ? (merge.failedReason ?? 'not known') : null,
  };
}

async function failedTiles({ tiles }: Queues, { id }: Manifest): Promise<Job<TileJob>[]> {
  const failed: (Job<TileJob> | undefined)[] = await tiles.getFailed();
  return failed.filter((job): job is Job<TileJob> => job?.data.id === id);
}

function tileId(manifest: string, tile: number): string {
  return `tile-${manifest}-${tile}`;
}

function mergeId(manifest: string): string {
  return `merge-${manifest}`;
}
