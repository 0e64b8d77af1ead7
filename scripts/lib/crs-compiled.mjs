// The library's coordinate code as it was built. In: build/ (npm run build); out: its modules and a cs2cs runner.

import { spawn } from 'node:child_process';
import { existsSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import proj4 from 'proj4';

const build = fileURLToPath(new URL('../../build/', import.meta.url));

/** Gives a function that imports a module of src/crs/, or of its folder wkt/, as it was built. */
export function compiled() {
  return async (name) => {
    const { registerCrs } = await import(`${build}crs/crs-registry.js`);
    registerCrs((await import(`${build}crs/tables/world.js`)).world);
    const { useProjections } = await import(`${build}crs/projection.js`);
    useProjections((method) => proj4.Proj.projections.get(method));
    const { useTableWork } = await import(`${build}crs/table-work.js`);
    useTableWork((await import(`${build}crs/all-table-work.js`)).ALL_TABLE_WORK);
    const path = ['', 'wkt/'].map((folder) => `${build}crs/${folder}${name}.js`).find(existsSync);
    return import(path ?? `${build}crs/${name}.js`);
  };
}

/** Runs a program with a text on its input; gives its output ('' when it can't be run). */
export function run(program, args, input = '') {
  return new Promise((done) => {
    const process = spawn(program, args, { stdio: ['pipe', 'pipe', 'ignore'] });
    let text = '';
    process.stdout.on('data', (d) => {
      text += d;
    });
    process.stdin.on('error', () => {});
    process.on('error', () => done(''));
    process.on('close', () => done(text));
    process.stdin.end(input);
  });
}

export function cs2cs(from, to, lines) {
  return run('cs2cs', ['-f', '%.9f', from, to], `${lines.join('\n')}\n`).then((text) => text.trim().split('\n'));
}

/** Works through a queue with as many hands as there are processors, and one more. */
export async function inParallel(jobs, hands, work) {
  const queue = [...jobs].reverse();
  await Promise.all(
    Array.from({ length: hands }, async () => {
      for (let job = queue.pop(); job !== undefined; job = queue.pop()) await work(job);
    }),
  );
}
