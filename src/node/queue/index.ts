// The front of node/queue/: what other rooms may import of it. In and out: see each name’s own file.

export { type DeadTile, type EnqueueOptions, enqueue, type QueueState, queueState } from './coordinate.js';
export { DEFAULT_REDIS, type MergeJob, type QueuePlace, type TileJob } from './redis.js';
export { type WorkEvent, type WorkOptions, type WorkPool, work } from './worker.js';
