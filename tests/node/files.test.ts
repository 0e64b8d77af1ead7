// Files, standard input and zips -> Layer (Node): companions, names, hashes, caps, refusals.

import { createHash } from 'node:crypto';
import { chmod, mkdir, mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { InputError } from '../../src/model/findings.js';
import { type FileReadOptions, readLayer } from '../../src/node/read/files.js';
import { readZip } from '../../src/node/read/index.js';
import type { ShapefileParts } from '../../src/read/index.js';
import { bytesOf, codesOf, coordinatesOf } from '../support/layers.js';
import { writeShapefile, writeZip, zipShapefile } from '../support/shapefile.js';

let folder = '';
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'read-files-'));
});
afterAll(() => rm(folder, { recursive: true, force: true }));

const sha256 = (...chunks: (Uint8Array | undefined)[]): string => {
  const hash = createHash('sha256');
  for (const chunk of chunks) if (chunk !== undefined) hash.update(chunk);
  return hash.digest('hex');
};
const put = async (name: string, bytes: Uint8Array): Promise<string> => {
  const path = join(folder, name);
  await writeFile(path, bytes);
  return path;
};
const refusal = async (act: Promise<unknown>): Promise<InputError> => {
  const error = await act.then(
    () => new Error('nothing was refused'),
    (e: unknown) => e,
  );
  if (error instanceof InputError) return error;
  throw error;
};
const parts = (id = 'T1'): ShapefileParts =>
  writeShapefile({
    type: 'point',
    fields: [{ name: 'ID', type: 'C', length: 8 }],
    features: [{ geometry: { type: 'Point', coordinates: [7650000, 680000] }, properties: { ID: id } }],
    prj: 'PROJCS["X"]',
    cpg: 'UTF-8',
  });
const geojson = bytesOf('{"type":"Feature","geometry":{"type":"Point","coordinates":[1,2]},"properties":{"tag":"G"}}');
const zipped = async (name: string, zip: Uint8Array, options: FileReadOptions = {}) =>
  readLayer(await put(name, zip), options);

describe('files', () => {
  it('reads a file; the name has no folders and the hash is that of its bytes', async () => {
    const layer = await readLayer(await put('site.geojson', geojson));
    expect([layer.name, layer.count, layer.sha256]).toEqual(['site.geojson', 1, sha256(geojson)]);
  });

  it('reads standard input, also a zip', async () => {
    async function* stdin(bytes: Uint8Array) {
      yield bytes.slice(0, 10);
      yield bytes.slice(10);
    }
    const layer = await readLayer('-', { stdin: stdin(geojson) });
    expect([layer.name, layer.properties(0), layer.sha256]).toEqual(['stdin', { tag: 'G' }, sha256(geojson)]);
    const csv = await readLayer('-', { stdin: stdin(bytesOf('x,y\n1.5,2.5\n')), format: 'csv' });
    expect(coordinatesOf(csv, 0)).toEqual([1.5, 2.5]);
    expect((await readLayer('-', { stdin: stdin(zipShapefile('t', parts())) })).format).toBe('shapefile');
  });

  it('finds the companions of a loose shapefile in any case', async () => {
    const p = parts();
    await put('Oaks.DBF', p.dbf as Uint8Array);
    await put('oaks.Prj', p.prj!);
    await put('OAKS.shx', p.shx as Uint8Array);
    await put('oaks.cpg', p.cpg!);
    const layer = await readLayer(await put('Oaks.shp', p.shp));
    expect([layer.name, layer.properties(0), layer.crs, layer.findings]).toEqual([
      'Oaks.shp',
      { ID: 'T1' },
      { from: 'prj', text: 'PROJCS["X"]' },
      [],
    ]);
    expect(layer.sha256).toBe(sha256(p.shp, p.dbf, p.shx, p.prj, p.cpg));
  });

  it('reads a .shp without companions', async () => {
    const layer = await readLayer(await put('alone.shp', parts().shp));
    expect([layer.count, layer.crs, codesOf(layer)]).toEqual([1, null, ['record-count']]);
  });

  it('says in words why a file cannot be read', async () => {
    const missing = await refusal(readLayer(join(folder, 'nowhere.geojson')));
    expect([missing.code, missing.layer, missing.message]).toEqual([
      'file-missing',
      'nowhere.geojson',
      'nowhere.geojson does not exist',
    ]);
    await mkdir(join(folder, 'sub'));
    expect((await refusal(readLayer(join(folder, 'sub')))).code).toBe('file-directory');
    expect((await refusal(readLayer(await put('empty.csv', new Uint8Array())))).code).toBe('file-empty');
    const secret = await put('secret.csv', bytesOf('x,y\n1,2\n'));
    await chmod(secret, 0);
    // The superuser may read everything.
    if (process.getuid?.() !== 0) expect((await refusal(readLayer(secret))).code).toBe('file-permission');
    const book = writeZip([
      { name: '[Content_Types].xml', bytes: geojson },
      { name: 'xl/workbook.xml', bytes: geojson },
    ]);
    for (const name of ['book.xlsx', 'book.zip']) {
      const error = await refusal(zipped(name, book));
      expect([error.code, error.message]).toEqual(['xlsx-broken', expect.stringContaining('workbook')]);
    }
  });
});

describe('zips', () => {
  it.each([false, true])('reads a shapefile, packed: %s', async (deflate) => {
    const zip = zipShapefile('trees', parts(), deflate);
    const layer = await zipped('survey.zip', zip);
    expect([layer.name, layer.properties(0), layer.crs?.from, layer.sha256]).toEqual([
      'survey.zip',
      { ID: 'T1' },
      'prj',
      sha256(zip),
    ]);
    expect(layer.findings).toEqual([]);
  });

  it('finds it in folders, in upper case, beside hidden files', async () => {
    const p = parts();
    const layer = await zipped(
      'nested.zip',
      writeZip([
        { name: '__MACOSX/._TREES.SHP', bytes: bytesOf('x') },
        { name: 'a/b/.hidden.shp', bytes: bytesOf('x') },
        { name: 'a/b/', bytes: new Uint8Array() },
        { name: 'a/b/TREES.SHP', bytes: p.shp },
        { name: 'a/b/trees.dbf', bytes: p.dbf as Uint8Array },
        { name: 'a/b/TREES.PRJ', bytes: p.prj! },
        { name: 'a/readme.txt', bytes: bytesOf('read me') },
        { name: 'a/meta.json', bytes: bytesOf('{}') },
        { name: 'other/TREES.DBF', bytes: bytesOf('not this one') },
      ]),
    );
    expect([layer.properties(0), layer.crs?.text]).toEqual([{ ID: 'T1' }, 'PROJCS["X"]']);
  });

  it('reads a packed GeoJSON, sequence or CSV by its inner name', async () => {
    const csv = bytesOf('x,y\n1,2\n');
    expect((await zipped('g.zip', writeZip([{ name: 'd/trees.geojson', bytes: geojson }]))).properties(0)).toEqual({
      tag: 'G',
    });
    expect((await zipped('c.zip', writeZip([{ name: 'trees.CSV', bytes: csv }]))).format).toBe('csv');
    expect(
      (
        await zipped(
          's.zip',
          writeZip([{ name: 'trees.json', bytes: bytesOf(`${new TextDecoder().decode(geojson)}\n`.repeat(3)) }]),
        )
      ).count,
    ).toBe(3);
    const broken = await refusal(zipped('b.zip', writeZip([{ name: 'trees.geojson', bytes: bytesOf('oops') }])));
    expect([broken.code, broken.layer]).toEqual(['not-json', 'b.zip']);
  });

  it('lists several layers, and takes the one that is chosen', async () => {
    const two = [parts('A'), parts('B')].flatMap((p, i) =>
      Object.entries(p).map(([extension, bytes]) => ({
        name: `gis/layer${i}.${extension}`,
        bytes: bytes as Uint8Array,
      })),
    );
    const zip = writeZip([...two, { name: 'extra.geojson', bytes: geojson }]);
    const error = await refusal(zipped('two.zip', zip));
    expect([error.code, error.message]).toEqual(['zip-several', expect.stringContaining('layer0.shp, layer1.shp')]);
    for (const layer of ['layer1', 'LAYER1.shp', 'gis/layer1.shp']) {
      expect((await zipped('two.zip', zip, { layer })).properties(0)).toEqual({ ID: 'B' });
    }
    expect((await zipped('two.zip', zip, { layer: 'extra' })).properties(0)).toEqual({ tag: 'G' });
    expect((await refusal(zipped('two.zip', zip, { layer: 'nope' }))).code).toBe('zip-layer');
    expect((await refusal(zipped('none.zip', writeZip([{ name: 'a.doc', bytes: geojson }])))).code).toBe('zip-empty');
    expect((await refusal(zipped('no.zip', writeZip([])))).code).toBe('zip-empty');
  });

  it('holds to its caps', async () => {
    const many = writeZip(Array.from({ length: 1001 }, (_, i) => ({ name: `f${i}.txt`, bytes: new Uint8Array() })));
    expect((await refusal(readZip(many, 'many.zip'))).code).toBe('zip-caps');
    const bomb = writeZip([{ name: 'trees.csv', bytes: new Uint8Array(3_000_000).fill(32), deflate: true }]);
    expect((await refusal(readZip(bomb, 'bomb.zip'))).code).toBe('zip-caps');
    expect((await readZip(bomb, 'bomb.zip', undefined, { ratio: 2000 })).parts.get('csv')?.length).toBe(3_000_000);
    expect((await refusal(readZip(zipShapefile('t', parts()), 't.zip', undefined, { bytes: 200 }))).code).toBe(
      'zip-caps',
    );
    expect((await refusal(readZip(zipShapefile('t', parts()), 't.zip', undefined, { entries: 4 }))).code).toBe(
      'zip-caps',
    );
  });

  it('refuses a size that the directory understates, and a password', async () => {
    const lie = writeZip([{ name: 'trees.csv', bytes: bytesOf('x,y\n1,2\n'.repeat(100)), deflate: true }]);
    const at = lie.length - 22 - (46 + 9); // the directory's only record
    new DataView(lie.buffer).setUint32(at + 24, 10, true);
    expect((await refusal(readZip(lie, 'lie.zip'))).code).toBe('zip-broken');
    const locked = writeZip([{ name: 'trees.csv', bytes: bytesOf('x,y\n1,2\n'), deflate: true }]);
    const record = locked.length - 22 - (46 + 9);
    locked[record + 8] = (locked[record + 8] ?? 0) | 1;
    expect((await refusal(readZip(locked, 'locked.zip'))).code).toBe('zip-encrypted');
  });

  it('refuses a zip in which a single bit has changed', async () => {
    const zip = writeZip([{ name: 'trees.csv', bytes: bytesOf('x,y\n7650000,680000\n') }]);
    const at = 30 + 'trees.csv'.length + 5;
    zip[at] = (zip[at] ?? 0) ^ 1;
    expect((await refusal(readZip(zip, 'bit.zip'))).message).toContain('check sum');
  });

  it('refuses a zip that is cut off at any place, and never hangs', async () => {
    const zip = zipShapefile('trees', parts(), true);
    for (let length = 4; length < zip.length; length += 13) {
      expect((await refusal(readZip(zip.slice(0, length), 'cut.zip'))).code).toBe('zip-broken');
    }
  });
});
