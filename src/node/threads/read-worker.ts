// The reading thread: in: a path and options; out: the layer's data through the port, its columns moved, not copied.
// Terms: see read-thread.ts.

import { parentPort, workerData } from 'node:worker_threads';
import { InputError, type LayerData, layerData } from '../../model/index.js';
import { type FileReadOptions, readLayer } from '../read/files.js';
import type { ReadAnswer } from './read-thread.js';

const { path, options } = workerData as { readonly path: string; readonly options: FileReadOptions };

function buffersOf(data: LayerData): ArrayBuffer[] {
  const { geometry: g, stored } = data;
  const columns = [
    g.kind,
    g.partStart,
    g.ringStart,
    g.vertexStart,
    g.xy,
    g.z,
    g.m,
    stored.block,
    stored.start,
    stored.length,
  ];
  const all = [...columns, ...stored.blocks].flatMap((column) =>
    column === null ? [] : [column.buffer as ArrayBuffer],
  );
  return [...new Set(all)].filter((buffer) => buffer.byteLength > 0);
}

async function answer(): Promise<{ readonly message: ReadAnswer; readonly moved: ArrayBuffer[] }> {
  try {
    const data = layerData(await readLayer(path, options));
    if (data === undefined)
      return { message: { failed: `${path} was read in a way that can't be handed over` }, moved: [] };
    return { message: { data }, moved: buffersOf(data) };
  } catch (error) {
    if (!(error instanceof InputError)) return { message: { failed: String(error) }, moved: [] };
    const { code, message, layer, feature, path: place, cure, usage, choices } = error;
    return { message: { refused: { code, message, layer, feature, path: place, cure, usage, choices } }, moved: [] };
  }
}

const { message, moved } = await answer();
parentPort?.postMessage(message, moved);
