// A Redis of a test's own: in: a folder; out: a server on a free port of loopback, with its log of changes (AOF) in the
// folder, ended by its own process id. Terms: none.
import { type ChildProcess, execFileSync, spawn } from 'node:child_process';
import { connect } from 'node:net';
import { freePort } from './port.js';

export const hasRedis: boolean = (() => {
  try {
    execFileSync('redis-server', ['--version'], { stdio: 'ignore' });
    return true;
  } catch {
    return false;
  }
})();

export interface OwnRedis {
  readonly url: string;
  /** Ends it at once, as a machine that loses its power does. */
  kill(): Promise<void>;
  /** Starts it again on the same port and folder. */
  start(): Promise<void>;
}

export async function ownRedis(dir: string): Promise<OwnRedis> {
  const port = await freePort();
  let server: ChildProcess | undefined;
  const start = async (): Promise<void> => {
    const words = ['--port', String(port), '--bind', '127.0.0.1', '--dir', dir, '--save', ''];
    server = spawn('redis-server', [...words, '--appendonly', 'yes', '--appendfsync', 'always'], { stdio: 'ignore' });
    await until(() => answers(port), 'redis-server answers');
  };
  await start();
  return { url: `redis://127.0.0.1:${port}`, start, kill: () => ended(server, 'SIGKILL') };
}

/** Sends a signal to a process of ours and waits until it is gone. */
export async function ended(child: ChildProcess | undefined, signal: NodeJS.Signals): Promise<void> {
  if (child === undefined || child.exitCode !== null || child.signalCode !== null) return;
  const gone = new Promise<void>((resolve) => child.once('exit', () => resolve()));
  child.kill(signal);
  await gone;
}

/** Nothing here takes a tenth of it, unless the machine is busy with other work. */
const MOST_MS = 60_000;

/** Asks again and again, for a while. */
export async function until(ask: () => Promise<boolean> | boolean, what: string, everyMs: number = 50): Promise<void> {
  for (const end = Date.now() + MOST_MS; Date.now() < end; ) {
    if (await ask()) return;
    await new Promise((resolve) => setTimeout(resolve, everyMs));
  }
  throw new Error(`waited in vain: ${what}`);
}

/** Whether a Redis there has loaded its log and answers. */
function answers(port: number): Promise<boolean> {
  return new Promise((resolve) => {
    const socket = connect(port, '127.0.0.1');
    const end = (is: boolean): void => {
      socket.destroy();
      resolve(is);
    };
    socket.once('connect', () => socket.write('PING\r\n'));
    socket.once('data', (data) => end(data.toString().startsWith('+PONG')));
    socket.once('error', () => end(false));
    socket.setTimeout(500, () => end(false));
  });
}
