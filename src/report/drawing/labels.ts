// Where labels go. In: symbols to keep clear of, and labels with the places each may take; out: a place for each, or none.
// Terms: leader = the thin line from a label that had to move away to what it speaks of; obstacle = a box or a leader that
// stands already. Placement is greedy in the order given, so it is the same every time; no two label boxes ever meet.

import { type Box, holds, meets } from './ground.js';

/** A label asking for a place; millimetres. */
export interface LabelWish {
  readonly x: number; // what it speaks of
  readonly y: number;
  readonly clearMm: number; // radius of the symbol there
  readonly widthMm: number;
  readonly heightMm: number;
}

export interface PlacedLabel {
  readonly box: Box;
  readonly leader: readonly [x0: number, y0: number, x1: number, y1: number] | null;
}

// Directions by preference: beside first, then the corners, then above and below. East is +x, y runs down the paper.
const D = Math.SQRT1_2;
const DIRECTIONS: readonly (readonly [number, number])[] = [
  [1, 0],
  [D, -D],
  [D, D],
  [-1, 0],
  [-D, -D],
  [-D, D],
  [0, -1],
  [0, 1],
];
const FINER: readonly (readonly [number, number])[] = Array.from({ length: 16 }, (_, k) => {
  const a = ((2 * k + 1) * Math.PI) / 16;
  return [Math.cos(a), Math.sin(a)] as const;
});
/** Gap from the symbol to the label, mm; from LEADER_FROM on a leader joins them. */
const GAPS_MM = [0.5, 2.5, 4.5, 7, 10, 14];
const LEADER_FROM_MM = 2;
const CLEAR_MM = 0.25; // kept free between two labels

/** Boxes and leaders by cell of the paper. */
export class Occupied {
  readonly #cells = new Map<number, { box: Box; line: PlacedLabel['leader'] }[]>();

  add(box: Box, line: PlacedLabel['leader'] = null): void {
    const entry = { box, line };
    for (const cell of cellsOf(box)) {
      const held = this.#cells.get(cell);
      if (held === undefined) this.#cells.set(cell, [entry]);
      else held.push(entry);
    }
  }

  /** Whether a box is free of everything but what lies about `own`. */
  isFree(box: Box): boolean {
    for (const cell of cellsOf(box)) {
      for (const held of this.#cells.get(cell) ?? []) {
        if (meets(held.box, box) && (held.line === null || lineMeets(held.line, box))) return false;
      }
    }
    return true;
  }

  /** Whether a leader crosses no box and no other leader, except the box that holds its start. */
  isFreeLine(line: NonNullable<PlacedLabel['leader']>): boolean {
    const box = lineBox(line);
    for (const cell of cellsOf(box)) {
      for (const held of this.#cells.get(cell) ?? []) {
        if (!meets(held.box, box)) continue;
        if (
          held.line !== null
            ? crosses(held.line, line)
            : !holds(held.box, line[0], line[1]) && lineMeets(line, held.box)
        )
          return false;
      }
    }
    return true;
  }
}

/** Gives each label a place inside `area`, or null where there is none. Marks what it placed in `occupied`. */
export function placeLabels(
  wishes: readonly LabelWish[],
  area: Box,
  occupied: Occupied,
): readonly (PlacedLabel | null)[] {
  return wishes.map((wish) => {
    for (const candidate of candidatesOf(wish)) {
      const { box, leader } = candidate;
      if (box.x0 < area.x0 || box.y0 < area.y0 || box.x1 > area.x1 || box.y1 > area.y1) continue;
      if (!occupied.isFree(box) || (leader !== null && !occupied.isFreeLine(leader))) continue;
      occupied.add(box);
      if (leader !== null) occupied.add(lineBox(leader), leader);
      return candidate;
    }
    return null;
  });
}

function* candidatesOf(wish: LabelWish): Generator<PlacedLabel> {
  const { x, y, clearMm, widthMm, heightMm } = wish;
  for (const gap of GAPS_MM) {
    const far = gap >= LEADER_FROM_MM;
    for (const [dx, dy] of far ? [...DIRECTIONS, ...FINER] : DIRECTIONS) {
      const ax = x + dx * (clearMm + gap);
      const ay = y + dy * (clearMm + gap);
      // The label's side or corner that faces the symbol stands at (ax, ay).
      const x0 = ax - widthMm * (dx > 0.3 ? 0 : dx < -0.3 ? 1 : 0.5);
      const y0 = ay - heightMm * (dy > 0.3 ? 0 : dy < -0.3 ? 1 : 0.5);
      const box = { x0: x0 - CLEAR_MM, y0: y0 - CLEAR_MM, x1: x0 + widthMm + CLEAR_MM, y1: y0 + heightMm + CLEAR_MM };
      yield {
        box,
        leader: far ? [x + dx * clearMm, y + dy * clearMm, ax - dx * 2 * CLEAR_MM, ay - dy * 2 * CLEAR_MM] : null,
      };
    }
  }
}

const CELL_MM = 8;
const COLUMNS = 1 << 16;

function* cellsOf({ x0, y0, x1, y1 }: Box): Generator<number> {
  const right = Math.floor(x1 / CELL_MM);
  const bottom = Math.floor(y1 / CELL_MM);
  for (let row = Math.floor(y0 / CELL_MM); row <= bottom; row++) {
    for (let column = Math.floor(x0 / CELL_MM); column <= right; column++) yield row * COLUMNS + column;
  }
}

function lineBox([x0, y0, x1, y1]: NonNullable<PlacedLabel['leader']>): Box {
  return { x0: Math.min(x0, x1), y0: Math.min(y0, y1), x1: Math.max(x0, x1), y1: Math.max(y0, y1) };
}

/** Whether a straight line meets a box: an end inside, or a side crossed. */
function lineMeets(line: NonNullable<PlacedLabel['leader']>, box: Box): boolean {
  const [x0, y0, x1, y1] = line;
  if (holds(box, x0, y0) || holds(box, x1, y1)) return true;
  return crosses(line, [box.x0, box.y0, box.x1, box.y1]) || crosses(line, [box.x0, box.y1, box.x1, box.y0]);
}

function crosses(a: NonNullable<PlacedLabel['leader']>, b: NonNullable<PlacedLabel['leader']>): boolean {
  const side = (ax: number, ay: number, bx: number, by: number, px: number, py: number): number =>
    (bx - ax) * (py - ay) - (by - ay) * (px - ax);
  const [ax, ay, bx, by] = a;
  const [cx, cy, dx, dy] = b;
  return (
    side(ax, ay, bx, by, cx, cy) * side(ax, ay, bx, by, dx, dy) <= 0 &&
    side(cx, cy, dx, dy, ax, ay) * side(cx, cy, dx, dy, bx, by) <= 0
  );
}
