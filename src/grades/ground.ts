// Cells measured in the frame of a place. In: cells with their places as lon/lat; out: areas and volumes inside discs and polygons, the
// change at a point. Terms: frame = the true-to-size plane of the place. Cost: an index a frame, then the cells whose boxes meet what is
// measured.

import { BoxIndex, discInRing, pairAt, type Ring, ringBox, signedArea } from '../geometry/index.js';
import type { Frame } from '../model/index.js';
import type { Cells } from './cells.js';

/** Area and volume of one cell inside something: square metres; change times area, cubic metres. */
export type Visit = (cell: number, areaM2: number, volumeM3: number) => void;

interface Placed {
  readonly xy: Float64Array; // 2 per place
  readonly index: BoxIndex;
}

/** A point this far outside a cell lies on its edge, metres: lon/lat and frames carry a few nanometres of rounding. */
const EDGE_M = 1e-6;

export class GradedGround {
  readonly cells: Cells;
  readonly #lonLat: Float64Array;
  readonly #perFrame = new Map<number, Placed>();

  /** @param lonLat 2 per place of the cells */
  constructor(cells: Cells, lonLat: Float64Array) {
    this.cells = cells;
    this.#lonLat = lonLat;
  }

  /** A place of a cell, lon/lat. */
  lonLat(place: number): readonly [number, number] {
    return pairAt(this.#lonLat.subarray(place * 2, place * 2 + 2));
  }

  #in(frame: Frame): Placed {
    let placed = this.#perFrame.get(frame.key);
    if (placed === undefined) {
      const xy = new Float64Array(this.#lonLat.length);
      frame.toFrame(this.#lonLat, xy);
      const { count, start, corner } = this.cells;
      const boxes = new Float64Array(count * 4);
      for (let c = 0; c < count; c++) {
        let [west, south, east, north] = [Infinity, Infinity, -Infinity, -Infinity];
        for (let i = start[c]!; i < start[c + 1]!; i++) {
          const [x, y] = [xy[corner[i]! * 2]!, xy[corner[i]! * 2 + 1]!];
          [west, south, east, north] = [Math.min(west, x), Math.min(south, y), Math.max(east, x), Math.max(north, y)];
        }
        boxes.set([west, south, east, north], c * 4);
      }
      placed = { xy, index: new BoxIndex(boxes) };
      this.#perFrame.set(frame.key, placed);
    }
    return placed;
  }

  /** The corners of a cell about a place of the frame. */
  #ring(xy: Float64Array, c: number, x: number, y: number): number[] {
    const { start, corner } = this.cells;
    const ring: number[] = [];
    for (let i = start[c]!; i < start[c + 1]!; i++) ring.push(xy[corner[i]! * 2]! - x, xy[corner[i]! * 2 + 1]! - y);
    return ring;
  }

  /** Cells and their area inside a disc. */
  disc(frame: Frame, x: number, y: number, radius: number, visit: (cell: number, areaM2: number) => void): void {
    const { xy, index } = this.#in(frame);
    const n = index.search(x - radius, y - radius, x + radius, y + radius);
    for (const c of sorted(index, n)) {
      const area = discInRing(this.#ring(xy, c, x, y), radius);
      if (area > 0) visit(c, area);
    }
  }

  /** Cells and what of them lies inside polygons (shells anticlockwise, holes clockwise) whose rings are about a place of the frame. */
  rings(frame: Frame, x: number, y: number, rings: readonly Ring[], visit: Visit): void {
    const { xy, index } = this.#in(frame);
    const [west, south, east, north] = ringBox(rings.flat());
    const n = index.search(x + west, y + south, x + east, y + north);
    for (const c of sorted(index, n)) {
      const cell = this.#ring(xy, c, x, y);
      let area = 0;
      let volume = 0;
      for (const ring of rings) {
        const part = insideConvex(ring, cell);
        const own = signedArea(part);
        if (own === 0) continue;
        area += own;
        const [cx, cy] = centroid(part);
        volume += own * this.#changeIn(cell, c, cx, cy);
      }
      if (area > 0) visit(c, area, volume);
    }
  }

  /** A whole cell in the frame. */
  whole(frame: Frame, c: number): { readonly areaM2: number; readonly volumeM3: number } {
    const { xy } = this.#in(frame);
    const first = this.cells.corner[this.cells.start[c]!]!;
    const cell = this.#ring(xy, c, xy[first * 2]!, xy[first * 2 + 1]!);
    const areaM2 = signedArea(cell);
    const [cx, cy] = areaM2 === 0 ? [0, 0] : centroid(cell);
    return { areaM2, volumeM3: areaM2 * this.#changeIn(cell, c, cx, cy) };
  }

  /** Proposed less existing height at a place of the frame, metres; null outside the surfaces. */
  changeAt(frame: Frame, x: number, y: number): number | null {
    const { xy, index } = this.#in(frame);
    const n = index.search(x - EDGE_M, y - EDGE_M, x + EDGE_M, y + EDGE_M);
    for (const c of sorted(index, n)) {
      const cell = this.#ring(xy, c, x, y);
      if (holdsOrigin(cell)) return this.#changeIn(cell, c, 0, 0);
    }
    return null;
  }

  /** The change in a cell: linear, from the triangle of its corners that holds the place or comes nearest to it. */
  #changeIn(cell: readonly number[], c: number, x: number, y: number): number {
    const { start, change } = this.cells;
    const at = start[c]!;
    let [best, value] = [-Infinity, change[at]!];
    for (let i = 1; i + 1 < cell.length / 2; i++) {
      const [ax, ay] = [cell[0]! - x, cell[1]! - y];
      const [bx, by] = [cell[i * 2]! - x, cell[i * 2 + 1]! - y];
      const [dx, dy] = [cell[i * 2 + 2]! - x, cell[i * 2 + 3]! - y];
      const shares = [bx * dy - by * dx, dx * ay - dy * ax, ax * by - ay * bx] as const;
      const whole = shares[0] + shares[1] + shares[2];
      if (!(whole > 0)) continue;
      const least = Math.min(...shares) / whole;
      if (least <= best) continue;
      best = least;
      const [u, v, w] = shares.map((share) => Math.max(share / whole, 0)) as [number, number, number];
      value = (u * change[at]! + v * change[at + i]! + w * change[at + i + 1]!) / (u + v + w);
    }
    return value;
  }
}

/** Numbers in ascending order, so that sums do not depend on the index. */
function sorted(index: BoxIndex, n: number): Int32Array {
  return index.found.slice(0, n).sort();
}

function holdsOrigin(ring: readonly number[]): boolean {
  for (let i = 0, k = ring.length - 2; i < ring.length; k = i, i += 2) {
    const [dx, dy] = [ring[i]! - ring[k]!, ring[i + 1]! - ring[k + 1]!];
    if ((ring[k]! * dy - ring[k + 1]! * dx) / Math.hypot(dx, dy) < -EDGE_M) return false;
  }
  return true;
}

/** What of a ring lies inside a convex one (anticlockwise); where it falls into parts, sides there and back join them. */
function insideConvex(ring: Ring, convex: readonly number[]): number[] {
  let out: number[] = [...ring];
  for (let k = 0; k < convex.length && out.length > 0; k += 2) {
    const [ax, ay] = [convex[k]!, convex[k + 1]!];
    const next = (k + 2) % convex.length;
    const [dx, dy] = [convex[next]! - ax, convex[next + 1]! - ay];
    const side = (i: number): number => dx * (out[i + 1]! - ay) - dy * (out[i]! - ax);
    const kept: number[] = [];
    for (let i = 0; i < out.length; i += 2) {
      const j = (i + 2) % out.length;
      const [here, there] = [side(i), side(j)];
      if (here >= 0) kept.push(out[i]!, out[i + 1]!);
      if ((here > 0 && there < 0) || (here < 0 && there > 0)) {
        const t = here / (here - there);
        kept.push(out[i]! + t * (out[j]! - out[i]!), out[i + 1]! + t * (out[j + 1]! - out[i + 1]!));
      }
    }
    out = kept;
  }
  return out;
}

function centroid(ring: readonly number[]): readonly [number, number] {
  const [x0, y0] = [ring[0]!, ring[1]!];
  let [sum, mx, my] = [0, 0, 0];
  for (let i = 2; i + 3 < ring.length; i += 2) {
    const [ax, ay, bx, by] = [ring[i]! - x0, ring[i + 1]! - y0, ring[i + 2]! - x0, ring[i + 3]! - y0];
    const cross = ax * by - ay * bx;
    sum += cross;
    mx += cross * (ax + bx);
    my += cross * (ay + by);
  }
  return sum === 0 ? [x0, y0] : [x0 + mx / (3 * sum), y0 + my / (3 * sum)];
}
