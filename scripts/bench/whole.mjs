// Whole processes: files in, annotated file out, beside the floor: reading the same two files and JSON.parse.
// In: a number of trees; out: wall and processor seconds and peak memory of each, in turn, as ratios to the floor.

import { spawnSync } from 'node:child_process';
import { existsSync, mkdirSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { spread } from './stats.mjs';

const usage = new URL('./usage.mjs', import.meta.url).href;

export function wholeProcess(size, rounds) {
  const dir = join(tmpdir(), `rootberth-city-${size}`);
  const files = ['trees', 'works'].map((name) => join(dir, `${name}.geojson`));
  if (!files.every(existsSync)) {
    mkdirSync(dir, { recursive: true });
    spawnSync(process.execPath, ['scripts/lib/synthetic.mjs', dir, String(size)], { stdio: 'inherit' });
  }
  const bytes = files.reduce((sum, file) => sum + statSync(file).size, 0);
  const assess = (threads) => [
    'dist/cli.js',
    ...['assess', '--trees', files[0], '--works', files[1], '--roles', 'tree', '--quiet'],
    ...['--out', join(dir, 'out.geojson'), '--threads', String(threads)],
  ];
  const jobs = [
    { name: 'floor: read + JSON.parse', args: ['scripts/bench/floor.mjs', ...files], runs: [] },
    { name: 'rootberth, 1 thread', args: assess(1), runs: [] },
    { name: 'rootberth, 2 threads', args: assess(2), runs: [] },
  ];
  for (let round = 0; round < rounds; round++) for (const job of jobs) job.runs.push(measured(job.args));
  const mb = bytes / 1e6;
  console.log(
    `\nwhole process, ${size} trees, ${mb.toFixed(0)} MB of GeoJSON in, --roles tree, ${rounds} rounds in turn`,
  );
  const wallOf = (job) => spread(job.runs.map((run) => run.wall));
  const cpuOf = (job) => spread(job.runs.map((run) => run.cpu)).median;
  const floor = { wall: wallOf(jobs[0]).median, cpu: cpuOf(jobs[0]) };
  for (const job of jobs) {
    const wall = wallOf(job);
    const cpu = cpuOf(job);
    const peak = Math.max(...job.runs.map((run) => run.peakMb));
    console.log(
      `${job.name.padEnd(26)} ${wall.median.toFixed(2).padStart(7)} s wall (${wall.min.toFixed(2)} to ${wall.max.toFixed(2)})` +
        `  ${cpu.toFixed(2).padStart(7)} s processor  ${peak.toFixed(0).padStart(5)} MB peak (${(peak / mb).toFixed(2)} x input)` +
        `  wall x ${(wall.median / floor.wall).toFixed(2)}, processor x ${(cpu / floor.cpu).toFixed(2)}`,
    );
  }
}

function measured(args) {
  const start = performance.now();
  const run = spawnSync(process.execPath, ['--import', usage, ...args], {
    encoding: 'utf8',
    stdio: ['ignore', 'ignore', 'pipe'],
    maxBuffer: 1 << 26,
  });
  const wall = (performance.now() - start) / 1000;
  const line = run.stderr.split('\n').find((text) => text.startsWith('usage '));
  if (run.status !== 0 || line === undefined) throw new Error(`${args[0]} failed: ${run.stderr.slice(0, 2000)}`);
  return { wall, ...JSON.parse(line.slice(6)) };
}
