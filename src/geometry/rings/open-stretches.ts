// Stretches of a moved boundary strung together. In: lines and arcs in any order, each with the ground on its left; out: closed
// rings. Terms: link = the stretch that begins where another ends, as near as rounding leaves it.
// Where two stretches meet is worked out on each of them by itself: ends miss each other by rounding, and by more where they
// meet at a grazing angle. Which of several near ones is taken moves the outline by no more than they are apart.

import { chordCount } from '../curves/arc.js';
import type { Ring } from './shapes.js';

/** Ends are linked to beginnings within the first of these, metres, what is left over within the next. */
const WITHIN_M = [1e-7, 1e-5, 1e-3] as const;
/** Corners so near each other are one, metres: a tenth of the grid of unions. */
const SAME_M = 1e-6;
/** Side of the cells in which beginnings are found, metres: the last of these. */
const CELL_M = WITHIN_M[2];

export class Stretches {
  /** Beginning and end of each: x0, y0, x1, y1. */
  readonly #ends: number[] = [];
  /** Centre, radius, angles of each arc; its number in #ends is kept in #arcOf, -1 for a line. */
  readonly #arcs: number[] = [];
  readonly #arcOf: number[] = [];

  line(x0: number, y0: number, x1: number, y1: number): void {
    this.#ends.push(x0, y0, x1, y1);
    this.#arcOf.push(-1);
  }

  arc(x: number, y: number, r: number, from: number, to: number): void {
    this.#ends.push(x + r * Math.cos(from), y + r * Math.sin(from), x + r * Math.cos(to), y + r * Math.sin(to));
    this.#arcOf.push(this.#arcs.length);
    this.#arcs.push(x, y, r, from, to);
  }

  /** The rings, arcs as chords that miss them by at most `round` metres; null where an end has no beginning near it. */
  rings(round: number): Ring[] | null {
    const next = this.#links();
    if (next === null) return null;
    const seen = new Uint8Array(next.length);
    const out: Ring[] = [];
    for (let first = 0; first < next.length; first++) {
      if (seen[first] === 1) continue;
      const ring: number[] = [];
      for (let s = first; seen[s] === 0; s = next[s]!) {
        seen[s] = 1;
        this.#addTo(ring, s, round);
      }
      const n = ring.length;
      if (n > 2 && isWithin(ring[n - 2]!, ring[n - 1]!, ring[0]!, ring[1]!, SAME_M)) ring.length = n - 2;
      if (ring.length >= 6) out.push(ring);
    }
    return out;
  }

  /** A stretch's points, without those that are there already. */
  #addTo(ring: number[], s: number, round: number): void {
    const ends = this.#ends;
    put(ring, ends[s * 4]!, ends[s * 4 + 1]!);
    const arc = this.#arcOf[s]!;
    if (arc >= 0) {
      const x = this.#arcs[arc]!;
      const y = this.#arcs[arc + 1]!;
      const r = this.#arcs[arc + 2]!;
      const from = this.#arcs[arc + 3]!;
      const to = this.#arcs[arc + 4]!;
      const chords = chordCount(r, to - from, round);
      const step = (to - from) / chords;
      // Corners moved outwards hold the area of the arc; its ends stay true.
      const scale = r * Math.sqrt(step / Math.sin(step));
      for (let k = 1; k < chords; k++) {
        ring.push(x + scale * Math.cos(from + k * step), y + scale * Math.sin(from + k * step));
      }
    }
    put(ring, ends[s * 4 + 2]!, ends[s * 4 + 3]!);
  }

  /** For each stretch the one that follows it. */
  #links(): Int32Array | null {
    const ends = this.#ends;
    const count = ends.length / 4;
    const next = new Int32Array(count).fill(-1);
    const isTaken = new Uint8Array(count);
    let left = 0;
    for (let s = 0; s < count; s++) {
      // Mostly the next one made begins where this one ends.
      const t = s + 1;
      if (t < count && isWithin(ends[s * 4 + 2]!, ends[s * 4 + 3]!, ends[t * 4]!, ends[t * 4 + 1]!, WITHIN_M[0])) {
        next[s] = t;
        isTaken[t] = 1;
      } else left++;
    }
    if (left === 0) return next;
    const cells = this.#cells(isTaken);
    for (const within of WITHIN_M) {
      for (let s = 0; s < count && left > 0; s++) {
        if (next[s]! >= 0) continue;
        const t = this.#nearest(s, within, cells, isTaken);
        if (t < 0) continue;
        next[s] = t;
        isTaken[t] = 1;
        left--;
      }
    }
    return left === 0 ? next : null;
  }

  /** Beginnings that are not taken, by cell. */
  #cells(isTaken: Uint8Array): Map<string, number[]> {
    const cells = new Map<string, number[]>();
    for (let s = 0; s < isTaken.length; s++) {
      if (isTaken[s] === 1) continue;
      const key = cellKey(Math.floor(this.#ends[s * 4]! / CELL_M), Math.floor(this.#ends[s * 4 + 1]! / CELL_M));
      const cell = cells.get(key);
      if (cell === undefined) cells.set(key, [s]);
      else cell.push(s);
    }
    return cells;
  }

  #nearest(s: number, within: number, cells: ReadonlyMap<string, readonly number[]>, isTaken: Uint8Array): number {
    const [x, y] = [this.#ends[s * 4 + 2]!, this.#ends[s * 4 + 3]!];
    const [column, row] = [Math.floor(x / CELL_M), Math.floor(y / CELL_M)];
    let best = -1;
    let least = within;
    for (let i = column - 1; i <= column + 1; i++) {
      for (let j = row - 1; j <= row + 1; j++) {
        for (const t of cells.get(cellKey(i, j)) ?? []) {
          if (isTaken[t] === 1) continue;
          const off = apart(x, y, this.#ends[t * 4]!, this.#ends[t * 4 + 1]!);
          if (off > least) continue;
          least = off;
          best = t;
        }
      }
    }
    return best;
  }
}

/** Adds a corner unless the last one is hardly apart from it. */
function put(ring: number[], x: number, y: number): void {
  const n = ring.length;
  if (n < 2 || !isWithin(ring[n - 2]!, ring[n - 1]!, x, y, SAME_M)) ring.push(x, y);
}

function isWithin(x0: number, y0: number, x1: number, y1: number, by: number): boolean {
  const dx = x1 - x0;
  const dy = y1 - y0;
  return dx * dx + dy * dy <= by * by;
}

function cellKey(column: number, row: number): string {
  return `${column} ${row}`;
}

function apart(x0: number, y0: number, x1: number, y1: number): number {
  return Math.hypot(x1 - x0, y1 - y0);
}
