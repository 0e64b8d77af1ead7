// Types of by-angle.mjs, for the tests.
export interface AnglePolygon {
  readonly rings: readonly (readonly number[])[];
  readonly kind: number;
  readonly cuts: boolean;
}

export type AngleZone =
  | { readonly x: number; readonly y: number; readonly r: number }
  | { readonly x: number; readonly y: number; readonly radii: readonly number[]; readonly turn: number };

export function byAngle(
  polygons: readonly AnglePolygon[],
  zone: AngleZone,
  roles?: { readonly works: number; readonly spare: number; readonly hard: number; readonly within: number },
): {
  readonly covered: number;
  readonly severed: number;
  readonly severedHigh: number;
  readonly shares: readonly number[];
  readonly byKinds: Float64Array;
  readonly distance: number;
  readonly zoneArea: number;
};
