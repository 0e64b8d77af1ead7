// The change between two surfaces, piece by piece. In: two surfaces in one plane, the levels; out: cells. Terms: cell = what a face of one
// surface and a face of the other have in common, cut along the lines where the change passes a level: the change is linear in it;
// band = between two levels; a change of exactly a level belongs to the band nearer to no change. Cost: n log n in the faces, and
// linear in the pairs of faces whose boxes meet.

import { BoxIndex, FloatColumn, IndexColumn, signedArea } from '../geometry/index.js';
import { InputError, type StopSignal } from '../model/index.js';
import { FaceClip, type Points } from './clip.js';
import { CornerPool } from './pool.js';
import { faceBoxes, LOOK_EVERY } from './surface.js';

/** Points and faces of one surface in the common plane. */
export interface PlaneFaces extends Points {
  readonly faces: Uint32Array;
}

/** Cells as columns: cell c has corners start[c] .. start[c + 1], anticlockwise. */
export interface Cells {
  readonly count: number;
  readonly start: Uint32Array;
  readonly corner: Uint32Array; // number of the place, per corner of a cell
  readonly change: Float64Array; // metres, per corner of a cell
  readonly band: Uint8Array; // per cell: how many levels are passed
  readonly x: Float64Array; // per place
  readonly y: Float64Array;
}

/** More pairs of faces than this are refused: their cells would not fit into memory. */
const MOST_CELLS = 2_000_000;
/** Heights are converted by factors: a change this near to a level is that level, as in the rules (see rules/weigh.ts). */
const LEVEL_SLACK_M = 1e-6;
export const MOST_LEVELS = 200;

/**
 * @param levels ascending, metres; negative ones are depths of cut
 * @throws InputError `grade-large`
 */
export function cellsOf(
  existing: PlaneFaces,
  proposed: PlaneFaces,
  levels: readonly number[],
  extent: number,
  signal?: StopSignal,
): Cells {
  const boxes = faceBoxes(existing.xy, existing.faces);
  const index = new BoxIndex(faceBoxes(proposed.xy, proposed.faces));
  const clip = new FaceClip(existing, proposed);
  const into = new CellColumns(levels, extent);
  const triple = ({ faces }: PlaneFaces, f: number) => [faces[f * 3]!, faces[f * 3 + 1]!, faces[f * 3 + 2]!] as const;
  for (let f = 0; f < existing.faces.length / 3; f++) {
    if (f % LOOK_EVERY === 0) signal?.throwIfAborted();
    const n = index.search(boxes[f * 4]!, boxes[f * 4 + 1]!, boxes[f * 4 + 2]!, boxes[f * 4 + 3]!);
    const near = index.found.slice(0, n).sort(); // the same cells in the same order whatever the index does
    for (const g of near) if (clip.clip(triple(existing, f), triple(proposed, g))) into.add(clip);
  }
  return into.take();
}

class CellColumns {
  readonly #levels: readonly number[];
  readonly #pool: CornerPool;
  readonly #start = new IndexColumn();
  readonly #corner = new IndexColumn();
  readonly #change = new FloatColumn();
  readonly #band = new IndexColumn();

  constructor(levels: readonly number[], extent: number) {
    this.#levels = levels;
    this.#pool = new CornerPool(extent);
    this.#start.push(0);
  }

  add({ count, x, y, change }: FaceClip): void {
    let corners: number[] = [];
    let changes: number[] = [];
    for (let i = 0; i < count; i++) {
      const at = this.#pool.at(x[i]!, y[i]!);
      if (at === corners.at(-1) || (i === count - 1 && at === corners[0])) continue;
      corners.push(at);
      changes.push(this.#onLevel(change[i]!));
    }
    for (const [b, level] of this.#levels.entries()) {
      if (corners.length < 3) return;
      const [low, high] = [Math.min(...changes), Math.max(...changes)];
      if (level > 0 ? high <= level : high <= level && low < level) {
        this.#push(corners, changes, b);
        return;
      }
      if (low >= level) continue;
      const below = this.#part(corners, changes, level, -1);
      const above = this.#part(corners, changes, level, 1);
      this.#push(below.corners, below.changes, b);
      [corners, changes] = [above.corners, above.changes];
    }
    this.#push(corners, changes, this.#levels.length);
  }

  #onLevel(change: number): number {
    for (const level of this.#levels) if (Math.abs(change - level) < LEVEL_SLACK_M) return level;
    return change;
  }

  /** The part on one side of the line where the change is `level`. */
  #part(corners: readonly number[], changes: readonly number[], level: number, sign: 1 | -1) {
    const out = { corners: [] as number[], changes: [] as number[] };
    const push = (corner: number, change: number): void => {
      if (corner === out.corners.at(-1)) return;
      out.corners.push(corner);
      out.changes.push(change);
    };
    for (let i = 0, n = corners.length; i < n; i++) {
      const j = i + 1 === n ? 0 : i + 1;
      const [here, next] = [(changes[i]! - level) * sign, (changes[j]! - level) * sign];
      if (here >= 0) push(corners[i]!, changes[i]!);
      if ((here > 0 && next < 0) || (here < 0 && next > 0)) {
        push(this.#between(corners[i]!, changes[i]!, corners[j]!, changes[j]!, level), level);
      }
    }
    if (out.corners.length > 1 && out.corners[0] === out.corners.at(-1)) {
      out.corners.pop();
      out.changes.pop();
    }
    return out;
  }

  /** Where the change is `level` between two corners; the same from either end. */
  #between(p: number, atP: number, q: number, atQ: number, level: number): number {
    if (p > q) return this.#between(q, atQ, p, atP, level);
    const share = (level - atP) / (atQ - atP);
    const { x, y } = this.#pool;
    return this.#pool.at(x.at(p) + share * (x.at(q) - x.at(p)), y.at(p) + share * (y.at(q) - y.at(p)));
  }

  #push(corners: readonly number[], changes: readonly number[], band: number): void {
    if (corners.length < 3) return;
    if (this.#band.length >= MOST_CELLS) {
      const message = `the two surfaces have more than ${MOST_CELLS} pieces in common`;
      throw new InputError('grade-large', message, { cure: 'export the part about the site alone, or fewer points' });
    }
    for (const corner of corners) this.#corner.push(corner);
    for (const change of changes) this.#change.push(change);
    this.#start.push(this.#corner.length);
    this.#band.push(band);
  }

  take(): Cells {
    return {
      count: this.#band.length,
      start: this.#start.take(),
      corner: this.#corner.take(),
      change: this.#change.take(),
      band: Uint8Array.from(this.#band.take()),
      x: this.#pool.x.take(),
      y: this.#pool.y.take(),
    };
  }
}

/** The area of a cell in square units of the plane. */
export function cellArea({ start, corner, x, y }: Cells, c: number): number {
  const ring: number[] = [];
  for (let i = start[c]!; i < start[c + 1]!; i++) ring.push(x[corner[i]!]!, y[corner[i]!]!);
  return signedArea(ring);
}
