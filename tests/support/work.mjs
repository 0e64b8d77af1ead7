// A worker in a process of its own, to be killed. In: where Redis is, how long a lock lasts; out: none.
import { work } from '../../dist/queue.js';

const [redis, lockMs] = process.argv.slice(2);
await work({ redis, lockMs: Number(lockMs), processor: new URL('./hooked-processor.mjs', import.meta.url) });
