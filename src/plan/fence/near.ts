// Which shapes come near a line. In: a line of flat x, y (or a single place) and shapes by number; out: their numbers.
// Terms: near = a corner or the middle of an edge of the line within a distance of the shape, or inside it.

import type { Shape } from '../../geometry/index.js';
import { distanceToArea } from '../../geometry/index.js';

export function nearShape(line: readonly number[], shapes: ReadonlyMap<number, Shape>, withinM: number): number[] {
  const places: (readonly [number, number])[] = [];
  for (let i = 0; i < line.length; i += 2) {
    const [x, y] = [line[i]!, line[i + 1]!];
    if (i > 0) places.push([(line[i - 2]! + x) / 2, (line[i - 1]! + y) / 2]);
    places.push([x, y]);
  }
  const box = boxOf(line);
  const out: number[] = [];
  for (const [number, shape] of shapes) {
    if (shape.some((polygon) => apart(box, boxOf(polygon[0] ?? [])) <= withinM && isNear(polygon, places, withinM)))
      out.push(number);
  }
  return out;
}

function isNear(
  polygon: readonly (readonly number[])[],
  places: readonly (readonly [number, number])[],
  withinM: number,
): boolean {
  const start = [0];
  for (const ring of polygon) start.push(start.at(-1)! + ring.length / 2);
  const xy = polygon.flat();
  return places.some(([x, y]) => distanceToArea(xy, start, 0, polygon.length, x, y) <= withinM);
}

type Box = readonly [number, number, number, number];

function boxOf(flat: readonly number[]): Box {
  let [west, south, east, north] = [Infinity, Infinity, -Infinity, -Infinity];
  for (let i = 0; i < flat.length; i += 2) {
    [west, east] = [Math.min(west, flat[i]!), Math.max(east, flat[i]!)];
    [south, north] = [Math.min(south, flat[i + 1]!), Math.max(north, flat[i + 1]!)];
  }
  return [west, south, east, north];
}

/** How far two boxes are apart along the axis that parts them most; 0 where they meet. */
function apart(a: Box, b: Box): number {
  return Math.max(a[0] - b[2], b[0] - a[2], a[1] - b[3], b[1] - a[3], 0);
}
