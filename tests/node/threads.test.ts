// Threads, the reading thread, progress and stopping, on the built library (npm test builds it first): figures are the
// same to the last bit whatever the number of threads.
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { writeCity } from '../../scripts/lib/synthetic.mjs';
import type { Progress } from '../../src/model/index.js';
import type * as Built from '../../src/node.js';

const dir = mkdtempSync(join(tmpdir(), 'threads-'));
const files = { trees: join(dir, 'trees.geojson'), works: [join(dir, 'works.geojson')] };
let built: typeof Built;

beforeAll(async () => {
  built = (await import('../../dist/node.js' as string)) as typeof Built;
  await writeCity(dir, 20_500); // enough for threads to be started
}, 60_000);
afterAll(() => rmSync(dir, { recursive: true }));

describe('threads', () => {
  it('give the same bytes as one thread', async () => {
    const texts: string[] = [];
    for (const threads of [1, 3]) {
      const assessment = await built.assessFiles({ ...files, threads });
      const out = join(dir, `out-${threads}.geojson`);
      await built.writeGeoJSON(out, assessment, { roles: ['tree'] });
      texts.push(readFileSync(out, 'utf8'));
    }
    expect(texts[1] === texts[0]).toBe(true);
    expect(JSON.parse(texts[0]!).features).toHaveLength(20_500);
  }, 60_000);

  it('tell how far they have come and stop when told to', async () => {
    const seen: Progress[] = [];
    await built.assessFiles({ ...files, threads: 2, onProgress: (p) => void seen.push(p) });
    const measured = seen.filter((p) => p.stage === 'measure').map((p) => p.done);
    expect(measured.length).toBeGreaterThan(3);
    expect(measured).toEqual([...measured].sort((a, b) => a - b));
    expect(measured.at(-1)).toBe(20_500);
    const stop = new AbortController();
    const stopped = built.assessFiles({
      ...files,
      threads: 2,
      signal: stop.signal,
      onProgress: (p) => p.stage === 'measure' && stop.abort(new Error('enough')),
    });
    await expect(stopped).rejects.toThrow('enough');
  }, 60_000);

  it('a layer read in a thread is the layer read here', async () => {
    const { readInThread } = (await import(
      '../../build/node/threads/read-thread.js' as string
    )) as typeof import('../../src/node/threads/read-thread.js');
    const [path] = files.works as [string];
    const here = await built.readLayer(path);
    const there = await readInThread(path, undefined);
    expect(there.geometry).toEqual(here.geometry);
    expect([there.count, there.fields, there.crs, there.sha256]).toEqual([
      here.count,
      here.fields,
      here.crs,
      here.sha256,
    ]);
    for (const i of [0, 1, here.count - 1]) expect(there.properties(i)).toEqual(here.properties(i));
    const bad = join(dir, 'bad.geojson');
    writeFileSync(bad, '{"type": "FeatureCollection", "features": [');
    await expect(readInThread(bad, undefined)).rejects.toMatchObject({ name: 'InputError', code: 'not-json' });
  }, 60_000);
});

describe('the built command line', () => {
  it('runs as a program: assess, and the exit code of --fail-on', async () => {
    const { execFile } = await import('node:child_process');
    const run = (args: readonly string[]): Promise<{ code: number; out: string; err: string }> =>
      new Promise((resolve) => {
        execFile(process.execPath, ['dist/cli.js', ...args], { timeout: 60_000 }, (error, out, err) => {
          resolve({ code: error === null ? 0 : Number(error.code), out, err });
        });
      });
    const out = join(dir, 'cli.geojson');
    const job = ['assess', '--trees', files.trees, '--works', files.works[0]!, '--roles', 'tree', '--out', out];
    const done = await run([...job, '--threads', '2']);
    expect([done.code, done.err.includes('default-rule'), done.out.includes('20500')]).toEqual([0, true, true]);
    expect((await run([...job, '--quiet', '--fail-on', 'over-limit'])).code).toBe(3);
    expect((await run([...job, '--threads', 'many'])).code).toBe(2);
  }, 90_000);
});
