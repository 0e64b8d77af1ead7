// Positions -> metres on one true-to-size plane with true north up. In: lon/lat and the job's frames; out: x east, y north.
// Terms: turn = the frame's convergence where the drawing is, taken out so that up is true north (a local ground system
// knows only its own north); gone astray = a position so far from the others that it would shrink the drawing to a dot.

import type { Assessment, Frame, LonLatPolygons } from '../../model/index.js';

/** A box in metres or millimetres. */
export interface Box {
  readonly x0: number;
  readonly y0: number;
  readonly x1: number;
  readonly y1: number;
}

/** The plane of one drawing. */
export class Ground {
  readonly frame: Frame;
  readonly #cos: number;
  readonly #sin: number;

  constructor(frame: Frame, turnDegrees: number) {
    this.frame = frame;
    this.#cos = Math.cos((turnDegrees * Math.PI) / 180);
    this.#sin = Math.sin((turnDegrees * Math.PI) / 180);
  }

  /** The plane about a place, true north up there. */
  static at(assessment: Assessment, lon: number, lat: number): Ground {
    const frame = assessment.job.frameAt(lon, lat);
    return new Ground(frame, frame.convergenceAt(lon, lat));
  }

  /** Flat lon, lat pairs to flat x, y in metres; a new array. */
  metres(lonLat: Float64Array): Float64Array {
    const out = new Float64Array(lonLat.length);
    this.frame.toFrame(lonLat, out);
    for (let i = 0; i < out.length; i += 2) {
      const x = out[i]!;
      const y = out[i + 1]!;
      out[i] = x * this.#cos + y * this.#sin;
      out[i + 1] = y * this.#cos - x * this.#sin;
    }
    return out;
  }

  /**
   * A box of degrees that holds a box of metres, a little larger; null where none does (across the antimeridian).
   * It sorts out quickly what is far away.
   */
  degrees(box: Box): Box | null {
    const { x0, y0, x1, y1 } = box;
    const xm = (x0 + x1) / 2;
    const ym = (y0 + y1) / 2;
    const pairs = Float64Array.of(x0, y0, xm, y0, x1, y0, x1, ym, x1, y1, xm, y1, x0, y1, x0, ym);
    for (let i = 0; i < pairs.length; i += 2) {
      const x = pairs[i]!;
      const y = pairs[i + 1]!;
      pairs[i] = x * this.#cos - y * this.#sin;
      pairs[i + 1] = y * this.#cos + x * this.#sin;
    }
    this.frame.toLonLat(pairs, pairs);
    const found = boxOfPairs(pairs);
    if (found === null || found.x1 - found.x0 > 180) return null;
    return grown(found, 0.02 * Math.max(found.x1 - found.x0, found.y1 - found.y0));
  }

  /** Drawn shapes as rings of flat x, y without the closing vertex. */
  rings(polygons: LonLatPolygons): number[][] {
    return polygons.flatMap((polygon) =>
      polygon.map((ring) => {
        const flat = new Float64Array(ring.length * 2);
        ring.forEach(([lon, lat], i) => {
          flat[i * 2] = lon;
          flat[i * 2 + 1] = lat;
        });
        return Array.from(this.metres(flat).subarray(0, Math.max(flat.length - 2, 0)));
      }),
    );
  }
}

/** The smallest box of flat pairs; null when there are none. */
export function boxOfPairs(flat: ArrayLike<number>): Box | null {
  let [x0, y0, x1, y1] = [Infinity, Infinity, -Infinity, -Infinity];
  for (let i = 0; i + 1 < flat.length; i += 2) {
    const x = flat[i]!;
    const y = flat[i + 1]!;
    if (!Number.isFinite(x) || !Number.isFinite(y)) continue;
    if (x < x0) x0 = x;
    if (x > x1) x1 = x;
    if (y < y0) y0 = y;
    if (y > y1) y1 = y;
  }
  return x0 > x1 ? null : { x0, y0, x1, y1 };
}

export function united(a: Box | null, b: Box | null): Box | null {
  if (a === null || b === null) return a ?? b;
  return {
    x0: Math.min(a.x0, b.x0),
    y0: Math.min(a.y0, b.y0),
    x1: Math.max(a.x1, b.x1),
    y1: Math.max(a.y1, b.y1),
  };
}

export function common(a: Box, b: Box): Box | null {
  const box = {
    x0: Math.max(a.x0, b.x0),
    y0: Math.max(a.y0, b.y0),
    x1: Math.min(a.x1, b.x1),
    y1: Math.min(a.y1, b.y1),
  };
  return box.x0 > box.x1 || box.y0 > box.y1 ? null : box;
}

export function grown(box: Box, by: number): Box {
  return { x0: box.x0 - by, y0: box.y0 - by, x1: box.x1 + by, y1: box.y1 + by };
}

/** A tenth of the positions may lie where they like; the rest within so many widths of the middle eight tenths. */
const ASTRAY_WIDTHS = 10;
const ASTRAY_LEAST_M = 500;

/** The box that holds every position that has not gone astray. */
export function mainBox(flat: Float64Array): Box | null {
  const range = (offset: number): readonly [number, number] | null => {
    const values: number[] = [];
    for (let i = offset; i < flat.length; i += 2) {
      if (Number.isFinite(flat[i]!)) values.push(flat[i]!);
    }
    if (values.length === 0) return null;
    const sorted = Float64Array.from(values).sort();
    const low = sorted[Math.floor((sorted.length - 1) * 0.1)]!;
    const high = sorted[Math.ceil((sorted.length - 1) * 0.9)]!;
    const reach = Math.max(ASTRAY_WIDTHS * (high - low), ASTRAY_LEAST_M);
    return [low - reach, high + reach];
  };
  const x = range(0);
  const y = range(1);
  return x === null || y === null ? null : { x0: x[0], y0: y[0], x1: x[1], y1: y[1] };
}

export function holds(box: Box, x: number, y: number): boolean {
  return x >= box.x0 && x <= box.x1 && y >= box.y0 && y <= box.y1;
}

export function meets(a: Box, b: Box): boolean {
  return a.x0 <= b.x1 && b.x0 <= a.x1 && a.y0 <= b.y1 && b.y0 <= a.y1;
}
