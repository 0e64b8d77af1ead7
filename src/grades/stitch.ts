// Cells of one band joined into pieces. In: cells; out: pieces of ground, each with its rings, its cells and its deepest change.
// Terms: piece = cells that hang together by whole sides; border = sides that no other cell of the piece has. Sides are cancelled, not
// computed, so a piece has exactly the ground of its cells. Cost: linear in the sides.

import { ringHolds, signedArea } from '../geometry/index.js';
import type { StopSignal } from '../model/index.js';
import { type Cells, cellArea } from './cells.js';
import { LOOK_EVERY } from './surface.js';

export interface Piece {
  readonly band: number;
  readonly deepestM: number; // the largest change, either way, at its corners
  /** Polygons of numbers of places: shell anticlockwise, then holes. One, but for pieces that could not be joined. */
  readonly polygons: readonly (readonly (readonly number[])[])[];
}

/** Pieces under this share of ground, square units, come of rounding. */
const SMALLEST = 1e-4;
/** The ground of the rings and of the cells may differ by this share. */
const SHARE = 1e-6;

/** Pieces of every band but those left out, in order of their first cell. */
export function piecesOf(cells: Cells, isLeftOut: (band: number) => boolean, signal?: StopSignal): Piece[] {
  const groups = new Map<number, number[]>();
  const sides = new Sides(cells, isLeftOut, signal);
  for (let c = 0; c < cells.count; c++) {
    if (isLeftOut(cells.band[c]!)) continue;
    const root = sides.root(c);
    const group = groups.get(root);
    if (group === undefined) groups.set(root, [c]);
    else group.push(c);
  }
  const out: Piece[] = [];
  for (const group of groups.values()) {
    signal?.throwIfAborted();
    const piece = pieceOf(cells, group);
    if (piece !== null) out.push(piece);
  }
  return out;
}

/** Which cells of one band have a side in common, as sets. */
class Sides {
  readonly #parent: Uint32Array;

  constructor(cells: Cells, isLeftOut: (band: number) => boolean, signal: StopSignal | undefined) {
    this.#parent = Uint32Array.from({ length: cells.count }, (_, c) => c);
    const open = new Map<number, number>(); // side that no cell has met yet -> its cell
    const places = cells.x.length;
    for (let c = 0; c < cells.count; c++) {
      if (c % LOOK_EVERY === 0) signal?.throwIfAborted();
      if (isLeftOut(cells.band[c]!)) continue;
      eachSide(cells, c, (p, q) => {
        const back = sideKey(q, p, places);
        const other = open.get(back);
        if (other === undefined) open.set(sideKey(p, q, places), c);
        else {
          open.delete(back);
          if (cells.band[other] === cells.band[c]) this.#join(other, c);
        }
      });
    }
  }

  root(c: number): number {
    let at = c;
    while (this.#parent[at] !== at) {
      this.#parent[at] = this.#parent[this.#parent[at]!]!;
      at = this.#parent[at]!;
    }
    return at;
  }

  #join(a: number, b: number): void {
    const [p, q] = [this.root(a), this.root(b)];
    this.#parent[Math.max(p, q)] = Math.min(p, q);
  }
}

function sideKey(p: number, q: number, places: number): number {
  return p * places + q;
}

function eachSide({ start, corner }: Cells, c: number, visit: (p: number, q: number) => void): void {
  const end = start[c + 1]!;
  for (let i = start[c]!; i < end; i++) visit(corner[i]!, corner[i + 1 === end ? start[c]! : i + 1]!);
}

function pieceOf(cells: Cells, group: readonly number[]): Piece | null {
  const places = cells.x.length;
  const border = new Map<number, readonly [number, number]>();
  let area = 0;
  let deepestM = 0;
  for (const c of group) {
    area += cellArea(cells, c);
    for (let i = cells.start[c]!; i < cells.start[c + 1]!; i++)
      deepestM = Math.max(deepestM, Math.abs(cells.change[i]!));
    eachSide(cells, c, (p, q) => {
      if (!border.delete(sideKey(q, p, places))) border.set(sideKey(p, q, places), [p, q]);
    });
  }
  if (area < SMALLEST) return null;
  const about = { band: cells.band[group[0]!]!, deepestM };
  const rings = ringsOf(cells, [...border.values()]).filter((ring) => Math.abs(areaOf(cells, ring)) > SMALLEST / 10);
  const shells = rings.filter((ring) => areaOf(cells, ring) > 0);
  const sum = rings.reduce((all, ring) => all + areaOf(cells, ring), 0);
  const [shell] = shells;
  if (shell !== undefined && shells.length === 1 && Math.abs(sum - area) <= SHARE * area + SMALLEST) {
    return { ...about, polygons: [[shell, ...rings.filter((ring) => ring !== shell)]] };
  }
  return { ...about, polygons: nested(cells, shells, rings, sum, area) ?? alone(cells, group) };
}

/** Several shells, each with the holes that lie in it; null where their ground is not that of the cells. */
function nested(
  cells: Cells,
  shells: readonly (readonly number[])[],
  rings: readonly (readonly number[])[],
  sum: number,
  area: number,
): readonly (readonly (readonly number[])[])[] | null {
  if (shells.length === 0 || Math.abs(sum - area) > SHARE * area + SMALLEST) return null;
  const bySize = [...shells].sort((a, b) => areaOf(cells, a) - areaOf(cells, b));
  const polygons = bySize.map((shell) => [shell]);
  for (const hole of rings.filter((ring) => areaOf(cells, ring) < 0)) {
    const [p, q] = [hole[0]!, hole[1]!];
    const [x, y] = [(cells.x[p]! + cells.x[q]!) / 2, (cells.y[p]! + cells.y[q]!) / 2];
    const home = polygons.find(([shell]) => ringHolds(flat(cells, shell!), x, y));
    if (home === undefined) return null;
    home.push(hole);
  }
  return polygons;
}

/** Every cell as a polygon of its own: the same ground, with its inner lines. */
function alone({ start, corner }: Cells, group: readonly number[]): readonly (readonly (readonly number[])[])[] {
  return group.map((c) => [[...corner.subarray(start[c]!, start[c + 1]!)]]);
}

function flat({ x, y }: Cells, ring: readonly number[]): number[] {
  return ring.flatMap((p) => [x[p]!, y[p]!]);
}

function areaOf(cells: Cells, ring: readonly number[]): number {
  return signedArea(flat(cells, ring));
}

/**
 * Border sides chained into rings. Where several go on from a corner, the next is the first anticlockwise from the way back: so each ring
 * goes round one stretch of ground that is not the piece, and a hole that touches the outside in a point stays a ring of its own.
 */
function ringsOf(cells: Cells, border: readonly (readonly [number, number])[]): number[][] {
  const from = new Map<number, number[]>();
  for (const [p, q] of border) {
    const ends = from.get(p);
    if (ends === undefined) from.set(p, [q]);
    else ends.push(q);
  }
  const angle = (p: number, q: number): number => Math.atan2(cells.y[q]! - cells.y[p]!, cells.x[q]! - cells.x[p]!);
  const rings: number[][] = [];
  for (const [first] of border) {
    for (let ends = from.get(first)!; ends.length > 0; ) {
      const ring = [first];
      let before = first;
      let at = ends.pop()!;
      while (at !== first || ring.length < 2) {
        ring.push(at);
        const on = from.get(at);
        if (on === undefined || on.length === 0) break; // cannot be: as many sides end in a corner as start there
        const back = angle(at, before);
        const turned = (q: number): number => (((angle(at, q) - back) % TURN) + TURN) % TURN || TURN;
        const next = on.length === 1 ? on[0]! : on.reduce((best, q) => (turned(q) < turned(best) ? q : best));
        on.splice(on.indexOf(next), 1);
        before = at;
        at = next;
      }
      if (ring.length >= 3) rings.push(withoutSpikes(ring));
    }
  }
  return rings.filter((ring) => ring.length >= 3);
}

const TURN = 2 * Math.PI;

/** There and back again is no ground. */
function withoutSpikes(ring: readonly number[]): number[] {
  const out: number[] = [];
  for (const p of ring) {
    if (out.length > 1 && out.at(-2) === p) out.pop();
    else out.push(p);
  }
  return out;
}
