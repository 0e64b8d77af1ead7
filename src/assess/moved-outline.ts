// An outline of many corners that moves. In: rings of a union, and which way their boundary moves; out: the rings moved by
// any distance. Terms: steps = what a move costs, counted as it goes on; level = the outline moved so far that most of its
// corners are gone: it is moved on in place of the first, but never twice, as each move lays chords into its arcs.
// (Moving by a and then by b is moving by a + b: both are sums with a disc, Serra 1982.)
//
// The moved boundary is made by itself (geometry/rings/moved.ts); where its parts do not close, by the clipping engine.
// Cost: one move a distance asked for. A tree whose moves take more steps than are left for it is given up.

import { MovingBoundary, movedRings, type Ring, signedArea, stepsAcross } from '../geometry/index.js';

/** The first step is at least this and at most that, metres. */
const LEAST_STEP_M = 0.002;
const MOST_STEP_M = 0.5;
/** The clipping engine moves outlines on a grid of a hundredth of a millimetre. */
export const FINER = 100;
/** Its round corners are chords that miss the arc by this, millimetres. */
const ARC_MM = 0.2;

/** A level has this many times fewer corners than the outline it was made of. */
const FEWER = 2;
/** Steps that the outlines about one tree may take to move: about a second. */
const MOST_STEPS = 5_000_000;

/** Thrown by a move that takes more steps than are left for its tree. */
export class TooDear extends Error {}

/** So many steps take less than a tenth of a second: then it is asked whether to stop. */
const LOOK_EVERY = 250_000;

/** Steps left for one tree. */
export class Steps {
  #left: number;
  #unseen = 0;
  readonly #look: () => void;

  /** `look` throws when the job is to stop. */
  constructor(most: number = MOST_STEPS, look: () => void = () => {}) {
    this.#left = most;
    this.#look = look;
  }

  get left(): number {
    return this.#left;
  }

  take(steps: number): void {
    this.#left -= steps;
    if (this.#left < 0) throw new TooDear('moving these outlines takes more steps than a margin is worth');
    this.#unseen += steps;
    if (this.#unseen < LOOK_EVERY) return;
    this.#unseen = 0;
    this.#look();
  }
}

export class MovedOutline {
  readonly #rings: readonly Ring[];
  readonly #sign: 1 | -1;
  readonly #steps: Steps;
  readonly #corners: number;
  readonly #levels: { readonly by: number; readonly rings: readonly Ring[]; readonly moving: MovingBoundary }[] = [];
  readonly #moving: MovingBoundary;
  /** A distance to begin a search with: half the mean width of what is there, or of the gaps between. */
  readonly step: number;

  /** `reach` is half the side of the square about the origin that the rings lie in, or nearly. */
  constructor(rings: readonly Ring[], sign: 1 | -1, reach: number, steps: Steps = new Steps()) {
    let area = 0;
    let length = 0;
    for (const ring of rings) {
      area += signedArea(ring);
      length += lengthOf(ring);
    }
    const width = (sign < 0 ? area : Math.max(4 * reach * reach - area, 0)) / length;
    this.step = Math.min(Math.max(width, LEAST_STEP_M), MOST_STEP_M);
    this.#rings = rings;
    this.#corners = cornersOf(rings);
    this.#sign = sign;
    this.#steps = steps;
    this.#moving = this.#movingOf(rings);
  }

  #movingOf(rings: readonly Ring[]): MovingBoundary {
    return new MovingBoundary(rings, this.#sign, (steps) => this.#steps.take(steps));
  }

  /** The rings moved by a distance. */
  at(by: number): readonly Ring[] {
    if (by === 0 || this.#rings.length === 0) return this.#rings;
    const level = this.#levels.findLast((one) => one.by <= by);
    if (level?.by === by) return level.rings;
    const further = level?.moving.at(by - level.by) ?? null;
    if (further !== null) return further;
    const rings = this.#moving.at(by) ?? this.#byEngine(by);
    if (cornersOf(rings) * FEWER < this.#corners) {
      this.#levels.push({ by, rings, moving: this.#movingOf(rings) });
      this.#levels.sort((a, b) => a.by - b.by);
    }
    return rings;
  }

  #byEngine(by: number): readonly Ring[] {
    this.#steps.take(stepsAcross(this.#rings));
    return scaled(movedRings(scaled(this.#rings, FINER), this.#sign * by * FINER, ARC_MM * FINER), 1 / FINER);
  }
}

/** Rings on the engine's grid of millimetres, made so much finer. */
export function scaled(rings: readonly Ring[], by: number): Ring[] {
  return rings.map((ring) => ring.map((v) => v * by));
}

function cornersOf(rings: readonly Ring[]): number {
  return rings.reduce((n, ring) => n + ring.length / 2, 0);
}

function lengthOf(ring: Ring): number {
  let sum = 0;
  for (let i = 0; i < ring.length; i += 2) {
    const k = (i + 2) % ring.length;
    sum += Math.hypot(ring[k]! - ring[i]!, ring[k + 1]! - ring[i + 1]!);
  }
  return sum;
}
