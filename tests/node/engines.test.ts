// The engines of docs/engines.md: its commands and the files of data/engines run as they stand, with stand-ins for what a test's
// machine lacks (sbatch, kubectl, ssh). The merged file is that of one machine each time, byte for byte.
import { spawn } from 'node:child_process';
import {
  copyFileSync,
  cpSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  truncateSync,
  writeFileSync,
} from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { afterAll, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { type LineResult, mergeTiles, missingTiles, runLines, runTile } from '../../src/node.js';
import { run } from '../support/cli.js';
import { type Call, type Shell, shellIn } from '../support/shell.js';

const ROOT = resolve(import.meta.dirname, '../..');
const demo = (name: string): string => join(ROOT, 'data/demo', name);
const engine = (name: string): string => join(ROOT, 'data/engines', name);
const TILES = 8;

let dir = '';
let shell: Shell;
let one = ''; // what one machine writes
const before = process.cwd();

/** What the stand-ins for schedulers saw. */
let jobs: { id: number; failed: boolean; args: readonly string[] }[] = [];

beforeAll(async () => {
  dir = mkdtempSync(join(tmpdir(), 'engines-'));
  process.chdir(dir);
  shell = await shellIn(dir, { sbatch, kubectl, ssh });
  copyFileSync(demo('works.geojson'), 'works.geojson');
  writeFileSync('survey.csv', readFileSync(demo('survey.csv'), 'utf8').split('\n').slice(0, 33).join('\n'));
  const layers = [
    '--trees',
    'survey.csv',
    '--crs',
    'EPSG:2913',
    '--works',
    'works.geojson',
    '--margins',
    'none',
    '--roles',
    'works,zone,tree',
  ];
  expect((await run('assess', ...layers, '--out', 'one.geojson', '--quiet', '--no-config')).code).toBe(0);
  one = readFileSync('one.geojson', 'utf8');
  const how = ['--tiles', String(TILES), '--manifest', 'job.json', '--out', 'assessed.geojson', '--quiet'];
  expect((await run('split', ...layers, ...how, '--no-config')).code).toBe(0);
  cpSync('job.json.d', 'fresh', { recursive: true });
});

afterAll(() => {
  process.chdir(before);
  shell.close();
  rmSync(dir, { recursive: true });
});

function restart(): void {
  rmSync('job.json.d', { recursive: true });
  cpSync('fresh', 'job.json.d', { recursive: true });
  rmSync('assessed.geojson', { force: true });
  jobs = [];
}
beforeEach(restart);

const merged = (): string => (readFileSync('assessed.geojson', 'utf8') === one ? 'the same' : 'another');
const lines = (text: string): LineResult[] =>
  text
    .split('\n')
    .filter((line) => line !== '')
    .map((line) => JSON.parse(line) as LineResult);

/** Takes a tile's plan away and gives it back: the tile fails meanwhile. */
function breakTile(index: number): () => void {
  const plan = `job.json.d/tiles/00000${index}.json`;
  renameSync(plan, `${plan}.away`);
  return () => renameSync(`${plan}.away`, plan);
}

/** Slurm, as far as the script needs it: runs at once what it is given, and a dependent job only after all went well. */
async function sbatch({ args, out }: Call): Promise<number> {
  const option = (name: string): string | undefined =>
    args.find((arg) => arg.startsWith(`--${name}=`))?.slice(name.length + 3);
  const place = args.findIndex((arg) => !arg.startsWith('--'));
  const exported = Object.fromEntries(
    (option('export') ?? '').split(',').flatMap((pair) => (pair.includes('=') ? [pair.split('=')] : [])),
  ) as Record<string, string>;
  const after = /^afterok:(\d+)$/.exec(option('dependency') ?? '')?.[1];
  const isHeld = after !== undefined && jobs.find(({ id }) => id === Number(after))?.failed !== false;
  let failed = isHeld;
  const wrapped = option('wrap');
  if (!isHeld && wrapped !== undefined) failed = (await shell.run(wrapped)).code !== 0;
  for (const index of option('array')?.split(',') ?? []) {
    const task = { ...exported, SLURM_ARRAY_TASK_ID: index };
    const script = ['bash', ...args.slice(place)].map((arg) => `'${arg}'`).join(' ');
    if ((await shell.run(script, task)).code !== 0) failed = true;
  }
  jobs.push({ id: 100 + jobs.length, failed, args });
  out(`${99 + jobs.length};cluster\n`);
  return 0;
}

interface JobSpec {
  readonly metadata: { readonly name: string };
  readonly spec: {
    readonly completions?: number;
    readonly completionMode?: string;
    readonly backoffLimitPerIndex?: number;
    readonly template: {
      readonly spec: {
        readonly containers: readonly [
          { readonly name: string; readonly env: readonly { name: string; value: string }[]; command: string[] },
        ];
      };
    };
  };
}

/** YAML as typedoc reads it. */
function yaml(path: string): JobSpec {
  const require = createRequire(createRequire(import.meta.url).resolve('typedoc'));
  return (require('yaml') as { parse(text: string): JobSpec }).parse(readFileSync(path, 'utf8'));
}

/** Kubernetes, as far as a Job needs it: each index with its own tries. */
async function kubectl({ args }: Call): Promise<number> {
  if (args[0] === 'wait') return jobs.at(-1)?.failed === false ? 0 : 1;
  const { spec } = yaml(args[2] ?? '');
  const [container] = spec.template.spec.containers;
  const own = Object.fromEntries(container.env.map(({ name, value }) => [name, value]));
  const command = container.command.map((word) => `'${word}'`).join(' ');
  let failed = false;
  const indices = spec.completionMode === 'Indexed' ? Array.from({ length: spec.completions ?? 0 }, (_, i) => i) : [0];
  await Promise.all(
    indices.map(async (index) => {
      for (let tries = 0; tries <= (spec.backoffLimitPerIndex ?? 0); tries++) {
        const { code } = await shell.run(command, { ...own, JOB_COMPLETION_INDEX: String(index) });
        if (code === 0) return;
      }
      failed = true;
    }),
  );
  jobs.push({ id: jobs.length, failed, args });
  return failed ? 1 : 0;
}

/** Another machine that mounts the same folder. */
async function ssh({ args }: Call): Promise<number> {
  return (await shell.run(args.slice(1).join(' '))).code;
}

describe('the page', () => {
  const page = readFileSync(join(ROOT, 'docs/engines.md'), 'utf8');
  const blocks = [...page.matchAll(/^```bash\n([\s\S]*?)^```$/gm)].map((match) => match[1]!);

  test.each(blocks.map((block) => [block.split('\n')[0], block] as const))('%s', async (_first, block) => {
    for (const name of ['slurm-array.sh', 'kubernetes-tiles.yaml', 'kubernetes-merge.yaml'])
      copyFileSync(engine(name), join(dir, name));
    writeFileSync('trees.ndjson', `${JSON.stringify(TREE)}\n`);
    // Of the pipes each line runs all that is missing: each begins anew.
    const scripts = block.startsWith('printf') ? block.split(/\n(?=\S)/) : [block];
    for (const script of scripts) {
      if (scripts.length > 1 && !script.startsWith('rootberth merge job.json\n')) restart();
      const { code, err } = await shell.run(`set -e -o pipefail\n${script.replaceAll('/share/', `${dir}/`)}`);
      const isBad = script.includes('99'); // the line that shows an error
      expect(`${script}: ${code} ${code === Number(isBad) ? '' : err}`).toBe(`${script}: ${Number(isBad)} `);
      if (scripts.length > 1 && !isBad) expect((await run('merge', 'job.json', '--missing')).out).toBe('');
    }
    if (block.includes('assess ')) expect(readFileSync('assessed.ndjson', 'utf8')).toContain('"rb_verdict"');
    else expect(merged()).toBe('the same');
  });

  test('names every file of data/engines, and the files it names are there', () => {
    for (const name of ['slurm-array.sh', 'kubernetes-tiles.yaml', 'kubernetes-merge.yaml', 'Dockerfile']) {
      expect(page).toContain(`\`${name}\``);
      expect(readFileSync(engine(name), 'utf8').length).toBeGreaterThan(100);
    }
  });
});

const TREE = {
  type: 'Feature',
  properties: { id: 'oak', dbh_in: 24 },
  geometry: { type: 'Point', coordinates: [-122.7, 45.5] },
};

describe('Slurm', () => {
  test('the script is a script', async () => {
    expect(await shell.run(`bash -n '${engine('slurm-array.sh')}'`)).toEqual({ code: 0, out: '', err: '' });
  });

  test('a tile that fails holds the merge back; the same command again puts in what is missing', async () => {
    const submit = `bash '${engine('slurm-array.sh')}' job.json`;
    const mend = breakTile(5);
    const first = await shell.run(submit, { TASKS: '3', SBATCH_ARGS: '--partition=long --mem=2G' });
    expect(first.out).toBe('tiles: job 100, tasks 0,1,2\nmerge: job 101\n');
    expect(jobs.map(({ failed }) => failed)).toEqual([true, true]);
    expect(jobs[0]?.args).toEqual(expect.arrayContaining(['--partition=long', '--mem=2G', '--array=0,1,2']));
    expect(jobs[1]?.args).toEqual(expect.arrayContaining(['--dependency=afterok:100', '--kill-on-invalid-dep=yes']));
    expect((await run('merge', 'job.json', '--missing')).out).toBe('5\n'); // tile 8 - 3 = 5 of task 2, and no other
    expect((await run('merge', 'job.json')).code).toBe(1);
    mend();
    const second = await shell.run(submit, { TASKS: '3' });
    expect(second.out).toBe('tiles: job 102, tasks 2\nmerge: job 103\n');
    expect(merged()).toBe('the same');
    rmSync('assessed.geojson');
    expect((await shell.run(submit)).out).toBe('merge: job 104\n'); // nothing but the merge is left
    expect(merged()).toBe('the same');
  });
});

describe('Kubernetes', () => {
  test('the files are Jobs whose numbers agree', () => {
    const tiles = yaml(engine('kubernetes-tiles.yaml'));
    const merge = yaml(engine('kubernetes-merge.yaml'));
    for (const job of [tiles, merge]) {
      expect(job).toMatchObject({ apiVersion: 'batch/v1', kind: 'Job' });
      expect(job.spec.template.spec).toMatchObject({ restartPolicy: 'Never' });
    }
    const [container] = tiles.spec.template.spec.containers;
    expect(container.env).toContainEqual({ name: 'COMPLETIONS', value: String(tiles.spec.completions) });
    expect(tiles.spec).toMatchObject({
      completionMode: 'Indexed',
      podFailurePolicy: { rules: [{ onExitCodes: { containerName: container.name } }, {}] },
    });
  });

  test('fewer pods than tiles and more; an index that fails leaves the others alone', async () => {
    const text = readFileSync(engine('kubernetes-tiles.yaml'), 'utf8');
    const pods = (n: number): void =>
      writeFileSync('tiles.yaml', text.replace('completions: 8', `completions: ${n}`).replace('"8"', `"${n}"`));
    const mend = breakTile(1);
    pods(3);
    expect((await shell.run('kubectl apply -f tiles.yaml')).code).toBe(1);
    expect((await run('merge', 'job.json', '--missing')).out).toBe('1\n');
    mend();
    pods(11);
    expect((await shell.run('kubectl apply -f tiles.yaml')).code).toBe(0);
    expect((await shell.run(`kubectl apply -f '${engine('kubernetes-merge.yaml')}'`)).code).toBe(0);
    expect(merged()).toBe('the same');
  });
});

describe('run --stdin', () => {
  test('a result a line; bad lines say their number and stop nothing; the exit code says so', async () => {
    const script = `printf '\\357\\273\\2770\\r\\n\\n{"index":1}\\n{"index":1.5}\\n[2]\\nno\\n99\\n{"manifest":"none.json","index":2}\\n2' |
      rootberth run job.json --stdin`;
    const { code, out, err } = await shell.run(script);
    const told = lines(out);
    expect(told.map(({ line, index }) => [line, index])).toEqual([
      [1, 0],
      [3, 1],
      [4, null],
      [5, null],
      [6, null],
      [7, 99],
      [8, 2],
      [9, 2],
    ]);
    const failures = told.map((one) => ('error' in one ? one.error.code : one.before));
    const unreadable = Array(3).fill('line-unreadable');
    expect(failures).toEqual([false, false, ...unreadable, 'tile-unknown', 'manifest-unreadable', false]);
    const { record } = await runTile('job.json', 2);
    expect(told[7]).toMatchObject({
      sha256: record.sha256,
      bytes: record.bytes,
      trees: record.trees,
      file: 'job.json.d/results/000002.data',
    });
    const last = told[7] as Extract<LineResult, { verdicts: object }>;
    expect(Object.values(last.verdicts).reduce((a, b) => a + b)).toBe(record.trees.in);
    expect([code, err]).toEqual([1, '5 of 8 lines failed\n']);
  });

  test('an input that changed is told tile by tile; nothing but the manifest’s own lines are needed', async () => {
    const works = readFileSync('works.geojson', 'utf8');
    writeFileSync('works.geojson', works.replaceAll('paving', 'trench'));
    const { code, out } = await shell.run(`printf '0\\n1\\n' | rootberth run job.json --stdin`);
    writeFileSync('works.geojson', works);
    expect([code, lines(out).map((one) => ('error' in one ? one.error.code : ''))]).toEqual([
      1,
      ['input-changed', 'input-changed'],
    ]);
    const own = `echo '{"manifest":"job.json","index":0}' | rootberth run --stdin && echo 0 | rootberth run --stdin`;
    const again = await shell.run(own);
    expect([again.code, lines(again.out).map((one) => 'error' in one)]).toEqual([1, [false, true]]);
    expect((await run('run', '--stdin', '--index', '0', '--manifest', 'job.json')).code).toBe(2);
  });

  test('two pipes with the same tiles at the same time: the same results, and nothing left beside them', async () => {
    const pipe = (to: string): string => `seq 0 7 | rootberth run job.json --stdin > ${to} &`;
    expect((await shell.run(`${pipe('a.ndjson')} ${pipe('b.ndjson')} wait`)).code).toBe(0);
    const [a, b] = ['a.ndjson', 'b.ndjson'].map((name) =>
      lines(readFileSync(name, 'utf8')).map((one) => ('error' in one ? one.error : one.sha256)),
    );
    expect(a).toHaveLength(TILES);
    expect(a).toEqual(b);
    expect(readdirSync('job.json.d/results')).toHaveLength(TILES * 2);
    expect((await run('merge', 'job.json')).code).toBe(0);
    expect(merged()).toBe('the same');
  });

  test('nothing is read ahead of what is taken, and a line without end is not held', async () => {
    let asked = 0;
    const source = async function* (): AsyncGenerator<string> {
      for (; asked < 4; asked++) yield '0\n';
      for (let i = 0; i < 20; i++) yield 'x'.repeat(1 << 14);
      yield '\n0';
    };
    const results = runLines(source(), { manifest: 'job.json' });
    for (let taken = 0; taken < 4; taken++) {
      expect(asked).toBe(Math.max(0, taken - 1)); // the line that was taken last is still being held
      expect((await results.next()).value).toMatchObject({ line: taken + 1, index: 0 });
    }
    expect((await results.next()).value).toMatchObject({ line: 5, index: null, error: { code: 'line-unreadable' } });
    expect((await results.next()).value).toMatchObject({ line: 6, index: 0, before: true });
    expect(await results.next()).toMatchObject({ done: true });
  });

  test('a line stays below what a pipe takes at once, however long a message is', async () => {
    const manifest = `${'\u0001'.repeat(5000)}.json`;
    const source = async function* (): AsyncGenerator<string> {
      yield JSON.stringify({ manifest, index: 1 });
    };
    for await (const result of runLines(source())) {
      expect(Buffer.byteLength(JSON.stringify(result))).toBeLessThan(4095);
    }
  });

  test('the program itself: a reader that leaves ends it without a word', async () => {
    const cli = join(ROOT, 'dist/cli.js');
    const child = spawn(process.execPath, [cli, 'run', '--manifest', 'job.json', '--stdin'], { cwd: dir });
    child.stdin.on('error', () => undefined);
    child.stdin.write('0\n'.repeat(2000));
    let err = '';
    child.stderr.on('data', (text) => (err += text));
    const first = await new Promise<string>((done) => child.stdout.once('data', (bytes) => done(String(bytes))));
    expect(JSON.parse(first.split('\n')[0] ?? '')).toMatchObject({ line: 1, index: 0 });
    child.stdout.destroy();
    const code = await new Promise((done) => child.once('close', done));
    expect([code, err]).toEqual([0, '']);
  });
});

test('--index: several tiles, steps, none; a tile that fails does not stop those after it', async () => {
  const mend = breakTile(3);
  const { code, out, err } = await run('run', '--manifest', 'job.json', '--index', '1-last:2,0');
  mend();
  expect(out.match(/^tile \d/gm)).toEqual(['tile 1', 'tile 5', 'tile 7', 'tile 0']);
  expect(code).toBe(1);
  expect(err).toMatch(/^tile 3: error manifest-invalid[\s\S]*1 of 5 tiles failed\n$/);
  const none = await run('run', '--manifest', 'job.json', '--index', '8-last:100');
  expect([none.code, none.out]).toEqual([0, '']);
  expect((await run('run', '--manifest', 'job.json', '--index', '7-last:0')).code).toBe(2);
  expect((await run('run', '--manifest', 'job.json', '--index', '3-1')).code).toBe(2);
  await expect(mergeTiles('job.json')).rejects.toMatchObject({ message: '4 of 8 tiles are not done: 2, 3, 4, 6' });
  truncateSync('job.json.d/results/000005.data', 100);
  rmSync('job.json.d/results/000007.data');
  expect(await missingTiles('job.json')).toEqual([2, 3, 4, 5, 6, 7]);
  expect((await runTile('job.json', 5)).isOld).toBe(false);
  expect(await missingTiles('job.json')).toEqual([2, 3, 4, 6, 7]);
});
