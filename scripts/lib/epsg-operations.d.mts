// Types of epsg-operations.mjs for its test.

/** X -> turn * X + move between geocentric axes; turn row by row. */
export interface GeocentricMap {
  readonly turn: readonly number[];
  readonly move: readonly number[];
}
export function helmert(values: {
  readonly t: readonly number[];
  readonly r: readonly number[];
  readonly ppm: number;
  readonly sign: number;
  readonly pivot?: readonly number[];
}): GeocentricMap;
export function towgs84Of(map: GeocentricMap): number[];
