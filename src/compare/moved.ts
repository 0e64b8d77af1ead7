// Whether something has moved. In: positions in lon/lat and a frame; out: by how much and where to. Terms: step = the least
// move that is told: what prints as 0.000 m is no move, nor is what rounding of the files explains.

import type { Frame, LonLatPolygons, Move } from '../model/index.js';
import { Plane } from './ground.js';

/** Half a millimetre: the comparison prints metres with three decimals. */
export const STEP_M = 0.0005;

/** The move from one place to another; null where it is less than a step. */
export function moveBetween(
  from: readonly [number, number],
  to: readonly [number, number],
  frame: Frame,
  slackM: number,
): Move | null {
  const [x0 = 0, y0 = 0, x1 = 0, y1 = 0] = new Plane(frame, from[0], from[1]).metres([...from, ...to]);
  return moveOf(x1 - x0, y1 - y0, frame, from, slackM);
}

function moveOf(
  dx: number,
  dy: number,
  frame: Frame,
  [lon, lat]: readonly [number, number],
  slackM: number,
): Move | null {
  const byM = Math.hypot(dx, dy);
  if (byM < Math.max(STEP_M, slackM)) return null;
  const bearing = (Math.atan2(dx, dy) * 180) / Math.PI + frame.convergenceAt(lon, lat);
  return { byM, bearing: ((bearing % 360) + 360) % 360 };
}

/**
 * Whether two shapes are the same ring for ring and corner for corner, `moved` as a whole or not at all; `other`: they are
 * not, which says nothing of the ground they cover.
 */
export function shapeMove(
  before: LonLatPolygons,
  after: LonLatPolygons,
  frame: Frame,
  slackM: number,
): { readonly kind: 'same' | 'other'; readonly move: null } | { readonly kind: 'moved'; readonly move: Move } {
  const [a, b] = [before.flat(), after.flat()];
  const first = a[0]?.[0];
  if (first === undefined || a.length !== b.length)
    return { kind: a.length === b.length ? 'same' : 'other', move: null };
  const plane = new Plane(frame, first[0], first[1]);
  const slack = Math.max(STEP_M, slackM);
  let shift: readonly [number, number] | null = null;
  for (const [i, ring] of a.entries()) {
    const other = b[i]!;
    if (ring.length !== other.length) return { kind: 'other', move: null };
    const [from, to] = [plane.metres(ring.flat()), plane.metres(other.flat())];
    for (let k = 0; k < from.length; k += 2) {
      const [dx, dy] = [to[k]! - from[k]!, to[k + 1]! - from[k + 1]!];
      shift ??= [dx, dy];
      if (Math.hypot(dx - shift[0], dy - shift[1]) > slack) return { kind: 'other', move: null };
    }
  }
  const move = moveOf(shift?.[0] ?? 0, shift?.[1] ?? 0, frame, first, slackM);
  return move === null ? { kind: 'same', move: null } : { kind: 'moved', move };
}
