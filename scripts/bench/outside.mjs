// Engines outside Node, where they are installed: Shapely 2 (python3) and PostGIS. In: a scene; out: for each engine a
// function that runs one round over all trees and tells its milliseconds, and the percents of that round; or, in a word,
// why it is left out. Terms: scene = see scene.mjs. Both read the scene from a temporary folder, and time themselves:
// starting, reading and indexing are not counted.

import { spawn, spawnSync } from 'node:child_process';
import {
  chownSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';

const LIMIT_MS = 20 * 60_000;
const here = (name) => fileURLToPath(new URL(name, import.meta.url));

/** @returns {Promise<{ engines: object[], absent: string[], close(): Promise<void> }>} */
export async function outsideEngines(scene) {
  const folder = mkdtempSync(join(tmpdir(), 'rootberth-bench-'));
  const absent = [];
  const engines = [];
  const closing = [() => rmSync(folder, { recursive: true, force: true })];
  const close = async () => {
    for (const step of closing.splice(0).reverse()) await step();
  };
  // ended from outside, the bench must not leave a server running
  for (const signal of ['SIGINT', 'SIGTERM']) process.once(signal, () => void close().then(() => process.exit(1)));
  try {
    for (const make of [shapely, postgis]) {
      const made = await make(scene, folder, closing);
      if (typeof made === 'string') absent.push(made);
      else engines.push(made);
    }
  } catch (error) {
    await close();
    throw error;
  }
  return { engines, absent, close };
}

function shapely(scene, folder) {
  const python = process.env.BENCH_PYTHON ?? 'python3';
  const about = spawnSync(python, ['-c', 'import numpy, shapely; print(shapely.__version__)'], { encoding: 'utf8' });
  if (about.status !== 0) return `Shapely is left out: ${python} has no shapely and numpy (BENCH_PYTHON names another)`;
  if (Number.parseInt(about.stdout, 10) < 2)
    return `Shapely is left out: ${about.stdout.trim()} has no vectorised functions`;
  const trees = Float64Array.from({ length: scene.count * 3 }, (_, i) =>
    i % 3 === 2 ? scene.r[(i - 2) / 3] : scene.xy[((i - (i % 3)) / 3) * 2 + (i % 3)],
  );
  const starts = new Uint32Array(scene.polygons.length + 1);
  scene.polygons.forEach((ring, i) => {
    starts[i + 1] = starts[i] + ring.length / 2;
  });
  const xy = new Float64Array(starts.at(-1) * 2);
  scene.polygons.forEach((ring, i) => void xy.set(ring, starts[i] * 2));
  writeFileSync(join(folder, 'trees.f64'), trees);
  writeFileSync(join(folder, 'rings.u32'), starts);
  writeFileSync(join(folder, 'xy.f64'), xy);
  const engine = { name: 'Shapely, vectorised (64-gon)', percents: new Float64Array(scene.count) };
  engine.round = () => {
    const run = spawnSync(python, [here('with-shapely.py'), folder], { encoding: 'utf8', timeout: LIMIT_MS });
    if (run.status !== 0) throw new Error(`with-shapely.py: ${run.stderr}`);
    const [ms, cpuMs, ...version] = run.stdout.trim().split(' ');
    engine.name = `${version.join(' ')} (64-gon)`;
    engine.percents = new Float64Array(readFileSync(join(folder, 'percent.f64')).buffer.slice(0));
    return { ms: Number(ms), cpuMs: Number(cpuMs) };
  };
  return engine;
}

async function postgis(scene, folder, closing) {
  const bin = programs();
  if (bin === null)
    return 'PostGIS is left out: no PostgreSQL with PostGIS is installed (apt-get install postgresql-postgis)';
  const data = join(folder, 'pg');
  mkdirSync(data);
  // PostgreSQL does not run as root: there it gets the account that was made for it.
  const who = process.getuid?.() === 0 ? accountOf('postgres') : {};
  if (who === null) return 'PostGIS is left out: it does not run as root, and there is no account postgres';
  for (const path of who.uid === undefined ? [] : [folder, data]) chownSync(path, who.uid, who.gid);
  const options = { ...who, cwd: folder, encoding: 'utf8', timeout: LIMIT_MS };
  const made = spawnSync(
    join(bin, 'initdb'),
    ['-D', data, '-U', 'bench', '-A', 'trust', '-E', 'UTF8', '--no-sync'],
    options,
  );
  if (made.status !== 0) return `PostGIS is left out: initdb says ${made.stderr}`;
  const port = String(await freePort());
  const memory = ['-c', 'shared_buffers=512MB', '-c', 'work_mem=256MB', '-c', 'fsync=off', '-c', 'jit=off'];
  const place = ['-c', 'listen_addresses=127.0.0.1', '-p', port, '-k', folder];
  const server = spawn(join(bin, 'postgres'), ['-D', data, ...place, ...memory], { ...who, stdio: 'ignore' });
  const ended = new Promise((resolve) => server.once('exit', resolve));
  closing.push(async () => {
    server.kill('SIGINT'); // fast shutdown
    await ended;
  });
  const psql = (...args) =>
    spawnSync(join(bin, 'psql'), ['-h', '127.0.0.1', '-p', port, '-U', 'bench', '-X', ...args, 'postgres'], options);
  for (let tries = 0; psql('-c', 'SELECT 1').status !== 0; tries++) {
    if (tries > 50 || server.exitCode !== null) return 'PostGIS is left out: the server did not start';
    await new Promise((resolve) => setTimeout(resolve, 200));
  }
  const extension = psql('-c', 'CREATE EXTENSION postgis');
  if (extension.status !== 0) return `PostGIS is left out: ${extension.stderr.trim()}`;
  writeFileSync(
    join(folder, 'trees.tsv'),
    Array.from(
      { length: scene.count },
      (_, t) => `${t}\t${scene.xy[t * 2]}\t${scene.xy[t * 2 + 1]}\t${scene.r[t]}\n`,
    ).join(''),
  );
  writeFileSync(join(folder, 'works.tsv'), scene.polygons.map((ring, i) => `${i}\t${wkt(ring)}\n`).join(''));
  const engine = { name: 'PostGIS (64-gon)', percents: new Float64Array(scene.count) };
  engine.round = () => {
    const run = psql('-f', here('with-postgis.sql'));
    const time = /Time: ([\d.]+) ms/.exec(run.stdout);
    if (run.status !== 0 || time === null) throw new Error(`with-postgis.sql: ${run.stderr}${run.stdout}`);
    engine.name = `PostGIS ${/version (.*?)-CAPI/.exec(run.stdout)?.[1] ?? ''} (64-gon)`;
    engine.percents = new Float64Array(scene.count); // a tree that no works meet has no row
    for (const line of readFileSync(join(folder, 'percent.tsv'), 'utf8').split('\n')) {
      const [row, percent] = line.split('\t');
      if (percent !== undefined) engine.percents[Number(row)] = Number(percent);
    }
    return { ms: Number(time[1]), cpuMs: ticks(run.stdout, 'after') - ticks(run.stdout, 'before') };
  };
  return engine;
}

/** Processor milliseconds of a backend so far: fields 14 and 15 of /proc/PID/stat, in hundredths of a second. */
function ticks(text, word) {
  const fields = new RegExp(`^${word} .*\\) (.*)$`, 'm').exec(text)?.[1]?.split(' ') ?? [];
  return (Number(fields[11]) + Number(fields[12])) * 10;
}

/** The folder of the newest PostgreSQL that has PostGIS beside it; null for none. */
function programs() {
  const root = '/usr/lib/postgresql';
  if (!existsSync(root)) return null;
  const versions = readdirSync(root).sort((a, b) => Number(b) - Number(a));
  const found = versions.find((v) => existsSync(`/usr/share/postgresql/${v}/extension/postgis.control`));
  return found === undefined ? null : join(root, found, 'bin');
}

function accountOf(name) {
  const ask = (flag) => spawnSync('id', [flag, name], { encoding: 'utf8' });
  const [uid, gid] = [ask('-u'), ask('-g')];
  return uid.status === 0 && gid.status === 0 ? { uid: Number(uid.stdout), gid: Number(gid.stdout) } : null;
}

function freePort() {
  return new Promise((resolve, reject) => {
    const server = createServer().once('error', reject);
    server.listen(0, '127.0.0.1', () => {
      const { port } = server.address();
      server.close(() => resolve(port));
    });
  });
}

function wkt(ring) {
  const pairs = [];
  for (let i = 0; i < ring.length; i += 2) pairs.push(`${ring[i]} ${ring[i + 1]}`);
  pairs.push(pairs[0]);
  return `POLYGON((${pairs.join(',')}))`;
}
