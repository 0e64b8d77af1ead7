// Fences beyond the lots. In: fences and lots as lon/lat; out: per fence the length of its line that stands on no lot given,
// metres. Terms: nothing is cut off there: a zone does not end at a lot line, and who owns the ground beyond has to agree.

import { BoxIndex, distanceToArea, quadAt } from '../../geometry/index.js';
import type { Fence, Frame, LotTable } from '../../model/index.js';

/** A line this near to a lot stands on it: survey coordinates are written to the centimetre. */
const ON_LINE_M = 0.01;

/** Lots in one frame, part by part. */
class LotGround {
  readonly #xy: Float64Array;
  readonly #lots: LotTable;
  readonly #index: BoxIndex;

  constructor(lots: LotTable, lonLat: Float64Array, frame: Frame) {
    this.#lots = lots;
    this.#xy = new Float64Array(lonLat.length);
    frame.toFrame(lonLat, this.#xy);
    const { ringStart, vertexStart } = lots.geometry;
    const boxes = new Float64Array((ringStart.length - 1) * 4);
    for (let part = 0; part * 4 < boxes.length; part++) {
      boxes.set([Infinity, Infinity, -Infinity, -Infinity], part * 4);
      const end = vertexStart[ringStart[part + 1]!]!;
      for (let v = vertexStart[ringStart[part]!]!; v < end; v++) {
        const [x, y] = [this.#xy[v * 2]!, this.#xy[v * 2 + 1]!];
        boxes[part * 4] = Math.min(boxes[part * 4]!, x);
        boxes[part * 4 + 1] = Math.min(boxes[part * 4 + 1]!, y);
        boxes[part * 4 + 2] = Math.max(boxes[part * 4 + 2]!, x);
        boxes[part * 4 + 3] = Math.max(boxes[part * 4 + 3]!, y);
      }
    }
    this.#index = new BoxIndex(boxes);
  }

  /** How much of a straight line stands on no lot. */
  outside(ax: number, ay: number, bx: number, by: number): number {
    const { ringStart, vertexStart } = this.#lots.geometry;
    const [west, east] = [Math.min(ax, bx) - ON_LINE_M, Math.max(ax, bx) + ON_LINE_M];
    const [south, north] = [Math.min(ay, by) - ON_LINE_M, Math.max(ay, by) + ON_LINE_M];
    const n = this.#index.search(west, south, east, north);
    const parts = [...this.#index.found.subarray(0, n)];
    const cuts = [0, 1];
    for (const part of parts) {
      for (let r = ringStart[part]!; r < ringStart[part + 1]!; r++) {
        this.#cut(vertexStart[r]!, vertexStart[r + 1]!, ax, ay, bx, by, cuts);
      }
    }
    cuts.sort((a, b) => a - b);
    const length = Math.hypot(bx - ax, by - ay);
    let sum = 0;
    for (let i = 0; i + 1 < cuts.length; i++) {
      const [from, to] = [cuts[i]!, cuts[i + 1]!];
      if (!(to > from)) continue;
      const at = (from + to) / 2;
      const [x, y] = [ax + at * (bx - ax), ay + at * (by - ay)];
      const isOn = parts.some((part) => {
        const [first, end] = [ringStart[part]!, ringStart[part + 1]!];
        return distanceToArea(this.#xy, vertexStart, first, end, x, y) <= ON_LINE_M;
      });
      if (!isOn) sum += (to - from) * length;
    }
    return sum;
  }

  /** Where on a line, 0 to 1, it crosses the edges of a ring. */
  #cut(from: number, to: number, ax: number, ay: number, bx: number, by: number, cuts: number[]): void {
    const xy = this.#xy;
    for (let v = from; v < to; v++) {
      const w = v + 1 === to ? from : v + 1;
      const [px, py] = [xy[v * 2]!, xy[v * 2 + 1]!];
      const [ex, ey] = [xy[w * 2]! - px, xy[w * 2 + 1]! - py];
      const det = (bx - ax) * ey - (by - ay) * ex;
      if (det === 0) continue;
      const t = ((px - ax) * ey - (py - ay) * ex) / det;
      const u = ((px - ax) * (by - ay) - (py - ay) * (bx - ax)) / det;
      if (t > 0 && t < 1 && u >= 0 && u <= 1) cuts.push(t);
    }
  }
}

/** Per fence the length on no lot, metres. */
export function outsideLots(
  fences: readonly Pick<Fence, 'shape'>[],
  lots: LotTable,
  lotsLonLat: Float64Array,
  frameAt: (lon: number, lat: number) => Frame,
): number[] {
  const perFrame = new Map<number, LotGround>();
  return fences.map(({ shape }) => {
    const [lon, lat] = shape[0]?.[0]?.[0] ?? [0, 0];
    const frame = frameAt(lon, lat);
    let ground = perFrame.get(frame.key);
    if (ground === undefined) {
      ground = new LotGround(lots, lotsLonLat, frame);
      perFrame.set(frame.key, ground);
    }
    let sum = 0;
    for (const ring of shape.flat()) {
      const xy = Float64Array.from(ring.flat());
      frame.toFrame(xy, xy);
      for (let i = 0; i + 3 < xy.length; i += 2) {
        sum += ground.outside(...quadAt(xy, i));
      }
    }
    return sum;
  });
}
