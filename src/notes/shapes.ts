// Outlines as rings and lines. In: an outline and positions of its corners; out: its vertices, arcs as chords, or what is missing.
// Terms: rise = how far an arc stands off its chord; bulge = tangent of a quarter of its angle, positive to the right of the way.

import { bulgeArc } from '../geometry/index.js';
import type { Outline } from './types.js';

/** An arc as chords stays this near to it, metres. */
const SAGITTA_M = 0.001;

export type Drawn =
  | { readonly xy: readonly number[]; readonly isLine: boolean }
  /** What is wrong, and the cure. */
  | { readonly missing: string; readonly cure: string };

/** The vertices of an outline in metres; a ring is not closed by its first vertex. */
export function drawn(outline: Outline, xy: Float64Array, nameOf: (point: number) => string): Drawn {
  const { name, corners, isLine } = outline;
  const asLine = isLine || (corners.length === 2 && corners.every(({ arc }) => arc === null));
  if (corners.length < (asLine ? 2 : 3) && !corners.some(({ arc }) => arc !== null)) {
    const missing = `${name} has ${corners.length === 0 ? 'no corner' : 'too few corners'}`;
    return { missing, cure: 'write its corners as outline house:1, house:2, ...; a centre line needs two and a width' };
  }
  const lost = corners.find(({ point }) => Number.isNaN(xy[point * 2]!));
  if (lost !== undefined) {
    return {
      missing: `${name} can't be drawn: its corner ${nameOf(lost.point)} is not placed`,
      cure: 'see what is told of that corner',
    };
  }
  const out: number[] = [];
  const n = corners.length;
  for (let i = asLine ? 1 : 0; i < n; i++) {
    const [from, to] = [corners[(i + n - 1) % n]!, corners[i]!];
    const [x0, y0, x1, y1] = [xy[from.point * 2]!, xy[from.point * 2 + 1]!, xy[to.point * 2]!, xy[to.point * 2 + 1]!];
    if (asLine && i === 1) out.push(x0, y0);
    if (to.arc !== null) {
      const bulge = bulgeOf(to.arc, Math.hypot(x1 - x0, y1 - y0));
      if (bulge === null) {
        const missing = `the arc of ${name} at ${nameOf(to.point)} has a radius of less than half the way it spans`;
        return { missing, cure: 'measure the radius again, or give the rise at the middle of the chord' };
      }
      bulgeArc(x0, y0, x1, y1, bulge, SAGITTA_M, (x, y) => void out.push(x, y));
    }
    out.push(x1, y1);
  }
  return { xy: out, isLine: asLine };
}

function bulgeOf(
  { by, length, left }: { readonly by: 'radius' | 'rise'; readonly length: number; readonly left: boolean },
  chord: number,
): number | null {
  const half = chord / 2;
  if (by === 'radius' && length < half) return null;
  const rise = by === 'rise' ? length : length - Math.sqrt(length * length - half * half);
  return ((left ? -1 : 1) * rise) / half;
}
