// SIMULATION: a sandbox in which a timed wait stands for the kernel. In: a tile; out: a file that says it was done.
// Terms: wait = as long as the tile's cost says; a tile out of `flaky` fails the first time it is tried.
import { appendFileSync, existsSync, readdirSync, renameSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';

const FLAKY = 50; // one of so many tiles fails at first

process.on('disconnect', () => process.exit(1));

export default async function simulated(job) {
  const { manifest, id, tile } = job.data;
  const folder = join(dirname(manifest), 'done');
  if (tile === undefined) {
    const { length } = readdirSync(folder).filter((name) => !name.endsWith('.tmp'));
    return { tiles: length };
  }
  appendFileSync(join(dirname(manifest), 'runs.log'), `${tile}\n`);
  if (tile % FLAKY === 7 && job.attemptsMade === 0) throw new Error('a disk that was away for a moment');
  if (tile === 4242 && !existsSync(join(dirname(manifest), 'mended'))) throw new Error('a file that is damaged');
  await new Promise((resolve) => setTimeout(resolve, waitOf(tile)));
  const file = join(folder, String(tile));
  writeFileSync(`${file}.${process.pid}.tmp`, `${id} ${tile}\n`);
  renameSync(`${file}.${process.pid}.tmp`, file);
  return { tile };
}

/** 5 to 25 ms, the same for a tile whoever runs it. */
function waitOf(tile) {
  return 5 + ((tile * 2654435761) % 2 ** 32) / 2 ** 32 / 0.05;
}
