// The sandbox: runs one tile or one merge, in a process of its own. In: a job of the queues; out: a short result.
// Terms: see worker.ts. Errors that no second try can fix are marked, so that the queue gives up at once.

import type { Job } from 'bullmq';
import { InputError } from '../../model/index.js';
import { mergeTiles } from '../tiles/merge.js';
import { runTile } from '../tiles/run-tile.js';
import type { MergeJob, TileJob } from './redis.js';

// A sandbox ends when its worker was killed: nobody reads its reports, and another worker takes the tile. It
// checks its parent instead of waiting for a failed report, because each failed report would cause another, without end.
const parent = process.ppid;

function endOrphan(): void {
  if (process.ppid !== parent || process.connected === false) process.exit(1);
}

process.on('disconnect', endOrphan);
process.prependListener('uncaughtException', endOrphan);

/** Files that other machines write may arrive late, but these errors are final. */
const FINAL: readonly string[] = ['input-changed', 'manifest-invalid', 'version-differs', 'tile-unknown'];

/** What BullMQ calls. */
export default async function processor(job: Job<TileJob | MergeJob>): Promise<object> {
  endOrphan();
  try {
    const { data } = job;
    const result = 'tile' in data ? await tile(job, data) : await merge(data);
    endOrphan();
    return result;
  } catch (error) {
    throw asQueueError(error);
  }
}

async function tile(job: Job, { manifest, tile: index }: TileJob): Promise<object> {
  let told = 0;
  const { record, isOld } = await runTile(manifest, index, {
    onProgress(done, total) {
      endOrphan();
      const percent = Math.floor((done / total) * 100);
      if (percent < told + 10) return;
      told = percent;
      job.updateProgress(percent).catch(() => undefined);
    },
  });
  return { trees: record.trees.in, over: record.over, sha256: record.sha256, isOld };
}

async function merge({ manifest }: MergeJob): Promise<object> {
  const { counts, over } = await mergeTiles(manifest);
  return { trees: counts.trees.in, over };
}

function asQueueError(error: unknown): unknown {
  if (!(error instanceof InputError)) return error;
  const told = new Error(`${error.code}: ${error.message} (${error.cure})`);
  if (FINAL.includes(error.code)) told.name = 'UnrecoverableError';
  return told;
}
