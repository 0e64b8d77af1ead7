// Rings of the ground that segments enclose: in: segments that meet at their ends only, every place an end of an
// even number; out: shells (anticlockwise) and holes (clockwise) of the places an odd number of edges away from afar.
// Terms: dart = a segment walked one way; fan = the darts that leave one place, in anticlockwise order.

import { orient2d } from 'robust-predicates';
import { BoxIndex } from '../box-index.js';
import { twiceArea } from './ring.js';

/** Segments from which an index pays for finding those due west of a place. */
const INDEXED_FROM = 256;

/** One polygon: its shell, then its holes; each ring a list of x, y, none closed, no place twice in a ring. */
export type RingSet = readonly (readonly number[])[];

/**
 * Polygons by the even-odd rule. Darts are coloured by which side is inside: the two darts of a segment differ,
 * neighbours in a fan differ, so one known dart per connected piece colours them all.
 *
 * @example
 * ringsOf([0, 0, 2, 0, 2, 0, 1, 1, 0, 0, 1, 1]); // [[[0, 0, 2, 0, 1, 1]]] up to its starting corner
 */
export function ringsOf(segments: readonly number[]): RingSet[] {
  const graph = buildGraph(segments);
  const inside = colour(graph, segments);
  const rings = trace(graph, inside);
  return nest(rings);
}

/** Dart 2k goes along segment k, dart 2k+1 back. */
interface Graph {
  readonly x: number[]; // per node
  readonly y: number[];
  readonly from: Int32Array; // per dart: node
  readonly fan: readonly number[][]; // per node: darts leaving it, anticlockwise
  readonly place: Int32Array; // per dart: position in its fan
}

function buildGraph(s: readonly number[]): Graph {
  const nodes = new Map<string, number>();
  const x: number[] = [];
  const y: number[] = [];
  const fan: number[][] = [];
  const darts = s.length / 2;
  const from = new Int32Array(darts);
  for (let d = 0; d < darts; d++) {
    const px = s[d * 2]!;
    const py = s[d * 2 + 1]!;
    const key = `${px},${py}`;
    let node = nodes.get(key);
    if (node === undefined) {
      node = x.length;
      nodes.set(key, node);
      x.push(px);
      y.push(py);
      fan.push([]);
    }
    from[d] = node;
    fan[node]!.push(d);
  }
  const place = new Int32Array(darts);
  for (let node = 0; node < fan.length; node++) {
    const list = fan[node]!;
    list.sort((p, q) => compareAngle(x, y, node, from[p ^ 1]!, from[q ^ 1]!));
    list.forEach((d, i) => {
      place[d] = i;
    });
  }
  return { x, y, from, fan, place };
}

/** Anticlockwise order round a node, starting just past the direction of lesser x. */
function compareAngle(x: number[], y: number[], node: number, p: number, q: number): number {
  const sectorP = sector(x, y, node, p);
  const sectorQ = sector(x, y, node, q);
  if (sectorP !== sectorQ) return sectorP - sectorQ;
  return orient2d(x[node]!, y[node]!, x[p]!, y[p]!, x[q]!, y[q]!);
}

/** 0 for directions to the south, 1 for east and north, 2 for due west: in each two directions have an order. */
function sector(x: number[], y: number[], node: number, p: number): 0 | 1 | 2 {
  const dy = y[p]! - y[node]!;
  if (dy !== 0) return dy < 0 ? 0 : 1;
  return x[p]! > x[node]! ? 1 : 2;
}

/** Per dart 1 when its left side is inside. */
function colour(g: Graph, s: readonly number[]): Uint8Array {
  const inside = new Uint8Array(g.from.length);
  const piece = new Int32Array(g.x.length).fill(-1);
  const order = Array.from(g.x.keys()).sort((a, b) => g.x[a]! - g.x[b]! || g.y[a]! - g.y[b]!);
  const west = new WestFinder(s);
  for (const start of order) {
    if (piece[start] !== -1) continue;
    // the first node in this order is its piece's westernmost: due west of it lies no edge of the piece
    const list = g.fan[start]!;
    const outer = list[list.length - 1]!; // its left side holds the direction of lesser x
    let edges = 0; // of other pieces: none of its own lies there
    west.each(g.x[start]!, g.y[start]!, () => {
      edges++;
    });
    inside[outer] = edges & 1;
    spread(g, start, outer, inside, piece);
  }
  return inside;
}

/** Colours the piece of a node from one coloured dart of its fan. */
function spread(g: Graph, start: number, known: number, inside: Uint8Array, piece: Int32Array): void {
  const todo: number[] = [known];
  piece[start] = start;
  while (todo.length > 0) {
    const dart = todo.pop()!;
    const list = g.fan[g.from[dart]!]!;
    for (let i = 0; i < list.length; i++) {
      const d = list[i]!;
      const odd = ((i - g.place[dart]!) & 1) === 1;
      inside[d] = odd ? 1 - inside[dart]! : inside[dart]!;
      const twin = d ^ 1;
      const there = g.from[twin]!;
      if (piece[there] !== -1) continue;
      piece[there] = start;
      inside[twin] = 1 - inside[d];
      todo.push(twin);
    }
  }
}

/** Segments that pass due west of a place, whole or half steps of the grid. */
class WestFinder {
  readonly #s: readonly number[];
  readonly #index: BoxIndex | null;

  constructor(segments: readonly number[]) {
    this.#s = segments;
    this.#index = segments.length < INDEXED_FROM * 4 ? null : new BoxIndex(boxesOf(segments));
  }

  each(x: number, y: number, visit: (segment: number) => void): void {
    const s = this.#s;
    const index = this.#index;
    const count = index === null ? s.length / 4 : index.search(Number.NEGATIVE_INFINITY, y, x, y);
    for (let k = 0; k < count; k++) {
      const i = index === null ? k : index.found[k]!;
      const at = i * 4;
      if (westOf(s[at]!, s[at + 1]!, s[at + 2]!, s[at + 3]!, x, y)) visit(i);
    }
  }
}

function boxesOf(s: readonly number[]): Float64Array {
  const boxes = new Float64Array(s.length);
  for (let i = 0; i < s.length; i += 4) {
    boxes[i] = Math.min(s[i]!, s[i + 2]!);
    boxes[i + 1] = Math.min(s[i + 1]!, s[i + 3]!);
    boxes[i + 2] = Math.max(s[i]!, s[i + 2]!);
    boxes[i + 3] = Math.max(s[i + 1]!, s[i + 3]!);
  }
  return boxes;
}

/** Does the edge a-b pass strictly west of p (half-open in y, so that a corner counts once)? */
function westOf(ax: number, ay: number, bx: number, by: number, px: number, py: number): boolean {
  if (ay <= py === by <= py) return false;
  const turn = orient2d(ax, ay, bx, by, px, py); // > 0: p lies right of the way from a to b
  return ay < by ? turn > 0 : turn < 0;
}

/** Walks the darts whose left side is inside; a place met twice closes a ring of its own. */
function trace(g: Graph, inside: Uint8Array): number[][] {
  const used = new Uint8Array(g.from.length);
  const at = new Int32Array(g.x.length).fill(-1); // node -> position in the walk
  const rings: number[][] = [];
  for (let first = 0; first < inside.length; first++) {
    if (inside[first] === 0 || used[first] === 1) continue;
    const walk: number[] = [];
    for (let dart = first; used[dart] === 0; ) {
      used[dart] = 1;
      const node = g.from[dart]!;
      closeLoop(g, walk, at, node, rings);
      at[node] = walk.length;
      walk.push(node);
      const twin = dart ^ 1;
      const list = g.fan[g.from[twin]!]!;
      // the next dart round the same ground is the one just clockwise of the way we came
      dart = list[(g.place[twin]! + list.length - 1) % list.length]!;
    }
    const start = walk[0];
    if (start !== undefined) closeLoop(g, walk, at, start, rings);
  }
  return rings;
}

function closeLoop(g: Graph, walk: number[], at: Int32Array, node: number, rings: number[][]): void {
  const since = at[node]!;
  if (since < 0) return;
  const ring: number[] = [];
  for (const n of walk.splice(since)) {
    ring.push(g.x[n]!, g.y[n]!);
    at[n] = -1;
  }
  rings.push(ring);
}

/** Puts each hole into the smallest shell round it. */
function nest(rings: readonly (readonly number[])[]): RingSet[] {
  const areas = rings.map((ring) => twiceArea(ring));
  const edges: number[] = [];
  const owner: number[] = []; // ring of each edge
  rings.forEach((ring, r) => {
    if (areas[r]! <= 0) return;
    for (let i = 0; i < ring.length; i += 2) {
      const j = (i + 2) % ring.length;
      edges.push(ring[i]!, ring[i + 1]!, ring[j]!, ring[j + 1]!);
      owner.push(r);
    }
  });
  const west = new WestFinder(edges);
  const sets = new Map<number, (readonly number[])[]>();
  rings.forEach((ring, r) => {
    if (areas[r]! > 0) sets.set(r, [ring]);
  });
  rings.forEach((hole, h) => {
    if (areas[h]! > 0) return;
    // the middle of an edge is exact on the grid's halves and lies on no other edge
    const x = (hole[0]! + hole[2]!) / 2;
    const y = (hole[1]! + hole[3]!) / 2;
    const round = new Set<number>(); // shells met an odd number of times
    west.each(x, y, (edge) => {
      const r = owner[edge]!;
      if (!round.delete(r)) round.add(r);
    });
    let home = -1;
    for (const r of round) if (home < 0 || areas[r]! < areas[home]!) home = r;
    sets.get(home)?.push(hole);
  });
  return [...sets.values()];
}
