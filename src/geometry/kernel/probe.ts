// The distance from a point to a piece: in: a piece, a point and how far it still matters; out: the nearest point of
// its boundary, or that the point is inside. Terms: chunk = a run of edges of a long ring with its box (pieces.ts).

import { boxDistance2 } from './disc.js';
import { Nearest } from './nearest.js';
import { chunkFirstEdge, type Pieces } from './pieces.js';

/** `distance2` is not less than the limit when the boundary is farther than that. */
export class Probe extends Nearest {
  /** Whether the point lies inside the piece (undecided on its boundary, where distance2 is 0). */
  inside: boolean = false;

  #x = 0;
  #y = 0;

  /** Measures piece p from (x, y); boundary farther than the square root of `limit2` need not be found. */
  measure(pieces: Pieces, p: number, x: number, y: number, limit2: number): void {
    this.#x = x;
    this.#y = y;
    this.distance2 = limit2;
    this.nearX = this.nearY = Number.NaN;
    this.inside = false;
    const lastRing = pieces.ringStart[p + 1]!;
    for (let ring = pieces.ringStart[p]!; ring < lastRing; ring++) {
      const v0 = pieces.vertexStart[ring]!;
      const n = pieces.vertexStart[ring + 1]! - v0;
      const chunk0 = pieces.chunkStart[ring]!;
      const chunks = pieces.chunkStart[ring + 1]! - chunk0;
      if (chunks === 0) this.#walk(pieces.xy, v0, n, 0, n);
      else this.#chunks(pieces, v0, n, chunk0, chunks);
    }
  }

  #chunks(pieces: Pieces, v0: number, n: number, chunk0: number, chunks: number): void {
    for (let k = 0; k < chunks; k++) {
      const from = chunkFirstEdge(k);
      const to = Math.min(chunkFirstEdge(k + 1), n);
      const box2 = boxDistance2(pieces.chunkBox, (chunk0 + k) * 4, this.#x, this.#y);
      if (box2 === 0 || box2 < this.distance2) this.#walk(pieces.xy, v0, n, from, to);
      else this.#skip(pieces.xy, v0, n, from, to);
    }
  }

  /** A chunk too far to be nearest and clear of the point: only whether it crosses the negative x axis counts. */
  #skip(xy: Float64Array, v0: number, n: number, from: number, to: number): void {
    const a = (v0 + from) * 2;
    const b = (v0 + (to === n ? 0 : to)) * 2;
    if (xy[a + 1]! < this.#y === xy[b + 1]! < this.#y) return;
    if (xy[a]! < this.#x) this.inside = !this.inside;
  }

  #walk(xy: Float64Array, v0: number, n: number, from: number, to: number): void {
    const x = this.#x;
    const y = this.#y;
    let px = xy[(v0 + from) * 2]! - x;
    let py = xy[(v0 + from) * 2 + 1]! - y;
    for (let e = from; e < to; e++) {
      const at = (v0 + (e + 1 === n ? 0 : e + 1)) * 2;
      const qx = xy[at]! - x;
      const qy = xy[at + 1]! - y;
      const dx = qx - px;
      const dy = qy - py;
      const dd = dx * dx + dy * dy;
      const along = -(px * dx + py * dy);
      this.nearestOn(px, py, qx, qy, dx, dy, dd, along);
      if (py < 0 !== qy < 0) {
        const c = px * qy - py * qx;
        if (py < 0 ? c < 0 : c > 0) this.inside = !this.inside;
      }
      px = qx;
      py = qy;
    }
  }
}
