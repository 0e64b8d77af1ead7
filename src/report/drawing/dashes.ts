// Broken lines as lines of their own. In: rings in mm of paper, lengths on and off in turn; out: path data of the strokes.
// Terms: pattern = on, off, on, off, ... mm, stretched a little so that it comes out even round a ring. A dash array in the
// style would be shorter, but a browser that prints to PDF writes the outline of each stroke, four corners and more: a fence
// round every tree made a tenth of a report.

import { type Box, holds } from './ground.js';
import { Pen } from './pen.js';

/** To a hundredth of a millimetre, as outlines are. */
const PER_MM = 100;

/**
 * The strokes of closed rings (flat x, y), as far as they begin or end inside a box.
 *
 * @example
 * dashedRings([[0, 0, 4, 0, 4, 2, 0, 2]], [2, 1], { x0: 0, y0: 0, x1: 9, y1: 9 }); // 'M0,0h2M3,0h1v1M4,2h-2M1,2h-1v-1'
 */
export function dashedRings(rings: readonly (readonly number[])[], pattern: readonly number[], shown: Box): string {
  const pen = new Pen(PER_MM);
  for (const ring of rings) {
    for (const stroke of strokesOf(ring, pattern)) {
      const line = distinct(stroke);
      if (line.length > 2 && shows(line, shown)) pen.line(line);
    }
  }
  return pen.path;
}

/**
 * Without places that are the same on paper: where a stroke ends at a corner, the last bit of a length says on which of its
 * two sides, and engines differ in that bit.
 */
function distinct(line: readonly number[]): readonly number[] {
  const out: number[] = [];
  for (let i = 0; i < line.length; i += 2) {
    const [x, y] = [line[i], line[i + 1]].map((value) => Math.round(value! * PER_MM) / PER_MM) as [number, number];
    if (out[out.length - 2] !== x || out[out.length - 1] !== y) out.push(x, y);
  }
  return out;
}

function shows(line: readonly number[], box: Box): boolean {
  const last = line.length - 2;
  return holds(box, line[0]!, line[1]!) || holds(box, line[last]!, line[last + 1]!);
}

function* strokesOf(ring: readonly number[], pattern: readonly number[]): Generator<readonly number[]> {
  const length = lengthOf(ring);
  const period = pattern.reduce((sum, part) => sum + part, 0);
  if (!(length > 0)) return;
  const stretch = length / (Math.max(Math.round(length / period), 1) * period);
  let part = 0;
  let left = pattern[0]! * stretch;
  let stroke = [ring[0]!, ring[1]!];
  for (let i = 0; i < ring.length; i += 2) {
    const k = (i + 2) % ring.length;
    const [ax, ay, bx, by] = [ring[i]!, ring[i + 1]!, ring[k]!, ring[k + 1]!];
    const side = Math.hypot(bx - ax, by - ay);
    let at = 0;
    while (side - at > left) {
      at += left;
      const [x, y] = [ax + ((bx - ax) * at) / side, ay + ((by - ay) * at) / side];
      if (part % 2 === 0) yield [...stroke, x, y];
      stroke = [x, y];
      part = (part + 1) % pattern.length;
      left = pattern[part]! * stretch;
    }
    left -= side - at;
    if (part % 2 === 0) stroke.push(bx, by);
  }
  if (part % 2 === 0 && stroke.length > 2) yield stroke;
}

function lengthOf(ring: readonly number[]): number {
  let sum = 0;
  for (let i = 0; i < ring.length; i += 2) {
    const k = (i + 2) % ring.length;
    sum += Math.hypot(ring[k]! - ring[i]!, ring[k + 1]! - ring[i + 1]!);
  }
  return sum;
}
