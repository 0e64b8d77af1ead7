// Strips joined to one shape. In: strips from west to east, each with what lies in it; out: the shape without the lines
// between. Terms: seam = the line between two strips; along = an edge that lies on a seam: it goes north where the ground
// is west of it, and south where it is east of it, so that two that lie on each other are gone; chain = a run of edges that
// are not along; piece = a polygon of one strip; ground = pieces that share some length of a seam, together one polygon.
// Cost: the corners, and sorting those that lie on seams.

import { comesTwice } from './repeats.js';
import { type Ring, ringHolds, type Shape, twiceArea } from './ring.js';

export interface Strip {
  readonly west: number;
  readonly east: number;
  readonly shape: Shape;
}

/** Shapes under a square centimetre are not drawn, square metres. */
const SMALLEST_M2 = 1e-4;

/** A piece of outline from one corner on a seam to another. */
interface Chain {
  readonly xy: number[];
  readonly piece: number;
  used: boolean;
}

interface Along {
  readonly low: number;
  readonly high: number;
  readonly piece: number;
}

/** The strips' shapes as one, with every ring simple as long as those given are. */
export function joined(strips: readonly Strip[]): Shape {
  const seams = new Seams();
  strips.forEach(({ west, east, shape }, i) => {
    for (const polygon of shape)
      seams.add(polygon, i === 0 ? Number.NaN : west, i + 1 === strips.length ? Number.NaN : east);
  });
  return seams.shape();
}

class Seams {
  readonly #whole: (readonly Ring[])[] = [];
  readonly #parents: number[] = [];
  readonly #rings: { readonly ring: Ring; readonly piece: number }[] = [];
  readonly #chains: Chain[] = [];
  /** By seam: what lies along it from the west, and from the east. */
  readonly #along = new Map<number, readonly [fromWest: Along[], fromEast: Along[]]>();

  add(polygon: readonly Ring[], west: number, east: number): void {
    const [shell = []] = polygon;
    if (!liesAlong(shell, west, east)) {
      this.#whole.push(polygon);
      return;
    }
    const piece = this.#parents.length;
    this.#parents.push(piece);
    for (const ring of polygon) {
      if (liesAlong(ring, west, east)) this.#take(ring, piece, west, east);
      else this.#rings.push({ ring, piece });
    }
  }

  shape(): Shape {
    for (const [x, sides] of this.#along) this.#close(x, ...sides);
    for (const ring of this.#traced()) this.#rings.push(ring);
    const grounds = new Map<number, { shells: Ring[]; holes: Ring[] }>();
    for (const { ring, piece } of this.#rings) {
      const root = this.#rootOf(piece);
      let ground = grounds.get(root);
      if (ground === undefined) {
        ground = { shells: [], holes: [] };
        grounds.set(root, ground);
      }
      (twiceArea(ring) > 0 ? ground.shells : ground.holes).push(ring);
    }
    const out: (readonly Ring[])[] = [...this.#whole];
    for (const { shells, holes } of grounds.values()) out.push(...nested(shells, holes));
    return out.filter(([shell = []]) => twiceArea(shell) > 2 * SMALLEST_M2);
  }

  /** Takes a ring apart that has edges along a seam. */
  #take(ring: Ring, piece: number, west: number, east: number): void {
    const n = ring.length / 2;
    const isAlong = (i: number): boolean => {
      const x = ring[(i % n) * 2]!;
      return (x === west || x === east) && x === ring[((i + 1) % n) * 2]!;
    };
    let first = 0;
    while (!isAlong(first)) first++; // there is one
    let chain: number[] = [];
    for (let k = 1; k <= n; k++) {
      const i = (first + k) % n;
      const [x, y] = [ring[i * 2]!, ring[i * 2 + 1]!];
      if (!isAlong(i)) {
        chain.push(x, y);
        continue;
      }
      if (chain.length > 0) this.#chains.push({ xy: [...chain, x, y], piece, used: false });
      chain = [];
      const next = ring[((i + 1) % n) * 2 + 1]!;
      this.#sidesOf(x)[x === east ? 0 : 1].push({ low: Math.min(y, next), high: Math.max(y, next), piece });
    }
  }

  #sidesOf(x: number): readonly [Along[], Along[]] {
    let sides = this.#along.get(x);
    if (sides === undefined) {
      sides = [[], []];
      this.#along.set(x, sides);
    }
    return sides;
  }

  /** Joins what lies along both sides of a seam; what lies along one side only stays as an edge. */
  #close(x: number, fromWest: Along[], fromEast: Along[]): void {
    const byLow = (a: Along, b: Along): number => a.low - b.low;
    fromWest.sort(byLow);
    fromEast.sort(byLow);
    const stays = (from: number, to: number, { piece }: Along, north: boolean): void => {
      if (to > from) this.#chains.push({ xy: north ? [x, from, x, to] : [x, to, x, from], piece, used: false });
    };
    let [w, e, at] = [0, 0, -Infinity];
    while (w < fromWest.length || e < fromEast.length) {
      const [a, b] = [fromWest[w], fromEast[e]];
      const [aLow, bLow] = [Math.max(a?.low ?? Infinity, at), Math.max(b?.low ?? Infinity, at)];
      if (a !== undefined && (b === undefined || aLow < bLow)) {
        const to = Math.min(a.high, bLow);
        stays(aLow, to, a, true);
        at = Math.max(at, to);
      } else if (b !== undefined && (a === undefined || bLow < aLow)) {
        const to = Math.min(b.high, aLow);
        stays(bLow, to, b, false);
        at = Math.max(at, to);
      } else if (a !== undefined && b !== undefined) {
        at = Math.min(a.high, b.high);
        if (at > aLow) this.#join(a.piece, b.piece);
      }
      if (a !== undefined && a.high <= at) w++;
      if (b !== undefined && b.high <= at) e++;
    }
  }

  /** Follows chains round the ground that lies left of them. */
  *#traced(): Generator<{ readonly ring: Ring; readonly piece: number }> {
    const leaving = new Map<number, Map<number, Chain[]>>();
    for (const chain of this.#chains) {
      const [x, y] = [chain.xy[0]!, chain.xy[1]!];
      let column = leaving.get(x);
      if (column === undefined) {
        column = new Map();
        leaving.set(x, column);
      }
      const there = column.get(y);
      if (there === undefined) column.set(y, [chain]);
      else there.push(chain);
    }
    for (const start of this.#chains) {
      const ring: number[] = [];
      for (let chain: Chain | undefined = start; chain !== undefined && !chain.used; ) {
        chain.used = true;
        for (let i = 0; i < chain.xy.length - 2; i++) ring.push(chain.xy[i]!);
        chain = nextOf(chain, leaving.get(chain.xy.at(-2)!)?.get(chain.xy.at(-1)!) ?? []);
      }
      for (const loop of loopsOf(ring)) yield { ring: loop, piece: start.piece };
    }
  }

  #rootOf(piece: number): number {
    const parents = this.#parents;
    let at = piece;
    while (parents[at] !== at) {
      parents[at] = parents[parents[at]!]!;
      at = parents[at]!;
    }
    return at;
  }

  #join(a: number, b: number): void {
    const [one, other] = [this.#rootOf(a), this.#rootOf(b)];
    this.#parents[Math.max(one, other)] = Math.min(one, other);
  }
}

function liesAlong(ring: Ring, west: number, east: number): boolean {
  let before = ring.at(-2);
  for (let i = 0; i < ring.length; i += 2) {
    const x = ring[i]!;
    if ((x === west || x === east) && x === before) return true;
    before = x;
  }
  return false;
}

/** Of the chains that leave where one ends, the first clockwise from it: the ground left of it lies between. */
function nextOf({ xy }: Chain, leaving: readonly Chain[]): Chain | undefined {
  const n = xy.length;
  const back = Math.atan2(xy[n - 3]! - xy[n - 1]!, xy[n - 4]! - xy[n - 2]!);
  let best: Chain | undefined;
  let least = Infinity;
  for (const chain of leaving) {
    if (chain.used) continue;
    const out = Math.atan2(chain.xy[3]! - chain.xy[1]!, chain.xy[2]! - chain.xy[0]!);
    let turn = back - out;
    while (turn <= 0) turn += 2 * Math.PI;
    if (turn < least) {
      least = turn;
      best = chain;
    }
  }
  return best;
}

/** A ring that comes to a place twice, as rings that do not. */
function loopsOf(ring: readonly number[]): Ring[] {
  if (!comesTwice(ring)) return ring.length >= 6 && twiceArea(ring) !== 0 ? [ring] : [];
  const out: Ring[] = [];
  const path: number[] = [];
  const columns = new Map<number, Map<number, number>>(); // place -> where on the path
  for (let i = 0; i < ring.length; i += 2) {
    const [x, y] = [ring[i]!, ring[i + 1]!];
    let column = columns.get(x);
    if (column === undefined) {
      column = new Map();
      columns.set(x, column);
    }
    const seen = column.get(y);
    if (seen !== undefined) {
      const loop = path.splice(seen);
      for (let k = 0; k < loop.length; k += 2) columns.get(loop[k]!)!.delete(loop[k + 1]!);
      if (loop.length >= 6) out.push(loop);
    }
    column.set(y, path.length);
    path.push(x, y);
  }
  if (path.length >= 6) out.push(path);
  return out.filter((loop) => twiceArea(loop) !== 0);
}

/** Holes in their shells: of one shell all of them, else each in the smallest that holds it. */
function nested(shells: readonly Ring[], holes: readonly Ring[]): (readonly Ring[])[] {
  if (shells.length === 1) return [[shells[0]!, ...holes]];
  const polygons = [...shells].sort((a, b) => twiceArea(a) - twiceArea(b)).map((shell): Ring[] => [shell]);
  for (const hole of holes) {
    const [x, y] = [(hole[0]! + hole[2]!) / 2, (hole[1]! + hole[3]!) / 2];
    polygons.find(([shell]) => ringHolds(shell!, x, y))?.push(hole);
  }
  return polygons;
}
