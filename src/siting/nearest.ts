// The shortest shift that keeps every limit, at one turn. In: a problem, a turn, what is beaten; out: a shift that does, or the
// proof that there is none. Terms: cell = a square of shifts; steepest = the most that a tree's excess changes a metre
// (ground.steepest), so that one look at a cell's middle rules out all of it when the excess there is too large.
//
// Branch and bound (Land and Doig 1960, Econometrica 28:497), nearest cells first: nothing is left out except cells under
// SHORTEST_TO_M.

import type { Motion } from './motion.js';
import type { Problem } from './problem.js';
import { ON_LINE_M } from './room.js';

export interface Nearest {
  readonly motion: Motion | null;
  /** Whether all shifts that beat the bar were ruled out or found: false where it took too many looks. */
  readonly isProven: boolean;
}

/** The result is the shortest move to within this, metres; smaller cells are given up. */
export const SHORTEST_TO_M = 0.03;

interface Cell {
  readonly x: number;
  readonly y: number;
  readonly half: number;
  readonly near: number; // shortest shift in it
}

/** Looks for a shift shorter than `barM` (at the turn of `turn`) that fits and keeps every limit. */
export function nearestShift(
  problem: Problem,
  turn: Pick<Motion, 'turnDeg' | 'mirrored'>,
  barM: number,
  mostLooks: number,
): Nearest {
  const most = Math.min(barM, problem.freedom.shiftM);
  const heap: Cell[] = [];
  push(heap, cellAt(0, 0, most));
  let best: Motion | null = null;
  let bestM = most;
  const order = Array.from({ length: problem.ground.count }, (_, t) => t); // what ruled out the last cell comes first
  for (let looks = 0; heap.length > 0; looks++) {
    const { x, y, half, near } = pop(heap);
    if (near >= bestM - SHORTEST_TO_M) return { motion: best, isProven: true };
    if (looks >= mostLooks) return { motion: best, isProven: false };
    const motion: Motion = { eastM: x, northM: y, ...turn };
    const radius = half * Math.SQRT2;
    const keeps = look(problem, motion, radius, order);
    if (keeps === 'ruled out') continue;
    const shift = Math.hypot(x, y);
    if (keeps === 'kept' && shift < bestM) [best, bestM] = [motion, shift];
    if (radius < SHORTEST_TO_M) continue;
    const q = half / 2;
    for (const [sx, sy] of [
      [-q, -q],
      [q, -q],
      [-q, q],
      [q, q],
    ] as const) {
      const cell = cellAt(x + sx, y + sy, q);
      if (cell.near < bestM) push(heap, cell);
    }
  }
  return { motion: best, isProven: true };
}

function look(problem: Problem, motion: Motion, radius: number, order: number[]): 'ruled out' | 'kept' | 'open' {
  const escapeM = problem.escapeM(motion);
  if (escapeM > radius + ON_LINE_M) return 'ruled out';
  let kept = escapeM <= ON_LINE_M;
  for (let i = 0; i < order.length; i++) {
    const t = order[i]!;
    if (!problem.reaches(t, motion)) continue;
    const excess = problem.excess(t, motion);
    if (excess > problem.ground.steepest(t) * radius) {
      order.splice(i, 1);
      order.unshift(t);
      return 'ruled out';
    }
    if (excess > 0) kept = false;
  }
  return kept ? 'kept' : 'open';
}

function cellAt(x: number, y: number, half: number): Cell {
  const near = Math.hypot(Math.max(Math.abs(x) - half, 0), Math.max(Math.abs(y) - half, 0));
  return { x, y, half, near };
}

/** A binary heap by `near`; of equal ones the larger cell, then the one farther south, then west: the same every time. */
function before(a: Cell, b: Cell): boolean {
  if (a.near !== b.near) return a.near < b.near;
  if (a.half !== b.half) return a.half > b.half;
  return a.y !== b.y ? a.y < b.y : a.x < b.x;
}

function push(heap: Cell[], cell: Cell): void {
  let i = heap.length;
  heap.push(cell);
  while (i > 0) {
    const up = (i - 1) >> 1;
    if (!before(cell, heap[up]!)) break;
    heap[i] = heap[up]!;
    i = up;
  }
  heap[i] = cell;
}

function pop(heap: Cell[]): Cell {
  const top = heap[0]!;
  const last = heap.pop()!;
  const n = heap.length;
  if (n === 0) return top;
  let i = 0;
  for (;;) {
    let k = 2 * i + 1;
    if (k >= n) break;
    if (k + 1 < n && before(heap[k + 1]!, heap[k]!)) k++;
    if (!before(heap[k]!, last)) break;
    heap[i] = heap[k]!;
    i = k;
  }
  heap[i] = last;
  return top;
}
