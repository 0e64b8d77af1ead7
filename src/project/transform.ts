// In: a Crs; out: its CrsTransform: arrays of x, y pairs to lon/lat (WGS 84 degrees) and back, in place.
// Terms: shift = seven- or three-parameter datum shift, done here so that it depends on our table alone;
// pm = the CRS's prime meridian, degrees east of Greenwich; convergence as in types.ts.

import proj4 from 'proj4';
import { InputError } from '../findings.js';
import type { Crs, CrsTransform } from '../types.js';
import { type DatumShift, datumShift } from './datum.js';

const RAD = Math.PI / 180;
const CONVERGENCE_STEP = 1e-4; // degrees of latitude (11 m) either way: curvature and rounding both below 1e-9 degree

/** What is used of a proj4 projection object: radians and metres, one point at a time. */
interface Projection {
  readonly a: number;
  readonly es: number;
  readonly from_greenwich?: number;
  readonly datum_params?: readonly (number | string)[] | null;
  forward(point: { x: number; y: number }): { x: number; y: number } | null | undefined;
  inverse(point: { x: number; y: number }): { x: number; y: number } | null | undefined;
}

/** proj4's object for a PROJ string of ours; its own datum logic is not used. */
export function projection(proj: string): Projection {
  return new proj4.Proj(proj) as unknown as Projection;
}

const cache = new WeakMap<Crs, CrsTransform>();

/**
 * Both ways between a CRS and lon/lat. A position that has no image (beyond the projection's reach, or NaN) becomes NaN.
 *
 * @throws InputError `crs-local` when lon/lat are asked of a local system, which has none.
 * @example
 * const xy = Float64Array.of(7637093.7834, 639620.1129); // EPSG:2913, feet
 * transformFor(findCrs('EPSG:2913')).toLonLat(xy); // xy is -122.7, 45.4
 */
export function transformFor(crs: Crs): CrsTransform {
  let transform = cache.get(crs);
  if (transform === undefined) {
    transform = MAKE[crs.kind](crs);
    cache.set(crs, transform);
  }
  return transform;
}

const MAKE: Readonly<Record<Crs['kind'], (crs: Crs) => CrsTransform>> = {
  local: localTransform,
  geographic: geographicTransform,
  projected: projectedTransform,
};

function localTransform(crs: Crs): CrsTransform {
  const refuse = (): never => {
    throw new InputError('crs-local', 'a local ground system has no longitude and latitude', {
      usage: true,
      cure: 'name the real coordinate system with --crs EPSG:..., or keep every layer local and the output planar',
    });
  };
  return { crs, toLonLat: refuse, fromLonLat: refuse, convergence: refuse };
}

function geographicTransform(crs: Crs): CrsTransform {
  const p = projection(crs.proj);
  const pm = (p.from_greenwich ?? 0) / RAD;
  const shift = datumShift(p);
  return {
    crs,
    toLonLat(xy) {
      if (pm !== 0) for (let i = 0; i < xy.length; i += 2) xy[i] = (xy[i] as number) + pm;
      if (shift !== null) shift.toWgs84(xy);
    },
    fromLonLat(xy) {
      if (shift !== null) shift.fromWgs84(xy);
      if (pm !== 0) for (let i = 0; i < xy.length; i += 2) xy[i] = (xy[i] as number) - pm;
    },
    convergence: () => 0,
  };
}

function projectedTransform(crs: Crs): CrsTransform {
  const p = projection(crs.proj);
  const shift: DatumShift | null = datumShift(p);
  const pm = p.from_greenwich ?? 0; // radians
  const perUnit = crs.metresPerUnit;
  const point = { x: 0, y: 0 }; // reused: no object per vertex

  function toLonLat(xy: Float64Array): void {
    for (let i = 0; i + 1 < xy.length; i += 2) {
      point.x = (xy[i] as number) * perUnit;
      point.y = (xy[i + 1] as number) * perUnit;
      const q = attempt(p, 'inverse', point);
      xy[i] = (q.x + pm) / RAD;
      xy[i + 1] = q.y / RAD;
    }
    if (shift !== null) shift.toWgs84(xy);
    for (let i = 0; i < xy.length; i += 2) xy[i] = wrapped(xy[i] as number);
  }

  function fromLonLat(xy: Float64Array): void {
    if (shift !== null) shift.fromWgs84(xy);
    for (let i = 0; i + 1 < xy.length; i += 2) {
      point.x = (xy[i] as number) * RAD - pm;
      point.y = (xy[i + 1] as number) * RAD;
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
    const east = (step[2] as number) - (step[0] as number);
    const north = (step[3] as number) - (step[1] as number);
    return -Math.atan2(east, north) / RAD; // true north lies atan2(east, north) clockwise of grid north
  }

  return { crs, toLonLat, fromLonLat, convergence };
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
