// Public entry of `rootberth/queue`: split jobs on BullMQ and Redis, both optional packages (npm install bullmq ioredis).
// In and out: see each function; docs/scale.md. Terms: see node/queue/redis.ts.

export {
  DEFAULT_REDIS,
  type DeadTile,
  type EnqueueOptions,
  enqueue,
  type MergeJob,
  type QueuePlace,
  type QueueState,
  queueState,
  type TileJob,
  type WorkEvent,
  type WorkOptions,
  type WorkPool,
  work,
} from './node/queue/index.js';
