// Static index of boxes (flatbush) with queries that allocate nothing: in: a box or a point; out: item numbers
// in `found`, or a walk from the nearest box outwards.
// Terms: node = a box of up to 8 boxes. flatbush's own search makes two arrays a call; at a million trees that cost
// half of the query time, so the same packed tree is walked here with reused memory.

import Flatbush from 'flatbush';

const NODE_SIZE = 8;

export class BoxIndex {
  readonly count: number;
  found: Int32Array<ArrayBuffer> = new Int32Array(64);
  readonly #boxes: Float64Array;
  readonly #indices: Uint16Array | Uint32Array;
  readonly #levelEnds: readonly number[];
  #stack = new Int32Array(64);
  #stackDistance = new Float64Array(64);

  /** Boxes as 4 numbers each: min x, min y, max x, max y. An empty index finds nothing. */
  constructor(boxes: Float64Array, data?: ArrayBufferLike) {
    this.count = boxes.length / 4;
    if (this.count === 0) {
      this.#boxes = new Float64Array();
      this.#indices = new Uint32Array();
      this.#levelEnds = [];
      return;
    }
    const tree = Flatbush.from(data ?? packedBoxes(boxes, ArrayBuffer)!);
    this.#boxes = tree._boxes as Float64Array; // Float64Array is what packed() asks for
    this.#indices = tree._indices;
    this.#levelEnds = tree._levelBounds;
  }

  /** Fills `found` with the items whose box meets the given one; returns how many. */
  search(minX: number, minY: number, maxX: number, maxY: number): number {
    if (this.count === 0) return 0;
    const boxes = this.#boxes;
    const indices = this.#indices;
    const levelEnds = this.#levelEnds;
    const leaves = this.count * 4;
    let found = this.found;
    let stack = this.#stack;
    let n = 0;
    let top = 0;
    let node = boxes.length - 4;
    let level = this.#levelEnds.length - 1;
    for (;;) {
      const end = Math.min(node + NODE_SIZE * 4, levelEnds[level]!);
      const isLeaf = node < leaves;
      for (let at = node; at < end; at += 4) {
        if (maxX < boxes[at]! || maxY < boxes[at + 1]!) continue;
        if (minX > boxes[at + 2]! || minY > boxes[at + 3]!) continue;
        const index = indices[at >> 2]!;
        if (isLeaf) {
          if (n === found.length) found = this.#growFound();
          found[n++] = index;
        } else {
          stack[top++] = index;
          stack[top++] = level - 1;
          if (top + 32 > stack.length) stack = this.#growStack();
        }
      }
      if (top === 0) return n;
      level = stack[--top]!;
      node = stack[--top]!;
    }
  }

  /**
   * Visits items in about the order of their box's distance from a point; `visit` returns the squared distance
   * beyond which nothing more is wanted, and boxes farther than that are left out.
   */
  nearest(x: number, y: number, limit2: number, visit: (item: number) => number): void {
    if (this.count === 0) return;
    const boxes = this.#boxes;
    const indices = this.#indices;
    const levelEnds = this.#levelEnds;
    const leaves = this.count * 4;
    let stack = this.#stack;
    let distance = this.#stackDistance;
    let limit = limit2;
    let top = 1;
    stack[0] = boxes.length - 4;
    stack[1] = levelEnds.length - 1;
    distance[0] = 0;
    while (top > 0) {
      top--;
      if (distance[top]! > limit) continue;
      const node = stack[top * 2]!;
      const level = stack[top * 2 + 1]!;
      const end = Math.min(node + NODE_SIZE * 4, levelEnds[level]!);
      const isLeaf = node < leaves;
      const floor = top;
      for (let at = node; at < end; at += 4) {
        const west = boxes[at]! - x;
        const east = x - boxes[at + 2]!;
        const south = boxes[at + 1]! - y;
        const north = y - boxes[at + 3]!;
        const dx = west > 0 ? west : east > 0 ? east : 0;
        const dy = south > 0 ? south : north > 0 ? north : 0;
        const d2 = dx * dx + dy * dy;
        if (d2 > limit) continue;
        const index = indices[at >> 2]!;
        if (isLeaf) {
          limit = visit(index);
          continue;
        }
        // children of one node are stacked farthest first, so that the nearest is opened next
        let k = top++;
        if (top * 2 + 32 > stack.length) {
          stack = this.#growStack();
          distance = this.#stackDistance;
        }
        for (; k > floor && distance[k - 1]! < d2; k--) {
          distance[k] = distance[k - 1]!;
          stack[k * 2] = stack[k * 2 - 2]!;
          stack[k * 2 + 1] = stack[k * 2 - 1]!;
        }
        distance[k] = d2;
        stack[k * 2] = index;
        stack[k * 2 + 1] = level - 1;
      }
    }
  }

  #growFound(): Int32Array<ArrayBuffer> {
    const out = new Int32Array(this.found.length * 2);
    out.set(this.found);
    this.found = out;
    return out;
  }

  #growStack(): Int32Array<ArrayBuffer> {
    const stack = new Int32Array(this.#stack.length * 2);
    stack.set(this.#stack);
    this.#stack = stack;
    const distance = new Float64Array(this.#stackDistance.length * 2);
    distance.set(this.#stackDistance);
    this.#stackDistance = distance;
    return stack;
  }
}

/** The packed tree of some boxes, in plain or in shared memory; null when there are none. */
export function packedBoxes(
  boxes: Float64Array,
  buffer: ArrayBufferConstructor | SharedArrayBufferConstructor,
): ArrayBufferLike | null {
  if (boxes.length === 0) return null;
  const tree = new Flatbush(boxes.length / 4, NODE_SIZE, Float64Array, buffer);
  for (let i = 0; i < boxes.length; i += 4) {
    tree.add(boxes[i]!, boxes[i + 1]!, boxes[i + 2]!, boxes[i + 3]!);
  }
  tree.finish();
  return tree.data;
}
