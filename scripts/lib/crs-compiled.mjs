// The library's coordinate code, compiled on the fly into a cache folder. In: src/; out: its modules and a cs2cs runner.

import { spawn } from 'node:child_process';
import { mkdirSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import ts from 'typescript';

const root = fileURLToPath(new URL('../..', import.meta.url));
const out = `${root}node_modules/.cache/check-crs-table/`;

/** Compiles src/project with what it needs; gives a function that imports a module of it. */
export function compiled() {
  for (const folder of ['', 'project/']) {
    mkdirSync(`${out}${folder}`, { recursive: true });
    for (const file of readdirSync(`${root}src/${folder}`)) {
      if (!file.endsWith('.ts') || (folder === '' && !/^(types|findings|units|layer|rule)\.ts$/.test(file))) continue;
      const options = { module: ts.ModuleKind.ESNext, target: ts.ScriptTarget.ES2023 };
      const js = ts.transpileModule(readFileSync(`${root}src/${folder}${file}`, 'utf8'), { compilerOptions: options });
      writeFileSync(`${out}${folder}${file.replace(/\.ts$/, '.js')}`, js.outputText);
    }
  }
  mkdirSync(`${out}crs/`, { recursive: true });
  const world = readFileSync(`${root}src/crs/world.ts`, 'utf8');
  writeFileSync(
    `${out}crs/world.js`,
    ts.transpileModule(world, { compilerOptions: { module: ts.ModuleKind.ESNext } }).outputText,
  );
  writeFileSync(`${out}package.json`, '{"type":"module"}');
  return async (name) => {
    const { registerCrs } = await import(`${out}project/crs-registry.js`);
    registerCrs((await import(`${out}crs/world.js`)).world);
    return import(`${out}project/${name}.js`);
  };
}

/** Runs a program with a text on its input; gives its output ('' when it can't be run). */
export function run(program, args, input = '') {
  return new Promise((done) => {
    const process = spawn(program, args, { stdio: ['pipe', 'pipe', 'ignore'] });
    let text = '';
    process.stdout.on('data', (d) => {
      text += d;
    });
    process.stdin.on('error', () => {});
    process.on('error', () => done(''));
    process.on('close', () => done(text));
    process.stdin.end(input);
  });
}

export function cs2cs(from, to, lines) {
  return run('cs2cs', ['-f', '%.9f', from, to], `${lines.join('\n')}\n`).then((text) => text.trim().split('\n'));
}

/** Works through a queue with as many hands as there are processors, and one more. */
export async function inParallel(jobs, hands, work) {
  const queue = [...jobs].reverse();
  await Promise.all(
    Array.from({ length: hands }, async () => {
      for (let job = queue.pop(); job !== undefined; job = queue.pop()) await work(job);
    }),
  );
}
