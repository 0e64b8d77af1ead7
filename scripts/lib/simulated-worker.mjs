// SIMULATION: a worker whose sandbox waits in place of measuring. In: where Redis is, how many at a time, how long a lock
// lasts; out: none, until it is killed.
import { work } from '../../dist/queue.js';

const [redis, concurrency, lockMs] = process.argv.slice(2);
const processor = new URL('./simulated-processor.mjs', import.meta.url);
await work({ redis, concurrency: Number(concurrency), lockMs: Number(lockMs), processor });
