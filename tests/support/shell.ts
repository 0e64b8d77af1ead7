// Shell scripts with `rootberth` in their PATH, run by the test's own copy of the command line: a process of it takes a second
// to load. In: a folder, stand-ins for programs a machine lacks; out: a function that runs a script by bash.
// Terms: client = the script in the PATH; it sends name, arguments and lines of standard input over a loopback socket.
import { spawn } from 'node:child_process';
import { chmodSync, mkdirSync, writeFileSync } from 'node:fs';
import { type AddressInfo, createServer, type Socket } from 'node:net';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { main } from '../../src/cli/main.js';

const PROGRAM = join(import.meta.dirname, '../../dist/cli.js');

export interface Call {
  readonly args: readonly string[];
  out(text: string): void;
}

export type Program = (call: Call) => Promise<number>;

export interface Ran {
  readonly code: number;
  readonly out: string;
  readonly err: string;
}

export interface Shell {
  run(script: string, env?: Readonly<Record<string, string>>): Promise<Ran>;
  close(): void;
}

/** What reads features from standard input is the program itself. */
const CLIENT = `case "$name $* " in "rootberth "*" - "*) exec "${process.execPath}" "${PROGRAM}" "$@";; esac
exec 3<>"/dev/tcp/127.0.0.1/$TEST_PORT"
printf '%s\\n' "$name" "$#" "$@" >&3
case " $* " in *" --stdin "*)
  while IFS= read -r line || [ -n "$line" ]; do printf '%s\\n' "$line"; done >&3; printf '\\004\\n' >&3 ;;
esac
while IFS= read -r line <&3; do
  case $line in o*) printf '%s\\n' "\${line:1}" ;; e*) printf '%s\\n' "\${line:1}" >&2 ;; *) exit "$line" ;; esac
done
exit 99
`;

/** `programs`: name -> what it does; its exit code. The test's process has to stand in `folder`. */
export async function shellIn(folder: string, programs: Readonly<Record<string, Program>>): Promise<Shell> {
  const bin = join(folder, 'bin');
  mkdirSync(bin);
  for (const name of ['rootberth', ...Object.keys(programs)]) {
    writeFileSync(join(bin, name), `#!/bin/bash\nname=${name}\n${CLIENT}`);
    chmodSync(join(bin, name), 0o755);
  }
  const server = createServer((socket) => void serve(socket, programs));
  await new Promise<void>((done) => void server.listen(0, '127.0.0.1', done));
  const { port } = server.address() as AddressInfo;
  const base = { ...process.env, PATH: `${bin}:${process.env.PATH}`, TEST_PORT: String(port) };
  return {
    run: (script, env = {}) => ran(script, folder, { ...base, ...env }),
    close: () => void server.close(),
  };
}

function ran(script: string, cwd: string, env: NodeJS.ProcessEnv): Promise<Ran> {
  return new Promise((resolve) => {
    const child = spawn('bash', ['-c', script], { cwd, env, stdio: ['ignore', 'pipe', 'pipe'] });
    let out = '';
    let err = '';
    child.stdout.setEncoding('utf8').on('data', (text: string) => {
      out += text;
    });
    child.stderr.setEncoding('utf8').on('data', (text: string) => {
      err += text;
    });
    child.on('close', (code) => resolve({ code: code ?? -1, out, err }));
  });
}

async function serve(socket: Socket, programs: Readonly<Record<string, Program>>): Promise<void> {
  socket.on('error', () => undefined); // a reader that left
  const lines = createInterface({ input: socket })[Symbol.asyncIterator]();
  const next = async (): Promise<string> => ((await lines.next()) as { value?: string }).value ?? '\u0004';
  const name = await next();
  const args: string[] = [];
  for (let left = Number(await next()); left > 0; left--) args.push(await next());
  const input = async function* (): AsyncGenerator<string> {
    for (let line = await next(); line !== '\u0004'; line = await next()) yield `${line}\n`;
  };
  const say =
    (mark: string) =>
    (text: string): void => {
      for (const line of text.replace(/\n$/, '').split('\n')) socket.write(`${mark}${line}\n`);
    };
  const [out, err] = [say('o'), say('e')];
  const io = { in: input(), out: async (text: string) => out(text), err, colour: { out: false, err: false } };
  const program: Program = programs[name] ?? (({ args: own }) => main(own, io));
  const code = await program({ args, out }).catch((error: unknown) => {
    err(String(error));
    return 98;
  });
  socket.end(`${code}\n`);
}
