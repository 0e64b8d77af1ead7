// Redis and BullMQ, optional packages. In: a URL; out: the loaded library and connections. Terms: coordinator = a process
// that puts a job into the queues and watches it; worker = a process that runs tiles; both may be many.

import type * as Bull from 'bullmq';
import type { Redis } from 'ioredis';
import { InputError } from '../../model/index.js';
import { peer } from '../../read/index.js';

export const DEFAULT_REDIS = 'redis://127.0.0.1:6379';

/** Where the queues are. */
export interface QueuePlace {
  /** Default redis://127.0.0.1:6379. */
  readonly redis?: string | undefined;
  /** What every key in Redis begins with; default `rootberth`. Workers and coordinators of one pool share it. */
  readonly prefix?: string | undefined;
}

export const TILES = 'tiles';
export const MERGES = 'merges';

/** What a job in the queue of tiles holds; that of a merge has no tile. */
export interface TileJob {
  readonly manifest: string; // path, the same on every machine
  readonly id: string; // of the manifest
  readonly tile: number;
}
export interface MergeJob {
  readonly manifest: string;
  readonly id: string;
}

export function prefixOf({ prefix = 'rootberth' }: QueuePlace): string {
  return prefix;
}

export async function bull(): Promise<typeof Bull> {
  return peer('bullmq', 'the queue', 'queue', () => import('bullmq'));
}

/**
 * A connection that waits while Redis is away for a while, as workers must.
 *
 * @throws InputError `redis-unreachable` when there is none at the start, `peer-missing`
 */
export async function connect({ redis = DEFAULT_REDIS }: QueuePlace): Promise<Redis> {
  const { Redis: Client } = await peer('ioredis', 'the queue', 'queue', () => import('ioredis'));
  let client: Redis;
  try {
    client = new Client(redis, {
      maxRetriesPerRequest: null,
      lazyConnect: true,
      retryStrategy: (n) => Math.min(50 * n, 1000),
    });
    client.on('error', () => undefined); // typed by what is used of it
    await first(client);
  } catch (error) {
    const why = error instanceof Error ? error.message : String(error);
    const place = redis.replace(/\/\/[^@/]*@/, '//'); // no password in a message
    throw new InputError('redis-unreachable', `there is no Redis at ${place} (${why})`, {
      cure: 'start one, or name it with --redis redis://HOST:6379',
    });
  }
  return client;
}

const FIRST_MS = 5000;

/** The first connection must succeed within a short time. */
async function first(client: Redis): Promise<void> {
  let late: ReturnType<typeof setTimeout> | undefined;
  const patience = new Promise<never>((_, reject) => {
    late = setTimeout(() => reject(new Error('no answer')), FIRST_MS);
  });
  try {
    await Promise.race([client.connect().then(() => client.ping()), patience]);
  } catch (error) {
    client.disconnect();
    throw error;
  } finally {
    clearTimeout(late);
  }
}
