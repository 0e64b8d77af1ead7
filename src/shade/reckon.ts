// One facade under the sun of a year. In: a wall, what hides, trees about it, steps of the sun; out: its hours.
// `look` is called at each step: throws to stop.
// Terms: sample = a point of the wall that stands for an equal share of it; light = share of direct sun that passes.

import { Corridor } from './corridor.js';
import type { Wall } from './facades.js';
import { type CrownSolid, crownMeets, trunkMeets } from './solid.js';
import { HourSums } from './sums.js';
import type { SunStep } from './sun.js';
import type { Walls } from './walls.js';

/** A tree in the plane of the wall. */
export interface PlacedTree {
  readonly solid: CrownSolid;
  readonly reachM: number; // of the crown or the trunk, from its line
  readonly standing: boolean;
  readonly transmission: readonly number[];
}

export interface FacadeHours {
  readonly sun: HourSums;
  readonly standing: HourSums;
  readonly today: HourSums;
  readonly alone: readonly HourSums[]; // per tree
  readonly only: readonly HourSums[];
}

/** Metres between samples, and most of them along and up a wall. */
const APART_M = 2;
const MOST_ALONG = 10;
const MOST_UP = 5;
/** Metres in front of the wall: its own building must not hide it. */
const OFF_M = 0.001;

export function facadeHours(
  wall: Wall,
  heightM: number,
  hides: Walls,
  trees: readonly PlacedTree[],
  steps: readonly SunStep[],
  look: () => void = () => {},
): FacadeHours {
  const points = samples(wall, heightM);
  const angle = (wall.bearing * Math.PI) / 180;
  const [faceE, faceN] = [Math.sin(angle), Math.cos(angle)];
  const hours: FacadeHours = {
    sun: new HourSums(),
    standing: new HourSums(),
    today: new HourSums(),
    alone: trees.map(() => new HourSums()),
    only: trees.map(() => new HourSums()),
  };
  const light = new Float64Array(trees.length);
  const met: number[] = [];
  const nearTrees: number[] = [];
  const nearWalls: number[] = [];
  for (const step of steps) {
    if (step.east * faceE + step.north * faceN <= 0) continue; // behind the wall
    look();
    const share = step.hours / (points.length / 3);
    const corridor = new Corridor(wall.from, wall.to, step);
    hides.within(corridor, nearWalls);
    treesWithin(corridor, trees, nearTrees);
    for (let p = 0; p < points.length; p += 3) {
      const x = points[p]!;
      const y = points[p + 1]!;
      const z = points[p + 2]!;
      if (hides.hide(nearWalls, x, y, z, step)) continue;
      hours.sun.add(step, share);
      met.length = 0;
      for (const i of nearTrees) {
        const { solid, transmission } = trees[i]!;
        const passes = trunkMeets(solid, x, y, z, step)
          ? 0
          : crownMeets(solid, x, y, z, step)
            ? transmission[step.month]!
            : 1;
        if (passes === 1) continue;
        light[i] = passes;
        met.push(i);
      }
      if (met.length > 0) gather(hours, trees, step, share, light, met);
    }
  }
  return hours;
}

function treesWithin(corridor: Corridor, trees: readonly PlacedTree[], found: number[]): void {
  found.length = 0;
  trees.forEach(({ solid, reachM }, i) => {
    const across = corridor.across(solid.x, solid.y);
    const along = corridor.along(solid.x, solid.y);
    if (corridor.holds(across - reachM, across + reachM, along - reachM, along + reachM, solid.topM)) found.push(i);
  });
}

function gather(
  hours: FacadeHours,
  trees: readonly PlacedTree[],
  step: SunStep,
  share: number,
  light: Float64Array,
  met: readonly number[],
): void {
  let [all, stay] = [1, 1];
  for (const i of met) {
    all *= light[i]!;
    if (trees[i]?.standing === true) stay *= light[i]!;
  }
  hours.today.add(step, share * (1 - all));
  hours.standing.add(step, share * (1 - stay));
  // What the others let through: those before times those behind. In a wood, hundreds may stand in one ray.
  const behind = new Float64Array(met.length + 1).fill(1);
  const passed = (i: number): number => (trees[i]?.standing === true ? light[i]! : 1);
  for (let m = met.length - 1; m > 0; m--) behind[m] = behind[m + 1]! * passed(met[m]!);
  let before = 1;
  met.forEach((i, m) => {
    hours.alone[i]?.add(step, share * (1 - light[i]!));
    hours.only[i]?.add(step, share * before * behind[m + 1]! * (1 - light[i]!));
    before *= passed(i);
  });
}

/** Middles of equal cells of the wall, just in front of it: x, y, z. */
function samples({ from, to, lengthM, bearing }: Wall, heightM: number): Float64Array {
  const along = Math.min(MOST_ALONG, Math.max(2, Math.ceil(lengthM / APART_M)));
  const up = Math.min(MOST_UP, Math.max(2, Math.ceil(heightM / APART_M)));
  const angle = (bearing * Math.PI) / 180;
  const out = new Float64Array(along * up * 3);
  let at = 0;
  for (let i = 0; i < along; i++) {
    const t = (i + 0.5) / along;
    for (let k = 0; k < up; k++) {
      out[at++] = from[0] + (to[0] - from[0]) * t + Math.sin(angle) * OFF_M;
      out[at++] = from[1] + (to[1] - from[1]) * t + Math.cos(angle) * OFF_M;
      out[at++] = ((k + 0.5) / up) * heightM;
    }
  }
  return out;
}
