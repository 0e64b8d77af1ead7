// Siting: what is asked and what is found. In: nothing; out: types.
// Terms: footprint = the works that move; cell = a place that was tried.

import type { Finding } from './findings.js';
import type { Layer } from './layer.js';
import type { Assessment, LonLatPolygons } from './result.js';

/** Kept free along a lot's edges, metres: one distance, or by side with the bearing that the front faces (true north). */
export type Setback =
  | number
  | { readonly frontM: number; readonly sideM: number; readonly rearM: number; readonly frontBearing: number };

/** Options of `siting`; lengths in metres, angles in degrees. */
export interface SitingOptions {
  /** Works that move together, by id; default: all buildings that count. */
  readonly move?: readonly string[] | undefined;
  /** Kept free along the edges of the lot the footprint stands on; default: nothing. */
  readonly setback?: Setback | undefined;
  /** Buildable ground, in place of lot and setbacks: polygons, in the coordinate system of the lots. */
  readonly buildable?: Layer | undefined;
  /** Farthest shift from where it is drawn; default 15 m. */
  readonly shiftM?: number | undefined;
  /** Farthest turn either way; default 0. */
  readonly turnDeg?: number | undefined;
  /** Whether a mirrored plan is allowed. */
  readonly mirror?: boolean | undefined;
}

/** `in-place`: as drawn it is within all limits; `sited`: it is at another place; `trade`: no such place was found; `no-room`: no place was found where it fits. */
export type SitingStatus = 'in-place' | 'sited' | 'trade' | 'no-room';

/** One place for the footprint. */
export interface PlacedFootprint {
  readonly rank: number; // from 1
  readonly eastM: number; // of the reference, along the frame's axes (true north within a tenth of a degree)
  readonly northM: number;
  readonly turnDeg: number; // clockwise about the reference
  readonly mirrored: boolean; // before the turn
  readonly travelM: number; // root mean square distance its corners go
  /** Rows of trees to be kept that are over a limit there, except those that are over wherever it goes. */
  readonly over: readonly number[];
  /** Ground of their zones taken beyond their limits, square metres. */
  readonly lostM2: number;
  /** The ordinary assessment of the works moved there. */
  readonly after: Assessment;
}

/** A square of the map: the result with the footprint's reference at its middle, not turned. */
export interface SitingCell {
  readonly eastM: number;
  readonly northM: number;
  readonly worstPct: number; // largest share taken of the zone of a tree to be kept
  readonly over: number; // trees over a limit
  readonly fits: boolean;
  readonly shape: LonLatPolygons;
}

/** The result of `siting`. */
export interface Siting {
  readonly status: SitingStatus;
  /** The assessment of the works as drawn. */
  readonly before: Assessment;
  readonly options: SitingOptions;
  /** Rows of works that move. */
  readonly moved: readonly number[];
  /** Rows of trees whose limits were kept: to be kept, assessed, and within the footprint's reach. */
  readonly trees: readonly number[];
  /** Those of them that the works that stay put over a limit, wherever the footprint goes. */
  readonly beyondHelp: readonly number[];
  /** The footprint's reference as drawn: the mean of its corners. */
  readonly reference: readonly [lon: number, lat: number];
  /** Best first: fewest trees over, least ground lost, shortest way. */
  readonly sitings: readonly PlacedFootprint[];
  /** Positions of the reference, not turned, at which it fits and every tree is within its limits. */
  readonly allowed: LonLatPolygons;
  /** The ground it must stand on; empty where nothing bounds it. */
  readonly buildable: LonLatPolygons;
  readonly map: { readonly spacingM: number; readonly cells: readonly SitingCell[] };
  /** Whether it is proven that no shorter move keeps all limits (to three centimetres, at the turns tried). */
  readonly isProven: boolean;
  readonly findings: readonly Finding[];
}
