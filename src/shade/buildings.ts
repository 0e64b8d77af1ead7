// Works and what stands today -> outlines round a place. In: an assessment's job; out: buildings in the plane of each, and
// what else may hide the sun. Terms: place = a building's first corner, origin of a plane whose y axis is true north.

import { pairAt } from '../geometry/index.js';
import type { Job, WorksTable } from '../model/index.js';
import { WORKS_KINDS } from '../model/index.js';
import type { Outline } from './walls.js';

const BUILDING = WORKS_KINDS.indexOf('building');

/** A building whose facades are computed. */
export interface Building {
  readonly row: number;
  readonly key: string;
  readonly heightM: number; // NaN: not given
  readonly rings: readonly Float64Array[]; // lon/lat pairs
  readonly lonLat: readonly [number, number]; // its first corner
  readonly sizeM: number; // at least the way from there to its farthest
}

/** Buildings among the works of a design option, in input order. */
export function buildingsOf({ works, worksLonLat }: Job, option: string | undefined): Building[] {
  const counts = (row: number): boolean =>
    works.kind[row] === BUILDING && (works.option[row] === undefined || works.option[row] === option);
  return from(works, worksLonLat, counts);
}

/** What stands today and is high enough to hide the sun. */
export function standingOf({ existing }: Job): Building[] {
  if (existing === null) return [];
  const { works, lonLat } = existing;
  return from(works, lonLat, (row) => works.heightM[row]! > 0);
}

function from(works: WorksTable, lonLat: Float64Array, counts: (row: number) => boolean): Building[] {
  const { partStart, ringStart, vertexStart } = works.geometry;
  const out: Building[] = [];
  for (let row = 0; row < works.count; row++) {
    // A line with a width is a wall or a hedge in plan, not a building with facades.
    if (!counts(row) || works.rejected.has(row) || works.widthM[row]! > 0) continue;
    const rings: Float64Array[] = [];
    for (let ring = ringStart[partStart[row]!]!; ring < ringStart[partStart[row + 1]!]!; ring++) {
      const one = lonLat.slice(vertexStart[ring]! * 2, vertexStart[ring + 1]! * 2);
      if (one.length >= 6) rings.push(one);
    }
    const first = rings[0];
    if (first === undefined) continue;
    const place = [first[0]!, first[1]!] as const;
    out.push({
      row,
      key: works.key.at(row)!,
      heightM: works.heightM[row]!,
      rings,
      lonLat: place,
      sizeM: sizeOf(rings, place),
    });
  }
  return out;
}

/** Metres, a little more than it is: a degree of longitude is taken at its longest. */
function sizeOf(rings: readonly Float64Array[], [lon, lat]: readonly [number, number]): number {
  let size = 0;
  for (const ring of rings) {
    for (let i = 0; i < ring.length; i += 2) {
      size = Math.max(size, Math.hypot(ring[i]! - lon, ring[i + 1]! - lat));
    }
  }
  return size * 111_700;
}

/** A plane about a place: metres east and north of it, true to size. */
export interface Plane {
  readonly convergence: number; // degrees from true north to the frame's axis
  toPlane(lonLat: Float64Array): number[];
  toLonLat(x: number, y: number): readonly [number, number];
}

export function planeAt(job: Job, [lon, lat]: readonly [number, number]): Plane {
  const frame = job.frameAt(lon, lat);
  const origin = Float64Array.of(lon, lat);
  frame.toFrame(origin, origin);
  const [x0, y0] = pairAt(origin);
  const convergence = frame.convergence(x0, y0);
  const angle = (convergence * Math.PI) / 180;
  const [cos, sin] = [Math.cos(angle), Math.sin(angle)];
  return {
    convergence,
    toPlane(lonLat) {
      const xy = new Float64Array(lonLat.length);
      frame.toFrame(lonLat, xy);
      const out: number[] = [];
      for (let i = 0; i < xy.length; i += 2) {
        const [dx, dy] = [xy[i]! - x0, xy[i + 1]! - y0];
        out.push(dx * cos + dy * sin, dy * cos - dx * sin);
      }
      return out;
    },
    toLonLat(x, y) {
      const at = Float64Array.of(x0 + x * cos - y * sin, y0 + x * sin + y * cos);
      frame.toLonLat(at, at);
      return [at[0]!, at[1]!];
    },
  };
}

/** Rings of a building in a plane, as walls that hide. */
export function outlinesOf(building: Building, heightM: number, plane: Plane): Outline[] {
  return building.rings.map((ring) => ({ xy: plane.toPlane(ring), heightM }));
}
