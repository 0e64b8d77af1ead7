// Static index of boxes (flatbush) with queries that allocate nothing: in: a box or a point; out: item numbers
// in `found`, or a walk from the nearest box outwards.
// Terms: node = a box of up to 8 boxes. flatbush's own search makes two arrays a call; at a million trees that cost
// half of the query time, so the same packed tree is walked here with reused memory.

import Flatbush from 'flatbush';

const NODE_SIZE = 8;

export class BoxIndex {
  readonly count: number;
  found: Int32Array = new Int32Array(256);
  readonly #boxes: ArrayLike<number>;
  readonly #indices: ArrayLike<number>;
  readonly #levelEnds: readonly number[];
  #stack = new Int32Array(512);
  #stackDistance = new Float64Array(512);

  /** Boxes as 4 numbers each: min x, min y, max x, max y. An empty index finds nothing. */
  constructor(boxes: Float64Array, data?: ArrayBufferLike) {
    this.count = boxes.length / 4;
    if (this.count === 0) {
      this.#boxes = [];
      this.#indices = [];
      this.#levelEnds = [];
      return;
    }
    const tree = data === undefined ? packed(boxes) : Flatbush.from(data);
    this.#boxes = tree._boxes;
    this.#indices = tree._indices;
    this.#levelEnds = tree._levelBounds;
  }

  /** Fills `found` with the items whose box meets the given one; returns how many. */
  search(minX: number, minY: number, maxX: number, maxY: number): number {
    if (this.count === 0) return 0;
    const boxes = this.#boxes;
    const leaves = this.count * 4;
    let n = 0;
    let top = 0;
    let node = boxes.length - 4;
    let level = this.#levelEnds.length - 1;
    for (;;) {
      const end = Math.min(node + NODE_SIZE * 4, this.#levelEnds[level] as number);
      for (let at = node; at < end; at += 4) {
        if (maxX < (boxes[at] as number) || maxY < (boxes[at + 1] as number)) continue;
        if (minX > (boxes[at + 2] as number) || minY > (boxes[at + 3] as number)) continue;
        const index = this.#indices[at >> 2] as number;
        if (node < leaves) {
          if (n === this.found.length) this.#growFound();
          this.found[n++] = index;
        } else {
          this.#stack[top++] = index;
          this.#stack[top++] = level - 1;
          if (top + 32 > this.#stack.length) this.#growStack();
        }
      }
      if (top === 0) return n;
      level = this.#stack[--top] as number;
      node = this.#stack[--top] as number;
    }
  }

  /**
   * Visits items in about the order of their box's distance from a point; `visit` returns the squared distance
   * beyond which nothing more is wanted, and boxes farther than that are left out.
   */
  nearest(x: number, y: number, limit2: number, visit: (item: number) => number): void {
    if (this.count === 0) return;
    const boxes = this.#boxes;
    const leaves = this.count * 4;
    let limit = limit2;
    let top = 1;
    this.#stack[0] = boxes.length - 4;
    this.#stack[1] = this.#levelEnds.length - 1;
    this.#stackDistance[0] = 0;
    while (top > 0) {
      top--;
      if ((this.#stackDistance[top] as number) > limit) continue;
      const node = this.#stack[top * 2] as number;
      const level = this.#stack[top * 2 + 1] as number;
      const end = Math.min(node + NODE_SIZE * 4, this.#levelEnds[level] as number);
      const floor = top;
      for (let at = node; at < end; at += 4) {
        const dx = Math.max((boxes[at] as number) - x, 0, x - (boxes[at + 2] as number));
        const dy = Math.max((boxes[at + 1] as number) - y, 0, y - (boxes[at + 3] as number));
        const d2 = dx * dx + dy * dy;
        if (d2 > limit) continue;
        const index = this.#indices[at >> 2] as number;
        if (node < leaves) {
          limit = visit(index);
          continue;
        }
        // children of one node are stacked farthest first, so that the nearest is opened next
        let k = top++;
        if (top * 2 + 32 > this.#stack.length) this.#growStack();
        for (; k > floor && (this.#stackDistance[k - 1] as number) < d2; k--) {
          this.#stackDistance[k] = this.#stackDistance[k - 1] as number;
          this.#stack[k * 2] = this.#stack[k * 2 - 2] as number;
          this.#stack[k * 2 + 1] = this.#stack[k * 2 - 1] as number;
        }
        this.#stackDistance[k] = d2;
        this.#stack[k * 2] = index;
        this.#stack[k * 2 + 1] = level - 1;
      }
    }
  }

  #growFound(): void {
    const out = new Int32Array(this.found.length * 2);
    out.set(this.found);
    this.found = out;
  }

  #growStack(): void {
    const stack = new Int32Array(this.#stack.length * 2);
    stack.set(this.#stack);
    this.#stack = stack;
    const distance = new Float64Array(this.#stackDistance.length * 2);
    distance.set(this.#stackDistance);
    this.#stackDistance = distance;
  }
}

function packed(boxes: Float64Array): Flatbush {
  const tree = new Flatbush(boxes.length / 4, NODE_SIZE);
  for (let i = 0; i < boxes.length; i += 4) {
    tree.add(boxes[i] as number, boxes[i + 1] as number, boxes[i + 2] as number, boxes[i + 3] as number);
  }
  tree.finish();
  return tree;
}
