// Columns in plain or in shared memory: in: whether threads will share them; out: makers of typed arrays.
// Terms: share = the same column if it may lie where it is, else a copy in shared memory.

import type { Pieces } from '../geometry/index.js';

export interface Columns {
  readonly buffer: ArrayBufferConstructor | SharedArrayBufferConstructor;
  floats(n: number): Float64Array;
  integers(n: number): Int32Array;
  bytes(n: number): Uint8Array;
  share(column: Float64Array): Float64Array;
  shareIndices(column: Uint32Array): Uint32Array;
  sharePieces(pieces: Pieces): Pieces;
}

export function columnMaker(shared: boolean): Columns {
  const memory = (bytes: number): ArrayBufferLike => (shared ? new SharedArrayBuffer(bytes) : new ArrayBuffer(bytes));
  const floats = (n: number): Float64Array => new Float64Array(memory(n * 8));
  const shareBytes = (column: Uint8Array): Uint8Array => {
    if (!shared || column.buffer instanceof SharedArrayBuffer) return column;
    const out = new Uint8Array(memory(column.length));
    out.set(column);
    return out;
  };
  const share = (column: Float64Array): Float64Array => {
    if (!shared || column.buffer instanceof SharedArrayBuffer) return column;
    const out = floats(column.length);
    out.set(column);
    return out;
  };
  const shareIndices = (column: Uint32Array): Uint32Array => {
    if (!shared || column.buffer instanceof SharedArrayBuffer) return column;
    const out = new Uint32Array(memory(column.length * 4));
    out.set(column);
    return out;
  };
  return {
    buffer: shared ? SharedArrayBuffer : ArrayBuffer,
    floats,
    integers: (n) => new Int32Array(memory(n * 4)),
    bytes: (n) => new Uint8Array(memory(n)),
    share,
    shareIndices,
    sharePieces: (pieces) => ({
      count: pieces.count,
      ringStart: shareIndices(pieces.ringStart),
      vertexStart: shareIndices(pieces.vertexStart),
      xy: share(pieces.xy),
      box: share(pieces.box),
      owner: shareIndices(pieces.owner),
      classBit: shareIndices(pieces.classBit),
      cuts: shareBytes(pieces.cuts),
      chunkStart: shareIndices(pieces.chunkStart),
      chunkBox: share(pieces.chunkBox),
    }),
  };
}
