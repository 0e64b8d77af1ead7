// Cuts segments where they meet: in: segments on a whole-number grid; out: segments that meet at their ends only,
// where a segment that was there an even number of times is gone (that is the even-odd rule for edges).
// Terms: crossing points are rounded to the grid, which may make new crossings, hence the rounds.

import { orient2d } from 'robust-predicates';
import { BoxIndex } from '../box-index.js';

/** Segments as columns: 4 numbers each, ax, ay, bx, by; whole numbers of at most 26 bits. */
export type Segments = readonly number[];

const INDEXED_FROM = 96;
/** Rounding settles in two or three rounds; a polygon that needs more than this is given up. */
const MAX_ROUNDS = 32;
/** A ring that crosses itself more often than this is no drawing of anything; it would cost seconds and memory. */
const MAX_CUTS = 100_000;
/**
 * Square of the reach, in steps, within which a segment is drawn to a point: above one half, or rounded crossings
 * creep; below half a step's diagonal (0.707), or the two diagonals of a step draw each other for ever.
 */
const SNAP2 = 0.6 * 0.6;

/**
 * Cuts segments at every crossing, touch and overlap. Returns null when rounding does not settle, or there are more
 * than 100,000 cuts to make.
 *
 * @example
 * nodeSegments([0, 0, 2, 2, 0, 2, 2, 0])?.length; // 16: four segments meeting at (1, 1)
 */
export function nodeSegments(segments: Segments): number[] | null {
  let now = oddOnly(segments);
  for (let round = 0; round < MAX_ROUNDS; round++) {
    const cuts = findCuts(now);
    if (cuts.count > MAX_CUTS) return null;
    if (cuts.count === 0) return now;
    now = oddOnly(cutAt(now, cuts));
  }
  return null;
}

/** Drops points, and segments present an even number of times; the rest point to greater x, then y. */
function oddOnly(segments: Segments): number[] {
  const seen = new Map<string, number>();
  const out: number[] = [];
  for (let i = 0; i < segments.length; i += 4) {
    let ax = segments[i]!;
    let ay = segments[i + 1]!;
    let bx = segments[i + 2]!;
    let by = segments[i + 3]!;
    if (ax === bx && ay === by) continue;
    if (ax > bx || (ax === bx && ay > by)) [ax, ay, bx, by] = [bx, by, ax, ay];
    const key = `${ax},${ay},${bx},${by}`;
    const at = seen.get(key);
    if (at === undefined) {
      seen.set(key, out.length);
      out.push(ax, ay, bx, by);
    } else {
      // the twin leaves a hole in the list; the last segment moves there
      seen.delete(key);
      const last = out.splice(out.length - 4, 4);
      if (at < out.length) {
        for (let k = 0; k < 4; k++) out[at + k] = last[k]!;
        seen.set(last.join(','), at);
      }
    }
  }
  return out;
}

/** Per segment (its offset) the points to cut it at, x, y pairs. */
class Cuts {
  readonly of: Map<number, number[]> = new Map();
  count = 0;

  add(segment: number, x: number, y: number): void {
    this.count++;
    const list = this.of.get(segment);
    if (list === undefined) this.of.set(segment, [x, y]);
    else list.push(x, y);
  }
}

/** All cuts of a round; stops early when there are too many. */
function findCuts(s: Segments): Cuts {
  const cuts = new Cuts();
  const n = s.length / 4;
  if (n < INDEXED_FROM) {
    for (let i = 0; i < n; i++) for (let j = i + 1; j < n; j++) meet(s, i * 4, j * 4, cuts);
  } else {
    const boxes = new Float64Array(n * 4);
    for (let i = 0; i < s.length; i += 4) {
      boxes[i] = s[i]! - 1;
      boxes[i + 1] = Math.min(s[i + 1]!, s[i + 3]!) - 1;
      boxes[i + 2] = s[i + 2]! + 1;
      boxes[i + 3] = Math.max(s[i + 1]!, s[i + 3]!) + 1;
    }
    const index = new BoxIndex(boxes);
    for (let i = 0; i < s.length && cuts.count <= MAX_CUTS; i += 4) {
      const hits = index.search(boxes[i]!, boxes[i + 1]!, boxes[i + 2]!, boxes[i + 3]!);
      for (let k = 0; k < hits; k++) if (index.found[k]! * 4 > i) meet(s, i, index.found[k]! * 4, cuts);
    }
  }
  return cuts;
}

function meet(s: Segments, i: number, j: number, cuts: Cuts): void {
  const ax = s[i]!;
  const ay = s[i + 1]!;
  const bx = s[i + 2]!;
  const by = s[i + 3]!;
  const cx = s[j]!;
  const cy = s[j + 1]!;
  const dx = s[j + 2]!;
  const dy = s[j + 3]!;
  if (cx > bx + 1 || dx < ax - 1) return;
  if (Math.max(cy, dy) < Math.min(ay, by) - 1 || Math.min(cy, dy) > Math.max(ay, by) + 1) return;
  // an end close to the other segment is where they meet: a new point beside it would creep on round after round
  const c = snap(s, i, cx, cy, cuts);
  const d = snap(s, i, dx, dy, cuts);
  const a = snap(s, j, ax, ay, cuts);
  const b = snap(s, j, bx, by, cuts);
  if (a || b || c || d) return;
  const sideC = orient2d(ax, ay, bx, by, cx, cy);
  const sideD = orient2d(ax, ay, bx, by, dx, dy);
  if (sideC === 0 || sideD === 0 || sideC > 0 === sideD > 0) return;
  const sideA = orient2d(cx, cy, dx, dy, ax, ay);
  const sideB = orient2d(cx, cy, dx, dy, bx, by);
  if (sideA === 0 || sideB === 0 || sideA > 0 === sideB > 0) return;
  const t = sideC / (sideC - sideD);
  const x = Math.round(cx + t * (dx - cx));
  const y = Math.round(cy + t * (dy - cy));
  cut(s, i, x, y, cuts);
  cut(s, j, x, y, cuts);
}

/** Cuts segment i at a point that lies beside it within a grid step's reach; false when there was nothing to cut. */
function snap(s: Segments, i: number, x: number, y: number, cuts: Cuts): boolean {
  const ax = s[i]!;
  const ay = s[i + 1]!;
  const ux = s[i + 2]! - ax;
  const uy = s[i + 3]! - ay;
  const length2 = ux * ux + uy * uy;
  const off = ux * (y - ay) - uy * (x - ax);
  if (off * off > SNAP2 * length2) return false;
  const along = ux * (x - ax) + uy * (y - ay);
  if (along < 0 || along > length2) return false;
  return cut(s, i, x, y, cuts);
}

function cut(s: Segments, i: number, x: number, y: number, cuts: Cuts): boolean {
  if ((x === s[i] && y === s[i + 1]) || (x === s[i + 2] && y === s[i + 3])) return false;
  cuts.add(i, x, y);
  return true;
}

function cutAt(s: Segments, cuts: Cuts): number[] {
  const out: number[] = [];
  for (let i = 0; i < s.length; i += 4) {
    const list = cuts.of.get(i);
    let x = s[i]!;
    let y = s[i + 1]!;
    const bx = s[i + 2]!;
    const by = s[i + 3]!;
    if (list !== undefined) {
      const along = (k: number): number =>
        (list[k * 2]! - s[i]!) * (bx - s[i]!) + (list[k * 2 + 1]! - s[i + 1]!) * (by - s[i + 1]!);
      const order = Array.from({ length: list.length / 2 }, (_, k) => k).sort((p, q) => along(p) - along(q));
      for (const k of order) {
        out.push(x, y, list[k * 2]!, list[k * 2 + 1]!);
        x = list[k * 2]!;
        y = list[k * 2 + 1]!;
      }
    }
    out.push(x, y, bx, by);
  }
  return out;
}
