// Pieces that nothing touches. In: polygons, and a clip; out: those that stand in the clip by themselves, as they are drawn,
// and all others. Terms: alone = no other piece's box meets its own, and no edge of the clip comes near it; grid = whole
// millimetres. Ten thousand pavers in a zone need no clipping, but for those on its edge. Cost: n log n.

import { BoxIndex } from '../box-index.js';
import { type Ring, ringBox, ringHolds, type Shape } from './ring.js';

/** Fewer pieces than this are not worth an index. */
const MANY = 16;
/** What rounding moves, on both sides, metres. */
const ROOM_M = 0.002;
const PER_METRE = 1000;

/** Convex pieces alone in a clip of one ring, on the grid; and the others, without those that are alone outside it. */
export function standingAlone(
  pieces: Shape,
  clip: Shape,
): readonly [alone: readonly (readonly Ring[])[], others: Shape] {
  const [outline] = clip[0] ?? [];
  if (pieces.length < MANY || outline === undefined || clip.length > 1 || clip[0]!.length > 1) return [[], pieces];
  const boxes = boxesOf(pieces);
  const index = new BoxIndex(boxes);
  const edges = new BoxIndex(edgeBoxes(outline));
  const alone: Ring[][] = [];
  const others: (readonly Ring[])[] = [];
  pieces.forEach((rings, p) => {
    const at = p * 4;
    const box = [boxes[at]!, boxes[at + 1]!, boxes[at + 2]!, boxes[at + 3]!] as const;
    const ring = index.search(...box) > 1 || edges.search(...box) > 0 ? null : convexOnGrid(rings);
    if (ring === null) others.push(rings);
    else if (ringHolds(outline, ring[0]!, ring[1]!)) alone.push([ring]);
  });
  return [alone, others];
}

/** Whether the boxes of all pieces lie apart, so that their union is themselves. */
export function areApart(pieces: Shape): boolean {
  const boxes = boxesOf(pieces);
  const index = new BoxIndex(boxes);
  return pieces.every((_, p) => {
    const at = p * 4;
    return index.search(boxes[at]!, boxes[at + 1]!, boxes[at + 2]!, boxes[at + 3]!) === 1;
  });
}

function boxesOf(pieces: Shape): Float64Array {
  const boxes = new Float64Array(pieces.length * 4);
  pieces.forEach(([shell = []], p) => {
    const [west, south, east, north] = ringBox(shell);
    boxes.set([west - ROOM_M, south - ROOM_M, east + ROOM_M, north + ROOM_M], p * 4);
  });
  return boxes;
}

function edgeBoxes(ring: Ring): Float64Array {
  const boxes = new Float64Array(ring.length * 2);
  for (let i = 0; i < ring.length; i += 2) {
    const k = (i + 2) % ring.length;
    const [ax, ay, bx, by] = [ring[i]!, ring[i + 1]!, ring[k]!, ring[k + 1]!];
    boxes.set([Math.min(ax, bx), Math.min(ay, by), Math.max(ax, bx), Math.max(ay, by)], i * 2);
  }
  return boxes;
}

/** A polygon without holes on the grid, anticlockwise; null where it is not convex there. */
function convexOnGrid(rings: readonly Ring[]): number[] | null {
  const [ring = []] = rings;
  const n = ring.length;
  if (rings.length !== 1 || n < 6) return null;
  const xy = ring.map((value) => Math.round(value * PER_METRE));
  let turns = 0;
  let [lefts, rights] = [0, 0];
  for (let i = 0; i < n; i += 2) {
    const [j, k] = [(i + 2) % n, (i + 4) % n];
    const [ux, uy] = [xy[j]! - xy[i]!, xy[j + 1]! - xy[i + 1]!];
    const [vx, vy] = [xy[k]! - xy[j]!, xy[k + 1]! - xy[j + 1]!];
    const cross = ux * vy - uy * vx;
    if (cross === 0) return null;
    if (cross > 0) lefts++;
    else rights++;
    turns += Math.atan2(cross, ux * vx + uy * vy);
  }
  // Turned once round, not twice as a pentagram is.
  if ((lefts > 0 && rights > 0) || Math.abs(turns) > 7) return null;
  const out = xy.map((value) => value / PER_METRE);
  if (lefts > 0) return out;
  const back: number[] = [];
  for (let i = n - 2; i >= 0; i -= 2) back.push(out[i]!, out[i + 1]!);
  return back;
}
