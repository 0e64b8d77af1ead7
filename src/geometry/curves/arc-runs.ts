// Chords -> arcs: finds runs of vertices that lie on one circle. In: the vertices of a line or ring, and two tolerances;
// out: vertices with bulges, or null where no run is an arc. Terms: bulge as in arc.ts; run = chords in a row, turning one
// way about one centre. A run becomes an arc only where each of its chords lies as near to it as a chord does that was made
// of an arc: a many-sided building stays what it is. Linear in the vertices, times the logarithm of the longest run.

/** A vertex with the bulge of the segment that starts there. */
export type BulgedVertex = readonly [x: number, y: number, bulge: number];

/** Chords that an arc has at least: three points always lie on a circle, five hardly by chance. */
const FEWEST = 4;
/** A run that turns less is left as it is: a gentle curve of few chords gains nothing (5 degrees, in radians). */
const LEAST_TURN = Math.PI / 36;
/** An arc turns half a circle at most: the bulge of a longer one grows without bound. */
const MOST_TURN = Math.PI * (1 + 1e-9);

/**
 * The arcs of a line or ring, as vertices and bulges; null where there is none. `flat` holds x, y pairs, without the closing
 * vertex of a ring. `off`: how far a vertex may lie from its circle; `sagitta`: how far an arc may stand off its chord. A
 * ring with arcs begins at the end of its longest side.
 *
 * @example
 * arcRuns(circle, true, 1e-4, 1e-3)?.length; // 2: two half circles
 */
export function arcRuns(
  flat: Float64Array,
  closed: boolean,
  off: number,
  sagitta: number,
): readonly BulgedVertex[] | null {
  const runs = new Runs(flat, closed, off, sagitta);
  const out: BulgedVertex[] = [];
  let arcs = 0;
  for (let k = 0; k < runs.segments; ) {
    const { length, turn } = runs.from(k);
    const isArc = Math.abs(turn) >= LEAST_TURN;
    if (isArc) {
      out.push([runs.x(k), runs.y(k), Math.tan(turn / 4)]);
      arcs++;
    } else for (let i = 0; i < length; i++) out.push([runs.x(k + i), runs.y(k + i), 0]);
    k += length;
  }
  if (!closed) out.push([runs.x(runs.segments), runs.y(runs.segments), 0]);
  return arcs === 0 ? null : out;
}

class Runs {
  readonly segments: number;
  readonly #flat: Float64Array;
  readonly #start: number;
  readonly #count: number;
  readonly #off: number;
  readonly #sagitta: number;

  constructor(flat: Float64Array, closed: boolean, off: number, sagitta: number) {
    this.#flat = flat;
    this.#count = flat.length / 2;
    this.segments = Math.max(0, closed ? this.#count : this.#count - 1);
    this.#off = off;
    this.#sagitta = sagitta;
    this.#start = closed ? afterLongest(flat) : 0;
  }

  x(k: number): number {
    return this.#flat[((this.#start + k) % this.#count) * 2]!;
  }

  y(k: number): number {
    return this.#flat[((this.#start + k) % this.#count) * 2 + 1]!;
  }

  /** The longest run from a vertex on, and how far it turns (radians, anticlockwise positive); one chord that turns 0. */
  from(k: number): { readonly length: number; readonly turn: number } {
    const most = this.segments - k;
    let length = FEWEST;
    let turn = length > most ? null : this.#turn(k, length);
    if (turn === null) return { length: 1, turn: 0 };
    let tooLong = most + 1;
    while (length < tooLong - 1) {
      const next = tooLong > most ? Math.min(length * 2, most) : (length + tooLong) >> 1;
      const longer = this.#turn(k, next);
      if (longer === null) tooLong = next;
      else [length, turn] = [next, longer];
    }
    return { length, turn };
  }

  /** How far a run turns about the centre of the circle through its ends and its middle; null where it is no arc. */
  #turn(k: number, length: number): number | null {
    const [ax, ay] = [this.x(k), this.y(k)];
    // From the first vertex: at coordinates of millions a circle's centre would lose its digits.
    const at = (i: number): [number, number] => [this.x(k + i) - ax, this.y(k + i) - ay];
    const [mx, my] = at(length >> 1);
    const [ex, ey] = at(length);
    const cross = mx * ey - my * ex;
    const chord = Math.hypot(ex, ey);
    if (!(Math.abs(cross) > 4 * this.#off * chord)) return null; // no nearer to an arc than to a straight line
    const [m2, e2] = [mx * mx + my * my, ex * ex + ey * ey];
    const [cx, cy] = [(m2 * ey - e2 * my) / (2 * cross), (e2 * mx - m2 * ex) / (2 * cross)];
    const radius = Math.hypot(cx, cy);
    let [px, py] = [-cx, -cy];
    let total = 0;
    for (let i = 1; i <= length; i++) {
      const [x, y] = at(i);
      const [qx, qy] = [x - cx, y - cy];
      const turn = Math.atan2(px * qy - py * qx, px * qx + py * qy);
      if (turn * cross <= 0 || Math.abs(Math.hypot(qx, qy) - radius) > this.#off) return null;
      if (radius * (1 - Math.cos(turn / 2)) > this.#sagitta) return null;
      total += turn;
      [px, py] = [qx, qy];
    }
    return Math.abs(total) > MOST_TURN ? null : total;
  }
}

/** The vertex at the end of the longest side: hardly the middle of an arc. */
function afterLongest(flat: Float64Array): number {
  const n = flat.length / 2;
  let [most, at] = [-1, 0];
  for (let i = 0; i < n; i++) {
    const j = (i + 1) % n;
    const length = Math.hypot(flat[j * 2]! - flat[i * 2]!, flat[j * 2 + 1]! - flat[i * 2 + 1]!);
    // Sides of a circle differ by rounding alone: the first of them is taken.
    if (length > most * (1 + 1e-6)) [most, at] = [length, j];
  }
  return at;
}
