import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtemp, readdir, readFile, rm, symlink, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { drain, writePieces } from '../../src/node/write/write-file.js';
import { type Progress, toGeoJSON, writeAssessment, writeGeoJSON } from '../../src/node.js';
import { handMade } from '../support/assessment.js';

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
  const zones = JSON.parse(await readFile(files[0]!, 'utf8'));
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
  ['a folder that does not exist', 'no/a.txt'],
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

test('tells how far writing has come: every tree once for each role drawn from it; a signal stops it and the older file stays', async () => {
  const { assessment } = handMade();
  const path = join(dir, 'a.geojson');
  const seen: Progress[] = [];
  const roles = ['works', 'zone', 'tree'];
  await writeAssessment(path, assessment, { roles, onProgress: (progress) => seen.push(progress) });
  expect(seen.at(-1)).toEqual({ stage: 'write', name: 'a.geojson', done: 8, total: 8 });
  expect(seen.map((p) => p.done)).toEqual(seen.map((p) => p.done).toSorted((a, b) => a - b));
  const before = await readFile(path, 'utf8');
  expect(JSON.parse(before)).toEqual(toGeoJSON(assessment, { roles }));
  const signal = AbortSignal.abort(new Error('enough'));
  await expect(writeAssessment(path, assessment, { roles: ['tree'], signal })).rejects.toThrow('enough');
  expect([await readFile(path, 'utf8'), await readdir(dir)]).toEqual([before, ['a.geojson']]);
});

test('a write that fails while the next piece is made is told, and the file is closed after it', async () => {
  let written = 0;
  const pieces = (function* (): Generator<Uint8Array, void, undefined> {
    for (let i = 0; i < 3; i++) yield new Uint8Array(8).fill(i);
  })();
  const failing = drain(pieces, async (chunk) => {
    await new Promise((resolve) => setTimeout(resolve, 5));
    written++;
    if (chunk[0] === 1) throw new Error('disk');
  });
  await expect(failing).rejects.toThrow('disk');
  expect(written).toBe(2);
});

// Windows has no signals to send; there Ctrl-C reaches a console, not a child.
test.skipIf(process.platform === 'win32')('Ctrl-C while writing leaves the older file and nothing else', async () => {
  const path = join(dir, 'a.txt');
  await writeFile(path, 'older');
  const script = `
    import { writePieces } from ${JSON.stringify(new URL('../../build/node/write/write-file.js', import.meta.url).href)};
    const endless = function* () { for (;;) yield new Uint8Array(1 << 16).fill(46); };
    setTimeout(() => process.stdout.write('going'), 100);
    await writePieces(process.argv[1], endless());`;
  const child = spawn(process.execPath, ['--input-type=module', '-e', script, path], {
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  await once(child.stdout, 'data');
  expect((await readdir(dir)).length).toBe(2); // the older one and the temporary one
  child.kill('SIGINT');
  const [, signal] = await once(child, 'exit');
  expect([signal, await readFile(path, 'utf8'), await readdir(dir)]).toEqual(['SIGINT', 'older', ['a.txt']]);
});
