// Reading a file in a thread of its own: in: a path and options; out: the Layer, handed over without copying its columns.
// Terms: worth it = a file so large that reading it takes longer than starting a thread.

import { statSync } from 'node:fs';
import { Worker } from 'node:worker_threads';
import type { Layer } from '../../model/index.js';
import { InputError, type LayerData, layerOf } from '../../model/index.js';
import type { FileReadOptions } from '../read/files.js';

const WORTH_IT = 32 << 20;

/** The thread's answer. */
export type ReadAnswer =
  | { readonly data: LayerData }
  | { readonly refused: Omit<InputError, 'name' | 'stack'> }
  | { readonly failed: string };

/** Whether a file is large and of a kind that is read in chunks. */
export function isWorthAThread(path: string, options: FileReadOptions | undefined): boolean {
  if (path === '-' || !/\.(geo)?json$/i.test(path)) return false;
  if (options?.layer !== undefined || options?.stdin !== undefined) return false;
  try {
    return statSync(path).size >= WORTH_IT;
  } catch {
    return false; // reading it here gives the error message
  }
}

/** Reads a file as `readLayer` does, in a thread. */
export function readInThread(path: string, options: FileReadOptions | undefined): Promise<Layer> {
  const { progress: _, ...plain } = options ?? {};
  return new Promise((resolve, reject) => {
    const worker = new Worker(new URL('./read-worker.js', import.meta.url), { workerData: { path, options: plain } });
    worker.once('message', (answer: ReadAnswer) => {
      if ('data' in answer) resolve(layerOf(answer.data));
      else if ('failed' in answer) reject(new Error(answer.failed));
      else {
        const { code, message, layer, feature, path: place, cure, usage, choices } = answer.refused;
        const where = {
          ...(layer === null ? {} : { layer }),
          ...(feature === null ? {} : { feature }),
          ...(place === null ? {} : { path: place }),
        };
        reject(new InputError(code, message, { ...where, cure, usage, choices }));
      }
      void worker.terminate();
    });
    worker.once('error', reject);
  });
}
