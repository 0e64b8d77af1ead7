// Metres as degrees, generously: for boxes of lon/lat that have to hold all that lies within a distance. In: metres and
// a latitude; out: degrees of latitude, of longitude. Nothing is measured with them.

/** Degrees of latitude in a metre, a little more than anywhere on the ellipsoid. */
export const DEGREES_PER_METRE: number = 1 / 110_000;

/** Degrees of longitude that hold `dLat` degrees of latitude's length at a latitude or nearer to the equator; at most 360. */
export function eastward(dLat: number, lat: number): number {
  const cosine = Math.cos((Math.min(Math.abs(lat) + dLat, 90) * Math.PI) / 180);
  return cosine > 1e-6 ? Math.min(dLat / cosine, 360) : 360;
}
