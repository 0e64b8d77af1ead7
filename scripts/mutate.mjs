// Ten thousand spoilt files through the whole job: in: a count (default 10,000); out: one line with what came of them, and
// exit 1 when a promise was broken. The suite runs the first 200 of the same (tests/properties/mutations.test.ts).
// node scripts/mutate.mjs [count]
import { spawn } from 'node:child_process';

const count = Number(process.argv[2] ?? 10_000);
const child = spawn('npx', ['vitest', 'run', 'tests/properties/mutations.test.ts', '--disable-console-intercept'], {
  env: { ...process.env, MUTATIONS: String(count) },
  stdio: ['ignore', 'pipe', 'inherit'],
});
let out = '';
child.stdout.on('data', (chunk) => {
  out += chunk;
});
child.on('close', (code) => {
  const line = /MUTATIONS (.*)/.exec(out)?.[1];
  process.stdout.write(line === undefined || code !== 0 ? out : `${line}\n`);
  process.exitCode = code ?? 1;
});
