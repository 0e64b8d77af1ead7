// Running dimensions round an outline, by themselves. In: outlines with legs, positions; out: how far each fails to close, and its
// corners by the compass rule. Terms: leg, turn: see types.ts; compass rule: compass.ts. Linear in the legs.

import { tapeSigma } from './accuracy.js';
import { type Course, compassRule } from './compass.js';
import { CIRCLE_95 } from './statistics.js';
import type { Leg, Outline } from './types.js';

export interface Closing {
  readonly outline: string;
  readonly row: number;
  readonly error: number; // metres
  readonly perimeter: number;
}

/** Legs from the first corner on, with the bearing each has by its turns; null where they are no whole ring. */
function coursesOf(
  { corners, legs }: Outline,
  xy: Float64Array,
): { readonly order: readonly Leg[]; readonly courses: Course[] } | null {
  if (corners.length < 3 || legs.length !== corners.length) return null;
  const order = corners.map(({ number }) => legs.find((leg) => leg.from === number));
  if (order.includes(undefined)) return null;
  const whole = order as Leg[]; // checked above
  let bearing = 0; // where no line is named: the closing error is the same whichever way the ring lies
  const courses = whole.map(({ length, turn, line }, i): Course => {
    const named = line === null ? Number.NaN : bearingOf(line, xy);
    bearing = Number.isNaN(named) ? (i === 0 ? 0 : bearing + turn) : named + turn;
    return { bearing, length };
  });
  return { order: whole, courses };
}

function bearingOf([a, b]: readonly [number, number], xy: Float64Array): number {
  return Math.atan2(xy[b * 2]! - xy[a * 2]!, xy[b * 2 + 1]! - xy[a * 2 + 1]!);
}

export function closings(outlines: readonly Outline[], xy: Float64Array): Closing[] {
  return outlines.flatMap((outline) => {
    const ring = coursesOf(outline, xy);
    if (ring === null) return [];
    const { error, perimeter } = compassRule(ring.courses);
    return [{ outline: outline.name, row: ring.order[0]!.row, error, perimeter }];
  });
}

/**
 * Places the corners of rings by the compass rule, from their first corner and the line their first leg follows; `xy` takes them.
 * Gives how far each may be off (95 of 100 cases), by its corner.
 */
export function compassCorners(outlines: readonly Outline[], xy: Float64Array): Map<number, number> {
  const out = new Map<number, number>();
  for (const outline of outlines) {
    const ring = coursesOf(outline, xy);
    const first = outline.corners[0]?.point ?? -1;
    const line = ring?.order[0]?.line ?? null;
    if (ring === null || line === null || Number.isNaN(xy[first * 2]!) || Number.isNaN(bearingOf(line, xy))) continue;
    const { legs, error } = compassRule(ring.courses);
    let [x, y, variance] = [xy[first * 2]!, xy[first * 2 + 1]!, 0];
    for (let i = 0; i + 1 < legs.length; i++) {
      x += legs[i]![0];
      y += legs[i]![1];
      variance += tapeSigma(ring.courses[i]!.length) ** 2;
      const { point } = outline.corners[i + 1]!;
      xy.set([x, y], point * 2);
      out.set(point, Math.hypot(CIRCLE_95 * Math.sqrt(variance), error));
    }
  }
  return out;
}
