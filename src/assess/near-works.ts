// Works about one tree that move. In: the pieces near it; out: the same with their common boundary moved out or in.
// Terms: common boundary = that of the union: where two pieces touch there is none; crowded = so many pieces that they are
// moved as outlines; ground given up is laid over the works as a class of its own.

import {
  addBands,
  addRound,
  backwards,
  clusters,
  comparePieces,
  cutRing,
  distanceToRings,
  edgesThatMeet,
  NearRings,
  PieceBuilder,
  type Pieces,
  type PieceTag,
  pieceRings,
  RETREATED,
  type Ring,
  ringBox,
  unionRings,
  WORKS,
} from '../geometry/index.js';
import type { Site } from '../overlap/index.js';
import { joined } from './joined.js';
import { FINER, MovedOutline, Steps, scaled } from './moved-outline.js';

/**
 * Ground given up overlaps the boundary by this much, metres. Otherwise rounding would leave works of no width on it,
 * which take nothing and sever all that lies behind. Two steps of the grid.
 */
const LAP_M = 0.00002;
/** From this many pieces on works are moved as one outline per class: their strips would cross each other by the thousand. */
const CROWDED_FROM = 24;
/** The same from this many corners on, however few the pieces. */
const CORNERS_FROM = 100;

/** Works about a tree, relative to it, with their common boundary moved; ground that is hard today stays. */
export class NearWorks {
  readonly #pieces: readonly NearPiece[];
  readonly #zone: number;
  #outline: readonly Ring[] | undefined;
  /** So many pieces or corners that they are moved as outlines, which costs the more the farther they move. */
  readonly isCrowded: boolean;
  readonly #reach: number;
  readonly #steps: Steps;
  #drawnBack: MovedOutline | undefined;
  #widened: readonly { readonly outline: MovedOutline; readonly tag: PieceTag }[] | undefined;

  /**
   * @param zone how far from the tree works are measured, metres
   * @param reach how far from it works are that may come so near when they move, metres
   */
  constructor(
    site: Site,
    zone: number,
    reach: number,
    crowdedFrom: number = CROWDED_FROM,
    cornersFrom: number = CORNERS_FROM,
    steps: Steps = new Steps(),
  ) {
    this.#pieces = piecesWithin(site, reach);
    this.#zone = zone;
    this.#reach = reach;
    const works = this.#pieces.filter(({ tag }) => (tag.classBit & WORKS) !== 0);
    const corners = works.reduce((sum, { rings }) => sum + cornersOf(rings), 0);
    this.#steps = steps;
    this.isCrowded = works.length >= crowdedFrom || corners >= cornersFrom;
  }

  /** How far the boundary moves at little cost: outwards, or inwards. Infinity where every distance costs the same. */
  stepOf(way: 'grown' | 'narrowed'): number {
    if (!this.isCrowded) return Number.POSITIVE_INFINITY;
    if (way === 'narrowed') return this.#back().step;
    return Math.min(...this.#out().map(({ outline }) => outline.step));
  }

  /** Distance from the tree to the boundary of all works together. */
  get depth(): number {
    return distanceToRings(this.#boundary());
  }

  /** Widened: each piece, and all that lies within the distance of it. */
  grown(by: number): Pieces {
    const builder = new PieceBuilder();
    if (this.isCrowded && by > 0) {
      this.#addWidened(builder, by);
      return builder.finish();
    }
    // What does not come into the zone is left out: most works, most of the time.
    for (const { rings, tag, apart } of this.#pieces) {
      if (apart <= this.#zone) builder.add(rings, tag);
      if ((tag.classBit & WORKS) !== 0 && by > 0 && apart <= this.#zone + by) {
        for (const ring of rings) addRound(builder, ring, by, this.#zone + by, tag);
      }
    }
    return builder.finish();
  }

  /** Drawn back: the pieces, and the ground within the distance of their common boundary as no longer theirs. */
  narrowed(by: number): Pieces {
    const builder = new PieceBuilder();
    if (by > 0 && this.isCrowded) {
      this.#addDrawnBack(builder, by);
      return builder.finish();
    }
    for (const { rings, tag, apart } of this.#pieces) if (apart <= this.#zone) builder.add(rings, tag);
    const tag = { owner: 0, classBit: RETREATED, cuts: false };
    if (by > 0) {
      for (const ring of this.#boundary()) addRound(builder, backwards(ring), by, this.#zone + by + LAP_M, tag, LAP_M);
    }
    return builder.finish();
  }

  /** Works of each class moved as one outline; ground that is hard as it is. */
  #addWidened(builder: PieceBuilder, by: number): void {
    for (const { rings, tag, apart } of this.#pieces) {
      if (apart <= this.#zone && (tag.classBit & WORKS) === 0) builder.add(rings, tag);
    }
    for (const { outline, tag } of this.#out()) builder.add(outline.at(by), tag);
  }

  /** The outline drawn back. */
  #addDrawnBack(builder: PieceBuilder, by: number): void {
    const tag = { owner: 0, classBit: RETREATED, cuts: false };
    const left = this.#back().at(by);
    const classes = this.#byClass();
    const isOneClass = classes.length === 1;
    for (const { rings, tag, apart } of this.#pieces) {
      if (apart <= this.#zone && !(isOneClass && (tag.classBit & WORKS) !== 0)) builder.add(rings, tag);
    }
    // Works of one class are their common outline: by the even-odd rule, as all its rings together.
    if (isOneClass) {
      if (left.length > 0) builder.add(left, classes[0]!.tag);
      return;
    }
    // What is left lies inside the outline: all their rings together are the strip between.
    const boundary = this.#boundary();
    builder.add([...boundary, ...left], tag);
    for (const ring of boundary) addBands(builder, backwards(ring), LAP_M, this.#zone + 2 * LAP_M, tag, LAP_M);
  }

  #back(): MovedOutline {
    this.#drawnBack ??= new MovedOutline(this.#boundary(), -1, this.#reach, this.#steps);
    return this.#drawnBack;
  }

  #out(): readonly { readonly outline: MovedOutline; readonly tag: PieceTag }[] {
    this.#widened ??= this.#byClass().map(({ polygons, tag }) => {
      const united = finelyUnited(polygons, this.#steps);
      return { outline: new MovedOutline(united, 1, this.#reach, this.#steps), tag };
    });
    return this.#widened;
  }

  /** Works of one class that do the same to roots. */
  #byClass(): readonly { readonly polygons: readonly (readonly Ring[])[]; readonly tag: PieceTag }[] {
    const groups = new Map<number, { polygons: (readonly Ring[])[]; tag: PieceTag }>();
    for (const { rings, tag } of this.#pieces) {
      if ((tag.classBit & WORKS) === 0) continue;
      const key = tag.classBit * 2 + (tag.cuts ? 1 : 0);
      const group = groups.get(key);
      if (group === undefined) groups.set(key, { polygons: [rings], tag });
      else group.polygons.push(rings);
    }
    return [...groups.values()];
  }

  /** Rings of the union: where two pieces touch there is no boundary. */
  #boundary(): readonly Ring[] {
    const works = this.#pieces.filter(({ tag }) => (tag.classBit & WORKS) !== 0).map(({ rings }) => rings);
    this.#outline ??= works.length === 1 ? works[0]! : finelyUnited(works, this.#steps);
    return this.#outline;
  }
}

/** Rings of the union of pieces. Those whose boxes meet no other's are their own. */
function finelyUnited(pieces: readonly (readonly Ring[])[], steps: Steps): Ring[] {
  return clusters(pieces.map(boxAround)).flatMap((some) => {
    if (some.length === 1) return [...pieces[some[0]!]!];
    const rings = joined(some.map((p) => pieces[p]!)).flatMap((own) => scaled(own, FINER));
    const dear = edgesThatMeet(rings, Math.min(MOST_MEETINGS, steps.left / STEPS_A_MEETING));
    steps.take(dear * STEPS_A_MEETING);
    return scaled(unionRings(rings), 1 / FINER);
  });
}

/** A polygon's box, a step of the grid wider: those that meet have edges in common or may. */
function boxAround(rings: readonly Ring[]): readonly [number, number, number, number] {
  const [west, south, east, north] = ringBox(rings[0] ?? []);
  const step = LAP_M / 2;
  return [west - step, south - step, east + step, north + step];
}

function hasCorners(ring: Ring): boolean {
  return ring.length >= 6;
}

function cornersOf(rings: readonly Ring[]): number {
  return rings.reduce((n, ring) => n + ring.length / 2, 0);
}

/** Works whose edges meet each other more often than this are not united: the engine would take seconds. */
const MOST_MEETINGS = 400_000;
/** What a meeting costs the engine, in steps of a move. */
const STEPS_A_MEETING = 20;
/** Pieces of more corners than this are walked only where they come near. */
const LONG_CORNERS = 64;

interface Shape {
  readonly rings: readonly Ring[];
  readonly tag: PieceTag;
}

interface NearPiece extends Shape {
  /** Distance of its box from the tree, metres. */
  readonly apart: number;
}

/** Long pieces of a job, cut into blocks once for all trees beside them. */
const longOnes = new WeakMap<Pieces, Map<number, NearRings>>();

function longOne(pieces: Pieces, p: number): NearRings {
  let all = longOnes.get(pieces);
  if (all === undefined) {
    all = new Map();
    longOnes.set(pieces, all);
  }
  let near = all.get(p);
  if (near === undefined) {
    const { ringStart, vertexStart, xy, owner, classBit, cuts } = pieces;
    const builder = new PieceBuilder();
    const tag = { owner: owner[p]!, classBit: classBit[p]!, cuts: cuts[p] === 1 };
    builder.addRings(xy, vertexStart, ringStart[p]!, ringStart[p + 1]!, 0, tag);
    near = new NearRings(builder.finish());
    all.set(p, near);
  }
  return near;
}

/** Pieces that come within a square about the tree, without what lies beyond it where they have many corners: roads are long. */
function piecesWithin({ meter, x, y }: Site, reach: number): NearPiece[] {
  const { pieces, index } = meter;
  const { ringStart, vertexStart } = pieces;
  const n = index.search(x - reach, y - reach, x + reach, y + reach);
  const out: NearPiece[] = [];
  // Where many come near, their edges are cut too: long ones cross each other by the thousand far off.
  const limits = { west: -reach, south: -reach, east: reach, north: reach };
  // By geometry: the order of input must not move a digit.
  for (const p of [...index.found.subarray(0, n)].sort((a, b) => comparePieces(pieces, a, b) || a - b)) {
    const tag: PieceTag = {
      owner: pieces.owner[p]!,
      classBit: pieces.classBit[p]!,
      cuts: pieces.cuts[p] === 1,
    };
    const [west, south, east, north] = [...pieces.box.subarray(p * 4, p * 4 + 4)] as [number, number, number, number];
    const apart = Math.hypot(Math.max(west - x, x - east, 0), Math.max(south - y, y - north, 0));
    const corners = vertexStart[ringStart[p + 1]!]! - vertexStart[ringStart[p]!]!;
    const isInside = west >= x - reach && south >= y - reach && east <= x + reach && north <= y + reach;
    const polygons =
      corners <= LONG_CORNERS || isInside
        ? [pieceRings(pieces, p, x, y)]
        : longOne(pieces, p).within([-reach, -reach, reach, reach], x, y);
    for (const rings of polygons) {
      const near = isInside || n < CROWDED_FROM ? rings : rings.map((ring) => cutRing(ring, limits)).filter(hasCorners);
      if (near.length > 0) out.push({ rings: near, tag, apart });
    }
  }
  return out;
}
