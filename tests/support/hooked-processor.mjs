// The sandbox of our own with what a test asks of it: in: jobs, and F.json.hooks beside their manifest; out: a log of starts
// and ends beside it. `fail`: tiles that fail; `slow`: tiles that keep their process busy, in milliseconds.
import { appendFileSync, readFileSync } from 'node:fs';
import processor from '../../dist/processor.js';

export default async function hooked(job) {
  const { manifest, tile } = job.data;
  const log = (what) => appendFileSync(`${manifest}.log`, `${what} ${tile ?? 'merge'}\n`);
  const { fail = [], slow = {} } = JSON.parse(readFileSync(`${manifest}.hooks`, 'utf8'));
  appendFileSync(`${manifest}.pids`, `${process.pid}\n`);
  log('start');
  if (fail.includes(tile)) throw new Error('the disk of this machine is full');
  // Busy, as measuring is: nothing else runs in this process meanwhile.
  for (const end = Date.now() + (slow[tile] ?? 0); Date.now() < end; );
  const result = await processor(job);
  log('end');
  return result;
}
