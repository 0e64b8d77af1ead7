// Shell completion, held against the shells themselves: bash runs the script and is asked what it offers; zsh and fish read
// theirs where they are installed.
import { execFileSync, spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { run } from '../support/cli.js';

let dir = '';
const script = (shell: string): string => join(dir, `completion.${shell}`);
beforeAll(async () => {
  dir = mkdtempSync(join(tmpdir(), 'completion-'));
  for (const shell of ['bash', 'zsh', 'fish']) {
    const { code, out } = await run('completion', shell);
    expect(code).toBe(0);
    writeFileSync(script(shell), out);
  }
  writeFileSync(join(dir, 'survey one.csv'), '');
  writeFileSync(join(dir, 'works.geojson'), '');
});
afterAll(() => rmSync(dir, { recursive: true }));

/** What bash offers for the last word. */
function offered(...words: string[]): string[] {
  const ask = `source "$1"; shift; COMP_WORDS=("$@"); COMP_CWORD=$(($# - 1)); _rootberth; printf "%s\\n" "\${COMPREPLY[@]}"`;
  const out = execFileSync('bash', ['--norc', '-c', ask, 'bash', script('bash'), 'rootberth', ...words], {
    cwd: dir,
    encoding: 'utf8',
  });
  return out.split('\n').filter((line) => line !== '');
}

describe('bash', () => {
  test.each<[string, string[], string[]]>([
    [
      'commands',
      [''],
      [
        'assess',
        'siting',
        'compare',
        'check',
        'notes',
        'rules',
        'split',
        'run',
        'merge',
        'enqueue',
        'work',
        'demo',
        'completion',
      ],
    ],
    ['a command begun', ['as'], ['assess']],
    ['options before a command', ['--'], ['--help', '--version']],
    ['an option begun', ['assess', '--sch'], ['--schedule']],
    ['an option of another command', ['check', '--sch'], []],
    ['choices', ['assess', '--units', ''], ['us', 'metric']],
    ['choices behind an equals sign', ['assess', '--units', '=', 'm'], ['metric']],
    ['the equals sign itself', ['assess', '--units', '='], ['us', 'metric']],
    ['rules', ['assess', '--rule', 'as'], ['as4970-2009']],
    ['a rule file', ['assess', '--rule', 'works'], ['works.geojson']],
    ['a file with a blank in its name', ['assess', '--trees', 'sur'], ['survey one.csv']],
    ['a file behind a kind', ['assess', '--works', 'paving', '=', 'wo'], ['works.geojson']],
    ['kinds with their equals sign', ['assess', '--overdig', 'b'], ['building=', 'bore=']],
    ['free text', ['assess', '--title', ''], []],
    ['files as arguments', ['check', 'wo'], ['works.geojson']],
    ['ids as arguments', ['rules', 'din'], ['din18920']],
    ['shells', ['completion', ''], ['bash', 'zsh', 'fish']],
    ['an option behind others', ['assess', '--quiet', '--trees', 'works.geojson', '--fail-'], ['--fail-on']],
  ])('%s', (_what, words, expected) => {
    expect(offered(...words)).toEqual(expected);
  });

  test('every option of assess is offered', async () => {
    const { out } = await run('assess', '--help', 'all');
    const listed = [...out.matchAll(/^ {2}(?:-\w, )?(--[a-z-]+)/gm)].map((match) => match[1]);
    expect(listed.length).toBeGreaterThan(60);
    expect(offered('assess', '--')).toEqual(listed);
  });
});

const has = (shell: string): boolean => spawnSync(shell, ['--version']).status === 0;

describe.skipIf(!has('zsh'))('zsh', () => {
  test('reads its script', () => {
    const read = 'autoload -U compinit; compinit -u -D; source "$1"; [[ $_comps[rootberth] == _rootberth ]]';
    expect(spawnSync('zsh', ['-f', '-c', read, 'zsh', script('zsh')], { encoding: 'utf8' })).toMatchObject({
      status: 0,
      stderr: '',
    });
  });
});

describe.skipIf(!has('fish'))('fish', () => {
  const ask = (line: string): string[] => {
    const out = execFileSync('fish', ['-N', '-c', `source ${script('fish')}; complete -C '${line}'`], { cwd: dir });
    return out
      .toString()
      .split('\n')
      .filter((found) => found !== '')
      .map((found) => found.split('\t')[0]!);
  };
  test.each<[string, string[]]>([
    ['rootberth as', ['assess']],
    ['rootberth assess --units m', ['metric']],
    ['rootberth assess --sched', ['--schedule']],
    ['rootberth check wo', ['works.geojson']],
    ['rootberth rules din', ['din18920']],
  ])('%s', (line, expected) => expect(ask(line)).toEqual(expected));
});

test('a shell nobody asked for is wrong usage', async () => {
  const { code, err } = await run('completion', 'csh');
  expect([code, err]).toEqual([2, expect.stringContaining('bash, zsh, fish')]);
});
