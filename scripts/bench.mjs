// npm run bench: how long the work takes, beside general-purpose engines on the same data in the same run.
// In: sizes on the command line; out: tables on stdout. docs/performance.md explains them.
//   npm run bench                        1,000 x 1,000, a siting, then the overlap stage at 10,000 trees
//   npm run bench -- 10000 100000        the overlap stage at these sizes
//   npm run bench -- --rounds 1 100000   fewer rounds
//   npm run bench -- --hard              hard shapes: processor time against size, with slopes
//   npm run bench -- --whole 100000      whole processes, files in and annotated file out, beside read + JSON.parse

import { cpus } from 'node:os';
import { hardBench } from './bench/hard.mjs';
import { outsideEngines } from './bench/outside.mjs';
import { clipper, exact, geos, polyclip, turf } from './bench/peers.mjs';
import { makeScene } from './bench/scene.mjs';
import { sitingBench } from './bench/siting.mjs';
import { oneThousand } from './bench/small.mjs';
import { interleaved } from './bench/stats.mjs';
import { wholeProcess } from './bench/whole.mjs';

const asked = process.argv.indexOf('--rounds');
const ROUNDS = asked < 0 ? 3 : Number(process.argv[asked + 1]);
// A slow engine measures a sample of the trees, spread evenly over the city; microseconds per tree are comparable.
const PEERS = [
  { make: geos, sample: 500 },
  { make: clipper, sample: 500 },
  { make: polyclip, sample: 15 },
  { make: turf, sample: 15 },
];

const whole = process.argv.includes('--whole');
const sizes = process.argv
  .slice(2)
  .filter((word, i, words) => /^\d+$/.test(word) && words[i - 1] !== '--rounds')
  .map(Number);
console.log(`node ${process.version}, ${cpus()[0]?.model ?? 'unknown processor'}, ${cpus().length} cores`);
const hard = process.argv.indexOf('--hard');
if (hard >= 0) hardBench(process.argv.slice(hard + 1));
else if (whole) for (const size of sizes.length > 0 ? sizes : [100_000]) wholeProcess(size, ROUNDS);
else {
  if (sizes.length === 0) {
    await oneThousand();
    sitingBench(ROUNDS);
  }
  for (const size of sizes.length > 0 ? sizes : [10_000]) await compare(size);
}

async function compare(size) {
  const scene = makeScene(size);
  const ours = exact(scene);
  const jobs = [job(ours, ours.order)];
  for (const { make, sample } of PEERS) jobs.push(job(await make(scene), sampled(size, sample)));
  const outside = await outsideEngines(scene);
  for (const word of outside.absent) console.log(word);
  for (const engine of outside.engines) jobs.push({ timed: engine.round, units: size, engine, name: engine.name });
  console.log(
    `\noverlap stage, ${size} trees x ${scene.polygons.length} polygons, one thread, ${ROUNDS} rounds in turn`,
  );
  const results = await rounds(jobs, outside);
  const base = results[0];
  const us = (ms) => (ms * 1000).toFixed(2);
  for (const r of results) {
    const part = r.units < size ? `   [${r.units} of the trees]` : '';
    console.log(
      `${(r.engine.name ?? r.name).padEnd(38)}${us(r.median).padStart(12)} us/tree  (${us(r.min)} to ${us(r.max)})  x ${(r.median / base.median).toFixed(1)}` +
        `  processor ${us(r.cpu)} us/tree  x ${(r.cpu / base.cpu).toFixed(1)}${part}`,
    );
  }
  agreement(ours, jobs);
}

async function rounds(jobs, outside) {
  try {
    return interleaved(jobs, ROUNDS);
  } finally {
    await outside.close();
  }
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
function agreement(ours, jobs) {
  for (const { engine, trees } of jobs.slice(1)) {
    let worst = 0;
    const percent = engine.percents === undefined ? engine.percent : (t) => engine.percents[t];
    for (const t of trees ?? ours.order) worst = Math.max(worst, Math.abs(percent(t) - ours.percent(t)));
    console.log(`largest difference, ours and ${engine.name}: ${worst.toFixed(3)} points`);
  }
}
