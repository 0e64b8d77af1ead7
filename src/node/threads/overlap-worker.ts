// A measuring thread: in: tasks through its port, woken by the control array; out: figures in the task's shared columns.
// Terms: see threads.ts. It sleeps in Atomics.wait between tasks and ends when asked to stop.

import { receiveMessageOnPort, workerData } from 'node:worker_threads';
import { CONTROL, type Posted, takeBatches, type WorkerStart } from './threads.js';

const { control, port } = workerData as WorkerStart;

let seen = 0;
while (Atomics.load(control, CONTROL.stop) === 0) {
  // Active before the queue is looked at, so that the caller never takes a task for done while this thread still holds it.
  Atomics.add(control, CONTROL.active, 1);
  try {
    let posted: Posted | undefined;
    for (let m = receiveMessageOnPort(port); m !== undefined; m = receiveMessageOnPort(port)) posted = m.message;
    seen = Atomics.load(control, CONTROL.generation);
    if (posted !== undefined) takeBatches(posted);
  } catch {
    Atomics.store(control, CONTROL.failed, 1);
  } finally {
    Atomics.sub(control, CONTROL.active, 1);
    Atomics.notify(control, CONTROL.active);
  }
  Atomics.wait(control, CONTROL.generation, seen);
}
port.close();
