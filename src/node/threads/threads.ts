// Several threads on one task: in: a MeasureTask in shared memory; out: the same figures as one thread gives, bit for
// bit, since every tree is measured from the same columns in every thread. The caller measures too while it waits.
// Terms: batch = trees taken at once; active = threads that may hold a batch.

import { availableParallelism } from 'node:os';
import { MessageChannel, type MessagePort, Worker } from 'node:worker_threads';
import type { Runner } from '../../overlap/index.js';
import { type MeasureTask, measureWatched, meterOf } from '../../overlap/index.js';

const BATCH = 1024;
/** Below this many trees a thread takes longer to start than it saves. */
const WORTH_IT = 20_000;

/** Places in the control array that all threads share. */
export const CONTROL = { generation: 0, active: 1, stop: 2, failed: 3 } as const;

/** A message: a task with its own counter of the next tree to take. A late worker finds an old counter used up. */
export interface Posted {
  readonly task: MeasureTask;
  readonly next: Int32Array;
}

/** What a worker is started with. */
export interface WorkerStart {
  readonly control: Int32Array;
  readonly port: MessagePort;
}

/** Takes batches until none is left. */
export function takeBatches({ task, next }: Posted, tick?: (done: number) => void): void {
  const total = task.order.length;
  let meter: ReturnType<typeof meterOf> | undefined;
  for (;;) {
    const from = Atomics.add(next, 0, BATCH);
    if (from >= total) return;
    meter ??= meterOf(task);
    measureWatched(task, meter, from, Math.min(from + BATCH, total), tick && (() => tick(from)));
    tick?.(Math.min(Atomics.load(next, 0), total));
  }
}

/** A worker that has not started yet will find nothing left; only workers that hold a batch are waited for. */
function awaitIdle(control: Int32Array): void {
  for (;;) {
    const active = Atomics.load(control, CONTROL.active);
    if (active === 0) return;
    Atomics.wait(control, CONTROL.active, active, 1000);
  }
}

export interface Threads extends Runner {
  /** Ends the workers. Do not use the runner afterwards. */
  close(): void;
}

/**
 * A runner on `count` threads, the caller's included; default: as many as the machine offers.
 *
 * @example
 * const threads = threadRunner(2);
 * const assessment = assess({ trees, works, runner: threads });
 * threads.close();
 */
export function threadRunner(count: number = availableParallelism()): Threads {
  const control = new Int32Array(new SharedArrayBuffer(4 * 4));
  const ports: MessagePort[] = [];
  const start = (): void => {
    while (ports.length < count - 1) {
      const { port1, port2 } = new MessageChannel();
      const workerData: WorkerStart = { control, port: port2 };
      const worker = new Worker(new URL('./overlap-worker.js', import.meta.url), { workerData, transferList: [port2] });
      worker.on('error', () => Atomics.store(control, CONTROL.failed, 1));
      worker.unref();
      port1.unref();
      ports.push(port1);
    }
  };
  return {
    shared: count > 1,
    run(task, tick) {
      if (count > 1 && task.order.length >= WORTH_IT) start();
      const posted: Posted = { task, next: new Int32Array(new SharedArrayBuffer(4)) };
      for (const port of ports) port.postMessage(posted);
      Atomics.add(control, CONTROL.generation, 1);
      Atomics.notify(control, CONTROL.generation);
      try {
        takeBatches(posted, tick);
      } finally {
        Atomics.store(posted.next, 0, task.order.length); // after a stop, none takes another batch
        awaitIdle(control);
      }
      if (Atomics.load(control, CONTROL.failed) !== 0) throw new Error('a measuring thread failed');
    },
    close() {
      Atomics.store(control, CONTROL.stop, 1);
      Atomics.add(control, CONTROL.generation, 1);
      Atomics.notify(control, CONTROL.generation);
      for (const port of ports) port.close();
      ports.length = 0;
    },
  };
}
