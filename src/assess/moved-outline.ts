// An outline of very many corners that moves. In: rings of a union, and which way their boundary moves; out: the rings moved
// by any distance. Terms: level = an outline moved so far, with the step up to which it serves; the next level begins at
// its end, with twice the step; steps = what a move costs, counted before it begins.
//
// To widen a comb of 2,000 teeth by a metre edge by edge makes millions of crossings; widened by half a gap first it has
// become a bar. Moving by a and then by b is moving by a + b (both are sums with a disc, Serra 1982), so a level that is
// coarse enough for its step is made from the one before, and detail is gone before it costs anything.
// Cost: one move a distance asked for, and one a level; a level is made when a distance beyond it is asked for. No move begins
// that would take more steps than are left for its tree.

import { movedRings, type Ring, signedArea, stepsAcross } from '../geometry/index.js';

/** The first step is at least this and at most that, metres. */
const LEAST_STEP_M = 0.002;
const MOST_STEP_M = 0.5;
/** Outlines of more corners than this begin with a step of at most the second figure, metres. */
const MANY_CORNERS = 2000;
const MOST_STEP_OF_MANY_M = 0.01;
/** Outlines are moved on a grid of a hundredth of a millimetre. */
export const FINER = 100;
/** Round corners are chords that miss the arc by this, millimetres. */
const ARC_MM = 0.2;

/** Steps (geometry/shapes.ts, stepsAcross) that the outlines about one tree may take to move: some seconds. */
const MOST_STEPS = 15_000_000;

/** Thrown before a move that would take more steps than are left for its tree. */
export class TooDear extends Error {}

/** Steps left for one tree. */
export class Steps {
  #left: number;

  constructor(most: number = MOST_STEPS) {
    this.#left = most;
  }

  take(steps: number): void {
    this.#left -= steps;
    if (this.#left < 0) throw new TooDear('moving these outlines takes more steps than a margin is worth');
  }
}

interface Level {
  readonly rings: readonly Ring[];
  readonly from: number;
  readonly step: number;
}

export class MovedOutline {
  readonly #levels: Level[];
  readonly #sign: 1 | -1;
  readonly #steps: Steps;
  /** The distance up to which the outline itself serves: half the mean width of what is there, or of the gaps between. */
  readonly step: number;

  /** `reach` is half the side of the square about the origin that the rings lie in, or nearly. */
  constructor(rings: readonly Ring[], sign: 1 | -1, reach: number, steps: Steps = new Steps()) {
    let area = 0;
    let length = 0;
    let corners = 0;
    for (const ring of rings) {
      area += signedArea(ring);
      length += lengthOf(ring);
      corners += ring.length / 2;
    }
    const width = (sign < 0 ? area : Math.max(4 * reach * reach - area, 0)) / length;
    const most = corners > MANY_CORNERS ? MOST_STEP_OF_MANY_M : MOST_STEP_M;
    this.step = Math.min(Math.max(width, LEAST_STEP_M), most);
    this.#sign = sign;
    this.#steps = steps;
    this.#levels = [{ rings, from: 0, step: this.step }];
  }

  #moved(rings: readonly Ring[], by: number): readonly Ring[] {
    this.#steps.take(stepsAcross(rings));
    return moved(rings, by);
  }

  /** The rings moved by a distance. */
  at(by: number): readonly Ring[] {
    let last = this.#levels.at(-1)!;
    while (by > last.from + last.step) {
      const rings = this.#moved(last.rings, this.#sign * last.step);
      last = { rings, from: last.from + last.step, step: last.step * 2 };
      this.#levels.push(last);
    }
    const level = this.#levels.findLast(({ from }) => from <= by)!;
    return by === level.from ? level.rings : this.#moved(level.rings, this.#sign * (by - level.from));
  }
}

/** Moves the boundary of rings of a union out by a distance, or in below 0. */
function moved(rings: readonly Ring[], by: number): readonly Ring[] {
  return rings.length === 0 ? rings : scaled(movedRings(scaled(rings, FINER), by * FINER, ARC_MM * FINER), 1 / FINER);
}

/** Rings on the engine's grid of millimetres, made so much finer. */
export function scaled(rings: readonly Ring[], by: number): Ring[] {
  return rings.map((ring) => ring.map((v) => v * by));
}

function lengthOf(ring: Ring): number {
  let sum = 0;
  for (let i = 0; i < ring.length; i += 2) {
    const k = (i + 2) % ring.length;
    sum += Math.hypot(ring[k]! - ring[i]!, ring[k + 1]! - ring[i + 1]!);
  }
  return sum;
}
