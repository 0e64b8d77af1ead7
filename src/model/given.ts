// Figures that may be missing. In: an entry of a column, NaN or undefined where there is none; out: the value used in its
// place.

/** The figure, or null where there is none. */
export function given(value: number | undefined): number | null {
  return value === undefined || Number.isNaN(value) ? null : value;
}

/** Radius of a trunk from its column: a tree without a diameter has a point for a trunk. */
export function trunkOrPoint(radiusM: Float64Array, row: number): number {
  return given(radiusM[row]) ?? 0;
}
