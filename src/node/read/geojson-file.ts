// A large GeoJSON file -> Layer, read in chunks: in: a path; out: the Layer, or null when the file is none of these.
// Terms: large = from LARGE bytes on; smaller files are read whole, which costs less than the chunks do.

import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { type FileHandle, open } from 'node:fs/promises';
import type { Layer } from '../../model/index.js';
import { GeoJsonStream, type ReadOptions, tellFormat } from '../../read/index.js';

const LARGE = 8 << 20;
const CHUNK = 4 << 20;

/** Called after each chunk: bytes read so far and in all; an exception from it stops the reading. */
export type ReadProgress = (done: number, total: number) => void;

/** Reads a large GeoJSON document without ever holding its text; null when the path holds anything else. */
export async function readLargeGeoJson(
  path: string,
  options: ReadOptions,
  progress?: ReadProgress,
): Promise<Layer | null> {
  let file: FileHandle;
  try {
    file = await open(path, 'r');
  } catch {
    return null; // the ordinary reader reports what is wrong
  }
  try {
    const { size } = await file.stat();
    const head = new Uint8Array(4096);
    const known = (await file.read(head, 0, head.length, 0)).bytesRead;
    if (size < LARGE || known === 0) return null;
    const format = options.format ?? toldBy(head.subarray(0, known), options.name);
    if (format !== 'geojson' && format !== 'geojsonseq') return null;
    const stream = new GeoJsonStream(options, format === 'geojsonseq');
    const hash = createHash('sha256');
    // While one chunk is read from the disk the one before is taken apart.
    let [now, next] = [new Uint8Array(CHUNK), new Uint8Array(CHUNK)];
    let { bytesRead } = await file.read(now, 0, CHUNK, 0);
    for (let at = 0; bytesRead > 0; ) {
      const chunk = now.subarray(0, bytesRead);
      at += bytesRead;
      const coming = file.read(next, 0, CHUNK, at);
      try {
        hash.update(chunk);
        if (!stream.push(chunk)) return null;
        if (at <= 2 * CHUNK) stream.expect(at / size);
        progress?.(at, size);
      } finally {
        ({ bytesRead } = await coming);
      }
      [now, next] = [next, now];
    }
    return stream.finish(() => readFileSync(path), hash.digest('hex'));
  } finally {
    await file.close();
  }
}

function toldBy(head: Uint8Array, name: string): string | null {
  if (/\.(ndjson|geojsonl|geojsons|jsonl)$/i.test(name)) return 'geojsonseq';
  try {
    return tellFormat(head, name);
  } catch {
    return null;
  }
}
