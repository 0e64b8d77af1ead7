import { mkdtemp, readdir, readFile, rm, symlink, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { writePieces } from '../src/node/write-file.js';
import { toGeoJSON, writeGeoJSON } from '../src/node.js';
import { handMade } from './support/assessment.js';

let dir = '';
beforeEach(async () => {
  dir = await mkdtemp(join(tmpdir(), 'write-'));
});
afterEach(async () => {
  await rm(dir, { recursive: true });
});

test('writeGeoJSON writes what toGeoJSON gives and hands back what drawing had to say', async () => {
  const { assessment } = handMade();
  const { files, findings } = await writeGeoJSON(join(dir, 'a.geojson'), assessment);
  expect(files).toEqual([join(dir, 'a.geojson')]);
  expect(findings.map((f) => f.code)).toEqual(['shape-approximate']);
  expect(JSON.parse(await readFile(join(dir, 'a.geojson'), 'utf8'))).toEqual(toGeoJSON(assessment));
});

test('a folder gets one file per role, and a finding of drawing comes once', async () => {
  const { assessment } = handMade();
  const { files, findings } = await writeGeoJSON(`${dir}/new/`, assessment, { roles: ['zone', 'overlap', 'severed'] });
  expect(files).toEqual(['zone', 'overlap', 'severed'].map((role) => join(dir, 'new', `${role}.geojson`)));
  expect(findings).toHaveLength(1);
  const zones = JSON.parse(await readFile(files[0] as string, 'utf8'));
  expect(zones).toEqual(toGeoJSON(assessment, { roles: ['zone'] }));
});

test('when making the text fails, the older file stays and no temporary file is left', async () => {
  const path = join(dir, 'a.txt');
  await writeFile(path, 'older');
  const failing = (function* (): Generator<string, void, undefined> {
    yield 'x'.repeat(300_000);
    throw new Error('half-way');
  })();
  await expect(writePieces(path, failing)).rejects.toThrow('half-way');
  expect([await readFile(path, 'utf8'), await readdir(dir)]).toEqual(['older', ['a.txt']]);
  expect(process.listenerCount('SIGINT') + process.listenerCount('exit')).toBe(before);
});
const before = process.listenerCount('SIGINT') + process.listenerCount('exit');

test('the generator is run as the file takes it: many pieces, beyond the basic plane, unchanged', async () => {
  const pieces = Array.from({ length: 40_000 }, (_, i) => `${i} é 🌳\n`);
  const gen = (function* (): Generator<string, number, undefined> {
    yield* pieces;
    return 7;
  })();
  expect(await writePieces(join(dir, 'a.txt'), gen)).toBe(7);
  expect(await readFile(join(dir, 'a.txt'), 'utf8')).toBe(pieces.join(''));
});

test.each([
  ['a folder that is not there', 'no/a.txt'],
  ['a folder', '.'],
])('%s is output-unwritable', async (_what, name) => {
  const gen = (function* (): Generator<string, void, undefined> {
    yield 'x';
  })();
  await expect(writePieces(join(dir, name), gen)).rejects.toMatchObject({
    name: 'InputError',
    code: 'output-unwritable',
  });
});

test('a link is written through', async () => {
  await writeFile(join(dir, 'real.txt'), 'older');
  await symlink(join(dir, 'real.txt'), join(dir, 'link.txt'));
  const gen = (function* (): Generator<string, void, undefined> {
    yield 'newer';
  })();
  await writePieces(join(dir, 'link.txt'), gen);
  expect(await readFile(join(dir, 'real.txt'), 'utf8')).toBe('newer');
});
