// A part of a FlatGeobuf file -> Layer. In: a path, a box; out: the features that meet it. The rest of the file is not read.
// Terms: see flatgeobuf-index.ts. Apart from flatgeobuf.ts, which a browser runs too.

import { readFile } from 'node:fs/promises';
import type { Layer } from '../../model/index.js';
import type { Box, ReadOptions } from '../../read/index.js';
import { inWords, layerOf, readFlatGeobuf } from './flatgeobuf.js';
import { chosenBytes, layoutOf } from './flatgeobuf-index.js';
import { PartFile } from './parts.js';

/** Bytes of a file that are read at once where only some of it is wanted. */
const BLOCK_BYTES = 1 << 13;

/**
 * Reads the features in a box from a file: its header, the nodes of its index on the way, and those features. A file without an
 * index is read whole.
 *
 * @throws InputError as `readFlatGeobuf`
 */
export async function readFlatGeobufBox(path: string, options: ReadOptions & { readonly bbox: Box }): Promise<Layer> {
  const file = new PartFile(path, BLOCK_BYTES);
  try {
    const layout = inWords(options.name, () => layoutOf(file.source));
    if (layout.nodeSize === 0) return await readFlatGeobuf(await readFile(path), options);
    const bytes = inWords(options.name, () => chosenBytes(file.source, layout, options.bbox));
    return await layerOf(bytes, layout.count, options);
  } finally {
    file.dispose();
  }
}
