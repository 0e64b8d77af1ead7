// Works about one tree that move. In: the pieces near it; out: the same with their common boundary moved out or in.
// Terms: common boundary = that of the union: where two pieces touch there is none; crowded = so many pieces that they are
// moved as outlines; ground given up is laid over the works as a class of its own.

import {
  addBands,
  addRound,
  backwards,
  commonShape,
  comparePieces,
  distanceToRings,
  lessShape,
  offsetShape,
  PieceBuilder,
  type Pieces,
  type PieceTag,
  pieceRings,
  RETREATED,
  type Ring,
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
/** From this many corners on works are moved as outlines whose detail goes as they move (moved-outline.ts). */
const HUGE_FROM = 400;
/** Round corners of such outlines are chords that miss the arc by this, millimetres. */
const CROWDED_ARC_MM = 0.2;

/** Works about a tree, relative to it, with their common boundary moved; ground that is hard today stays. */
export class NearWorks {
  readonly #pieces: readonly NearPiece[];
  readonly #zone: number;
  #outline: readonly Ring[] | undefined;
  /** So many pieces that they are moved as outlines. */
  readonly isCrowded: boolean;
  /** So many corners that only a short way is cheap to move them. */
  readonly isHuge: boolean;
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
    hugeFrom: number = HUGE_FROM,
    steps: Steps = new Steps(),
  ) {
    this.#pieces = piecesWithin(site, reach);
    this.#zone = zone;
    this.#reach = reach;
    const works = this.#pieces.filter(({ tag }) => (tag.classBit & WORKS) !== 0);
    const corners = works.reduce((sum, { rings }) => sum + cornersOf(rings), 0);
    this.#steps = steps;
    const isCrowded = works.length >= crowdedFrom;
    // Works that cross each other have many more corners together.
    this.isHuge = corners >= hugeFrom || (isCrowded && cornersOf(this.#boundary()) >= hugeFrom);
    this.isCrowded = this.isHuge || isCrowded;
  }

  /** How far the boundary moves at little cost: outwards, or inwards. Infinity where every distance costs the same. */
  stepOf(way: 'grown' | 'narrowed'): number {
    if (!this.isHuge) return Number.POSITIVE_INFINITY;
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
    if (this.isHuge && by > 0) {
      this.#addWidened(builder, by);
      return builder.finish();
    }
    if (this.isCrowded && by > 0) {
      for (const { rings, tag } of this.#pieces) if ((tag.classBit & WORKS) === 0) builder.add(rings, tag);
      for (const { rings, tag } of this.#byClass()) {
        for (const polygon of finelyMoved(rings, by)) builder.add(polygon, tag);
      }
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
    if (by > 0 && this.isHuge) {
      this.#addDrawnBack(builder, by);
      return builder.finish();
    }
    for (const { rings, tag, apart } of this.#pieces) if (apart <= this.#zone) builder.add(rings, tag);
    const tag = { owner: 0, classBit: RETREATED, cuts: false };
    if (by > 0 && this.isCrowded) {
      const rings = this.#boundary();
      const kept = finelyMoved(rings, -by).map((polygon) => scaled(polygon, FINER));
      const all = finelyMoved(rings, LAP_M).map((polygon) => scaled(polygon, FINER));
      for (const polygon of lessShape(all, kept)) builder.add(scaled(polygon, 1 / FINER), tag);
    } else if (by > 0)
      for (const ring of this.#boundary()) addRound(builder, backwards(ring), by, this.#zone + by + LAP_M, tag, LAP_M);
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
    this.#widened ??= this.#byClass().map(({ rings, tag }) => {
      const united = scaled(unionRings(scaled(rings, FINER)), 1 / FINER);
      return { outline: new MovedOutline(united, 1, this.#reach, this.#steps), tag };
    });
    return this.#widened;
  }

  /** Works of one class that do the same to roots, with their rings together. */
  #byClass(): readonly Shape[] {
    const groups = new Map<number, { rings: Ring[]; tag: PieceTag }>();
    for (const { rings, tag } of this.#pieces) {
      if ((tag.classBit & WORKS) === 0) continue;
      const key = tag.classBit * 2 + (tag.cuts ? 1 : 0);
      const group = groups.get(key);
      if (group === undefined) groups.set(key, { rings: [...rings], tag });
      else group.rings.push(...rings);
    }
    return [...groups.values()];
  }

  /** Rings of the union: where two pieces touch there is no boundary. */
  #boundary(): readonly Ring[] {
    const works = this.#pieces.filter(({ tag }) => (tag.classBit & WORKS) !== 0).map(({ rings }) => rings);
    this.#outline ??= works.length === 1 ? works[0]! : finelyUnited(works);
    return this.#outline;
  }
}

/** Rings of the union of pieces. */
function finelyUnited(pieces: readonly (readonly Ring[])[]): Ring[] {
  return scaled(unionRings(joined(pieces).flatMap((rings) => scaled(rings, FINER))), 1 / FINER);
}

/** The union of rings with its boundary moved out, or in below 0. */
function finelyMoved(rings: readonly Ring[], by: number): Ring[][] {
  return offsetShape(scaled(rings, FINER), by * FINER, CROWDED_ARC_MM * FINER).map((polygon) =>
    scaled(polygon, 1 / FINER),
  );
}

/** What of a piece lies in a square, as polygons. */
function finelyCut(rings: readonly Ring[], square: Ring): Ring[][] {
  return commonShape([scaled(rings, FINER)], [scaled([square], FINER)]).map((cut) => scaled(cut, 1 / FINER));
}

function cornersOf(rings: readonly Ring[]): number {
  return rings.reduce((n, ring) => n + ring.length / 2, 0);
}

interface Shape {
  readonly rings: readonly Ring[];
  readonly tag: PieceTag;
}

interface NearPiece extends Shape {
  /** Distance of its box from the tree, metres. */
  readonly apart: number;
}

/** Pieces that come within a square about the tree, cut to it where they reach far beyond: roads are long. */
function piecesWithin({ meter, x, y }: Site, reach: number): NearPiece[] {
  const { pieces, index } = meter;
  const square: Ring = [-reach, -reach, reach, -reach, reach, reach, -reach, reach];
  const n = index.search(x - reach, y - reach, x + reach, y + reach);
  const out: NearPiece[] = [];
  // By geometry: the order of input must not move a digit.
  for (const p of [...index.found.subarray(0, n)].sort((a, b) => comparePieces(pieces, a, b) || a - b)) {
    const tag: PieceTag = {
      owner: pieces.owner[p]!,
      classBit: pieces.classBit[p]!,
      cuts: pieces.cuts[p] === 1,
    };
    const rings = pieceRings(pieces, p, x, y);
    const [west, south, east, north] = [...pieces.box.subarray(p * 4, p * 4 + 4)] as [number, number, number, number];
    const isFar = west < x - 2 * reach || south < y - 2 * reach || east > x + 2 * reach || north > y + 2 * reach;
    const apart = Math.hypot(Math.max(west - x, x - east, 0), Math.max(south - y, y - north, 0));
    for (const polygon of isFar ? finelyCut(rings, square) : [rings]) out.push({ rings: polygon, tag, apart });
  }
  return out;
}
