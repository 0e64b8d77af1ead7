// An outline of very many corners that moves. In: rings of one area, and which way their boundary moves; out: for any
// distance an outline that has moved most of the way, and the rest. Terms: level = an outline moved so far, with the step up
// to which it serves; the next level begins at its end, with twice the step.
//
// To widen a comb of 2,000 teeth by a metre edge by edge makes millions of crossings; widened by half a gap first it has
// become a bar. Moving by a and then by b is moving by a + b (both are sums with a disc, Serra 1982), so a level that is
// coarse enough for its step is made from the one before, and detail is gone before it costs anything.
// Cost: what one move over a step costs, once a level; a level is made when a distance beyond it is asked for.

import { offsetShape, type Ring, ringArea } from '../geometry/index.js';

/** The first step is at least this and at most that, metres. */
const LEAST_STEP_M = 0.002;
const MOST_STEP_M = 0.5;

interface Level {
  readonly polygons: readonly (readonly Ring[])[];
  readonly from: number;
  readonly step: number;
}

export class MovedOutline {
  readonly #levels: Level[];
  readonly #sign: 1 | -1;
  readonly #move: Move;
  /** The distance up to which the outline itself serves: half the mean width of what is there, or of the gaps between. */
  readonly step: number;

  /** `reach` is half the side of the square about the origin that the rings lie in, or nearly. */
  constructor(polygons: readonly (readonly Ring[])[], sign: 1 | -1, reach: number, move: Move) {
    let area = 0;
    let length = 0;
    for (const rings of polygons) {
      for (const ring of rings) {
        area += ringArea(ring);
        length += lengthOf(ring);
      }
    }
    const width = (sign < 0 ? area : Math.max(4 * reach * reach - area, 0)) / length;
    this.step = Math.min(Math.max(width, LEAST_STEP_M), MOST_STEP_M);
    this.#sign = sign;
    this.#move = move;
    this.#levels = [{ polygons, from: 0, step: this.step }];
  }

  /** The outline nearest before a distance, how far it has moved, and how far it has yet to go. */
  at(by: number): { readonly polygons: readonly (readonly Ring[])[]; readonly moved: number; readonly rest: number } {
    let last = this.#levels.at(-1)!;
    while (by > last.from + last.step) {
      const rings = last.polygons.flat();
      const polygons = rings.length === 0 ? [] : this.#move(rings, this.#sign * last.step);
      last = { polygons, from: last.from + last.step, step: last.step * 2 };
      this.#levels.push(last);
    }
    const level = this.#levels.findLast(({ from }) => from <= by)!;
    return { polygons: level.polygons, moved: level.from, rest: by - level.from };
  }
}

/** Moves the boundary of some rings out by a distance, or in below 0. */
export type Move = (rings: readonly Ring[], by: number) => readonly (readonly Ring[])[];

/** `offsetShape` on a grid `finer` than a millimetre, round corners as chords that miss the arc by at most `arcMm`. */
export function moveOn(finer: number, arcMm: number): Move {
  return (rings, by) =>
    offsetShape(
      rings.map((ring) => ring.map((v) => v * finer)),
      by * finer,
      arcMm * finer,
    ).map((polygon) => polygon.map((ring) => ring.map((v) => v / finer)));
}

function lengthOf(ring: Ring): number {
  let sum = 0;
  for (let i = 0; i < ring.length; i += 2) {
    const k = (i + 2) % ring.length;
    sum += Math.hypot(ring[k]! - ring[i]!, ring[k + 1]! - ring[i + 1]!);
  }
  return sum;
}
