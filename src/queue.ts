// Public entry of `rootberth/queue`: split jobs on BullMQ and Redis, both optional packages (npm install bullmq ioredis).
// In and out: see each function; docs/scale.md. Terms: see node/queue/redis.ts.

export {
  type DeadTile,
  type EnqueueOptions,
  enqueue,
  type QueueState,
  queueState,
} from './node/queue/coordinate.js';
export { DEFAULT_REDIS, type MergeJob, type QueuePlace, type TileJob } from './node/queue/redis.js';
export { type WorkEvent, type WorkOptions, type WorkPool, work } from './node/queue/worker.js';
