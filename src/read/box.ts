// Reading by a box. In: how many features a file holds and how many were read; out: the finding about the others.
// Terms: box = west, south, east, north in the file's own coordinates; meets = shares a point with it, edges included.

import { type Finding, finding } from '../model/index.js';
import { someOf } from '../text/index.js';

export type Box = readonly [west: number, south: number, east: number, north: number];

/** Whether two boxes meet; null is a box without a point. */
export function boxesMeet(a: Box | null, [west, south, east, north]: Box): boolean {
  return a !== null && a[0] <= east && a[2] >= west && a[1] <= north && a[3] >= south;
}

/** Reports how many features were left out; reports nothing when all were read. */
export function outsideBox(layer: string, box: Box, read: number, all: number): Finding[] {
  if (read >= all) return [];
  const message = someOf(
    all - read,
    all,
    'feature',
    `lies outside the box ${box.join(', ')} (or has no geometry) and was not read`,
    `lie outside the box ${box.join(', ')} (or have no geometry) and were not read`,
  );
  return [finding('outside-box', { layer }, message, 'leave the box (--bbox) out to read all of them')];
}
