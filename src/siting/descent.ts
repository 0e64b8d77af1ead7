// The local method. In: a problem and a motion to start from; out: the best motion near it. Terms: step = (east, north, turn)
// with the turn as metres at the footprint's rms radius, so that the length of a step is its travel; bound = a linearised
// limit or hold, in metres; given up = trees whose limits do not bind, whose loss may be what is made least.
//
// Sequential linearisation: bounds are linearised by their exact slopes at the present motion, the aim (go home; lose less)
// is projected on them (Hildreth 1957, Naval Res. Logist. Q. 4:79), and a step is kept when it lowers what it costs plus
// what it breaks (exact penalty); else the next one is shorter. Three unknowns and a few bounds: no matrices.

import type { Motion } from './motion.js';
import type { Problem, Standing } from './problem.js';

type Vector = readonly [number, number, number];
interface Bound {
  readonly slope: Vector; // unit length
  readonly value: number; // metres over; negative: room left
}

/** What is wanted in addition to the bounds. */
export interface Wish {
  /** Places whose limits do not bind. */
  readonly givenUp: readonly number[];
  /** Least ground lost of those given up, before the shortest way; else the shortest way alone. */
  readonly loseLeast: boolean;
}

/** Steps end at a tenth of a millimetre: motions are given to the millimetre. */
const SHORTEST_M = 1e-4;
const MOST_STEPS = 60;
/** A step that lowers the cost by less does not count. */
const LEAST_GAIN = 1e-7;
/** A metre over a bound costs this many metres of travel. */
const PENALTY = 20;
/** Weight of lost ground against travel: how many metres of travel one metre less of lost ground is worth. */
const LOSS_WEIGHT = 10;

/**
 * Improves a motion; bounds are kept with `spareM` to spare.
 *
 * @returns the standing reached: some trees may still be over where no improvement is possible from here
 */
export function descend(problem: Problem, start: Motion, wish: Wish, spareM: number): Standing {
  const scale = problem.footprint.rmsM;
  const ease = problem.freedom.turnDeg > 0 && scale > 0 ? 180 / (Math.PI * scale) : 0; // degrees a metre
  let motion = start;
  let cost = costOf(problem, motion, wish, spareM);
  let trust = 1;
  for (let step = 0; step < MOST_STEPS && trust > SHORTEST_M; step++) {
    const bounds = boundsAt(problem, motion, wish, spareM, trust, ease);
    const home: Vector = [-motion.eastM, -motion.northM, ease === 0 ? 0 : -motion.turnDeg / ease];
    const target = wish.loseLeast ? lossStep(problem, motion, wish, trust, ease, home) : home;
    const d = shortened(projected(shortened(target, trust), bounds), trust);
    let next = moved(problem, motion, d, ease);
    let then = costOf(problem, next, wish, spareM);
    if (!(then < cost - LEAST_GAIN)) {
      // Bounds are curved: a step along one leaves it by the square of its length. Back to it before judging the step.
      const back = boundsAt(problem, next, wish, spareM, trust, ease);
      next = moved(problem, next, shortened(projected([0, 0, 0], back), trust), ease);
      then = costOf(problem, next, wish, spareM);
    }
    if (then < cost - LEAST_GAIN) {
      motion = next;
      trust = Math.min(trust * 1.6, 3);
      cost = then;
    } else trust = Math.min(trust, Math.hypot(...d)) * 0.4;
  }
  return problem.at(motion);
}

function moved(problem: Problem, motion: Motion, [east, north, turn]: Vector, ease: number): Motion {
  return {
    ...motion,
    eastM: motion.eastM + east,
    northM: motion.northM + north,
    turnDeg: clamped(motion.turnDeg + turn * ease, problem.freedom.turnDeg),
  };
}

/** Rounds a motion to millimetres and thousandths of a degree, with bounds that still hold; null where that fails. */
export function settled(problem: Problem, start: Motion, wish: Wish): Standing | null {
  for (const spareM of [0, 0.001, 0.003, 0.01]) {
    const { motion } = spareM === 0 ? { motion: start } : descend(problem, start, wish, spareM);
    const round = (v: number): number => Math.round(v * 1000) / 1000 + 0;
    const standing = problem.at({
      ...motion,
      eastM: round(motion.eastM),
      northM: round(motion.northM),
      turnDeg: round(motion.turnDeg),
    });
    if (standing.fits && standing.over.every((t) => wish.givenUp.includes(t))) return standing;
  }
  return null;
}

function costOf(problem: Problem, motion: Motion, { givenUp, loseLeast }: Wish, spareM: number): number {
  const { ground, footprint } = problem;
  let broken = 0;
  let lost = 0;
  for (let t = 0; t < ground.count; t++) {
    if (!problem.reaches(t, motion)) continue;
    const isGivenUp = givenUp.includes(t);
    if (isGivenUp && !loseLeast) continue;
    const excess = problem.excess(t, motion);
    const width = 2 * ground.reachM[t]!;
    const metres = (excess * ground.zoneM2[t]!) / width;
    if (isGivenUp) lost += Math.max(metres, 0);
    else broken += Math.max(metres + (metres > -spareM ? spareM : 0), 0);
  }
  const turn = (motion.turnDeg * Math.PI * footprint.rmsM) / 180;
  const travel = Math.hypot(motion.eastM, motion.northM, turn);
  return (
    travel * (loseLeast ? 1 / LOSS_WEIGHT : 1) +
    lost * LOSS_WEIGHT +
    PENALTY * LOSS_WEIGHT * (broken + problem.escapeM(motion))
  );
}

function boundsAt(problem: Problem, motion: Motion, wish: Wish, spareM: number, trust: number, ease: number): Bound[] {
  const bounds: Bound[] = [];
  const perMetre = (ease * Math.PI) / 180; // radians a metre of the step's third part, clockwise
  const add = (value: number, east: number, north: number, turn: number): void => {
    const slope: Vector = [east, north, -turn * perMetre];
    const length = Math.hypot(...slope);
    if (length > 0)
      bounds.push({ slope: [slope[0] / length, slope[1] / length, slope[2] / length], value: value / length + spareM });
  };
  for (let t = 0; t < problem.ground.count; t++) {
    if (wish.givenUp.includes(t) || !problem.reaches(t, motion)) continue;
    const excess = problem.excess(t, motion);
    const width = 2 * problem.ground.reachM[t]!;
    if (excess < (-width * 2 * trust) / problem.ground.zoneM2[t]!) continue; // out of this step's reach
    const { east, north, turn } = problem.slope(t, motion);
    add(excess, east, north, turn);
  }
  for (const { value, east, north, turn } of problem.holds(motion, 2 * trust + 0.1)) add(value, east, north, turn);
  return bounds;
}

/** Downhill on the ground lost of the trees given up; home where nothing is lost. */
function lossStep(
  problem: Problem,
  motion: Motion,
  { givenUp }: Wish,
  trust: number,
  ease: number,
  home: Vector,
): Vector {
  const sum: [number, number, number] = [0, 0, 0];
  const perMetre = (ease * Math.PI) / 180;
  for (const t of givenUp) {
    if (!problem.reaches(t, motion) || !(problem.excess(t, motion) > 0)) continue;
    const { east, north, turn } = problem.slope(t, motion);
    const weight = problem.ground.zoneM2[t]! / (2 * problem.ground.reachM[t]!);
    sum[0] -= east * weight;
    sum[1] -= north * weight;
    sum[2] += turn * perMetre * weight;
  }
  const length = Math.hypot(...sum);
  if (!(length > 1e-9)) return home;
  return [(sum[0] / length) * trust, (sum[1] / length) * trust, (sum[2] / length) * trust];
}

/** The place nearest to a target that keeps all bounds: cyclic projection with what each bound has pushed so far. */
function projected(target: Vector, bounds: readonly Bound[]): Vector {
  const at: [number, number, number] = [...target];
  const pushed = new Float64Array(bounds.length);
  for (let round = 0; round < 200; round++) {
    let moved = 0;
    for (let i = 0; i < bounds.length; i++) {
      const { slope, value } = bounds[i]!;
      const over = value + slope[0] * at[0] + slope[1] * at[1] + slope[2] * at[2];
      const push = Math.max(over, -pushed[i]!);
      pushed[i] = pushed[i]! + push;
      at[0] -= push * slope[0];
      at[1] -= push * slope[1];
      at[2] -= push * slope[2];
      moved = Math.max(moved, Math.abs(push));
    }
    if (moved < 1e-9) break;
  }
  return at;
}

function shortened(v: Vector, most: number): Vector {
  const length = Math.hypot(...v);
  if (!(length > most)) return v;
  return [(v[0] * most) / length, (v[1] * most) / length, (v[2] * most) / length];
}

function clamped(v: number, most: number): number {
  return Math.min(Math.max(v, -most), most);
}
