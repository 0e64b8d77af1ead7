// Rings of one part while they are cleaned: in: a GeometryTable and ring numbers; out: vertices without repeats, with the
// vertex each was as read.
// Terms: open ring = its first vertex taken off the end, whether or not the file repeats it there.

import { ringBox } from '../geometry/index.js';
import type { GeometryTable } from '../model/index.js';

/** No coordinate system has larger numbers (the equator is 4e7 m or 1.6e9 in long); anything beyond it is damage. */
export const LARGEST_COORDINATE = 2e9;

/** Whether a pair can be a longitude, latitude; longitudes may run on past 180. */
export function isOnEarth(lon: number, lat: number): boolean {
  return Math.abs(lon) <= 360 && Math.abs(lat) <= 90;
}

export class RingBuffer {
  xy: Float64Array = new Float64Array(1024);
  source: Int32Array = new Int32Array(512); // vertex of its ring as read
  count = 0; // vertices
  readonly ringEnd: number[] = [0]; // rings 0 .. ringRead.length - 1 lie between these
  readonly ringRead: number[] = []; // ring of the part as read
  readonly #read: GeometryTable;
  readonly #degrees: boolean;

  /** With `degrees` a ring across 180 degrees is made continuous from its first vertex: -179.9 becomes 180.1 there. */
  constructor(read: GeometryTable, degrees: boolean = false) {
    this.#read = read;
    this.#degrees = degrees;
  }

  clear(): void {
    this.count = 0;
    this.ringEnd.length = 1;
    this.ringRead.length = 0;
  }

  /** Appends a ring's vertices without repeats; false when one is not a number or not a place on earth. */
  load(ring: number): boolean {
    const g = this.#read;
    const from = g.vertexStart[ring]!;
    const to = g.vertexStart[ring + 1]!;
    this.#reserve(this.count + to - from);
    const xy = this.xy;
    const read = g.xy;
    let n = this.count;
    let px = Number.NaN;
    let py = Number.NaN;
    const first = read[from * 2]!;
    const across = this.#degrees && isAcross(read, from, to);
    for (let v = from; v < to; v++) {
      const stated = read[v * 2]!;
      const x = across ? unrolled(stated, first) : stated;
      const y = read[v * 2 + 1]!;
      if (!(Math.abs(x) <= LARGEST_COORDINATE && Math.abs(y) <= LARGEST_COORDINATE)) return false;
      if (this.#degrees && !isOnEarth(stated, y)) return false;
      if (x === px && y === py) continue;
      xy[n * 2] = px = x;
      xy[n * 2 + 1] = py = y;
      this.source[n++] = v - from;
    }
    this.count = n;
    return true;
  }

  #reserve(vertices: number): void {
    if (vertices * 2 <= this.xy.length) return;
    const xy = new Float64Array(vertices * 4);
    xy.set(this.xy);
    this.xy = xy;
    const source = new Int32Array(vertices * 2);
    source.set(this.source);
    this.source = source;
  }

  hasThreeCorners(start: number): boolean {
    const xy = this.xy;
    for (let v = start + 2; v < this.count; v++) {
      // neighbours differ, so a third corner is one that differs from the first two
      const isFirst = xy[v * 2] === xy[start * 2] && xy[v * 2 + 1] === xy[start * 2 + 1];
      const isSecond = xy[v * 2] === xy[start * 2 + 2] && xy[v * 2 + 1] === xy[start * 2 + 3];
      if (!isFirst && !isSecond) return true;
    }
    return false;
  }

  /** Takes the closing vertex off the ring that starts at `start`; false when it had none. */
  openRing(start: number): boolean {
    const last = this.count - 1;
    const { xy } = this;
    if (last <= start || xy[last * 2] !== xy[start * 2] || xy[last * 2 + 1] !== xy[start * 2 + 1]) return false;
    this.count--;
    return true;
  }
}

/**
 * Whether a ring is wider than half the globe as it stands and narrower once made continuous. A ring round the globe is not.
 */
function isAcross(xy: Float64Array, from: number, to: number): boolean {
  const first = xy[from * 2]!;
  let [west, east, west2, east2] = [Infinity, -Infinity, Infinity, -Infinity];
  for (let v = from; v < to; v++) {
    const lon = xy[v * 2]!;
    west = Math.min(west, lon);
    east = Math.max(east, lon);
    const other = unrolled(lon, first);
    west2 = Math.min(west2, other);
    east2 = Math.max(east2, other);
  }
  return east - west > 180 && east2 - west2 > 0 && east2 - west2 < 180;
}

/** A longitude within half a turn of another. */
function unrolled(lon: number, from: number): number {
  return lon - from > 180 ? lon - 360 : lon - from < -180 ? lon + 360 : lon;
}

/** Square of the longer side of a ring's box. */
export function extent2(xy: Float64Array, from: number, to: number): number {
  const [west, south, east, north] = ringBox(xy, from, to);
  const side = Math.max(east - west, north - south);
  return side * side;
}
