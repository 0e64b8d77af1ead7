// The part of shpjs 6.2 that is used; the package ships no types.
declare module 'shpjs' {
  /** Shapes of a .shp in native coordinates, null for null shapes; synchronous. */
  export function parseShp(shp: DataView): (import('geojson').Geometry | null)[];
}
