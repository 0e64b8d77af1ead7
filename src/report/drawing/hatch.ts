// Hatches as lines of their own. In: rings in mm of paper and a hatch; out: path data of its lines inside the rings.
// Terms: family = parallel lines, all over the sheet at the same places, so that hatches of shapes that touch run on; dash =
// marks along each line, a mark of no length a dot. SVG patterns would be shorter, but a browser that prints to PDF makes
// a picture of each area filled with one: ten times the bytes and minutes on a long report.

import { Pen } from './pen.js';

export interface HatchLines {
  /** Direction on paper (y runs down), of any length. */
  readonly along: readonly [x: number, y: number];
  /** From line to line, mm. */
  readonly step: number;
  /** Where the first line lies across, mm. */
  readonly first: number;
  /** Length of a mark, from one to the next, where the first begins; mm. */
  readonly dash?: readonly [on: number, period: number, start: number];
}

export interface Hatch {
  readonly width: number; // of the line, mm
  readonly families: readonly HatchLines[];
}

/** A tenth of a millimetre is enough for a hatch, and half the bytes. */
const PER_MM = 10;

/** Pieces shorter than this would be blots on the edge, mm. */
const SHORTEST_MM = 0.12;

/**
 * The lines of a hatch inside rings (flat x, y; a place is inside by the even-odd rule).
 *
 * @example
 * hatchPath([[0, 0, 4, 0, 4, 2, 0, 2]], { width: 0.2, families: [{ along: [1, 0], step: 2, first: 1 }] }); // 'M0,1h4'
 */
export function hatchPath(rings: readonly (readonly number[])[], hatch: Hatch): string {
  return hatch.families.map((family) => familyPath(rings, family)).join('');
}

function familyPath(rings: readonly (readonly number[])[], { along, step, first, dash }: HatchLines): string {
  const length = Math.hypot(along[0], along[1]);
  const [ux, uy] = [along[0] / length, along[1] / length];
  const crossings = new Map<number, number[]>(); // per line: where rings cross it, along it
  for (const ring of rings) {
    const n = ring.length;
    for (let i = 0; i < n; i += 2) {
      const k = (i + 2) % n;
      const [ax, ay, bx, by] = [ring[i]!, ring[i + 1]!, ring[k]!, ring[k + 1]!];
      const [va, vb] = [ay * ux - ax * uy - first, by * ux - bx * uy - first];
      if (va === vb) continue;
      const [ua, ub] = [ax * ux + ay * uy, bx * ux + by * uy];
      // One end belongs to the edge: a line through a corner is crossed once.
      const last = Math.ceil(Math.max(va, vb) / step) - 1;
      for (let line = Math.ceil(Math.min(va, vb) / step); line <= last; line++) {
        const at = ua + ((line * step - va) / (vb - va)) * (ub - ua);
        const held = crossings.get(line);
        if (held === undefined) crossings.set(line, [at]);
        else held.push(at);
      }
    }
  }
  const pen = new Pen(PER_MM);
  for (const [line, places] of crossings) {
    places.sort((a, b) => a - b);
    const v = line * step + first;
    const draw = (from: number, to: number): void => {
      pen.line([from * ux - v * uy, from * uy + v * ux, to * ux - v * uy, to * uy + v * ux]);
    };
    for (let i = 0; i + 1 < places.length; i += 2) {
      const [from, to] = [places[i]!, places[i + 1]!];
      if (dash === undefined) {
        if (to - from >= SHORTEST_MM) draw(from, to);
        continue;
      }
      const [on, period, start] = dash;
      for (let mark = Math.ceil((from - start - on) / period) * period + start; mark < to; mark += period) {
        const [a, b] = [Math.max(mark, from), Math.min(mark + on, to)];
        if (on === 0 ? mark > from : b - a >= SHORTEST_MM) draw(a, b);
      }
    }
  }
  return pen.path;
}
