// SIMULATION of a state's job: 10,000 tiles through the real queue, with a timed wait in place of the kernel and workers that
// are killed all the while. In: a number of tiles; out: counts and times. Needs dist and redis-server; starts one of its own.
//   node scripts/simulate-queue.mjs [10000]
import { spawn } from 'node:child_process';
import { createHash } from 'node:crypto';
import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { VERSION } from '../build/model/version.js';
import { enqueue, queueState } from '../dist/queue.js';

const TILES = Number(process.argv[2] ?? 10_000);
const WORKERS = 3;
const AT_A_TIME = 3;
const LOCK_MS = 3000;
const KILL_EVERY_MS = 4000;
const DEAD = 4242; // this tile fails until it is mended (lib/simulated-processor.mjs)
const MOST_MS = 10 * 60_000;

const dir = mkdtempSync(join(tmpdir(), 'simulate-'));
const wait = (ms) => new Promise((resolve) => setTimeout(resolve, ms));
const children = new Set();

function start(command, args) {
  const child = spawn(command, args, { stdio: 'ignore' });
  children.add(child);
  child.once('exit', () => children.delete(child));
  return child;
}

/** A manifest of tiles that hold nothing: the queue looks at their number only. */
function writeManifest(path) {
  const hash = '0'.repeat(64);
  const tile = { trees: 10_000, works: 5000, cost: 12_000, box: null, plan: 'none', sha256: hash };
  const manifest = {
    format: 'rootberth-manifest',
    formatVersion: 1,
    rootberth: VERSION,
    job: { trees: 'simulated', works: [] },
    written: { units: 'metric', prefix: 'rb_', roles: ['tree'], outCrs: null, files: {} },
    margins: false,
    whole: false,
    haloM: { works: 1000, ground: 100 },
    inputs: [],
    grids: [],
    front: { file: 'none', sha256: hash, works: 0, existing: 0, scheduleHeading: '' },
    trees: TILES * 10_000,
    tiles: Array.from({ length: TILES }, () => tile),
  };
  const id = createHash('sha256').update(JSON.stringify(manifest)).digest('hex');
  writeFileSync(path, JSON.stringify({ ...manifest, id }));
}

function freePort() {
  return new Promise((resolve) => {
    const server = createServer().listen(0, '127.0.0.1', () => {
      const { port } = server.address();
      server.close(() => resolve(port));
    });
  });
}

try {
  const port = await freePort();
  const redis = `redis://127.0.0.1:${port}`;
  const words = ['--port', String(port), '--bind', '127.0.0.1', '--dir', dir, '--save', '', '--appendonly', 'yes'];
  const server = start('redis-server', words);
  await wait(1000);
  const path = join(dir, 'job.json');
  writeManifest(path);
  mkdirSync(join(dir, 'done'));
  const began = performance.now();
  await enqueue(path, { redis, attempts: 3, backoffMs: 200 });
  console.log(`put in: ${TILES} tiles and a merge in ${((performance.now() - began) / 1000).toFixed(1)} s`);
  const script = fileURLToPath(new URL('./lib/simulated-worker.mjs', import.meta.url));
  const worker = () => start(process.execPath, [script, redis, String(AT_A_TIME), String(LOCK_MS)]);
  const pool = Array.from({ length: WORKERS }, worker);
  let killed = 0;
  let last = performance.now();
  const started = performance.now();
  let state = await queueState(path, { redis });
  while (state.state === 'waiting' && performance.now() - started < MOST_MS) {
    await wait(500);
    state = await queueState(path, { redis });
    if (state.dead.length > 0 && state.done + state.dead.length === TILES) {
      console.log(
        `given up: ${state.dead.map(({ tile, attempts, cause }) => `tile ${tile} after ${attempts} tries (${cause})`).join(', ')}`,
      );
      writeFileSync(join(dir, 'mended'), '');
      await enqueue(path, { redis });
    }
    if (performance.now() - last < KILL_EVERY_MS || state.done === 0) continue;
    last = performance.now();
    const at = killed % WORKERS;
    pool[at].kill('SIGKILL');
    pool[at] = worker();
    killed++;
  }
  const seconds = (performance.now() - started) / 1000;
  const runs = readFileSync(join(dir, 'runs.log'), 'utf8').trim().split('\n');
  const done = readdirSync(join(dir, 'done')).filter((name) => !name.endsWith('.tmp')).length;
  const aof = readdirSync(join(dir, 'appendonlydir')).reduce(
    (sum, name) => sum + statSync(join(dir, 'appendonlydir', name)).size,
    0,
  );
  const memory = Number(/VmRSS:\s+(\d+)/.exec(readFileSync(`/proc/${server.pid}/status`, 'utf8'))?.[1] ?? 0) / 1024;
  console.log(`SIMULATION: ${state.state}; ${done} of ${TILES} results, ${state.done} counted, tile ${DEAD} fixed`);
  console.log(`${killed} workers killed; ${runs.length} runs of tiles, ${runs.length - TILES} of them again`);
  console.log(
    `${seconds.toFixed(0)} s, ${(TILES / seconds).toFixed(0)} tiles/s with ${WORKERS} x ${AT_A_TIME} at a time`,
  );
  console.log(`Redis: ${memory.toFixed(0)} MB in memory, ${(aof / 1e6).toFixed(0)} MB of log`);
  if (state.state !== 'done' || done !== TILES) process.exitCode = 1;
} finally {
  const ends = [...children].map((child) => new Promise((resolve) => child.once('exit', resolve)));
  for (const child of children) child.kill('SIGKILL');
  await Promise.all(ends);
  rmSync(dir, { recursive: true, force: true });
}
