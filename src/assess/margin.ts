// How far works may approach, or must retreat, until the verdict turns. In: one reckoning of all trees; out: margins on
// demand. Terms: margin = the distance by which the boundary of all counted works together can move, uniformly, before a
// limit is just met: outwards (positive) where none is broken, inwards (negative) where one is.
//
// Moved works are measured and judged by the ordinary path; the root is bracketed by distances that need no measuring.

import { packedBoxes } from '../geometry/box-index.js';
import { Meter, NEAREST_LIMIT_M } from '../geometry/meter.js';
import {
  comparePieces,
  PieceBuilder,
  type Pieces,
  type PieceTag,
  pieceRings,
  RETREATED,
  WORKS,
} from '../geometry/pieces.js';
import { backwards } from '../geometry/ring.js';
import { rootIn } from '../geometry/root.js';
import { commonShape, distanceToRings, lessShape, offsetShape, type Ring, unionShape } from '../geometry/shapes.js';
import { addRound } from '../geometry/strip.js';
import { type CompiledLimits, compileLimits, excess } from '../judge.js';
import type { Site } from '../overlap.js';
import type { Variant } from './variant.js';

/** Room is told up to here, metres: works farther off have no bearing on how a site is laid out. */
export const MOST_ROOM_M = 50;
/** Margins are found to a tenth of a millimetre; works that hold together are drawn back from a common boundary. */
const WIDTH_M = 0.0001;
/** The common boundary of several works is found on a grid of a hundredth of a millimetre. */
const FINER = 100;
/**
 * Ground given up laps over the boundary by this much, metres: else rounding would leave works of no width on it, which
 * take nothing but sever all that lies behind. Two steps of the grid.
 */
const LAP_M = 0.00002;
/** From this many pieces on works are moved as one outline per class: their strips would cross each other by the thousand. */
const CROWDED_FROM = 24;
/** Round corners of such outlines are chords that miss the arc by this, millimetres. */
const CROWDED_ARC_MM = 0.2;
/** The way to the far end of a bracket among so many begins with a step of this, metres, and doubles. */
const FIRST_STEP_M = 0.5;

export class Margins {
  readonly #variant: Variant;
  readonly #limits: CompiledLimits;
  readonly #known = new Map<number, number | null>();

  constructor(variant: Variant) {
    this.#variant = variant;
    this.#limits = compileLimits(variant.rule, variant.areas);
  }

  /** One tree's margin, metres; null for a tree not assessed, for a group, where more than MOST_ROOM_M is left,
   * and where works would have to retreat farther than they are looked for. */
  at(row: number): number | null {
    let margin = this.#known.get(row);
    if (margin === undefined) {
      margin = this.#find(row);
      this.#known.set(row, margin);
    }
    return margin;
  }

  #find(row: number): number | null {
    const { measured, judged, zones, shapes } = this.#variant;
    const site = measured.siteOf(row);
    const verdict = judged[row]?.verdict;
    const nearest = measured.table.nearestM[row] as number;
    if (site === undefined || verdict === 'not-assessed' || Number.isNaN(nearest)) return null;
    if (shapes.get(row)?.isGroup === true) return null; // there is no trunk to count from
    const rings = zones.ringRadiusM.map((radius) => (radius[row] as number) || 0);
    const reach = Math.max(zones.radiusM[row] as number, ...rings);
    const room = nearest - reach; // works that come no nearer than this take nothing
    if (room > MOST_ROOM_M) return null;
    const trunk = zones.trunkRadiusM[row] as number;
    const isOver = verdict === 'over-limit' || verdict === 'stem-in-works';
    if (!isOver) {
      const near = new NearWorks(site, reach + Math.max(nearest - trunk, 0) + WIDTH_M);
      const short = (by: number): number => -this.#excess(row, site, near.grown(by), (trunk + by - nearest) / reach);
      const [from, to] = [Math.max(room, 0), Math.max(nearest - trunk, 0) + WIDTH_M];
      const margin = near.isCrowded ? rootFrom(short, from, to) : rootIn(short, from, to, WIDTH_M);
      return Math.max(margin - WIDTH_M, 0); // never below 0 where no limit is broken
    }
    // Works are looked for within NEAREST_LIMIT_M of every tree; farther off they are there or not as other trees have it,
    // and where they end matters up to a retreat beyond the zone.
    const farthest = NEAREST_LIMIT_M - reach;
    if (!(farthest > WIDTH_M)) return null;
    let most = Math.min(Math.max(-room, WIDTH_M), farthest);
    let near = new NearWorks(site, reach + most);
    const over = (by: number): number => {
      const pieces = near.narrowed(by);
      // The trunk is free of the works when they have drawn back to beyond its face. Works cut off at the reach seem no
      // deeper than that, so the depth is asked anew when the reach has grown.
      const depth = nearest > 0 ? -nearest : near.depth;
      const onTrunk = trunk + depth - by;
      // Works narrower than that have vanished before.
      const stands = onTrunk > 0 && new Meter(pieces).disc(0, 0, Math.max(trunk, WIDTH_M)) > 0;
      return this.#excess(row, site, pieces, stands ? onTrunk / reach : Math.min(onTrunk / reach, 0));
    };
    while (over(most) > 0) {
      if (most >= farthest) return null;
      most = Math.min(most * 2, farthest);
      near = new NearWorks(site, reach + most);
    }
    return -rootIn(over, 0, most, WIDTH_M);
  }

  /** How far the most passed limit is passed, as a share; above 0 the tree is over it. */
  #excess(row: number, site: Site, pieces: Pieces, onTrunk: number): number {
    const { measured, rule } = this.#variant;
    const { zones, table } = measured.measureOne(row, site, pieces, packedBoxes(pieces.box, ArrayBuffer));
    table.stemInWorks[0] = onTrunk > 0 ? 1 : 0;
    // A trunk in the works is over whatever the areas: told by its distance, so that there is a root to be found.
    return Math.max(excess(zones, table, 0, rule, this.#limits), onTrunk);
  }
}

/** The root in a bracket whose far end is dear: the end is brought near by steps that double. */
function rootFrom(f: (x: number) => number, from: number, to: number): number {
  let a = from;
  for (let step = FIRST_STEP_M; a + step < to; step *= 2) {
    const b = a + step;
    if (f(b) <= 0) return rootIn(f, a, b, WIDTH_M);
    a = b;
  }
  return rootIn(f, a, to, WIDTH_M);
}

/** Works about a tree, relative to it, with their common boundary moved; ground that is hard today stays. */
export class NearWorks {
  readonly #pieces: readonly NearPiece[];
  readonly #reach: number;
  #outline: readonly Ring[] | undefined;
  /** So many pieces that they are moved as outlines. */
  readonly isCrowded: boolean;

  constructor(site: Site, reach: number, crowdedFrom: number = CROWDED_FROM) {
    this.#pieces = piecesWithin(site, reach);
    this.#reach = reach;
    this.isCrowded = this.#pieces.filter(({ tag }) => (tag.classBit & WORKS) !== 0).length >= crowdedFrom;
  }

  /** Distance from the tree to the boundary of all works together. */
  get depth(): number {
    return distanceToRings(this.#boundary());
  }

  /** Widened: each piece, and all that lies within the distance of it. */
  grown(by: number): Pieces {
    const builder = new PieceBuilder();
    if (this.isCrowded && by > 0) {
      for (const { rings, tag } of this.#pieces) if ((tag.classBit & WORKS) === 0) builder.add(rings, tag);
      for (const { rings, tag } of this.#byClass()) {
        for (const polygon of finelyMoved(rings, by)) builder.add(polygon, tag);
      }
      return builder.finish();
    }
    for (const { rings, tag } of this.#pieces) {
      builder.add(rings, tag);
      if ((tag.classBit & WORKS) !== 0 && by > 0) {
        for (const ring of rings) addRound(builder, ring, by, this.#reach, tag);
      }
    }
    return builder.finish();
  }

  /** Drawn back: the pieces, and the ground within the distance of their common boundary as no longer theirs. */
  narrowed(by: number): Pieces {
    const builder = new PieceBuilder();
    for (const { rings, tag } of this.#pieces) builder.add(rings, tag);
    const tag = { owner: 0, classBit: RETREATED, cuts: false };
    if (by > 0 && this.isCrowded) {
      const rings = this.#boundary();
      const kept = finelyMoved(rings, -by).map((polygon) => scaled(polygon, FINER));
      const all = finelyMoved(rings, LAP_M).map((polygon) => scaled(polygon, FINER));
      for (const polygon of lessShape(all, kept)) builder.add(scaled(polygon, 1 / FINER), tag);
    } else if (by > 0)
      for (const ring of this.#boundary()) addRound(builder, backwards(ring), by, this.#reach, tag, LAP_M);
    return builder.finish();
  }

  /** Works of one class that do the same to roots, with their rings together. */
  #byClass(): readonly NearPiece[] {
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
    this.#outline ??= works.length === 1 ? (works[0] as readonly Ring[]) : finelyUnited(works);
    return this.#outline;
  }
}

/** Rings of the union of pieces. */
function finelyUnited(pieces: readonly (readonly Ring[])[]): Ring[] {
  return unionShape(pieces.map((rings) => scaled(rings, FINER))).flatMap((rings) => scaled(rings, 1 / FINER));
}

/** The union of rings with its boundary moved out, or in below 0. */
function finelyMoved(rings: readonly Ring[], by: number): Ring[][] {
  return offsetShape(scaled(rings, FINER), by * FINER, CROWDED_ARC_MM * FINER).map((cut) => scaled(cut, 1 / FINER));
}

/** What of a piece lies in a square, as polygons. */
function finelyCut(rings: readonly Ring[], square: Ring): Ring[][] {
  return commonShape([scaled(rings, FINER)], [scaled([square], FINER)]).map((cut) => scaled(cut, 1 / FINER));
}

function scaled(rings: readonly Ring[], by: number): Ring[] {
  return rings.map((ring) => ring.map((v) => v * by));
}

interface NearPiece {
  readonly rings: readonly Ring[];
  readonly tag: PieceTag;
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
      owner: pieces.owner[p] as number,
      classBit: pieces.classBit[p] as number,
      cuts: pieces.cuts[p] === 1,
    };
    const rings = pieceRings(pieces, p, x, y);
    const [west, south, east, north] = pieces.box.subarray(p * 4, p * 4 + 4) as unknown as [
      number,
      number,
      number,
      number,
    ];
    const isFar = west < x - 2 * reach || south < y - 2 * reach || east > x + 2 * reach || north > y + 2 * reach;
    for (const polygon of isFar ? finelyCut(rings, square) : [rings]) out.push({ rings: polygon, tag });
  }
  return out;
}
