// Some features of a FlatGeobuf file by its index. In: a source of bytes, a box; out: a small file of the same kind with the
// features whose boxes meet it. Nothing is read but the header, the nodes on the way and those features.
// Terms: index = packed Hilbert R-tree behind the header, 40 bytes a node, root first, leaves last, in the order of the features.

import type { Box, ByteSource } from '../../read/index.js';

const NODE_BYTES = 40;
const MAGIC_BYTES = 8;

/** Where the parts of a file stand. */
export interface Layout {
  readonly headerEnd: number;
  readonly count: number; // of features, as the header says; 0: not known
  readonly countAt: number; // of that number in the header; 0: it is missing
  readonly nodeSize: number; // 0: no index
  readonly dataStart: number; // of the first feature
}

/**
 * Reads the counts in the header's table (header.fbs): features_count is its field 8, index_node_size field 9 (default 16).
 *
 * @throws RangeError where the header is cut off or damaged
 */
export function layoutOf(source: ByteSource): Layout {
  const start = viewOf(source, 0, MAGIC_BYTES + 8);
  const headerEnd = MAGIC_BYTES + 4 + start.getUint32(MAGIC_BYTES, true);
  if (headerEnd > source.size) throw new RangeError('the header is cut off');
  const view = viewOf(source, 0, headerEnd);
  const table = MAGIC_BYTES + 4 + view.getUint32(MAGIC_BYTES + 4, true);
  const vtable = table - view.getInt32(table, true);
  if (table > headerEnd || vtable < MAGIC_BYTES + 4) throw new RangeError('the header is damaged');
  const fieldAt = (field: number): number => {
    const slot = vtable + 4 + field * 2;
    const offset = slot < vtable + view.getUint16(vtable, true) ? view.getUint16(slot, true) : 0;
    return offset === 0 ? 0 : table + offset;
  };
  const [countAt, sizeAt] = [fieldAt(8), fieldAt(9)];
  const count = countAt === 0 ? 0 : Number(view.getBigUint64(countAt, true));
  const nodeSize = sizeAt === 0 ? 16 : view.getUint16(sizeAt, true);
  const hasIndex = nodeSize > 0 && count > 0;
  const indexBytes = hasIndex ? NODE_BYTES * levelBounds(count, nodeSize)[0]!.end : 0;
  return { headerEnd, count, countAt, nodeSize: hasIndex ? nodeSize : 0, dataStart: headerEnd + indexBytes };
}

/**
 * The features whose boxes meet the given one, in file order, as a file of their own: the header says how many they are, an
 * index of zeros stands where one has to be.
 *
 * @throws RangeError where the file ends too early
 */
export function chosenBytes(source: ByteSource, layout: Layout, box: Box): Uint8Array {
  const { headerEnd, countAt, nodeSize, dataStart } = layout;
  const offsets = search(source, layout, box);
  const features = offsets.map((offset) => {
    const at = dataStart + offset;
    const length = 4 + viewOf(source, at, 4).getUint32(0, true);
    return bytesOf(source, at, length).slice(); // a source's bytes are valid until the next request
  });
  const counted = Math.max(offsets.length, 1); // an index has at least one node
  const indexBytes = NODE_BYTES * levelBounds(counted, nodeSize)[0]!.end;
  const out = new Uint8Array(headerEnd + indexBytes + features.reduce((sum, { length }) => sum + length, 0));
  out.set(bytesOf(source, 0, headerEnd));
  new DataView(out.buffer).setBigUint64(countAt, BigInt(counted), true);
  let at = headerEnd + indexBytes;
  for (const bytes of features) {
    out.set(bytes, at);
    at += bytes.length;
  }
  return out;
}

interface Level {
  readonly start: number;
  readonly end: number; // node numbers
}

/** Node ranges by level, leaves first; the root is node 0. */
function levelBounds(items: number, size: number): readonly Level[] {
  const nodeSize = Math.max(size, 2); // as the format has it
  const counts = [items];
  for (let n = Math.ceil(items / nodeSize); ; n = Math.ceil(n / nodeSize)) {
    counts.push(n);
    if (n === 1) break;
  }
  let end = counts.reduce((sum, count) => sum + count, 0);
  return counts.map((count) => {
    const level = { start: end - count, end };
    end -= count;
    return level;
  });
}

/** Offsets of the features whose boxes meet the given one, in file order; level by level, so that a source reads forwards. */
function search(source: ByteSource, layout: Layout, [west, south, east, north]: Box): readonly number[] {
  const { headerEnd, count, nodeSize } = layout;
  const levels = levelBounds(count, nodeSize);
  let found = [0]; // the first of some siblings; for a leaf, its feature
  for (const { end } of levels.toReversed()) {
    const below: number[] = [];
    for (const first of found) {
      const nodes = Math.min(first + Math.max(nodeSize, 2), end) - first;
      const view = viewOf(source, headerEnd + first * NODE_BYTES, nodes * NODE_BYTES);
      for (let at = 0; at < view.byteLength; at += NODE_BYTES) {
        if (east < view.getFloat64(at, true) || north < view.getFloat64(at + 8, true)) continue;
        if (west > view.getFloat64(at + 16, true) || south > view.getFloat64(at + 24, true)) continue;
        below.push(Number(view.getBigUint64(at + 32, true)));
      }
    }
    found = below.sort((a, b) => a - b);
  }
  return found;
}

function viewOf(source: ByteSource, from: number, length: number): DataView {
  const bytes = bytesOf(source, from, length);
  return new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
}

function bytesOf(source: ByteSource, from: number, length: number): Uint8Array {
  const bytes = source.at(from, length);
  if (length < 0 || bytes.length < length) throw new RangeError('the file ends too early');
  return bytes;
}
