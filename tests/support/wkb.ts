// Geometries in binary for tests: well-known binary, GeoPackage blobs, the index of a FlatGeobuf file.
// In: coordinates; out: bytes. Terms: as in src/read/wkb.ts.

export interface WkbOptions {
  readonly little?: boolean;
  readonly z?: boolean;
  readonly m?: boolean;
}

class Writer {
  readonly bytes: number[] = [];
  readonly #little: boolean;
  constructor(type: number, o: WkbOptions) {
    this.#little = o.little ?? true;
    this.bytes.push(this.#little ? 1 : 0);
    this.uint(type + (o.z ? 1000 : 0) + (o.m ? 2000 : 0));
  }
  uint(value: number): this {
    const view = new DataView(new ArrayBuffer(4));
    view.setUint32(0, value, this.#little);
    this.bytes.push(...new Uint8Array(view.buffer));
    return this;
  }
  doubles(values: readonly number[]): this {
    for (const value of values) {
      const view = new DataView(new ArrayBuffer(8));
      view.setFloat64(0, value, this.#little);
      this.bytes.push(...new Uint8Array(view.buffer));
    }
    return this;
  }
  take(): Uint8Array {
    return Uint8Array.from(this.bytes);
  }
}

type Position = readonly number[];

export const wkb = {
  point: (position: Position, o: WkbOptions = {}): Uint8Array => new Writer(1, o).doubles(position).take(),
  line: (positions: readonly Position[], o: WkbOptions = {}): Uint8Array =>
    new Writer(2, o).uint(positions.length).doubles(positions.flat()).take(),
  polygon: (rings: readonly (readonly Position[])[], o: WkbOptions = {}): Uint8Array => {
    const out = new Writer(3, o).uint(rings.length);
    for (const ring of rings) out.uint(ring.length).doubles(ring.flat());
    return out.take();
  },
  /** 4 to 6, or 7: members with headers of their own. */
  multi: (type: number, members: readonly Uint8Array[], o: WkbOptions = {}): Uint8Array => {
    const out = new Writer(type, o).uint(members.length);
    for (const member of members) out.bytes.push(...member);
    return out.take();
  },
};

/** A GeoPackage blob with an envelope, as most writers make it. */
export function gpkgBlob(geometry: Uint8Array): Buffer {
  const envelope = new Uint8Array(new Float64Array([0, 1, 0, 1]).buffer);
  return Buffer.from([0x47, 0x50, 0, 0b0000_0011, 0, 0, 0, 0, ...envelope, ...geometry]);
}

/**
 * The same FlatGeobuf file of single points with an index: the header's node size is set, and a packed R-tree of 16
 * children a node put behind it (the library writes none). Layout: flatgeobuf.org, levels root first, leaves last.
 */
export function withIndex(plain: Uint8Array, nodeSize = 16): Uint8Array {
  const view = new DataView(plain.buffer, plain.byteOffset, plain.byteLength);
  const dataStart = 12 + view.getUint32(8, true);
  const leaves: number[][] = [];
  for (let at = dataStart; at < plain.length; at += 4 + view.getUint32(at, true)) {
    // The points' own coordinates: found as two doubles at the end of the feature's geometry vector.
    leaves.push([...pointOf(plain, at), at - dataStart]);
  }
  const levels: number[][][] = [leaves.map(([x = 0, y = 0, offset = 0]) => [x, y, x, y, offset])];
  while (levels.at(-1)!.length > 1) {
    const below = levels.at(-1)!;
    const nodes: number[][] = [];
    for (let i = 0; i < below.length; i += nodeSize) {
      const kids = below.slice(i, i + nodeSize);
      const edge = (k: number, of: (...v: number[]) => number): number => of(...kids.map((kid) => kid[k]!));
      nodes.push([edge(0, Math.min), edge(1, Math.min), edge(2, Math.max), edge(3, Math.max), i]);
    }
    levels.push(nodes);
  }
  const starts: number[] = [];
  let start = 0;
  for (const level of levels.toReversed()) {
    starts.unshift(start);
    start += level.length;
  }
  const tree = new DataView(new ArrayBuffer(start * 40));
  levels.forEach((level, l) => {
    level.forEach(([a = 0, b = 0, c = 0, d = 0, child = 0], i) => {
      const at = (starts[l]! + i) * 40;
      [a, b, c, d].forEach((value, k) => {
        tree.setFloat64(at + k * 8, value, true);
      });
      tree.setBigUint64(at + 32, BigInt(l === 0 ? child : starts[l - 1]! + child), true);
    });
  });
  const out = new Uint8Array(plain.length + tree.byteLength);
  out.set(plain.subarray(0, dataStart));
  out.set(new Uint8Array(tree.buffer), dataStart);
  out.set(plain.subarray(dataStart), dataStart + tree.byteLength);
  setNodeSize(out, nodeSize);
  return out;
}

/** The vector of doubles of a point's geometry: 16 bytes behind a length of 2. */
function pointOf(bytes: Uint8Array, feature: number): [number, number] {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const end = feature + 4 + view.getUint32(feature, true);
  for (let at = feature + 4; at + 20 <= end; at += 4) {
    if (view.getUint32(at, true) !== 2) continue;
    const [x, y] = [view.getFloat64(at + 4, true), view.getFloat64(at + 12, true)];
    if (x >= 7_600_000 && x <= 7_700_000 && y >= 600_000 && y <= 700_000) return [x, y];
  }
  throw new Error('no point found');
}

/** index_node_size is field 9 of the header's table (header.fbs): the writer stores 0 there. */
function setNodeSize(bytes: Uint8Array, nodeSize: number): void {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const table = 12 + view.getUint32(12, true);
  const vtable = table - view.getInt32(table, true);
  const field = view.getUint16(vtable + 4 + 9 * 2, true);
  if (field === 0) throw new Error('the header holds no node size');
  view.setUint16(table + field, nodeSize, true);
}
