// Ground of works, before and after. In: polygons in lon/lat; out: areas and differences. Terms: plane = the frame of the
// works' first corner, metres from nearly that corner; grid = whole millimetres, on which polygons are taken from each other.
// Cost: that of a union for each pair of shapes.

import { lessShape, type Shape, shapeArea, unionOfMany } from '../geometry/index.js';
import type { Frame, GroundChange, LonLatPolygons } from '../model/index.js';

/** A plane about a place: metres from the nearest whole ones of the frame. */
export class Plane {
  readonly #frame: Frame;
  readonly #x: number;
  readonly #y: number;

  constructor(frame: Frame, lon: number, lat: number) {
    this.#frame = frame;
    const at = Float64Array.of(lon, lat);
    frame.toFrame(at, at);
    // Whole metres: the grid is the frame's own, whichever file comes first.
    [this.#x, this.#y] = [Math.round(at[0]!), Math.round(at[1]!)];
  }

  /** Flat pairs of lon, lat to metres. */
  metres(lonLat: readonly number[]): number[] {
    const xy = Float64Array.from(lonLat);
    this.#frame.toFrame(xy, xy);
    return Array.from(xy, (value, i) => value - (i % 2 === 0 ? this.#x : this.#y));
  }

  /** Rings without the closing corner. */
  shape(polygons: LonLatPolygons): Shape {
    return polygons.map((rings) => rings.map((ring) => this.metres(ring.slice(0, -1).flat())));
  }

  /** Back to lon/lat, closed. */
  lonLat(shape: Shape): LonLatPolygons {
    return shape.map((rings) =>
      rings.map((ring) => {
        const xy = Float64Array.from(ring, (value, i) => value + (i % 2 === 0 ? this.#x : this.#y));
        this.#frame.toLonLat(xy, xy);
        const out: (readonly [number, number])[] = [];
        for (let i = 0; i < xy.length; i += 2) out.push([xy[i]!, xy[i + 1]!]);
        return [...out, out[0]!];
      }),
    );
  }
}

export const NO_GROUND: GroundChange = { beforeM2: 0, afterM2: 0, takenM2: 0, freedM2: 0, taken: [], freed: [] };

/** Of one polygon as it is, off the grid; of several that of their union. */
function areaOf(pieces: readonly LonLatPolygons[], union: Shape, plane: Plane): number {
  const polygons = pieces.flat();
  return polygons.length === 1 ? shapeArea(plane.shape(polygons)) : shapeArea(union);
}

/** What two lists of pieces cover: each a shape of its own; they may lie on each other. */
export function groundChange(
  before: readonly LonLatPolygons[],
  after: readonly LonLatPolygons[],
  frameOf: (lon: number, lat: number) => Frame,
): GroundChange {
  const first = [...before, ...after].flat()[0]?.[0]?.[0];
  if (first === undefined) return NO_GROUND;
  const plane = new Plane(frameOf(first[0], first[1]), first[0], first[1]);
  const union = (pieces: readonly LonLatPolygons[]): Shape => unionOfMany(pieces.flatMap((one) => plane.shape(one)));
  const [earlier, later] = [union(before), union(after)];
  const [taken, freed] = [lessShape(later, earlier), lessShape(earlier, later)];
  return {
    beforeM2: areaOf(before, earlier, plane),
    afterM2: areaOf(after, later, plane),
    takenM2: shapeArea(taken),
    freedM2: shapeArea(freed),
    taken: plane.lonLat(taken),
    freed: plane.lonLat(freed),
  };
}
