// Coordinate systems and the ways between native coordinates, lon/lat and the local frame. In: nothing; out: types.
// Terms: frame = the true-to-size local plane in metres.

import type { LengthUnit } from './units.js';

/** `other`: a unit of the past (Clarke's foot, link, ...) that only its metres identify. */
export type CrsUnit = 'degree' | LengthUnit | 'other';

/** A shift grid: moves positions (lon, lat in degrees) from its source datum to its target, between nodes bilinearly. */
export interface ShiftGrid {
  readonly name: string; // of its file
  readonly source: string; // datum, as the grid or the user names it
  readonly target: string;
  readonly sha256: string | null;
  /** Moves the pair at `at` in place; outside the grid it changes nothing and returns false. */
  apply(lonLat: Float64Array, at: number): boolean;
  /** The way back. */
  undo(lonLat: Float64Array, at: number): boolean;
  /** The worst accuracy that its nodes state in a box (west, south, east, north), metres; null where none states any. */
  accuracyOver(box: readonly [number, number, number, number]): number | null;
}

/** Coordinates scaled from grid to ground about a point (in native units): ground = origin + factor * (grid - origin). */
export interface GroundScale {
  readonly factor: number;
  readonly east: number;
  readonly north: number;
}

/** One vetted coordinate reference system. */
export interface Crs {
  readonly code: string; // 'EPSG:2913', 'OGC:CRS84', 'local:ft', or 'custom' for a .prj that is not a known code
  readonly name: string;
  readonly kind: 'geographic' | 'projected' | 'local';
  readonly unit: CrsUnit;
  readonly metresPerUnit: number; // NaN for degrees
  /** West, south, east, north in degrees; west > east when it spans the antimeridian; null when unknown. */
  readonly areaOfUse: readonly [number, number, number, number] | null;
  /** The one definition used for every computation (PROJ string); '' for a local system. */
  readonly proj: string;
  /** How it is tied to WGS 84: the operation's name and its accuracy in metres (null: unknown). */
  readonly datum: { readonly name: string; readonly operation: string; readonly accuracyM: number | null };
  /** Shift grids in place of the datum's own shift; `onwards` leads from the grid's target to WGS 84 ('': the same). */
  readonly grids?: readonly { readonly grid: ShiftGrid; readonly onwards: string }[];
  /** The layer's coordinates are on the ground: brought to grid before use, and back on the way out. */
  readonly ground?: GroundScale;
}

/** Both ways between a CRS and lon/lat (WGS 84 degrees); arrays are x, y pairs and are converted in place. */
export interface CrsTransform {
  readonly crs: Crs;
  /** Whether native coordinates are longitude and latitude on WGS 84 already, to the last bit. */
  readonly isLonLat: boolean;
  toLonLat(xy: Float64Array): void;
  fromLonLat(xy: Float64Array): void;
  /** Grid convergence at a place, degrees clockwise from true north to grid north; 0 for geographic systems. */
  convergence(lon: number, lat: number): number;
}

/** A cell of the fixed lattice: transverse Mercator of scale 1 through the cell's middle, metres. */
export interface Frame {
  readonly key: number; // the cell; equal keys are equal frames
  readonly lon0: number;
  readonly lat0: number;
  toFrame(lonLat: Float64Array, out: Float64Array): void; // pairs; out may be the same array
  toLonLat(xy: Float64Array, out: Float64Array): void;
  /** Degrees clockwise from true north to the frame's y axis at a frame position. */
  convergence(x: number, y: number): number;
  /** The same at a position of the frame's cell given as lon/lat; good to 1e-8 degrees within 1 degree of the cell. */
  convergenceAt(lon: number, lat: number): number;
}
