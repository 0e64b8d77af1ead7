// A database server for one test file. In: nothing; out: a cluster of its own in a temporary folder, listening on 127.0.0.1
// alone, with PostGIS in it; ended by its own process id. Debian's postgresql-15 and postgis; absent: null, and the tests say so.
import { type ChildProcess, spawn, spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, readdirSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import pg from 'pg';
import { freePort } from './port.js';

const ROOT = '/usr/lib/postgresql';

/** The newest server of this machine that has PostGIS; null without one. */
export function serverFolder(): string | null {
  const versions = existsSync(ROOT) ? readdirSync(ROOT).sort((a, b) => Number(b) - Number(a)) : [];
  const found = versions.find((v) => existsSync(`/usr/share/postgresql/${v}/extension/postgis.control`));
  return found === undefined ? null : join(ROOT, found, 'bin');
}

export interface Cluster {
  readonly url: string; // of the database `town`, as its owner
  readonly port: number;
  sql(text: string, values?: readonly unknown[]): Promise<Record<string, unknown>[]>;
  stop(): Promise<void>;
}

export async function startCluster(bin: string): Promise<Cluster> {
  const folder = mkdtempSync(join(tmpdir(), 'rootberth-pg-'));
  const data = join(folder, 'data');
  // The server refuses to run as root.
  const isRoot = process.getuid?.() === 0;
  if (isRoot) run('chown', ['postgres', folder]);
  const as = (command: string, args: readonly string[]): [string, string[]] =>
    isRoot
      ? ['setpriv', ['--reuid=postgres', '--regid=postgres', '--clear-groups', command, ...args]]
      : [command, [...args]];
  run(
    ...as(join(bin, 'initdb'), [
      '-D',
      data,
      '-U',
      'gis',
      '-A',
      'trust',
      '-E',
      'UTF8',
      '--no-locale',
      '--no-sync',
      '--no-instructions',
    ]),
  );
  const port = await freePort();
  const settings = [
    'listen_addresses=127.0.0.1',
    `unix_socket_directories=${folder}`,
    'fsync=off',
    'full_page_writes=off',
    'synchronous_commit=off',
    'autovacuum=off',
    'max_connections=20',
  ];
  const server = spawn(
    ...as(join(bin, 'postgres'), ['-D', data, '-p', String(port), ...settings.flatMap((one) => ['-c', one])]),
    {
      stdio: 'ignore',
    },
  );
  const connect = async (database: string): Promise<pg.Client> => {
    const client = new pg.Client({ host: '127.0.0.1', port, user: 'gis', database });
    await client.connect();
    return client;
  };
  try {
    const admin = await soon(() => connect('postgres'), server);
    await admin.query('CREATE DATABASE town');
    await admin.end();
    const town = await connect('town');
    await town.query('CREATE EXTENSION postgis');
    return {
      url: `postgres://gis@127.0.0.1:${port}/town`,
      port,
      sql: async (text, values = []) => (await town.query(text, [...values])).rows,
      async stop() {
        await town.end();
        await ended(server);
        rmSync(folder, { recursive: true, force: true });
      },
    };
  } catch (error) {
    await ended(server);
    rmSync(folder, { recursive: true, force: true });
    throw error;
  }
}

function run(command: string, args: readonly string[]): void {
  const { status, stderr } = spawnSync(command, args, { encoding: 'utf8' });
  if (status !== 0) throw new Error(`${command} failed: ${stderr}`);
}

/** Tries again for up to ten seconds. */
async function soon<T>(attempt: () => Promise<T>, server: ChildProcess): Promise<T> {
  for (let tries = 0; ; tries++) {
    try {
      return await attempt();
    } catch (error) {
      if (tries >= 200 || server.exitCode !== null) throw error;
      await new Promise((resolve) => setTimeout(resolve, 50));
    }
  }
}

/** Ends the server by its id: a fast shutdown, by force after five seconds. */
function ended(server: ChildProcess): Promise<void> {
  return new Promise((resolve) => {
    if (server.exitCode !== null || server.signalCode !== null) return resolve();
    const force = setTimeout(() => server.kill('SIGKILL'), 5000);
    server.once('exit', () => {
      clearTimeout(force);
      resolve();
    });
    server.kill('SIGINT');
  });
}
