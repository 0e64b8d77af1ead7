// npm run bench: how long the overlap takes, beside general-purpose engines on the same data in the same run.
// In: sizes on the command line (default 1000 10000); out: a table on stdout.
//   npm run bench -- 1000 10000 100000

import { cpus } from 'node:os';
import * as peers from './bench/peers.mjs';
import { makeScene } from './bench/scene.mjs';
import { oneThousand } from './bench/small.mjs';
import { interleaved } from './bench/stats.mjs';

const ROUNDS = 5;
// A slow engine measures a sample of the trees, spread evenly over the city; microseconds per tree are comparable.
const SAMPLE = { geos: 5000, clipper: 5000, polyclip: 300, turf: 300 };

console.log(`node ${process.version}, ${cpus()[0]?.model ?? 'unknown processor'}, ${cpus().length} cores`);
await oneThousand();

const sizes = process.argv.slice(2).map(Number);
for (const size of sizes.length > 0 ? sizes : [10_000]) await compare(size);

async function compare(size) {
  const scene = makeScene(size);
  const ours = peers.exact(scene);
  const jobs = [job(ours, ours.order)];
  for (const [key, sample] of Object.entries(SAMPLE)) jobs.push(job(await peers[key](scene), sampled(size, sample)));
  console.log(`\noverlap stage, ${size} trees x ${scene.polygons.length} polygons, one thread, ${ROUNDS} rounds`);
  const results = interleaved(jobs, ROUNDS);
  const base = results[0].median;
  for (const r of results) {
    const us = (ms) => (ms * 1000).toFixed(2).padStart(10);
    console.log(
      `${r.name.padEnd(26)}${us(r.median)} us/tree  (${us(r.min).trim()} to ${us(r.max).trim()})  x ${(r.median / base).toFixed(1)}` +
        (r.units < size ? `   [${r.units} of the trees]` : ''),
    );
  }
  agreement(scene, ours, jobs);
}

function job(engine, trees) {
  const work = () => {
    let sum = 0;
    for (const t of trees) sum += engine.percent(t);
    return sum;
  };
  return { name: engine.name, work, units: trees.length, engine, trees };
}

function sampled(size, wanted) {
  const n = Math.min(size, wanted);
  return Uint32Array.from({ length: n }, (_, i) => Math.floor((i * size) / n));
}

/** Largest difference between ours and each peer over the peer's sample: polygonised circles differ by design. */
function agreement(_scene, ours, jobs) {
  for (const { engine, trees } of jobs.slice(1)) {
    let worst = 0;
    let over = 0;
    for (const t of trees) {
      const d = Math.abs(engine.percent(t) - ours.percent(t));
      worst = Math.max(worst, d);
      if (d > 0.2) over++;
    }
    console.log(
      `largest difference, ours and ${engine.name}: ${worst.toFixed(3)} points; over 0.2 points: ${over} of ${trees.length}`,
    );
  }
}
