// Measures discs against many polygons: in: a centre, a radius (or four quarter radii, or a polygon); out: overlap by
// class, severed area, what one owner alone takes, the nearest piece. One Meter serves any number of trees one after
// another and allocates nothing. Terms: candidate = a piece whose box meets the disc's; spared = ground that is hard
// today and whose loss is not counted.
// Promise: exact for valid polygons (check/index.ts); for any finite input, figures are numbers and an overlap lies
// between nothing and the whole zone.

import { BoxIndex } from '../box-index.js';
import type { Shape } from '../rings/ring.js';
import { boxDistance2, Disc } from './disc.js';
import { MaskAreas } from './mask-areas.js';
import {
  comparePieces,
  EXISTING,
  FAR_M,
  heldWithin,
  type Pieces,
  pieceRings,
  RETREATED,
  WITHIN,
  WORKS,
} from './pieces.js';
import { Probe } from './probe.js';
import { Shadow } from './shadow.js';
import { sortItems } from './sorting.js';
import { Sweep } from './sweep.js';
import { Touching } from './touching.js';

/** The nearest works are searched for up to this distance, metres; works farther away do not matter to a tree. */
export const NEAREST_LIMIT_M = 1000;

/** Radii below this are measured as this, metres: their squares would vanish. */
const LEAST_RADIUS_M = 1e-60;

export class Meter {
  pieces: Pieces;
  index: BoxIndex;
  readonly sweep: Sweep;

  // results of the last call of `disc`, `quarters` or `polygon`
  severed: number = 0;
  /** Area by mask of classes; filled also where no sweep was needed. */
  areas: MaskAreas = new MaskAreas();
  readonly touching: Touching = new Touching();

  // results of the last call of `nearest` or `discAndNearest`
  distance: number = Number.NaN;
  nearX: number = Number.NaN; // relative to the centre
  nearY: number = Number.NaN;
  nearOwner: number = -1;

  readonly #disc = new Disc();
  readonly #own: MaskAreas = this.areas; // of a closed form, and the sum of quarters
  #onSwept: (() => void) | null = null;
  #lastArea = 0; // closed-form area of the piece that was found touching last
  readonly #probe = new Probe();
  #lastNear = -1; // the piece found nearest last
  #carried: Pieces | null = null;
  #carriedX = 0;
  #carriedY = 0;
  readonly #byGeometry = (a: number, b: number): number => comparePieces(this.pieces, a, b);

  /** With `spareExisting`, works on ground that is hard today take nothing. `sweep` is for tests. */
  constructor(pieces: Pieces, indexData?: ArrayBufferLike, spareExisting: boolean = false, sweep: Sweep = new Sweep()) {
    this.sweep = sweep;
    this.pieces = pieces;
    this.index = new BoxIndex(pieces.box, indexData);
    this.touching.spare = RETREATED | (spareExisting ? EXISTING : 0);
  }

  /** Replaces its pieces but keeps its working memory, which is most of the cost of a new meter. */
  lay(pieces: Pieces, indexData?: ArrayBufferLike): void {
    this.pieces = pieces;
    this.index = new BoxIndex(pieces.box, indexData);
    this.#lastNear = -1;
    this.#carried = null;
  }

  /**
   * Adds a few more pieces to its own, displaced by a distance: they are measured together from now on, as if they
   * stood there. For works that move, so that no new index is needed. Null: none.
   */
  carry(pieces: Pieces | null, x: number = 0, y: number = 0): void {
    this.#carried = pieces;
    this.#carriedX = x;
    this.#carriedY = y;
  }

  /** Measures the plain disc; returns the overlap (union of all pieces), square metres. */
  disc(x: number, y: number, r: number): number {
    const n = this.#enter(heldWithin(x, FAR_M), heldWithin(y, FAR_M), measurable(r));
    if (n === 0) return 0;
    const whole = Math.PI * r * r;
    if (n === 1 && this.touching.cuts[0] === 0) {
      // one piece that cuts nothing: the closed form is enough
      const bit = this.touching.classBit[0]!;
      this.areas.clear(bit);
      this.areas.add(bit, Math.min(Math.max(this.#lastArea, 0), whole));
      const covered = this.covered();
      if (this.touching.owners === 1) this.touching.sole[0] = covered;
      return covered;
    }
    this.#sweep(1, -Math.PI, Math.PI);
    this.areas = this.sweep.areas;
    return Math.min(Math.max(this.covered(), 0), whole);
  }

  /**
   * Measures the inside of polygons: the union of the pieces of `zone`, none of whose corners is farther than `reach`
   * from the point. What is severed is seen from the point, which need not lie inside.
   */
  polygon(x: number, y: number, reach: number, zone: Pieces): number {
    const cx = heldWithin(x, FAR_M);
    const cy = heldWithin(y, FAR_M);
    if (this.#enter(cx, cy, measurable(reach * (1 + 1e-9))) === 0) return 0;
    const { touching } = this;
    for (let p = 0; p < zone.count; p++) {
      this.#disc.add(zone, p, touching.count);
      touching.add(this.#disc.wrapCount, WITHIN, 0, -1);
    }
    this.#sweep(1, -Math.PI, Math.PI, true);
    this.areas = this.sweep.areas;
    return Math.max(this.covered(), 0);
  }

  /** `disc` and `nearest` in one pass: pieces that touch the disc have shown their distance already. */
  discAndNearest(x: number, y: number, r: number): number {
    const overlap = this.disc(x, y, r);
    if (!(this.distance <= r)) this.#nearestWithin(heldWithin(x, FAR_M), heldWithin(y, FAR_M), NEAREST_LIMIT_M);
    return overlap;
  }

  /**
   * Measures the shape of four quarter ellipses with the given radii along the axes turned clockwise by `turn`
   * radians (0: north = +y). Each quarter is mapped to the unit disc: rays stay rays, areas scale.
   */
  quarters(x: number, y: number, radii: readonly [number, number, number, number], turn: number): number {
    const [north, east, south, west] = radii;
    const cx = heldWithin(x, FAR_M);
    const cy = heldWithin(y, FAR_M);
    this.#clear();
    const sin = Math.sin(turn);
    const cos = Math.cos(turn);
    const half = Math.PI / 2;
    const quarter = [
      [east, north, 0],
      [west, north, half],
      [west, south, -Math.PI],
      [east, south, -half],
    ] as const;
    let area = 0;
    for (const [along, across, first] of quarter) {
      if (!(along > 0 && across > 0)) continue;
      const a = measurable(along);
      const b = measurable(across);
      this.#disc.start(cx, cy, 1);
      this.#disc.map(cos / a, -sin / a, sin / b, cos / b);
      const reach = Math.max(a, b);
      const n = this.#gather(cx, cy, reach);
      if (n > 0) {
        this.#sweep(a * b, first, first + half);
        this.#own.addAll(this.sweep.areas, a * b);
      }
      area += (Math.PI / 4) * a * b;
    }
    return Math.min(Math.max(this.covered(), 0), area);
  }

  /**
   * The ground behind works that cut, for drawing: polygons relative to the centre that reach beyond the zone and
   * still hold the works themselves (see shadowOf). `quarters` as in the method of that name, else the plain disc.
   */
  shadow(x: number, y: number, r: number, quarters?: readonly [number, number, number, number], turn = 0): Shape {
    const out: Shape[number][] = [];
    const inverse = (): ((px: number, py: number) => readonly [number, number]) => {
      const { plain, ax, ay, bx, by } = this.#disc;
      if (plain) return (px, py) => [px, py];
      const det = ax * by - ay * bx;
      return (px, py) => [(by * px - ay * py) / det, (ax * py - bx * px) / det];
    };
    let shadow = new Shadow(quarters ? 1 : r);
    this.sweep.onSlab = (from, to, near0, near1) => shadow.slab(from, to, near0, near1);
    this.#onSwept = () => {
      out.push(...shadow.shape(inverse()));
      shadow = new Shadow(quarters ? 1 : r);
    };
    if (quarters) this.quarters(x, y, quarters, turn);
    else this.disc(x, y, r);
    this.sweep.onSlab = this.#onSwept = null;
    return out;
  }

  /** Pieces of works whose box meets a square about the point, with the row of works they belong to. */
  worksNear(x: number, y: number, reach: number): { readonly owner: number; readonly rings: number[][] }[] {
    return this.#near(x, y, reach, WORKS).map((p) => {
      return { owner: this.pieces.owner[p]!, rings: pieceRings(this.pieces, p, x, y) };
    });
  }

  /** Pieces of any of these classes (bits) whose box meets a square about the point, as rings relative to it. */
  piecesNear(x: number, y: number, reach: number, classes: number = WORKS): number[][][] {
    return this.#near(x, y, reach, classes).map((p) => pieceRings(this.pieces, p, x, y));
  }

  /** Pieces of some classes whose box meets a square about the point, in their order. */
  #near(x: number, y: number, reach: number, classes: number): number[] {
    const n = this.index.search(x - reach, y - reach, x + reach, y + reach);
    return [...this.index.found.subarray(0, n)]
      .filter((p) => (this.pieces.classBit[p]! & classes) !== 0)
      .sort((a, b) => a - b);
  }

  /** Area that works take of the last measured shape. */
  covered(): number {
    return this.coveredBy(WORKS, this.touching.spare);
  }

  /** Area covered by any of these classes (bits) in the last measured shape, but by none of `without`. */
  coveredBy(classes: number, without: number = 0): number {
    return this.areas.sum(classes, without, this.areas.present & WITHIN);
  }

  /** Finds the piece nearest to a point: sets distance (0 inside), nearX, nearY, nearOwner. */
  nearest(x: number, y: number): void {
    this.#clear();
    this.#nearestWithin(heldWithin(x, FAR_M), heldWithin(y, FAR_M), NEAREST_LIMIT_M);
  }

  #enter(x: number, y: number, r: number): number {
    this.#clear();
    this.#disc.start(x, y, r);
    return this.#gather(x, y, r);
  }

  #clear(): void {
    this.severed = 0;
    this.areas = this.#own;
    this.#own.clear(0);
    this.touching.clear();
    this.#clearNearest();
  }

  /** Every piece within `limit` of the point and nearer than the best so far; equal distances are all looked at. */
  #nearestWithin(x: number, y: number, limit: number): void {
    this.#clearNearest();
    const probe = this.#probe;
    let bound2 = limit * limit;
    const lookAt = (pieces: Pieces, piece: number, px: number, py: number): number => {
      if ((pieces.classBit[piece]! & WORKS) === 0) return bound2;
      const reach2 = bound2 * (1 + 1e-12) + Number.MIN_VALUE; // slightly more, so that ties are seen
      probe.measure(pieces, piece, px, py, reach2);
      if (probe.inside) this.#offer(pieces, piece, 0, Number.NaN, Number.NaN);
      else if (probe.distance2 < reach2) {
        this.#offer(pieces, piece, Math.sqrt(probe.distance2), probe.nearX, probe.nearY);
      }
      if (this.nearOwner >= 0) bound2 = Math.min(bound2, this.distance * this.distance);
      return bound2;
    };
    const look = (piece: number): number => lookAt(this.pieces, piece, x, y);
    const carried = this.#carried;
    for (let p = 0; carried !== null && p < carried.count; p++) {
      lookAt(carried, p, x - this.#carriedX, y - this.#carriedY);
    }
    // Trees come in spatial order: what was nearest to the last one is near this one, and keeps the search short.
    if (this.#lastNear >= 0) look(this.#lastNear);
    this.index.nearest(x, y, bound2, look);
  }

  #clearNearest(): void {
    this.distance = Number.NaN;
    this.nearX = this.nearY = Number.NaN;
    this.nearOwner = -1;
  }

  /** Keeps a piece's boundary point when it is nearer than the best so far; ties go to the first by input order. */
  #offer(pieces: Pieces, piece: number, distance: number, nearX: number, nearY: number): void {
    const owner = pieces.owner[piece]!;
    const best = this.distance;
    if (this.nearOwner >= 0 && !(distance < best)) {
      if (!(distance === best) || owner > this.nearOwner) return;
      // Two parts of one polygon may meet in the nearest point: the same one is kept, in whatever order they come.
      if (owner === this.nearOwner && !(nearX < this.nearX || (nearX === this.nearX && nearY < this.nearY))) return;
    }
    if (pieces === this.pieces) this.#lastNear = piece;
    this.distance = distance;
    this.nearX = nearX;
    this.nearY = nearY;
    this.nearOwner = owner;
  }

  /** The distance that the disc's own pass has found for a piece: exact when the boundary comes within the disc. */
  #offerDisc(pieces: Pieces, piece: number, r2: number): void {
    const disc = this.#disc;
    if (disc.holdsCentre) this.#offer(pieces, piece, 0, Number.NaN, Number.NaN);
    else if (disc.distance2 <= r2) this.#offer(pieces, piece, Math.sqrt(disc.distance2), disc.nearX, disc.nearY);
  }

  /** Adds every piece that holds some of the disc, in the pieces' own order; returns their number. */
  #gather(x: number, y: number, reach: number): number {
    const candidates = this.index.search(x - reach, y - reach, x + reach, y + reach);
    const found = this.index.found;
    // Sorted by geometry: the order from the index depends on the order of input.
    if (candidates > 1) sortItems(found, candidates, this.#byGeometry);
    const r2 = reach * reach;
    this.touching.restart();
    for (let i = 0; i < candidates; i++) this.#take(this.pieces, found[i]!, r2);
    if (this.#carried !== null) this.#gatherCarried(this.#carried, r2);
    return this.touching.count;
  }

  /** The same for the added pieces: for them the centre is displaced the other way. */
  #gatherCarried(carried: Pieces, r2: number): void {
    const { cx, cy } = this.#disc;
    this.#disc.cx = cx - this.#carriedX;
    this.#disc.cy = cy - this.#carriedY;
    for (let p = 0; p < carried.count; p++) {
      if (boxDistance2(carried.box, p * 4, this.#disc.cx, this.#disc.cy) <= r2) this.#take(carried, p, r2);
    }
    this.#disc.cx = cx;
    this.#disc.cy = cy;
  }

  /** Adds one piece where it holds some of the disc. */
  #take(pieces: Pieces, piece: number, r2: number): void {
    const disc = this.#disc;
    const { parts, crossings } = disc;
    const bit = pieces.classBit[piece]!;
    const counted = (bit & WORKS) !== 0;
    disc.add(pieces, piece, this.touching.count);
    if (disc.plain && counted) this.#offerDisc(pieces, piece, r2);
    const holdsAll = disc.parts === parts && (disc.wrapCount & 1) === 1;
    if (disc.parts === parts && !holdsAll) {
      disc.crossings = crossings;
      return;
    }
    this.#lastArea = disc.area;
    const owner = counted ? pieces.owner[piece]! : -1;
    this.touching.add(disc.wrapCount, bit, pieces.cuts[piece]!, owner);
  }

  #sweep(scale: number, first: number, last: number, within: boolean = false): void {
    this.sweep.run(this.#disc, this.touching, scale, first, last, within);
    this.severed += this.sweep.severed * scale;
    this.#onSwept?.();
  }
}

/** A radius that the arithmetic can hold; NaN stays NaN. */
function measurable(r: number): number {
  return r < LEAST_RADIUS_M ? LEAST_RADIUS_M : r > FAR_M ? FAR_M : r;
}
