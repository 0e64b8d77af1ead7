// Rings of a shapefile polygon -> polygons. In: rings in file order; out: groups, each a shell followed by its holes.
// Terms: shell = outer ring, clockwise in a shapefile; hole = inner ring, anticlockwise (ESRI Shapefile Technical
// Description 1998, p. 8). The file does not say which shell a hole belongs to: it is the smallest one around it.

import { passesEast, ringBox, twiceArea } from '../geometry/index.js';
/** A ring as x, y pairs. */
export type RawRing = readonly (readonly number[])[];

interface Ring {
  readonly index: number;
  readonly points: RawRing;
  readonly area: number; // signed, twice; clockwise is negative
  readonly box: readonly [number, number, number, number];
}

/** Groups of ring indices, shell first, and the holes that lie in no shell (each also a group of its own). */
export interface RingGroups {
  readonly groups: readonly (readonly number[])[];
  readonly orphans: readonly number[];
}

/**
 * Groups rings by shell. When clockwise shells leave holes outside, and the opposite sense leaves none,
 * the writer had the sense reversed and the opposite is taken.
 *
 * @example
 * groupRings([shell, hole]).groups; // [[0, 1]]
 */
export function groupRings(rings: readonly RawRing[]): RingGroups {
  if (rings.length === 1) return { groups: [[0]], orphans: [] };
  const measured = rings.map(measure);
  const usual = groupBy(measured, (ring) => ring.area <= 0);
  if (usual.orphans.length === 0) return usual;
  const reversed = groupBy(measured, (ring) => ring.area >= 0);
  return reversed.orphans.length === 0 ? reversed : usual;
}

/** How many other rings each one lies in, and which way it runs. */
export function nestingDepth(
  rings: readonly RawRing[],
): readonly { readonly depth: number; readonly clockwise: boolean }[] {
  const measured = rings.map(measure);
  return measured.map((ring) => ({
    depth: measured.filter((other) => Math.abs(other.area) > Math.abs(ring.area) && surrounds(other, ring)).length,
    clockwise: ring.area < 0,
  }));
}

function groupBy(rings: readonly Ring[], isShell: (ring: Ring) => boolean): RingGroups {
  const shells = rings.filter(isShell);
  const groups = new Map<number, number[]>(shells.map((s) => [s.index, [s.index]]));
  const orphans: number[] = [];
  for (const hole of rings) {
    if (isShell(hole)) continue;
    let best: Ring | undefined;
    for (const shell of shells) {
      if (best !== undefined && Math.abs(shell.area) >= Math.abs(best.area)) continue;
      if (surrounds(shell, hole)) best = shell;
    }
    if (best !== undefined) groups.get(best.index)?.push(hole.index);
    else {
      orphans.push(hole.index);
      groups.set(hole.index, [hole.index]);
    }
  }
  return { groups: [...groups.values()], orphans };
}

function measure(points: RawRing, index: number): Ring {
  const flat = new Float64Array(points.length * 2);
  for (const [i, [x = 0, y = 0]] of points.entries()) {
    flat[i * 2] = x;
    flat[i * 2 + 1] = y;
  }
  return { index, points, area: twiceArea(flat), box: ringBox(flat) };
}

/** Whether a shell lies around a hole: decided by the first corner of the hole that is not on the shell's edge. */
function surrounds(shell: Ring, hole: Ring): boolean {
  const [a, b] = [shell.box, hole.box];
  if (a[0] > b[0] || a[1] > b[1] || a[2] < b[2] || a[3] < b[3]) return false;
  for (const [x = 0, y = 0] of hole.points) {
    const side = sideOf(shell.points, x, y);
    if (side !== 0) return side > 0;
  }
  const [p, q] = [hole.points[0] ?? [0, 0], hole.points[1] ?? [0, 0]];
  const [px = 0, py = 0] = p;
  const [qx = 0, qy = 0] = q;
  return sideOf(shell.points, (px + qx) / 2, (py + qy) / 2) >= 0; // every corner lies on the edge: use the middle of a side
}

/** 1 inside, 0 on the edge, -1 outside; even-odd. */
function sideOf(ring: RawRing, x: number, y: number): number {
  let inside = false;
  for (let i = 0, j = ring.length - 1; i < ring.length; j = i++) {
    const [ax = 0, ay = 0] = ring[j]!;
    const [bx = 0, by = 0] = ring[i]!;
    const cross = (bx - ax) * (y - ay) - (by - ay) * (x - ax);
    if (
      cross === 0 &&
      Math.min(ax, bx) <= x &&
      x <= Math.max(ax, bx) &&
      Math.min(ay, by) <= y &&
      y <= Math.max(ay, by)
    ) {
      return 0;
    }
    if (passesEast(ax, ay, bx, by, x, y)) inside = !inside;
  }
  return inside ? 1 : -1;
}
