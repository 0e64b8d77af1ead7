// A boolean operation in strips, where one at once would take too long. In: rings of three sets; out: the shape of what is in
// the subject and in the clip, but not in the rest. Terms: steps = what the engine goes through: at each height of a
// corner all edges that are open there; strip = all that lies between two lines to the north, worked out by itself.
// Cost: in steps, n corners that are open beside m others take n m; in strips n, times the logarithm of m, and crossings.

import { cutRing, EVERYWHERE, type Limits } from './cut-ring.js';
import { type Ring, ringBox, type Shape } from './ring.js';
import { joined, type Strip } from './seams.js';
import { stepsAcross } from './steps.js';

export interface Sets {
  readonly subject: readonly Ring[];
  /** Null: everywhere. */
  readonly clip: readonly Ring[] | null;
  readonly less: readonly Ring[];
}

/** Called between strips, each of which is bounded: throws to stop. */
export type Look = () => void;

/** So many steps are done at once. */
const FEW_STEPS = 250_000;
/** So few steps a corner are not made fewer by cutting. */
const FEW_OPEN = 12;
/** More corners than this are cut anyhow, so that nobody waits long to stop it. */
const MOST_CORNERS = 6000;
/** A strip is never narrower than this, metres. */
const NARROWEST_M = 0.02;
const MOST_CUTS = 12;

/** Works out the sets by `engine`, at once where that takes `few` steps, else in strips, whose sides lie on whole millimetres. */
export function overlay(sets: Sets, engine: (sets: Sets) => Shape, look?: Look, few: number = FEW_STEPS): Shape {
  look?.();
  const corners = cornersOf(sets);
  if (corners * corners < 2 * few) return engine(sets); // an edge is open at no more heights than there are corners
  const box = boxOf(sets.clip ?? sets.subject);
  const near = within(sets, box);
  if (isSmall(near, few)) return engine(near);
  const strips: Strip[] = [];
  const cut = (of: Sets, from: number, to: number, cuts: number): void => {
    const middle = onGrid((from + to) / 2);
    const isDone = cuts >= MOST_CUTS || middle - from < NARROWEST_M || to - middle < NARROWEST_M || isSmall(of, few);
    if (!isDone) {
      cut(within(of, { ...EVERYWHERE, east: middle }), from, middle, cuts + 1);
      cut(within(of, { ...EVERYWHERE, west: middle }), middle, to, cuts + 1);
      return;
    }
    look?.();
    const isEmpty = of.subject.length === 0 || of.clip?.length === 0;
    strips.push({ west: from, east: to, shape: isEmpty ? [] : engine(of) });
  };
  cut(near, onGrid(box.west), onGrid(box.east), 0);
  return joined(strips);
}

/** The sets without what lies beyond a rectangle: the same within it. */
function within({ subject, clip, less }: Sets, limits: Limits): Sets {
  const near = (rings: readonly Ring[]): Ring[] => {
    const out: Ring[] = [];
    for (const ring of rings) {
      const part = cutRing(ring, limits);
      if (part.length >= 6) out.push(part);
    }
    return out;
  };
  return { subject: near(subject), clip: clip && near(clip), less: near(less) };
}

function isSmall(sets: Sets, few: number): boolean {
  const corners = cornersOf(sets);
  if (corners * corners < 2 * few) return true;
  if (corners > MOST_CORNERS) return false;
  const steps = stepsAcross([...sets.subject, ...(sets.clip ?? []), ...sets.less]);
  return steps < few || steps < FEW_OPEN * corners;
}

function cornersOf({ subject, clip, less }: Sets): number {
  let corners = 0;
  for (const rings of [subject, clip ?? [], less]) for (const ring of rings) corners += ring.length / 2;
  return corners;
}

function boxOf(rings: readonly Ring[]): Limits {
  let [west, south, east, north] = [Infinity, Infinity, -Infinity, -Infinity];
  for (const ring of rings) {
    const box = ringBox(ring);
    [west, south] = [Math.min(west, box[0]), Math.min(south, box[1])];
    [east, north] = [Math.max(east, box[2]), Math.max(north, box[3])];
  }
  return { west, south, east, north };
}

/** The whole millimetre nearest to a number of metres, to the bit that the engine gives it back with. */
function onGrid(value: number): number {
  return Math.round(value * 1000) / 1000;
}
