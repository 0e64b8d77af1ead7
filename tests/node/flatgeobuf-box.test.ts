// A part of a FlatGeobuf file: the features that a look at each of them finds, with only their bytes read; damage elsewhere is
// not seen, damage on the way is told.
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import fc from 'fast-check';
import { geojson } from 'flatgeobuf';
import { afterAll, describe, expect, it } from 'vitest';
import { readBox } from '../../src/node/read/files.js';
import { chosenBytes, layoutOf } from '../../src/node/read/flatgeobuf-index.js';
import { readLayer } from '../../src/node.js';
import { withIndex } from '../support/wkb.js';

const dir = mkdtempSync(join(tmpdir(), 'rootberth-fgb-'));
afterAll(() => rmSync(dir, { recursive: true }));

/** Points in bands from south to north, so that those of a box lie together in the file. */
const N = 3000;
const [E, S] = [7_650_000, 680_000];
const place = (i: number): [number, number] => [E + ((i * 7919) % 100), S + Math.floor(i / 30)];
const box = (w: number, s: number, e: number, n: number) => [E + w, S + s, E + e, S + n] as const;
const bytes = withIndex(
  geojson.serialize({
    type: 'FeatureCollection',
    features: Array.from({ length: N }, (_, i) => ({
      type: 'Feature' as const,
      properties: { tag: `T${i}`, remarks: 'x'.repeat(100) },
      geometry: { type: 'Point' as const, coordinates: place(i) },
    })),
  }),
);
const path = join(dir, 'trees.fgb');
writeFileSync(path, bytes);

/** A source that counts what is asked of it. */
function counted(of: Uint8Array) {
  let asked = 0;
  const at = (from: number, length: number): Uint8Array => {
    asked += length;
    return of.subarray(from, from + length);
  };
  return { source: { size: of.length, at }, asked: () => asked };
}

describe('some features by the index', () => {
  it('are those whose places lie in the box, in file order', async () => {
    const side = fc.double({ min: -5, max: 110, noNaN: true });
    await fc.assert(
      fc.asyncProperty(side, side, side, side, async (a, b, c, d) => {
        const bbox = box(Math.min(a, c), Math.min(b, d), Math.max(a, c), Math.max(b, d));
        const wanted = Array.from({ length: N }, (_, i) => i).filter((i) => {
          const [x, y] = place(i);
          return x >= bbox[0] && x <= bbox[2] && y >= bbox[1] && y <= bbox[3];
        });
        const layer = await readBox(path, 'flatgeobuf', { bbox, name: 'trees.fgb' });
        const tags = Array.from({ length: layer.count }, (_, row) => layer.value(row, 'tag'));
        expect(tags).toEqual(wanted.map((i) => `T${i}`));
        expect(layer.sha256).toBeNull();
      }),
      { numRuns: 40 },
    );
  });

  it('are all that is read of the file, with the nodes on the way', async () => {
    const { source, asked } = counted(bytes);
    const layout = layoutOf(source);
    expect([layout.count, layout.nodeSize]).toEqual([N, 16]);
    const small = chosenBytes(source, layout, box(0, 40, 100, 41)); // 60 of 3,000
    expect(layoutOf(counted(small).source).count).toBe(60);
    expect(asked()).toBeLessThan(bytes.length / 20);
    const whole = await readLayer(path);
    const part = await readLayer(path, { bbox: box(0, 40, 100, 41) });
    expect([part.count, part.sha256 === whole.sha256, part.fields]).toEqual([60, true, whole.fields]);
  });

  it('do not mind damage elsewhere; a file that ends before them is told', async () => {
    const { dataStart } = layoutOf(counted(bytes).source);
    const damaged = bytes.slice();
    damaged.fill(0xff, dataStart, dataStart + 10_000); // the first bands
    const name = 'trees.fgb';
    writeFileSync(join(dir, name), damaged);
    const bbox = box(0, 60, 100, 61);
    expect((await readBox(join(dir, name), 'flatgeobuf', { bbox, name })).count).toBe(60);
    writeFileSync(join(dir, name), bytes.slice(0, bytes.length - 30_000));
    const late = readBox(join(dir, name), 'flatgeobuf', { bbox: box(0, 98, 100, 99), name });
    await expect(late).rejects.toMatchObject({ code: 'flatgeobuf-broken' });
    writeFileSync(join(dir, name), readFileSync(path).subarray(0, 30));
    await expect(readBox(join(dir, name), 'flatgeobuf', { bbox, name })).rejects.toMatchObject({
      code: 'flatgeobuf-broken',
    });
    await expect(readBox(join(dir, 'none.fgb'), 'flatgeobuf', { bbox, name: 'none.fgb' })).rejects.toMatchObject({
      code: 'file-missing',
    });
  });
});
