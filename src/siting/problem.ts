// Where works may stand, as a problem: in: ground (trees with their limits), a footprint, its room; out: what any motion
// does. Terms: excess = how far a tree's most passed limit is passed, as a share of its zone (above 0: over); ceiling = what
// a tree that is over without the footprint has at home: it may not get worse; standing = all of these figures at one
// motion.

import type { Pieces, Ring } from '../geometry/index.js';
import { type Footprint, HOME, type Motion, travelM, turnedPieces, turner } from './motion.js';
import { type Hold, ON_LINE_M, type Room } from './room.js';
import type { Slope } from './slope.js';

/** Trees about moving works; one entry per place. All in the frame. */
export interface Ground {
  readonly count: number;
  readonly xy: Float64Array;
  readonly reachM: Float64Array; // works farther off take nothing
  readonly zoneM2: Float64Array;
  /** Excess with pieces (about the reference) laid at a place of the frame; null: without them. */
  excess(place: number, pieces: Pieces | null, x: number, y: number): number;
  /** Percent of the zone taken, as measured last. */
  overlapPct(place: number): number;
  /** How excess changes, shares a metre and a radian anticlockwise about the reference. */
  slope(place: number, pieces: Pieces, x: number, y: number): Slope;
  /** Excess never changes by more than this a metre of shift; Infinity where nothing bounds it. */
  steepest(place: number): number;
}

/** What may be done with the footprint. */
export interface Freedom {
  readonly shiftM: number; // at most so far from home
  readonly turnDeg: number; // at most so far either way
  readonly mirror: boolean;
}

export interface Standing {
  readonly motion: Motion;
  readonly travelM: number;
  readonly fits: boolean;
  readonly escapeM: number;
  /** Places over their ceilings. */
  readonly over: readonly number[];
  /** Zone taken beyond what limits allow, square metres, for all trees together. */
  readonly lostM2: number;
  /** The largest excess over a ceiling; negative: the least room, as a share. */
  readonly worst: number;
  /** The largest share taken of one zone, percent. */
  readonly worstPct: number;
}

/**
 * A siting keeps this much of a zone in reserve: outputs are written to a tenth of a millimetre, and figures read back from
 * them must still hold. A thousandth of a point.
 */
const IN_HAND = 1e-5;

/** Pieces and outlines mirrored and turned, about the reference, and the box of the pieces. */
interface Turned extends Pick<Motion, 'turnDeg' | 'mirrored'> {
  readonly pieces: Pieces;
  readonly held: readonly Ring[];
  readonly box: readonly [number, number, number, number];
}

const TURNS_KEPT = 4;

export class Problem {
  readonly ground: Ground;
  readonly footprint: Footprint;
  readonly room: Room | null;
  readonly freedom: Freedom;
  /** Excess of each place without the footprint, and what it may be. */
  readonly alone: Float64Array;
  readonly ceiling: Float64Array;
  /** Places that are over whatever the footprint does. */
  readonly beyondHelp: readonly number[];
  readonly #pieces: Pieces;
  readonly #held: readonly Ring[];
  readonly #look: () => void;
  /** The last turns asked for, the latest first: a search stays with one for long, and a step needs two. */
  readonly #turned: Turned[] = [];
  /** Standings asked for so far. */
  asked = 0;

  /** `pieces` and `held` about the reference; `look` is called before each tree and each look at the room: throws to stop. */
  constructor(
    ground: Ground,
    footprint: Footprint,
    pieces: Pieces,
    held: readonly Ring[],
    room: Room | null,
    freedom: Freedom,
    look: () => void = () => {},
  ) {
    this.#look = look;
    this.ground = ground;
    this.footprint = footprint;
    this.#pieces = pieces;
    this.#held = held;
    this.room = room;
    this.freedom = freedom;
    this.alone = new Float64Array(ground.count);
    this.ceiling = new Float64Array(ground.count);
    const beyond: number[] = [];
    for (let t = 0; t < ground.count; t++) {
      look();
      const alone = ground.excess(t, null, 0, 0);
      this.alone[t] = alone;
      if (alone > 0) {
        beyond.push(t);
        this.ceiling[t] = Math.max(alone, ground.excess(t, pieces, footprint.x, footprint.y)) + IN_HAND / 10;
      } else this.ceiling[t] = -Math.min(IN_HAND, -alone / 2);
    }
    this.beyondHelp = beyond;
  }

  /** Pieces and held outlines after mirroring and turning, about the reference. */
  turned({ turnDeg, mirrored }: Pick<Motion, 'turnDeg' | 'mirrored'>): Turned {
    for (const known of this.#turned) if (known.turnDeg === turnDeg && known.mirrored === mirrored) return known;
    const place = turner(this.footprint, turnDeg, mirrored);
    const pieces = turnedPieces(this.#pieces, this.footprint, turnDeg, mirrored);
    const held = this.#held.map((ring) => placedRing(ring, place, mirrored));
    const made = { turnDeg, mirrored, pieces, held, box: boxOf(pieces) };
    this.#turned.unshift(made);
    if (this.#turned.length > TURNS_KEPT) this.#turned.pop();
    return made;
  }

  /** Excess over the ceiling of one place. */
  excess(place: number, motion: Motion): number {
    this.#look();
    const { pieces } = this.turned(motion);
    const { x, y } = this.footprint;
    return this.ground.excess(place, pieces, x + motion.eastM, y + motion.northM) - this.ceiling[place]!;
  }

  slope(place: number, motion: Motion): Slope {
    this.#look();
    const { x, y } = this.footprint;
    return this.ground.slope(place, this.turned(motion).pieces, x + motion.eastM, y + motion.northM);
  }

  /** Whether the footprint's box comes within reach of a tree. */
  reaches(place: number, motion: Motion): boolean {
    const { box } = this.turned(motion);
    const { xy, reachM } = this.ground;
    const x = xy[place * 2]! - this.footprint.x - motion.eastM;
    const y = xy[place * 2 + 1]! - this.footprint.y - motion.northM;
    const dx = Math.max(box[0] - x, x - box[2], 0);
    const dy = Math.max(box[1] - y, y - box[3], 0);
    return dx * dx + dy * dy < reachM[place]! ** 2;
  }

  escapeM({ eastM, northM, ...turn }: Motion): number {
    this.#look();
    const outside = Math.max(Math.hypot(eastM, northM) - this.freedom.shiftM, 0);
    if (this.room === null) return outside;
    return Math.max(outside, this.room.escapeM(this.turned(turn).held, eastM, northM));
  }

  holds(motion: Motion, reach: number): Hold[] {
    this.#look();
    const { eastM, northM } = motion;
    const shift = Math.hypot(eastM, northM);
    const holds = this.room === null ? [] : this.room.holds(this.turned(motion).held, eastM, northM, reach);
    if (shift > this.freedom.shiftM - reach && shift > 0) {
      holds.push({ value: shift - this.freedom.shiftM, east: eastM / shift, north: northM / shift, turn: 0 });
    }
    return holds;
  }

  at(motion: Motion): Standing {
    this.asked++;
    const escapeM = this.escapeM(motion);
    const over: number[] = [];
    let [lostM2, worst, worstPct] = [0, -Infinity, 0];
    const { ground } = this;
    for (let t = 0; t < ground.count; t++) {
      if (!this.reaches(t, motion)) {
        worst = Math.max(worst, this.alone[t]! - this.ceiling[t]!);
        continue;
      }
      const excess = this.excess(t, motion);
      worst = Math.max(worst, excess);
      worstPct = Math.max(worstPct, ground.overlapPct(t));
      if (!(excess > 0)) continue;
      over.push(t);
      lostM2 += excess * ground.zoneM2[t]!;
    }
    return {
      motion,
      travelM: travelM(this.footprint, motion),
      fits: escapeM <= ON_LINE_M,
      escapeM,
      over,
      lostM2,
      worst,
      worstPct,
    };
  }

  home(): Standing {
    return this.at(HOME);
  }
}

function placedRing(ring: Ring, place: (x: number, y: number) => readonly [number, number], mirrored: boolean): Ring {
  const out: number[] = [];
  const n = ring.length;
  for (let i = 0; i < n; i += 2) {
    const from = mirrored ? n - 2 - i : i;
    out.push(...place(ring[from]!, ring[from + 1]!));
  }
  return out;
}

function boxOf({ box, count }: Pieces): readonly [number, number, number, number] {
  const out: [number, number, number, number] = [Infinity, Infinity, -Infinity, -Infinity];
  for (let p = 0; p < count; p++) {
    out[0] = Math.min(out[0], box[p * 4]!);
    out[1] = Math.min(out[1], box[p * 4 + 1]!);
    out[2] = Math.max(out[2], box[p * 4 + 2]!);
    out[3] = Math.max(out[3], box[p * 4 + 3]!);
  }
  return out;
}
