// Jobs that would run for minutes are stopped at whatever they are at. In: real processes and real signals; out: the exit
// code, an older file as it was, and nothing else beside it. The bounds are for a machine that does much else.
import { type ChildProcess, spawn } from 'node:child_process';
import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { constants, tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { listMemory, removeTemporariesIn } from '../../src/node/temporaries/index.js';

const CLI = join(dirname(fileURLToPath(import.meta.url)), '../../dist/cli.js');
/** Stopping takes a tenth of a second; the machine may be busy. */
const BOUND_MS = 15_000;

let folder = '';
let inputs: readonly string[] = [];

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'stopping-'));
  const next = (() => {
    let state = 5;
    return () => {
      state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
      return state / 2 ** 32;
    };
  })();
  // Tens of thousands of trees on one lawn among paths that cross: minutes of margins; of a few thousand, long drawing.
  const trees = Array.from({ length: 40_000 }, (_, i) => `T${i},${7640000 + next() * 90},${680000 + next() * 90},30`);
  const table = (rows: readonly string[]): string => `tag,x,y,dbh_in\n${rows.join('\n')}\n`;
  const square = (x: number, y: number, w: number, h: number) => [
    [x, y],
    [x + w, y],
    [x + w, y + h],
    [x, y + h],
    [x, y],
  ];
  const works = Array.from({ length: 400 }, () => ({
    type: 'Feature',
    properties: { kind: 'excavation' },
    geometry: {
      type: 'Polygon',
      coordinates: [square(7640000 + next() * 90, 680000 + next() * 90, 2 + next() * 20, 2)],
    },
  }));
  writeFileSync(join(folder, 'trees.csv'), table(trees));
  writeFileSync(join(folder, 'some.csv'), table(trees.slice(0, 1000)));
  writeFileSync(join(folder, 'works.geojson'), JSON.stringify({ type: 'FeatureCollection', features: works }));
  // A street of 40,000 corners with trees on both sides, and a house to move that is one of 1,200.
  const row = Array.from({ length: 900 }, (_, i) => `T${i},${7641000 + i * 8},${680000 + (i % 2 === 0 ? -10 : 40)},30`);
  writeFileSync(join(folder, 'row.csv'), table(row));
  const side = (y: number) => Array.from({ length: 20_000 }, (_, k) => [7641000 + (k * 7200) / 20_000, y + next() / 6]);
  const around = Array.from({ length: 1200 }, (_, k) => {
    const angle = (k * Math.PI) / 600;
    return [7641060 + 30 * Math.cos(angle), 680080 + 30 * Math.sin(angle)];
  });
  const features = [[...side(680000), ...side(680030).reverse()], around].map((ring, i) => ({
    type: 'Feature',
    properties: { id: i === 0 ? 'street' : 'house', kind: i === 0 ? 'paving' : 'building' },
    geometry: { type: 'Polygon', coordinates: [[...ring, ring[0]]] },
  }));
  writeFileSync(join(folder, 'street.geojson'), JSON.stringify({ type: 'FeatureCollection', features }));
  inputs = ['--works', join(folder, 'works.geojson'), '--crs', 'EPSG:2913'];
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

interface Job {
  readonly child: ChildProcess;
  readonly into: string;
  /** Resolves when stderr has said it. */
  said(words: string): Promise<void>;
  readonly ended: Promise<{ code: number | null; signal: NodeJS.Signals | null }>;
}

function start(trees: string, ...more: readonly string[]): Job {
  return startWith(['assess', '--trees', join(folder, trees), ...inputs, ...more]);
}

function startWith(words: readonly string[]): Job {
  const into = mkdtempSync(join(folder, 'out-'));
  const out = join(into, 'assessed.geojson');
  writeFileSync(out, 'older');
  const child = spawn(process.execPath, [CLI, ...words, '--threads', '1', '--out', out], {
    stdio: ['ignore', 'ignore', 'pipe'],
  });
  let err = '';
  child.stderr.on('data', (text) => {
    err += String(text);
  });
  return {
    child,
    into,
    said: (words) => until(() => err.includes(words)),
    ended: new Promise((resolve) => child.on('close', (code, signal) => resolve({ code, signal }))),
  };
}

async function until(holds: () => boolean): Promise<void> {
  while (!holds()) await new Promise((resolve) => setTimeout(resolve, 20));
}

async function stopped({ child, ended, into }: Job, signal: NodeJS.Signals): Promise<void> {
  child.kill(signal);
  let late: NodeJS.Timeout | undefined;
  const tooLate = new Promise<'too late'>((resolve) => {
    late = setTimeout(() => resolve('too late'), BOUND_MS);
  });
  const end = await Promise.race([ended, tooLate]);
  clearTimeout(late);
  if (end === 'too late') child.kill('SIGKILL');
  expect(end).toEqual({ code: 128 + constants.signals[signal], signal: null });
  expect(readdirSync(into)).toEqual(['assessed.geojson']);
  expect(readFileSync(join(into, 'assessed.geojson'), 'utf8')).toBe('older');
}

describe.each(['SIGINT', 'SIGTERM', 'SIGHUP'] as const)('%s', (signal) => {
  test('while reading', async () => {
    const job = start('trees.csv');
    await job.said('reading trees.csv');
    await stopped(job, signal);
  });

  test('while measuring', async () => {
    const job = start('trees.csv', '--margins', 'all');
    await job.said('assessing 40000 trees');
    await stopped(job, signal);
  });

  test('while drawing and writing', async () => {
    const job = start('some.csv', '--margins', 'none', '--roles', 'overlap,severed,fence,tree');
    await until(() => readdirSync(job.into).length > 1); // the temporary file is there
    await stopped(job, signal);
  });
});

describe('SIGTERM, where one outline has thousands of corners', () => {
  const street = () => [
    '--trees',
    join(folder, 'row.csv'),
    '--works',
    join(folder, 'street.geojson'),
    '--crs',
    'EPSG:2913',
  ];

  test('while margins are looked for along it', async () => {
    const job = startWith(['assess', ...street(), '--margins', 'all', '--roles', 'tree']);
    await until(() => readdirSync(job.into).length > 1); // the trees are being written, each with its margin
    await stopped(job, 'SIGTERM');
  });

  test('while places are looked for', async () => {
    const job = startWith(['siting', ...street(), '--move', 'house', '--turn', '15deg', '--mirror']);
    await job.said('looking for places');
    await stopped(job, 'SIGTERM');
  });
});

test('a job that is not stopped gives its own exit code', async () => {
  const child = spawn(process.execPath, [CLI, 'check', join(folder, 'nothing.csv')], { stdio: 'ignore' });
  expect(await new Promise((resolve) => child.on('close', resolve))).toBe(1);
});

test('standard input is taken only where it is asked for', async () => {
  const script = `while read -r line; do ${JSON.stringify(process.execPath)} ${JSON.stringify(CLI)} check ${JSON.stringify(join(folder, 'works.geojson'))} >&2; echo "$line"; done`;
  const shell = spawn('sh', ['-c', script], { stdio: ['pipe', 'pipe', 'ignore'] });
  let lines = '';
  shell.stdout.on('data', (text) => {
    lines += String(text);
  });
  shell.stdin.end('one\ntwo\n');
  await new Promise((resolve) => shell.on('close', resolve));
  expect(lines).toBe('one\ntwo\n');
});

test('an empty list of temporary files removes nothing', () => {
  expect(() => removeTemporariesIn(listMemory())).not.toThrow();
});
