// Lon/lat -> typed geometry in the output's own coordinates. In: drawn polygons, or a row of a GeometryTable;
// out: OutGeometry: rounded, closed, shells anticlockwise, holes clockwise, simple rings, cut at the antimeridian.
// Terms: output system = what the coordinates of the output are in; null stands for lon/lat on WGS 84.

import { twiceArea } from '../geometry/index.js';
import {
  type Crs,
  GEOMETRY_KINDS,
  type GeometryKind,
  type GeometryTable,
  type LonLatPolygons,
  type LonLatRing,
} from '../model/index.js';
import { cutAtAntimeridian, cutLine, spansAntimeridian } from './antimeridian.js';
import { degree, figure } from './numbers.js';
import { openPinches } from './pinch.js';
import { rowRings } from './row-rings.js';

export type GeometryType = 'Point' | 'MultiPoint' | 'LineString' | 'MultiLineString' | 'Polygon' | 'MultiPolygon';

/**
 * Geometry of one feature: parts of rings of flat x, y pairs. A point is a part with one ring of one pair, a line a part
 * with one ring; a polygon's rings are closed, its shell first. Multi types have one part per member.
 */
export interface OutGeometry {
  readonly type: GeometryType;
  readonly parts: readonly (readonly Float64Array[])[];
}

/** A coordinate system for the output and the way there; the caller makes it, this stage knows no projection. */
export interface OutputSystem {
  readonly crs: Crs;
  /** Lon/lat pairs (WGS 84, degrees) to the system's own, in place; NaN where it has no image. */
  readonly toOutput: (lonLat: Float64Array) => void;
}

type Flat = number[];

/** Makes geometries in one output system. A geometry with a position that has no image there is null, and counted. */
export class Placer {
  /** Geometries that had no image in the output system. */
  unplaced = 0;
  readonly #system: OutputSystem | null;
  readonly #degrees: boolean;
  readonly #round: (value: number) => number;

  constructor(system: OutputSystem | null) {
    this.#system = system;
    this.#degrees = system === null || system.crs.kind === 'geographic';
    this.#round = this.#degrees ? degree : (value) => figure(value) ?? Number.NaN;
  }

  point(lon: number | null, lat: number | null): OutGeometry | null {
    if (lon === null || lat === null || !Number.isFinite(lon) || !Number.isFinite(lat)) return null;
    const at = this.#placed([[[lon, lat]]])?.[0]?.[0];
    return at === undefined ? null : { type: 'Point', parts: [[this.#open(at)]] };
  }

  /** `simple`: the rings are known not to touch themselves (circles). */
  polygons(polygons: LonLatPolygons, simple: boolean = false): OutGeometry | null {
    const placed = this.#placed(polygons.map((rings) => rings.map((ring) => ring.flat())));
    return placed === null ? null : this.#areas(placed, false, simple);
  }

  /** Open or closed lines. */
  lines(lines: readonly LonLatRing[]): OutGeometry | null {
    const placed = this.#placed(lines.map((line) => [line.flat()]));
    return placed === null ? null : this.#lines(placed, false);
  }

  /** Geometry of one row; `lonLat` holds pairs for the table's vertices from `firstVertex` on. */
  row(table: GeometryTable, row: number, lonLat: Float64Array, firstVertex: number = 0): OutGeometry | null {
    const kind = GEOMETRY_KINDS[table.kind[row]!] ?? 'none';
    const parts = rowRings(table, row, lonLat, firstVertex);
    const placed = parts === null ? null : this.#placed(parts);
    return placed === null ? null : this.#ofKind[kind](placed);
  }

  readonly #ofKind: Readonly<Record<GeometryKind, (parts: Flat[][]) => OutGeometry | null>> = {
    none: () => null,
    broken: () => null,
    point: (parts) => this.#points(parts, false),
    multipoint: (parts) => this.#points(parts, true),
    line: (parts) => this.#lines(parts, false),
    multiline: (parts) => this.#lines(parts, true),
    polygon: (parts) => this.#areas(parts, false, false),
    multipolygon: (parts) => this.#areas(parts, true, false),
  };

  #placed(parts: Flat[][]): Flat[][] | null {
    const system = this.#system;
    if (system === null) return parts;
    const out: Flat[][] = [];
    for (const rings of parts) {
      const placed: Flat[] = [];
      for (const ring of rings) {
        const xy = Float64Array.from(ring);
        system.toOutput(xy);
        if (!xy.every(Number.isFinite)) {
          this.unplaced++;
          return null;
        }
        placed.push(Array.from(xy));
      }
      out.push(placed);
    }
    return out;
  }

  #points(parts: Flat[][], multi: boolean): OutGeometry | null {
    const points: Float64Array[][] = [];
    for (const flat of parts.flat()) {
      for (let i = 0; i < flat.length; i += 2) points.push([this.#open([flat[i]!, flat[i + 1]!])]);
    }
    if (points.length === 0) return null;
    return { type: multi || points.length > 1 ? 'MultiPoint' : 'Point', parts: points };
  }

  #lines(parts: Flat[][], multi: boolean): OutGeometry | null {
    const lines = parts
      .flat()
      .flatMap((flat) => (this.#degrees ? cutLine(flat) : [flat]))
      .filter((flat) => flat.length >= 4);
    if (lines.length === 0) return null;
    const type = multi || lines.length > 1 ? 'MultiLineString' : 'LineString';
    return { type, parts: lines.map((flat) => [this.#open(flat)]) };
  }

  #areas(polygons: Flat[][], multi: boolean, simple: boolean): OutGeometry | null {
    const cut = this.#degrees && polygons.some(spansAntimeridian);
    const parts: Float64Array[][] = [];
    let split = cut;
    for (const rings of cut ? polygons.flatMap(cutAtAntimeridian) : polygons) {
      const flats = rings.map((ring) => this.#rounded(ring));
      const opened = simple ? [flats] : openPinches(flats);
      split ||= opened.length !== 1;
      for (const [shell = [], ...holes] of opened) {
        const outer = closed(shell, true);
        if (outer === null) continue;
        parts.push([outer, ...holes.map((hole) => closed(hole, false)).filter((hole) => hole !== null)]);
      }
    }
    if (parts.length === 0) return null;
    return { type: parts.length === 1 && (!multi || split) ? 'Polygon' : 'MultiPolygon', parts };
  }

  /** Rounded, without repeated neighbours and without the closing vertex. */
  #rounded(ring: readonly number[]): Flat {
    const flat: Flat = [];
    for (let i = 0; i < ring.length; i += 2) {
      const x = this.#round(ring[i]!);
      const y = this.#round(ring[i + 1]!);
      if (flat.length > 0 && x === flat[flat.length - 2] && y === flat[flat.length - 1]) continue;
      flat.push(x, y);
    }
    while (flat.length > 2 && flat[0] === flat[flat.length - 2] && flat[1] === flat[flat.length - 1]) flat.length -= 2;
    return flat;
  }

  #open(flat: readonly number[]): Float64Array {
    return Float64Array.from(flat, this.#round);
  }
}

/** A rounded ring turned the right way and closed; a turned ring keeps its first vertex; null without area. */
function closed(flat: readonly number[], anticlockwise: boolean): Float64Array | null {
  const area = flat.length < 6 ? 0 : twiceArea(flat);
  if (area === 0) return null;
  const n = flat.length / 2;
  const keep = area > 0 === anticlockwise;
  const out = new Float64Array(flat.length + 2);
  for (let k = 0; k <= n; k++) {
    const i = keep ? k % n : (n - k) % n;
    out[k * 2] = flat[i * 2]!;
    out[k * 2 + 1] = flat[i * 2 + 1]!;
  }
  return out;
}

/** The geometry as its multi type: tables of one geometry type take no mixture of both. */
export function promoted(geometry: OutGeometry): OutGeometry {
  const { type, parts } = geometry;
  return type.startsWith('Multi') ? geometry : { type: `Multi${type}` as GeometryType, parts };
}

/** West, south, east, north of a geometry. */
export function boxOf(geometry: OutGeometry): [number, number, number, number] {
  let [west, south, east, north] = [Infinity, Infinity, -Infinity, -Infinity];
  for (const rings of geometry.parts) {
    for (const ring of rings) {
      for (let i = 0; i < ring.length; i += 2) {
        const x = ring[i]!;
        const y = ring[i + 1]!;
        if (x < west) west = x;
        if (x > east) east = x;
        if (y < south) south = y;
        if (y > north) north = y;
      }
    }
  }
  return [west, south, east, north];
}
