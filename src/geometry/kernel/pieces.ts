// Planar polygons as columns: in: rings of vertices; out: Pieces, what the disc kernel measures.
// Terms: piece = one polygon (shell anticlockwise, holes clockwise, no closing vertex) of one works row; class = what
// a rule tells works apart by (kind, depth), one bit each; chunk = 16 consecutive edges of a long ring with their box,
// so that a road is not walked edge by edge.

import { FloatColumn, IndexColumn } from '../column.js';

/**
 * Corners farther from the frame's middle than this (metres; a light month) are moved to the edge of that square: no works
 * are there, and products of four coordinates then still fit a double, so that no finite input can make a figure NaN.
 */
export const FAR_M = 1e15;
/** Edges in a chunk, and the ring length from which chunks pay. */
const CHUNK_EDGES = 16;
const CHUNKED_FROM = 32;

/** Bit of ground that is hard today: it is covered, but by nothing proposed. */
export const EXISTING = 1;
/** Bit of the polygon that bounds the measured shape, where that is not a disc. */
export const WITHIN = 2;
/** Bit of ground from which works have drawn back: they count as if they were not there. */
export const RETREATED = 4;
/** Bit of the first class of works; the others follow. */
export const FIRST_CLASS = 8;
/** The bits of every class of works. */
export const WORKS: number = 0x7fffffff & ~(EXISTING | WITHIN | RETREATED);
/** Classes that fit in the bits of a piece: those of a whole number with a sign, less the three above. */
export const MOST_CLASSES = 28;

/**
 * Polygons in one frame, metres. Piece p has rings ringStart[p] .. ringStart[p+1];
 * ring r has vertices vertexStart[r] .. vertexStart[r+1]; xy holds 2 numbers per vertex.
 */
export interface Pieces {
  readonly count: number;
  readonly ringStart: Uint32Array;
  readonly vertexStart: Uint32Array;
  readonly xy: Float64Array;
  readonly box: Float64Array; // 4 per piece: min x, min y, max x, max y
  readonly owner: Uint32Array; // works row
  readonly classBit: Uint32Array; // EXISTING, or FIRST_CLASS << number of the class (and a bit of all that cuts)
  readonly cuts: Uint8Array; // 1 where it severs what lies behind it
  readonly chunkStart: Uint32Array; // per ring + 1; equal neighbours where a ring has no chunks
  readonly chunkBox: Float64Array; // 4 per chunk
}

/** What a piece is, besides its shape. */
export interface PieceTag {
  readonly owner: number;
  readonly classBit: number;
  readonly cuts: boolean;
}

/** Rows of parts of rings of vertices, as columns: each holds where the next level begins. */
export interface RowTable {
  readonly partStart: Uint32Array;
  readonly ringStart: Uint32Array;
  readonly vertexStart: Uint32Array;
}

export type Placing = (lonLat: Float64Array, out: Float64Array) => void;

/**
 * Collects polygons: per ring `ring` and its `vertex` calls, then `end`; or `add` for a polygon given whole.
 *
 * @example
 * const b = new PieceBuilder();
 * b.ring(); b.vertex(0, 0); b.vertex(4, 0); b.vertex(4, 3);
 * b.end({ owner: 0, classBit: FIRST_CLASS, cuts: true });
 * const pieces = b.finish();
 */
export class PieceBuilder {
  readonly #xy = new FloatColumn();
  readonly #ringStart = new IndexColumn();
  readonly #vertexStart = new IndexColumn();
  readonly #owner = new IndexColumn();
  readonly #classBit = new IndexColumn();
  readonly #cuts = new IndexColumn();

  constructor() {
    this.#ringStart.push(0);
    this.#vertexStart.push(0);
  }

  get count(): number {
    return this.#owner.length;
  }

  ring(): void {
    this.#vertexStart.push(this.#xy.length / 2);
  }

  vertex(x: number, y: number): void {
    this.#xy.push(x);
    this.#xy.push(y);
    this.#vertexStart.set(this.#vertexStart.length - 1, this.#xy.length / 2);
  }

  end(tag: PieceTag): void {
    this.#ringStart.push(this.#vertexStart.length - 1);
    this.#owner.push(tag.owner);
    this.#classBit.push(tag.classBit);
    this.#cuts.push(tag.cuts ? 1 : 0);
  }

  /** A polygon given whole: rings as flat x, y arrays, shell first. */
  add(rings: readonly ArrayLike<number>[], tag: PieceTag): void {
    for (const ring of rings) {
      this.#vertexStart.push(this.#xy.length / 2);
      this.#xy.pushRange(ring, 0, ring.length - (ring.length % 2));
      this.#vertexStart.set(this.#vertexStart.length - 1, this.#xy.length / 2);
    }
    this.end(tag);
  }

  /** A polygon whose rings ring0 .. ring1 lie in columns; vertex numbers count from `first`. */
  addRings(
    xy: Float64Array,
    vertexStart: Uint32Array,
    ring0: number,
    ring1: number,
    first: number,
    tag: PieceTag,
  ): void {
    for (let r = ring0; r < ring1; r++) {
      this.#vertexStart.push(this.#xy.length / 2);
      this.#xy.pushRange(xy, (vertexStart[r]! - first) * 2, (vertexStart[r + 1]! - first) * 2);
      this.#vertexStart.set(this.#vertexStart.length - 1, this.#xy.length / 2);
    }
    this.end(tag);
  }

  /** Existing pieces, in their order, with new tags. */
  addPieces({ count, xy, ringStart, vertexStart }: Pieces, tagOf: (piece: number) => PieceTag): void {
    for (let p = 0; p < count; p++) {
      this.addRings(xy, vertexStart, ringStart[p]!, ringStart[p + 1]!, 0, tagOf(p));
    }
  }

  /** The parts of one row of a table of polygons, brought into the plane by `place` (lon, lat pairs to x, y). */
  addRow(table: RowTable, lonLat: Float64Array, row: number, place: Placing, tag: PieceTag): void {
    const { partStart, ringStart, vertexStart } = table;
    const vertexOf = (part: number): number => vertexStart[ringStart[part]!]!;
    const parts = partStart[row + 1]!;
    const first = vertexOf(partStart[row]!);
    const xy = new Float64Array((vertexOf(parts) - first) * 2);
    place(lonLat.subarray(first * 2, vertexOf(parts) * 2), xy);
    for (let p = partStart[row]!; p < parts; p++) {
      this.addRings(xy, vertexStart, ringStart[p]!, ringStart[p + 1]!, first, tag);
    }
  }

  finish(): Pieces {
    const xy = this.#xy.take();
    for (let i = 0; i < xy.length; i++) {
      const value = xy[i]!;
      if (value > FAR_M || value < -FAR_M) xy[i] = heldWithin(value, FAR_M);
    }
    return indexedPieces({
      ringStart: this.#ringStart.take(),
      vertexStart: this.#vertexStart.take(),
      xy,
      owner: this.#owner.take(),
      classBit: this.#classBit.take(),
      cuts: new Uint8Array(this.#cuts.take()),
    });
  }
}

/** The rings of piece p about a place, as flat x, y: shell first. */
export function pieceRings({ ringStart, vertexStart, xy }: Pieces, p: number, x: number, y: number): number[][] {
  const rings: number[][] = [];
  for (let r = ringStart[p]!; r < ringStart[p + 1]!; r++) {
    const ring: number[] = [];
    for (let v = vertexStart[r]!; v < vertexStart[r + 1]!; v++) {
      ring.push(xy[v * 2]! - x, xy[v * 2 + 1]! - y);
    }
    rings.push(ring);
  }
  return rings;
}

/** Distance from a place to the farthest corner of some pieces. */
export function reachOf({ xy }: Pieces, x: number, y: number): number {
  let reach = 0;
  for (let i = 0; i < xy.length; i += 2) {
    reach = Math.max(reach, Math.hypot(xy[i]! - x, xy[i + 1]! - y));
  }
  return reach;
}

/** A number held between -limit and limit; NaN stays NaN. */
export function heldWithin(value: number, limit: number): number {
  return value > limit ? limit : value < -limit ? -limit : value;
}

type Bare = Omit<Pieces, 'count' | 'box' | 'chunkStart' | 'chunkBox'>;

/** Adds the boxes of pieces and chunks to bare columns. */
export function indexedPieces(bare: Bare): Pieces {
  const count = bare.owner.length;
  const rings = bare.vertexStart.length - 1;
  const chunkStart = new Uint32Array(rings + 1);
  for (let r = 0; r < rings; r++) {
    const n = bare.vertexStart[r + 1]! - bare.vertexStart[r]!;
    chunkStart[r + 1] = chunkStart[r]! + (n >= CHUNKED_FROM ? Math.ceil(n / CHUNK_EDGES) : 0);
  }
  const chunkBox = new Float64Array(chunkStart[rings]! * 4);
  for (let r = 0; r < rings; r++) boxChunks(bare, r, chunkStart, chunkBox);
  const box = new Float64Array(count * 4);
  for (let p = 0; p < count; p++) {
    const [ring0, ring1] = [bare.ringStart[p]!, bare.ringStart[p + 1]!];
    boxOf(bare.xy, bare.vertexStart[ring0]!, bare.vertexStart[ring1]!, box, p * 4);
  }
  return { ...bare, count, box, chunkStart, chunkBox };
}

/** First edge of a chunk, as an offset into its ring. */
export function chunkFirstEdge(chunk: number): number {
  return chunk * CHUNK_EDGES;
}

function boxChunks(bare: Bare, ring: number, chunkStart: Uint32Array, chunkBox: Float64Array): void {
  const v0 = bare.vertexStart[ring]!;
  const n = bare.vertexStart[ring + 1]! - v0;
  const first = chunkStart[ring]!;
  const chunks = chunkStart[ring + 1]! - first;
  for (let c = 0; c < chunks; c++) {
    const from = c * CHUNK_EDGES;
    const to = Math.min(from + CHUNK_EDGES, n); // edge `to - 1` ends at vertex `to`
    boxOf(bare.xy, v0 + from, v0 + to, chunkBox, (first + c) * 4);
    const last = (v0 + (to === n ? 0 : to)) * 2;
    growBox(chunkBox, (first + c) * 4, bare.xy[last]!, bare.xy[last + 1]!);
  }
}

function boxOf(xy: Float64Array, from: number, to: number, out: Float64Array, at: number): void {
  let west = Number.POSITIVE_INFINITY;
  let south = Number.POSITIVE_INFINITY;
  let east = Number.NEGATIVE_INFINITY;
  let north = Number.NEGATIVE_INFINITY;
  for (let i = from * 2; i < to * 2; i += 2) {
    const x = xy[i]!;
    const y = xy[i + 1]!;
    if (x < west) west = x;
    if (y < south) south = y;
    if (x > east) east = x;
    if (y > north) north = y;
  }
  out[at] = west;
  out[at + 1] = south;
  out[at + 2] = east;
  out[at + 3] = north;
}

function growBox(out: Float64Array, at: number, x: number, y: number): void {
  if (x < out[at]!) out[at] = x;
  if (y < out[at + 1]!) out[at + 1] = y;
  if (x > out[at + 2]!) out[at + 2] = x;
  if (y > out[at + 3]!) out[at + 3] = y;
}

/**
 * Order of two pieces by their geometry alone (box, then vertices), so that sums do not depend on the order of input.
 * Negative when a comes first; 0 only for identical shapes.
 */
export function comparePieces(pieces: Pieces, a: number, b: number): number {
  for (let k = 0; k < 4; k++) {
    const d = pieces.box[a * 4 + k]! - pieces.box[b * 4 + k]!;
    if (d !== 0) return d;
  }
  const a0 = pieces.vertexStart[pieces.ringStart[a]!]!;
  const b0 = pieces.vertexStart[pieces.ringStart[b]!]!;
  const aN = pieces.vertexStart[pieces.ringStart[a + 1]!]! - a0;
  const bN = pieces.vertexStart[pieces.ringStart[b + 1]!]! - b0;
  if (aN !== bN) return aN - bN;
  for (let k = 0; k < aN * 2; k++) {
    const d = pieces.xy[a0 * 2 + k]! - pieces.xy[b0 * 2 + k]!;
    if (d !== 0) return d;
  }
  const kind = pieces.classBit[a]! - pieces.classBit[b]!;
  return kind !== 0 ? kind : pieces.cuts[a]! - pieces.cuts[b]!;
}
