// Help that teaches by example: every example is run, in a folder that holds the demo's files under the names used there.
import { copyFile, mkdtemp, readdir, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { EXAMPLES } from '../../src/cli/examples.js';
import { processIo } from '../../src/cli/io.js';
import { run } from '../support/cli.js';
import { runLine, shellLines } from '../support/shell-lines.js';

const DEMO = fileURLToPath(new URL('../../data/demo/', import.meta.url));
const COMMANDS = [
  'assess',
  'siting',
  'compare',
  'split',
  'run',
  'merge',
  'enqueue',
  'work',
  'check',
  'rules',
  'demo',
  'completion',
] as const;

const before = process.cwd();
let dir = '';
beforeAll(async () => {
  dir = await mkdtemp(join(tmpdir(), 'help-'));
  for (const name of await readdir(DEMO)) await copyFile(join(DEMO, name), join(dir, name));
  await copyFile(join(DEMO, 'works.geojson'), join(dir, 'drive.geojson'));
  process.chdir(dir);
});
afterAll(async () => {
  process.chdir(before);
  await rm(dir, { recursive: true });
});

const linesOf = (name: keyof typeof EXAMPLES): string =>
  [...EXAMPLES[name].matchAll(/^ {2,}(?:#|rootberth )(?:\\\n|.)*$/gm)].map((match) => match[0]).join('\n');

describe('examples', () => {
  test.each(COMMANDS)('of %s stand in its help, and each does what it says', async (name) => {
    const { out: help } = await run(name, '--help');
    expect(help).toContain(EXAMPLES[name]);
    const lines = shellLines(linesOf(name));
    expect(lines.length).toBeGreaterThan(0);
    for (const line of lines) {
      expect(line.words[0]).toBe('rootberth');
      if (['demo', 'enqueue', 'work'].includes(name)) continue; // tests of their own: tests/cli/cli.test.ts, tests/node/queue.test.ts
      const to = line.to === null ? null : line.to.split('/').at(-1)!; // home folders are not written to
      const { code, err } = await runLine({ ...line, to });
      expect(`${line.words.join(' ')}: ${code} ${code === 0 ? '' : err}`).toBe(`${line.words.join(' ')}: 0 `);
      if (to !== null) expect((await readFile(to, 'utf8')).length).toBeGreaterThan(100);
    }
  });

  test('the first help names the commands and how to go on', async () => {
    const { out } = await run('--help');
    for (const command of COMMANDS) expect(out).toMatch(new RegExp(`^  ${command}\\b`, 'm'));
    expect(out).toContain('rootberth check survey.zip');
    expect(shellLines(linesOf('rootberth')).map(({ words }) => words[1])).toEqual(['demo', 'check', 'assess']);
  });

  test('options of assess stand in groups', async () => {
    const { out } = await run('assess', '--help', 'all');
    const groups = [...out.matchAll(/^([A-Z].*):$/gm)].map((match) => match[1]);
    expect(groups.slice(0, 5)).toEqual(['Layers', 'Grades', 'Rule', 'Coordinates', 'Reading the files']);
    expect(out.indexOf('--trees')).toBeLessThan(out.indexOf('Rule:'));
  });
});

describe('slips of the pen', () => {
  test.each<[string[], string]>([
    [['assess', '--shedule', 's.csv'], '--schedule'],
    [['assess', '--cotnours'], ''],
    [['check', '--layr', 'x', 'f'], '--layer'],
    [['rule'], 'rules'],
    [['chekc', 'f'], 'check'],
  ])('%j', async (argv, meant) => {
    const { code, err } = await run(...argv);
    expect(code).toBe(2);
    if (meant === '') expect(err).not.toContain('Did you mean');
    else expect(err).toContain(`(Did you mean ${meant}?)`);
  });

  test.each<[string, string, RegExp]>([
    ['of the tree', 'dhb=base_dia_in', /dbh/],
    ['of the survey', 'dbh=base_dai_in', /base_dia_in/],
  ])('fields %s', async (_whose, field, meant) => {
    const { code, err } = await run(
      ...['assess', '--trees', 'survey.csv', '--crs', 'EPSG:2913', '--works', 'works.geojson'],
      ...['--out', 'never.geojson', '--field', field],
    );
    expect(code).toBeGreaterThan(0);
    expect(err).toMatch(meant);
  });
});

describe('colour', () => {
  const colours = (env: Record<string, string>, isTTY: boolean): boolean => {
    const saved = { ...process.env };
    const tty = process.stdout.isTTY;
    for (const name of ['NO_COLOR', 'FORCE_COLOR', 'TERM']) delete process.env[name];
    Object.assign(process.env, env);
    process.stdout.isTTY = isTTY;
    try {
      return processIo().colour.out;
    } finally {
      process.env = saved;
      process.stdout.isTTY = tty;
    }
  };
  test.each<[string, Record<string, string>, boolean, boolean]>([
    ['on a terminal', { TERM: 'xterm' }, true, true],
    ['not down a pipe', { TERM: 'xterm' }, false, false],
    ['not with NO_COLOR', { TERM: 'xterm', NO_COLOR: '1' }, true, false],
    ['NO_COLOR goes before FORCE_COLOR', { NO_COLOR: '1', FORCE_COLOR: '1' }, true, false],
    ['an empty NO_COLOR says nothing', { TERM: 'xterm', NO_COLOR: '' }, true, true],
    ['not on a terminal that cannot', { TERM: 'dumb' }, true, false],
    ['down a pipe where it is forced', { FORCE_COLOR: '1' }, false, true],
  ])('%s', (_what, env, isTTY, expected) => expect(colours(env, isTTY)).toBe(expected));
});
