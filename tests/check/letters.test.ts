// Single letters for what is planned for a tree: read where the file's own words settle them, asked for everywhere else.
// In: columns of words; out: dispositions and findings, whole and in tiles.

import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { checkTrees } from '../../src/check/index.js';
import { DISPOSITIONS } from '../../src/model/index.js';
import { readLayer } from '../../src/read/index.js';
import { run } from '../support/cli.js';
import { bytesOf } from '../support/layers.js';

const survey = (words: readonly string[]): string =>
  `x,y,dbh_in,disposition\n${words.map((word, i) => `${500000 + i * 30},5000000,12,${word}`).join('\n')}\n`;
const read = (words: readonly string[], values = {}) => {
  const { table, findings } = checkTrees(readLayer(bytesOf(survey(words)), { name: 't.csv' }), { values });
  const told = findings.filter(({ code }) => code === 'letter-read' || code === 'disposition-unknown');
  return { read: [...table.disposition].map((code) => DISPOSITIONS[code]), told };
};

it('reads letters that the words of the file settle, and says so once a letter with its count', () => {
  const { read: dispositions, told } = read(['Remove', 'R', 'r', 'Keep', 'K']);
  expect(dispositions).toEqual(['remove', 'remove', 'remove', 'keep', 'keep']);
  expect(told).toMatchObject([
    {
      code: 'letter-read',
      severity: 'info',
      feature: 1,
      message: expect.stringContaining('"R" was read as remove (2 trees)'),
    },
    { code: 'letter-read', feature: 4, message: expect.stringContaining('"K" was read as keep (1 tree)') },
  ]);
  expect(told[0]?.cure).toContain('--value disposition.R=remove');
});

it.each([
  ['no word is written out', ['R', 'K']],
  ['two meanings begin with the letter', ['Remove', 'Retain', 'R']],
  ['no other meaning is written out: it could be retain', ['Remove', 'R']],
  ['a word that begins with it is not known', ['Remove', 'Keep', 'Review', 'R']],
  ['no word begins with it', ['Remove', 'Keep', 'X']],
])('asks where %s', (_, words) => {
  const { read: dispositions, told } = read(words);
  expect(dispositions.at(-1)).toBe('unknown');
  expect(told.some(({ code }) => code === 'letter-read')).toBe(false);
  expect(told.some(({ code }) => code === 'disposition-unknown')).toBe(true);
});

it('leaves a letter to the job that says what it means', () => {
  const { read: dispositions, told } = read(['Remove', 'Keep', 'R'], { 'disposition.R': 'transplant' });
  expect([dispositions.at(-1), told]).toEqual(['transplant', []]);
});

it('is settled for the whole survey, not tile by tile', async () => {
  const folder = await mkdtemp(join(tmpdir(), 'letters-'));
  const [trees, whole, merged, manifest] = ['t.csv', 'whole.geojson', 'merged.geojson', 'job.json'].map((name) =>
    join(folder, name),
  );
  await writeFile(trees!, survey(['Remove', 'Keep', ...Array.from({ length: 10 }, () => 'R')]));
  const given = ['--trees', trees!, '--crs', 'EPSG:32610', '--margins', 'all'];
  expect((await run('assess', ...given, '--out', whole!)).code).toBe(0);
  expect((await run('split', ...given, '--tiles', '4', '--out', merged!, '--manifest', manifest!)).code).toBe(0);
  expect((await run('run', manifest!, '--index', 'all')).code).toBe(0);
  expect((await run('merge', manifest!)).code).toBe(0);
  expect(await readFile(merged!, 'utf8')).toBe(await readFile(whole!, 'utf8'));
  await rm(folder, { recursive: true });
});
