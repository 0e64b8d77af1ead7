// What matters of long polygons about many places, one after another. In: Pieces, then rectangles; out: rings that are the
// same within the rectangle. Terms: see near-part.ts; block = corners that follow each other, with their box; tree = blocks
// in pairs, pairs in pairs, so that a ring is walked only where it comes near.
// Cost: made once like the corners; a rectangle costs what lies in it, times the logarithm of the corners.

import { BoxIndex } from '../box-index.js';
import type { Pieces } from '../kernel/pieces.js';
import type { Ring } from './ring.js';

/** West, south, east, north. */
export type Rectangle = readonly [number, number, number, number];

/** Corners in a block. */
const BLOCK = 16;
const [EAST, WEST, NORTH, SOUTH] = [1, 2, 4, 8] as const;

export class NearRings {
  readonly #pieces: Pieces;
  readonly #index: BoxIndex;
  readonly #pieceOf: Uint32Array; // per ring
  readonly #trees = new Map<number, BlockTree>();

  constructor(pieces: Pieces) {
    const { count, ringStart, vertexStart, xy } = pieces;
    const rings = ringStart[count]!;
    const boxes = new Float64Array(rings * 4);
    this.#pieces = pieces;
    this.#pieceOf = new Uint32Array(rings);
    for (let p = 0; p < count; p++) this.#pieceOf.fill(p, ringStart[p]!, ringStart[p + 1]!);
    for (let r = 0; r < rings; r++) boxes.set(boxOf(xy, vertexStart[r]!, vertexStart[r + 1]!), r * 4);
    this.#index = new BoxIndex(boxes);
  }

  /**
   * The polygons that come into a rectangle, without what lies beyond it: how often a ring goes round any place in the
   * rectangle stays as it is, and edges that meet it stay to the last bit. Coordinates count from (x, y), the rectangle's
   * too.
   */
  within([west, south, east, north]: Rectangle, x: number, y: number): Ring[][] {
    const at: Rectangle = [west + x, south + y, east + x, north + y];
    const n = this.#index.search(...at);
    const out: Ring[][] = [];
    let last = -1;
    for (const r of this.#index.found.slice(0, n).sort()) {
      const ring = this.#treeOf(r).within(at, x, y);
      if (ring.length < 6) continue;
      const piece = this.#pieceOf[r]!;
      if (piece === last) out.at(-1)!.push(ring);
      else out.push([ring]);
      last = piece;
    }
    return out;
  }

  #treeOf(ring: number): BlockTree {
    let tree = this.#trees.get(ring);
    if (tree === undefined) {
      const { vertexStart, xy } = this.#pieces;
      tree = new BlockTree(xy, vertexStart[ring]!, vertexStart[ring + 1]!);
      this.#trees.set(ring, tree);
    }
    return tree;
  }
}

class BlockTree {
  readonly #xy: Float64Array;
  readonly #from: number;
  readonly #to: number;
  /** Boxes by level: of blocks first, of the whole ring last. */
  readonly #levels: Float64Array[];

  constructor(xy: Float64Array, from: number, to: number) {
    this.#xy = xy;
    this.#from = from;
    this.#to = to;
    let level = new Float64Array(Math.ceil((to - from) / BLOCK) * 4);
    for (let b = 0; b * 4 < level.length; b++) {
      level.set(boxOf(xy, from + b * BLOCK, Math.min(from + (b + 1) * BLOCK, to)), b * 4);
    }
    this.#levels = [level];
    while (level.length > 4) {
      level = paired(level);
      this.#levels.push(level);
    }
  }

  within(box: Rectangle, x: number, y: number): Ring {
    const run = new Run(this.#xy, x, y);
    this.#walk(this.#levels.length - 1, 0, box, run);
    run.flush();
    return run.ring;
  }

  #walk(level: number, node: number, box: Rectangle, run: Run): void {
    const first = this.#from + node * (BLOCK << level);
    const end = Math.min(first + (BLOCK << level), this.#to);
    const boxes = this.#levels[level]!;
    const i = node * 4;
    const side =
      (boxes[i]! > box[2] ? EAST : boxes[i + 2]! < box[0] ? WEST : 0) |
      (boxes[i + 1]! > box[3] ? NORTH : boxes[i + 3]! < box[1] ? SOUTH : 0);
    if (side !== 0) run.take(first, end - 1, side);
    else if (level > 0) {
      this.#walk(level - 1, node * 2, box, run);
      if (node * 8 + 4 < this.#levels[level - 1]!.length) this.#walk(level - 1, node * 2 + 1, box, run);
    } else for (let v = first; v < end; v++) run.take(v, v, sideOf(this.#xy, v, box));
  }
}

/** Strings corners together, and leaves out those between the first and the last of a run beyond one side. */
class Run {
  readonly ring: number[] = [];
  readonly #xy: Float64Array;
  readonly #x: number;
  readonly #y: number;
  #side = 0;
  #first = -1;
  #last = -1;

  constructor(xy: Float64Array, x: number, y: number) {
    this.#xy = xy;
    this.#x = x;
    this.#y = y;
  }

  take(first: number, last: number, side: number): void {
    const both = this.#side & side;
    if (both === 0) {
      this.flush();
      this.#first = first;
      this.#side = side;
    } else this.#side = both;
    this.#last = last;
  }

  flush(): void {
    if (this.#first < 0) return;
    this.#put(this.#first);
    if (this.#last > this.#first) this.#put(this.#last);
  }

  #put(v: number): void {
    this.ring.push(this.#xy[v * 2]! - this.#x, this.#xy[v * 2 + 1]! - this.#y);
  }
}

function paired(level: Float64Array): Float64Array<ArrayBuffer> {
  const out = new Float64Array(Math.ceil(level.length / 8) * 4);
  for (let i = 0; i < out.length; i += 4) {
    const a = i * 2;
    const b = a + 4 < level.length ? a + 4 : a;
    out[i] = Math.min(level[a]!, level[b]!);
    out[i + 1] = Math.min(level[a + 1]!, level[b + 1]!);
    out[i + 2] = Math.max(level[a + 2]!, level[b + 2]!);
    out[i + 3] = Math.max(level[a + 3]!, level[b + 3]!);
  }
  return out;
}

function boxOf(xy: Float64Array, from: number, to: number): Rectangle {
  let [west, south, east, north] = [Infinity, Infinity, -Infinity, -Infinity];
  for (let v = from; v < to; v++) {
    const [x, y] = [xy[v * 2]!, xy[v * 2 + 1]!];
    [west, south] = [Math.min(west, x), Math.min(south, y)];
    [east, north] = [Math.max(east, x), Math.max(north, y)];
  }
  return [west, south, east, north];
}

function sideOf(xy: Float64Array, v: number, [west, south, east, north]: Rectangle): number {
  const [x, y] = [xy[v * 2]!, xy[v * 2 + 1]!];
  return (x > east ? EAST : x < west ? WEST : 0) | (y > north ? NORTH : y < south ? SOUTH : 0);
}
