// Zips without Node, as a web page opens them: the same layer as by rootberth/node, and refusals for what is damaged.
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import fc from 'fast-check';
import { afterAll, describe, expect, it } from 'vitest';
import { InputError } from '../../src/model/findings.js';
import type { Layer } from '../../src/model/index.js';
import { readLayer } from '../../src/node/read/files.js';
import { type ReadOptions, readLayerAsync } from '../../src/read/index.js';
import { bytesOf, coordinatesOf } from '../support/layers.js';
import { runs } from '../support/runs.js';
import { writeShapefile, writeZip, zipShapefile } from '../support/shapefile.js';

const folder = mkdtempSync(join(tmpdir(), 'archive-'));
afterAll(() => rmSync(folder, { recursive: true }));

const demo = readFileSync(new URL('../../data/demo/survey.zip', import.meta.url));
const point = (id: string) => ({ geometry: { type: 'Point', coordinates: [7650000, 680000] }, properties: { id } });
const parts = (id: string) => writeShapefile({ type: 'point', features: [point(id)], prj: 'LOCAL_CS["here"]' });
const csv = bytesOf('id,x,y\nT1,1,2\n');

const all = (layer: Layer) => ({
  format: layer.format,
  name: layer.name,
  crs: layer.crs,
  sha256: layer.sha256,
  features: Array.from({ length: layer.count }, (_, i) => [layer.properties(i), coordinatesOf(layer, i)]),
});
const refusal = async (bytes: Uint8Array, options: Partial<ReadOptions> = {}): Promise<InputError> => {
  const error = await readLayerAsync(bytes, { name: 'a.zip', ...options }).catch((e: unknown) => e);
  if (error instanceof InputError) return error;
  throw new Error(`not refused: ${error}`);
};

describe('zips without Node', () => {
  it('give what rootberth/node gives', async () => {
    const kml = bytesOf(
      '<kml xmlns="http://www.opengis.net/kml/2.2"><Placemark><name>T1</name><Point><coordinates>1,2</coordinates></Point></Placemark></kml>',
    );
    const archives: readonly (readonly [name: string, bytes: Uint8Array])[] = [
      ['survey.zip', demo],
      ['stored.zip', zipShapefile('trees', parts('a'), false)],
      ['table.zip', writeZip([{ name: 'd/trees.CSV', bytes: csv, deflate: true }])],
      ['nested.zip', writeZip([{ name: 'in/trees.zip', bytes: zipShapefile('trees', parts('b')) }])],
      ['site.kmz', writeZip(['doc.kml', 'other.kml'].map((name) => ({ name, bytes: kml })))],
    ];
    for (const [name, bytes] of archives) {
      const path = join(folder, name);
      writeFileSync(path, bytes);
      const byNode = await readLayer(path);
      const sha256 = byNode.sha256!;
      expect(all(await readLayerAsync(new Uint8Array(bytes), { name, sha256 })), name).toEqual(all(byNode));
    }
  });

  it('name the layers of several, and read the one that is chosen', async () => {
    const several = writeZip([
      { name: 'a.csv', bytes: csv },
      { name: 'b/b.csv', bytes: bytesOf('id,x,y\nT2,1,2\n') },
    ]);
    expect((await refusal(several)).cure).toContain('a.csv, b.csv');
    expect((await readLayerAsync(several, { name: 'a.zip', layer: 'b' })).properties(0).id).toBe('T2');
    expect((await refusal(several, { layer: 'c' })).code).toBe('zip-layer');
    expect((await refusal(writeZip([{ name: 'a.txt', bytes: csv }]))).code).toBe('zip-empty');
  });

  it('refuse passwords, and what grows too much', async () => {
    const locked = writeZip([{ name: 'a.csv', bytes: csv }]);
    const view = new DataView(locked.buffer, locked.byteOffset);
    const directory = view.getUint32(locked.length - 6, true);
    view.setUint16(directory + 8, 1, true);
    expect((await refusal(locked)).code).toBe('zip-encrypted');
    const blank = new Uint8Array(3 * 2 ** 20);
    expect((await refusal(writeZip([{ name: 'a.csv', bytes: blank, deflate: true }]))).code).toBe('zip-caps');
  });

  it('end in a layer or an InputError, cut off or changed anywhere; a changed byte is never read', async () => {
    const sound = zipShapefile('trees', parts('a'));
    const before = all(await readLayerAsync(sound, { name: 'a.zip' }));
    await fc.assert(
      fc.asyncProperty(fc.nat(sound.length - 1), fc.integer({ min: 1, max: 255 }), async (at, by) => {
        const changed = sound.slice();
        changed[at] = changed[at]! ^ by;
        for (const bytes of [changed, sound.slice(0, at)]) {
          const layer = await readLayerAsync(bytes, { name: 'a.zip', format: 'shapefile' }).catch((e: unknown) => e);
          if (layer instanceof InputError) continue;
          // Names and dates are not under the check sum: a part may be missed, what is read is what was packed.
          expect((layer as Layer).count).toBe(1);
          expect(all(layer as Layer).features[0]?.[1]).toEqual(before.features[0]?.[1]);
        }
      }),
      { numRuns: runs(150) },
    );
  });
});
