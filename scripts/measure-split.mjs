// What tiles cost, step by step: a job on the invented city is split, run tile by tile and merged, each step in a process of
// its own, and the result held against one machine's, byte for byte. In: trees, trees a tile; out: a table. Needs dist.
// Processor time, since other work on the machine does not count in it.
//   node scripts/measure-split.mjs 200000 10000
import { spawnSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { mkdtempSync, readdirSync, readFileSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { writeCity } from './lib/synthetic.mjs';

const [trees = 200_000, perTile = 10_000] = process.argv.slice(2).map(Number);
const ROLES = process.argv[4]?.split(',') ?? ['works', 'tree'];
const dir = mkdtempSync(join(tmpdir(), 'measure-'));
const dist = new URL('../dist/node.js', import.meta.url).href;

/** Runs code in a process of its own; its processor seconds, peak memory and what it returned. */
function step(code) {
  const script = `import * as rb from ${JSON.stringify(dist)};
const result = await (async () => { ${code} })();
const { userCPUTime, systemCPUTime, maxRSS } = process.resourceUsage();
console.log(JSON.stringify({ result, seconds: (userCPUTime + systemCPUTime) / 1e6, mb: maxRSS / 1024 }));`;
  const { stdout, stderr, status } = spawnSync(process.execPath, ['--input-type=module', '-e', script], {
    encoding: 'utf8',
    maxBuffer: 1 << 26,
  });
  if (status !== 0) throw new Error(stderr);
  return JSON.parse(stdout);
}

const hashOf = (path) => createHash('sha256').update(readFileSync(path)).digest('hex');
const row = (name, { seconds, mb }, count) =>
  console.log(
    `${name.padEnd(28)} ${seconds.toFixed(2).padStart(8)} s ${((seconds / count) * 1e6).toFixed(1).padStart(8)} us/tree ${mb.toFixed(0).padStart(6)} MB`,
  );

try {
  await writeCity(dir, trees);
  const job = JSON.stringify({
    trees: join(dir, 'trees.geojson'),
    works: [join(dir, 'works.geojson')],
    margins: false,
  });
  const roles = JSON.stringify(ROLES);
  const manifest = JSON.stringify(join(dir, 'job.json'));
  const [one, merged] = ['one', 'merged'].map((name) => join(dir, `${name}.geojson`));
  console.log(
    `${trees} trees, ${ROLES.join(', ')}; input ${(['trees', 'works'].reduce((sum, name) => sum + statSync(join(dir, `${name}.geojson`)).size, 0) / 1e6).toFixed(0)} MB`,
  );
  const single = step(
    `await rb.writeAssessment(${JSON.stringify(one)}, await rb.assessFiles({ ...${job}, threads: 1 }), { roles: ${roles} });`,
  );
  row('one machine, one thread', single, trees);
  const split = step(
    `return (await rb.splitJob(${job}, { treesPerTile: ${perTile}, roles: ${roles} }, ${manifest})).tiles.map(({ trees, works, cost }) => ({ trees, works, cost }));`,
  );
  row('split', split, trees);
  const idle = step('return 0;');
  const runs = split.result.map((_, tile) => step(`return (await rb.runTile(${manifest}, ${tile})).record.trees.in;`));
  const sum = {
    seconds: runs.reduce((all, { seconds }) => all + seconds, 0),
    mb: Math.max(...runs.map(({ mb }) => mb)),
  };
  row(`${runs.length} tiles together`, sum, trees);
  const each = runs.map(({ seconds }) => seconds).sort((a, b) => a - b);
  console.log(
    `  a tile: ${each[0].toFixed(2)} to ${each.at(-1).toFixed(2)} s, of it ${idle.seconds.toFixed(2)} s and ${idle.mb.toFixed(0)} MB to start Node and load the library`,
  );
  console.log(
    `  trees a tile: ${Math.min(...split.result.map((t) => t.trees))} to ${Math.max(...split.result.map((t) => t.trees))}, works ${Math.min(...split.result.map((t) => t.works))} to ${Math.max(...split.result.map((t) => t.works))}`,
  );
  const merge = step(`await rb.mergeTiles(${manifest}, { out: ${JSON.stringify(merged)} });`);
  row('merge', merge, trees);
  const folder = join(dir, 'job.json.d');
  const size = (name) =>
    readdirSync(join(folder, name)).reduce((all, file) => all + statSync(join(folder, name, file)).size, 0);
  console.log(
    `plans ${(size('tiles') / trees).toFixed(1)} bytes/tree, results ${(size('results') / trees).toFixed(0)}, output ${(statSync(merged).size / trees).toFixed(0)}`,
  );
  console.log(hashOf(one) === hashOf(merged) ? 'the same bytes' : 'DIFFERENT BYTES');
  if (hashOf(one) !== hashOf(merged)) process.exitCode = 1;
} finally {
  rmSync(dir, { recursive: true, force: true });
}
