// In: a Crs; out: its CrsTransform: arrays of x, y pairs to lon/lat (WGS 84 degrees) and back, in place.
// Terms: shift = seven- or three-parameter datum shift, done here so that it depends on our table alone;
// pm = the CRS's prime meridian, degrees east of Greenwich; convergence as in model/.

import type { Crs, CrsTransform } from '../model/index.js';
import type { DatumShift } from './datum.js';
import { type Projection, projection } from './projection.js';
import { tableWork } from './table-work.js';

const RAD = Math.PI / 180;
const CONVERGENCE_STEP = 1e-4; // degrees of latitude (11 m) either way: curvature and rounding both below 1e-9 degree

// Projections whose inverse is a short series, out by up to 2 mm: one more step brings them below 0.1 mm.
const COARSE_INVERSE = /\+proj=(?:laea|eqearth|cea|nzmg|somerc|cass)\b/;

/** Metres per unit in a local system's columns: a degree on the equator, so that both kinds of columns look alike. */
export const PLANE_STEP = 111_319.5;

const cache = new WeakMap<Crs, CrsTransform>();

/**
 * Both ways between a CRS and lon/lat. A position that has no image (beyond the projection's reach, or NaN) becomes NaN.
 *
 * A local system has no lon/lat: its columns hold scaled metres instead (see `localTransform`).
 *
 * @example
 * const xy = Float64Array.of(7637093.7834, 639620.1129); // EPSG:2913, feet
 * transformFor(findCrs('EPSG:2913')).toLonLat(xy); // xy is -122.7, 45.4
 */
export function transformFor(crs: Crs): CrsTransform {
  let transform = cache.get(crs);
  if (transform === undefined) {
    transform = grounded(MAKE[crs.kind](crs));
    cache.set(crs, transform);
  }
  return transform;
}

const MAKE: Readonly<Record<Crs['kind'], (crs: Crs) => CrsTransform>> = {
  local: localTransform,
  geographic: geographicTransform,
  projected: projectedTransform,
};

/**
 * A local system has no longitude and latitude: its coordinates are carried in their place as metres over PLANE_STEP,
 * so that they flow through the same columns. `planeFrame` (frame.ts) turns them back into metres; nothing else may
 * treat them as degrees.
 */
function localTransform(crs: Crs): CrsTransform {
  const per = crs.metresPerUnit / PLANE_STEP;
  return {
    crs,
    isLonLat: false,
    toLonLat(xy) {
      for (let i = 0; i < xy.length; i++) xy[i] = finite(xy[i]! * per);
    },
    fromLonLat(xy) {
      for (let i = 0; i < xy.length; i++) xy[i] = finite(xy[i]! / per);
    },
    convergence: () => 0,
  };
}

const finite = (value: number): number => (Number.isFinite(value) ? value : Number.NaN);

/**
 * A system's way to WGS 84; null where it is on WGS 84 already. Only systems of a table need a way, and it is never skipped.
 */
function shiftOf(crs: Crs, p: Projection): DatumShift | null {
  if (crs.grids === undefined && (p.datum_params ?? null) === null) return null;
  return tableWork(`the way from ${crs.datum.name} to WGS 84`).shiftOf(crs, p);
}

function geographicTransform(crs: Crs): CrsTransform {
  const p = projection(crs.proj);
  const pm = (p.from_greenwich ?? 0) / RAD;
  const shift = shiftOf(crs, p);
  return {
    crs,
    isLonLat: pm === 0 && shift === null,
    toLonLat(xy) {
      if (pm !== 0) for (let i = 0; i < xy.length; i += 2) xy[i] = xy[i]! + pm;
      if (shift !== null) shift.toWgs84(xy);
    },
    fromLonLat(xy) {
      if (shift !== null) shift.fromWgs84(xy);
      if (pm !== 0) for (let i = 0; i < xy.length; i += 2) xy[i] = xy[i]! - pm;
    },
    convergence: () => 0,
  };
}

/** Coordinates scaled to ground are brought to grid first: divided by the factor about the origin; and back. */
function grounded(grid: CrsTransform): CrsTransform {
  const { ground } = grid.crs;
  if (ground === undefined) return grid;
  const { factor, east, north } = ground;
  return {
    ...grid,
    isLonLat: false,
    toLonLat(xy) {
      for (let i = 0; i + 1 < xy.length; i += 2) {
        xy[i] = east + (xy[i]! - east) / factor;
        xy[i + 1] = north + (xy[i + 1]! - north) / factor;
      }
      grid.toLonLat(xy);
    },
    fromLonLat(xy) {
      grid.fromLonLat(xy);
      for (let i = 0; i + 1 < xy.length; i += 2) {
        xy[i] = east + (xy[i]! - east) * factor;
        xy[i + 1] = north + (xy[i + 1]! - north) * factor;
      }
    },
  };
}

function projectedTransform(crs: Crs): CrsTransform {
  const p = projection(crs.proj);
  const shift: DatumShift | null = shiftOf(crs, p);
  const pm = p.from_greenwich ?? 0; // radians
  const perUnit = crs.metresPerUnit;
  const point = { x: 0, y: 0 }; // reused: no object per vertex
  const coarse = COARSE_INVERSE.test(crs.proj);

  /** The inverse is applied again at the place that it missed: a truncated series is off by the same amount there. */
  function again(x: number, y: number, q: Readonly<{ x: number; y: number }>): Readonly<{ x: number; y: number }> {
    point.x = q.x;
    point.y = q.y;
    const r = attempt(p, 'forward', point);
    point.x = x + (x - r.x);
    point.y = y + (y - r.y);
    return attempt(p, 'inverse', point);
  }

  function toLonLat(xy: Float64Array): void {
    for (let i = 0; i + 1 < xy.length; i += 2) {
      const x = xy[i]! * perUnit;
      const y = xy[i + 1]! * perUnit;
      point.x = x;
      point.y = y;
      const first = attempt(p, 'inverse', point);
      const q = coarse ? again(x, y, first) : first;
      xy[i] = (q.x + pm) / RAD;
      xy[i + 1] = q.y / RAD;
    }
    if (shift !== null) shift.toWgs84(xy);
    for (let i = 0; i < xy.length; i += 2) xy[i] = wrapped(xy[i]!);
  }

  function fromLonLat(xy: Float64Array): void {
    if (shift !== null) shift.fromWgs84(xy);
    for (let i = 0; i + 1 < xy.length; i += 2) {
      point.x = xy[i]! * RAD - pm;
      point.y = xy[i + 1]! * RAD;
      const q = attempt(p, 'forward', point);
      xy[i] = q.x / perUnit;
      xy[i + 1] = q.y / perUnit;
    }
  }

  const step = new Float64Array(4);
  function convergence(lon: number, lat: number): number {
    step[0] = lon;
    step[1] = lat - CONVERGENCE_STEP;
    step[2] = lon;
    step[3] = lat + CONVERGENCE_STEP;
    fromLonLat(step);
    const east = step[2] - step[0];
    const north = step[3] - step[1];
    return -Math.atan2(east, north) / RAD; // true north lies atan2(east, north) clockwise of grid north
  }

  return { crs, isLonLat: false, toLonLat, fromLonLat, convergence };
}

const NOWHERE: Readonly<{ x: number; y: number }> = { x: Number.NaN, y: Number.NaN };

/** proj4 throws, returns null or infinity where a projection has no image; here all of that is NaN. */
function attempt(
  p: Projection,
  way: 'forward' | 'inverse',
  point: { x: number; y: number },
): Readonly<{ x: number; y: number }> {
  if (!Number.isFinite(point.x) || !Number.isFinite(point.y)) return NOWHERE;
  try {
    const q = p[way](point);
    return q && Number.isFinite(q.x) && Number.isFinite(q.y) ? q : NOWHERE;
  } catch {
    return NOWHERE;
  }
}

function wrapped(lon: number): number {
  return lon > 180 ? lon - 360 : lon < -180 ? lon + 360 : lon;
}
