// The boundary of a union moved by a distance, by itself. In: rings of the union, ground on their left; out: the rings of all
// ground within the distance of it, or of what is left where ground within the distance of its boundary is given up.
// Terms: strip = what lies within the distance beside an edge, on both sides; piece = an edge moved sideways, or the arc about
// a corner that opens to that side; open = not yet covered; front = what is open of all pieces at a distance.
//
// The moved boundary is all that lies at the distance from the old one and nowhere nearer. So each piece is cut by the strips
// and the discs about the corners that come near it, and what stays open is strung together. A general clipping engine
// would make all pieces meet first, by the million where teeth or holes are narrower than the distance.
// What is covered at a distance is covered at every greater one: a place nearer to another edge or corner than to its own
// stays so as it moves on. And what covers it then was open itself where the two met. So a front is made of one at a lesser
// distance, of what is open there alone; a far one by way of some between.
// Cost: an index of the edges, and for each piece of a front what comes within the distance of what is still open of it; mostly
// its neighbours have covered it. Each look is counted, and the caller says when it is enough.

import { BoxIndex } from '../box-index.js';
import { Cover, type Coverers, type Known } from './moved-cover.js';
import { Edges } from './moved-edges.js';
import { Stretches } from './open-stretches.js';
import type { Ring } from './shapes.js';

/** Chords of round corners miss their arc by at most this, metres. */
const ROUND_M = 0.0002;
/** Rings of less width than this are such ties, metres. */
const LEAST_WIDTH_M = 1e-8;
/** Stretches shorter than this are rounding, metres. */
const LEAST_STRETCH_M = 1e-9;
/** What is known to cover between two distances is gone through again when they are this many times nearer to each other. */
const NARROWER = 50;
/** A front is this many times farther out than the one it is made of, at most; the first is a mean edge out. */
const FARTHER = 4;

/**
 * The boundary moved outwards by a distance, or inwards below 0; corners are rounded, their chords hold the area of the arc. Null
 * where the open stretches do not close: where rings cross each other, which those of a union do not.
 *
 * @param look is told of steps before they are taken; it may throw
 * @example
 * movedBoundary([[0, 0, 4, 0, 4, 4, 0, 4]], -1, () => {}); // [[1, 1, 3, 1, 3, 3, 1, 3]]
 */
export function movedBoundary(rings: readonly Ring[], by: number, look: (steps: number) => void): Ring[] | null {
  return new MovingBoundary(rings, by < 0 ? -1 : 1, look).at(Math.abs(by));
}

/** What is open of all pieces at a distance. */
interface Front {
  readonly by: number;
  /** Per piece: its edge, and 1 where it is the corner at the edge's end. */
  readonly edge: readonly number[];
  readonly isCorner: readonly number[];
  /** Where the open stretches of each begin in `open`; one more at the end. */
  readonly start: readonly number[];
  readonly open: Float64Array;
}

/** A boundary that is moved by one distance after another, to one side: 1 outwards, -1 inwards. */
export class MovingBoundary {
  readonly #edges: Edges;
  readonly #side: 1 | -1;
  readonly #look: (steps: number) => void;
  /** By distance. */
  readonly #fronts: Front[] = [];
  readonly #coverers = new WeakMap<Front, Coverers>();
  #known: KnownBetween | null = null;

  constructor(rings: readonly Ring[], side: 1 | -1, look: (steps: number) => void) {
    this.#edges = new Edges(rings);
    this.#side = side;
    this.#look = look;
  }

  /** As `movedBoundary`, by a distance above 0. */
  at(by: number): Ring[] | null {
    const { count, total } = this.#edges;
    if (count === 0) return [];
    if (this.#fronts.length === 0) this.#fronts.push(this.#first());
    let front = this.#fronts.findLast((one) => one.by <= by)!;
    if (front.by === 0 && (total / count) * FARTHER < by) front = this.#further(front, total / count);
    while (front.by > 0 && front.by * FARTHER < by) front = this.#further(front, front.by * FARTHER);
    if (front.by !== by) front = this.#further(front, by, this.#knownBetween(front, by));
    return this.#strung(front);
  }

  /** What covers pieces between two fronts that a distance lies between, once there are such. */
  #knownBetween(from: Front, by: number): KnownBetween | null {
    const to = this.#fronts.find((one) => one.by > by)?.by;
    if (to === undefined || from.by === 0) return null;
    const known = this.#known;
    const isKnown = known !== null && known.from <= from.by && to <= known.to;
    if (isKnown && (to - from.by) * NARROWER > known.to - known.from) return known;
    const cover = new Cover(this.#edges, this.#coverersOf(from), this.#side, to, this.#look);
    this.#known = new KnownBetween(this.#edges.count, from, to, cover, isKnown ? known : null);
    return this.#known;
  }

  /** Everything, where it stands. */
  #first(): Front {
    const { count, length } = this.#edges;
    const [edge, isCorner, start, open]: [number[], number[], number[], number[]] = [[], [], [0], []];
    const add = (e: number, corner: number, to: number): void => {
      edge.push(e);
      isCorner.push(corner);
      open.push(0, to);
      start.push(open.length);
    };
    for (let e = 0; e < count; e++) {
      add(e, 0, length[e]!);
      const turn = this.#edges.opening(e, this.#side);
      if (turn > 0) add(e, 1, turn);
    }
    return { by: 0, edge, isCorner, start, open: Float64Array.from(open) };
  }

  /** The front at a greater distance. */
  #further(from: Front, by: number, known: Known | null = null): Front {
    const cover = new Cover(this.#edges, this.#coverersOf(from), this.#side, by, this.#look);
    const [edge, isCorner, start, open]: [number[], number[], number[], number[]] = [[], [], [0], []];
    for (let p = 0; p < from.edge.length; p++) {
      const [e, corner] = [from.edge[p]!, from.isCorner[p]!];
      const [first, end] = [from.start[p]!, from.start[p + 1]!];
      if (known === null) cover.open(e, corner === 1, from.open, first, end);
      else cover.openBy(e, corner === 1, from.open, first, end, known);
      if (cover.count === 0) continue;
      edge.push(e);
      isCorner.push(corner);
      for (let k = 0; k < cover.count; k++) open.push(cover.left[k]!);
      start.push(open.length);
    }
    const front = { by, edge, isCorner, start, open: Float64Array.from(open) };
    this.#fronts.push(front);
    this.#fronts.sort((a, b) => a.by - b.by);
    return front;
  }

  #coverersOf(front: Front): Coverers {
    let coverers = this.#coverers.get(front);
    if (coverers === undefined) {
      coverers = front.by === 0 ? everything(this.#edges) : openOnes(this.#edges, front);
      this.#look(coverers.list.length / 4);
      this.#coverers.set(front, coverers);
    }
    return coverers;
  }

  /** The rings of a front. */
  #strung({ by, edge, isCorner, start, open }: Front): Ring[] | null {
    const { x, y, ux, uy, next } = this.#edges;
    const out = new Stretches();
    const d = by * this.#side;
    for (let p = 0; p < edge.length; p++) {
      const e = edge[p]!;
      const f = next[e]!;
      const isArc = isCorner[p] === 1;
      const [px, py] = isArc ? [x[f]!, y[f]!] : [x[e]! + uy[e]! * d, y[e]! - ux[e]! * d];
      const from = isArc ? this.#edges.arcFrom(e, this.#side) : 0;
      for (let k = start[p]!; k < start[p + 1]!; k += 2) {
        const [a, b] = [open[k]!, open[k + 1]!];
        if ((b - a) * (isArc ? by : 1) < LEAST_STRETCH_M) continue;
        if (!isArc) out.line(px + a * ux[e]!, py + a * uy[e]!, px + b * ux[e]!, py + b * uy[e]!);
        else if (this.#side > 0) out.arc(px, py, by, from + a, from + b);
        else out.arc(px, py, by, from + b, from + a); // a corner that opens inwards is gone round clockwise
      }
    }
    return out.rings(ROUND_M)?.filter(hasWidth) ?? null;
  }
}

/**
 * What covers any of each piece between two distances: what does so at the greater one of what is open at the lesser. A search
 * that closes in asks no index any more.
 */
class KnownBetween implements Known {
  readonly from: number;
  readonly to: number;
  /** Per edge and its corner where its list begins; one more at the end. */
  readonly #start: Int32Array;
  readonly list: Int32Array;

  constructor(
    edges: number,
    { by, edge, isCorner, start, open }: Front,
    to: number,
    cover: Cover,
    before: KnownBetween | null,
  ) {
    this.from = by;
    this.to = to;
    this.#start = new Int32Array(edges * 2 + 1);
    const list: number[] = [];
    let piece = 0;
    for (let p = 0; p < edge.length; p++) {
      const own = edge[p]! * 2 + isCorner[p]!;
      while (piece <= own) this.#start[piece++] = list.length;
      cover.listCovering(edge[p]!, isCorner[p] === 1, open, start[p]!, start[p + 1]!, list, before);
    }
    while (piece < this.#start.length) this.#start[piece++] = list.length;
    this.list = Int32Array.from(list);
  }

  placesOf(e: number, isCorner: boolean): readonly [number, number] {
    const piece = e * 2 + (isCorner ? 1 : 0);
    return [this.#start[piece]!, this.#start[piece + 1]!];
  }
}

/** All strips and all discs. */
function everything({ count, total, index }: Edges): Coverers {
  const all = new Uint8Array(count).fill(1);
  const list = Int32Array.from(all, (_, e) => e);
  return { strip: all, disc: all, list, place: list, spacing: total / count, index, edgeOf: list };
}

/** Those of what is open: the strip of an edge with the discs about its ends, the disc about a corner. */
function openOnes({ count, total, next, box }: Edges, { edge, isCorner }: Front): Coverers {
  const [strip, disc] = [new Uint8Array(count), new Uint8Array(count)];
  for (let p = 0; p < edge.length; p++) {
    const e = edge[p]!;
    disc[next[e]!] = 1;
    if (isCorner[p] === 1) continue;
    disc[e] = 1;
    strip[e] = 1;
  }
  const found: number[] = [];
  const place = new Int32Array(count);
  for (let e = 0; e < count; e++) {
    place[e] = found.length;
    if (strip[e] === 1 || disc[e] === 1) found.push(e);
  }
  const list = Int32Array.from(found);
  const boxes = new Float64Array(list.length * 4);
  for (let k = 0; k < list.length; k++) for (let i = 0; i < 4; i++) boxes[k * 4 + i] = box[list[k]! * 4 + i]!;
  return { strip, disc, list, place, spacing: total / list.length, index: new BoxIndex(boxes), edgeOf: list };
}

function hasWidth(ring: Ring): boolean {
  let area = 0;
  let length = 0;
  for (let i = 0; i < ring.length; i += 2) {
    const k = i + 2 < ring.length ? i + 2 : 0;
    const [dx, dy] = [ring[k]! - ring[i]!, ring[k + 1]! - ring[i + 1]!];
    area += ring[i]! * ring[k + 1]! - ring[i + 1]! * ring[k]!;
    length += Math.sqrt(dx * dx + dy * dy);
  }
  return Math.abs(area) > LEAST_WIDTH_M * length;
}
