// The record between the readers of WKT 1, WKT 2 and PROJJSON and the table: only what a text says about its system.
// Terms: simplified = lower case, letters and digits only; epsg = the EPSG code the text gives itself, NaN for none.

import type { Crs, Layer, LayerRole } from '../model/index.js';
import type { WktParameters } from './wkt/wkt-parameters.js';

/** Datum, ellipsoid and prime meridian as a text gives them. */
export interface Earth {
  readonly names: readonly string[]; // simplified names of the datum and of its geographic system
  readonly a: number; // metres
  readonly rf: number; // 0 for a sphere
  readonly pm: number; // degrees east of Greenwich
  readonly shift: readonly number[] | null; // three or seven values of TOWGS84, position vector convention
  readonly label: string;
}

export type Stated = StatedGeographic | StatedProjected;

export interface StatedGeographic {
  readonly kind: 'geographic';
  readonly name: string;
  readonly epsg: number;
  readonly earth: Earth;
  readonly angle: { readonly name: string; readonly radians: number }; // NaN: not said
}

export interface StatedProjected {
  readonly kind: 'projected';
  readonly name: string;
  readonly epsg: number;
  readonly earth: Earth;
  readonly metresPerUnit: number; // NaN: not said
  readonly method: string; // as written
  readonly parameters: WktParameters; // lengths in metres, angles in degrees
  readonly axes: readonly string[]; // directions, lower case; empty when not said
  readonly webMercator: boolean; // a special mark says so (WKT 1 extension)
}

/** Reading stopped: a message for the user; the caller adds file and cure. */
export type Fail = (message: string) => Error;

/** A system, and a remark on how the text states it ('' when all is well). */
export interface ReadCrs {
  readonly crs: Crs;
  readonly remark: string;
  /** Which other systems it may be: they have the same numbers and the text does not decide ('' for none). */
  readonly equals?: string;
}

export interface RoleLayer {
  readonly role: LayerRole;
  readonly layer: Layer;
}

export interface AssignedLayer extends RoleLayer {
  readonly crs: Crs;
  /** Why this one, in words. */
  readonly from: string;
}
