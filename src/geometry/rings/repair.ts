// Puts a polygon's rings right: in: rings as columns, crossing or not; out: polygons whose rings do not cross and
// that hold the same ground by the even-odd rule (a place is inside when it lies inside an odd number of turns).
// Terms: grid = whole-number steps of a power of two, so that going there and back loses nothing of a grid point.

import { CrossingFinder } from './crossings.js';
import { type RingSet, ringsOf } from './even-odd.js';
import { nodeSegments } from './noding.js';
import { ringBox } from './ring.js';

/** The grid has at most this many steps across the polygon: products of two stay exact in a double (2 x 26 < 53). */
const GRID_BITS = 26;

/** Polygons as columns: part p has rings ringStart[p] .. ringStart[p+1], its shell first and anticlockwise. */
export interface RepairedRings {
  readonly ringStart: readonly number[];
  readonly vertexStart: readonly number[];
  readonly xy: Float64Array;
}

/**
 * Even-odd repair of rings `ringFrom` .. `ringTo`. Corners that were there keep their exact coordinates where that
 * leaves no crossing; new ones are rounded to 1 / 2^26 of the polygon's extent (1.5 micrometres in 100 m).
 * Returns no parts when nothing is left, and null when no clean result was found (the caller rejects the feature).
 *
 * @example
 * // a bow-tie becomes two triangles
 * evenOddRepair(new Float64Array([0, 0, 2, 2, 2, 0, 0, 2]), [0, 4], 0, 1)?.ringStart; // [0, 1, 2]
 */
export function evenOddRepair(
  xy: Float64Array,
  vertexStart: ArrayLike<number>,
  ringFrom: number,
  ringTo: number,
): RepairedRings | null {
  const grid = gridOf(xy, vertexStart[ringFrom]!, vertexStart[ringTo]!);
  if (grid === null) return { ringStart: [0], vertexStart: [0], xy: new Float64Array(0) };
  const source = new Map<number, number>(); // grid point -> source vertex
  const segments: number[] = [];
  for (let r = ringFrom; r < ringTo; r++) {
    const from = vertexStart[r]!;
    const to = vertexStart[r + 1]!;
    let px = 0;
    let py = 0;
    for (let k = from; k <= to; k++) {
      const v = k === to ? from : k;
      const x = Math.round(xy[v * 2]! / grid.step - grid.x);
      const y = Math.round(xy[v * 2 + 1]! / grid.step - grid.y);
      if (k > from) segments.push(px, py, x, y);
      px = x;
      py = y;
      const key = gridKey(x, y);
      if (!source.has(key)) source.set(key, v);
    }
  }
  const noded = nodeSegments(segments);
  if (noded === null) return null;
  const sets = ringsOf(noded);
  const exact = columns(sets, (x, y, out) => {
    const v = source.get(gridKey(x, y));
    if (v === undefined) out.push((x + grid.x) * grid.step, (y + grid.y) * grid.step);
    else out.push(xy[v * 2]!, xy[v * 2 + 1]!);
  });
  if (clean(exact)) return exact;
  const rounded = columns(sets, (x, y, out) => out.push((x + grid.x) * grid.step, (y + grid.y) * grid.step));
  return clean(rounded) ? rounded : null;
}

function gridKey(x: number, y: number): number {
  return x * 2 ** (GRID_BITS + 1) + y;
}

interface Grid {
  readonly step: number; // a power of two
  readonly x: number; // of the lower left corner, in steps
  readonly y: number;
}

function gridOf(xy: Float64Array, from: number, to: number): Grid | null {
  const [minX, minY, maxX, maxY] = ringBox(xy, from, to);
  const extent = Math.max(maxX - minX, maxY - minY);
  if (!(extent > 0)) return null;
  // no finer than the coordinates themselves: their last bit is 2^-52 of the largest
  const largest = Math.max(Math.abs(minX), Math.abs(minY), Math.abs(maxX), Math.abs(maxY));
  const power = Math.max(Math.ceil(Math.log2(extent)) - GRID_BITS, Math.ceil(Math.log2(largest)) - 52, -1000);
  const step = 2 ** power;
  return { step, x: Math.floor(minX / step), y: Math.floor(minY / step) };
}

function columns(sets: readonly RingSet[], place: (x: number, y: number, out: number[]) => void): RepairedRings {
  const ringStart = [0];
  const vertexStart = [0];
  const out: number[] = [];
  for (const set of sets) {
    for (const ring of set) {
      for (let i = 0; i < ring.length; i += 2) place(ring[i]!, ring[i + 1]!, out);
      vertexStart.push(out.length / 2);
    }
    ringStart.push(vertexStart.length - 1);
  }
  return { ringStart, vertexStart, xy: Float64Array.from(out) };
}

function clean(rings: RepairedRings): boolean {
  const finder = new CrossingFinder();
  for (let p = 0; p + 1 < rings.ringStart.length; p++) {
    const from = rings.ringStart[p]!;
    const to = rings.ringStart[p + 1]!;
    if (finder.find(rings.xy, rings.vertexStart, from, to) !== 'none') return false;
  }
  return true;
}
