// In: an ellipsoid and its shift parameters; out: positions moved between that datum and WGS 84, in place.
// Terms: shift = three translations (m), and optionally three rotations (arc seconds, position vector convention:
// EPSG method 9606) and a scale difference (ppm); heights are taken as 0 on the ellipsoid.

import type { ShiftGrid } from '../model/index.js';

const RAD = Math.PI / 180;
const WGS84_A = 6378137;
const WGS84_ES = 0.0066943799901413165; // f (2 - f), f = 1 / 298.257223563
const LAT_TOLERANCE = 1e-14; // radians: 0.1 micrometre

export interface DatumShift {
  /** lon, lat pairs in degrees on the datum become WGS 84. */
  toWgs84(lonLat: Float64Array): void;
  fromWgs84(lonLat: Float64Array): void;
}

/**
 * The shift of a projection object that carries +towgs84; null where none is stated (the datum is taken as WGS 84:
 * longitude and latitude stay as they are, also where the ellipsoids differ).
 */
export function datumShift(p: {
  readonly a: number;
  readonly es: number;
  readonly datum_params?: readonly (number | string)[] | null;
}): DatumShift | null {
  const params = p.datum_params;
  if (params === undefined || params === null || params.length < 3) return null;
  const [dx = 0, dy = 0, dz = 0, rx = 0, ry = 0, rz = 0, ppm = 0] = params.map(Number);
  const sec = RAD / 3600;
  const turn = rotation(rx * sec, ry * sec, rz * sec);
  const scale = 1 + ppm * 1e-6;
  const v = new Float64Array(3);
  const guess = new Float64Array(2);
  const there = new Float64Array(2);

  const shift: DatumShift = {
    toWgs84(lonLat) {
      for (let i = 0; i + 1 < lonLat.length; i += 2) {
        toCartesian(lonLat, i, p.a, p.es, v);
        const x = v[0]!;
        const y = v[1]!;
        const z = v[2]!;
        v[0] = dx + scale * (x + turn.z * -y + turn.y * z);
        v[1] = dy + scale * (turn.z * x + y - turn.x * z);
        v[2] = dz + scale * (-turn.y * x + turn.x * y + z);
        toGeodetic(v, WGS84_A, WGS84_ES, lonLat, i);
      }
    },
    fromWgs84(lonLat) {
      for (let i = 0; i + 1 < lonLat.length; i += 2) {
        toCartesian(lonLat, i, WGS84_A, WGS84_ES, v);
        const tx = (v[0]! - dx) / scale;
        const ty = (v[1]! - dy) / scale;
        const tz = (v[2]! - dz) / scale;
        turn.undo(tx, ty, tz, v);
        toGeodetic(v, p.a, p.es, guess, 0);
        // Dropping the resulting height would cost a millimetre there and back; one step corrects this.
        there[0] = guess[0]!;
        there[1] = guess[1]!;
        shift.toWgs84(there);
        lonLat[i] = guess[0]! + lonLat[i]! - there[0];
        lonLat[i + 1] = guess[1]! + lonLat[i + 1]! - there[1];
      }
    },
  };
  return shift;
}

/**
 * The shift by way of grids: the first grid that holds a position moves it onto its target, whose own shift (null:
 * none) leads to WGS 84. A position outside every grid goes by `otherwise`.
 */
export function gridShift(
  grids: readonly { readonly grid: ShiftGrid; readonly onwards: DatumShift | null }[],
  otherwise: DatumShift | null,
): DatumShift {
  const one = new Float64Array(2);
  const each = (lonLat: Float64Array, move: (i: number) => void): void => {
    for (let i = 0; i + 1 < lonLat.length; i += 2) {
      one[0] = lonLat[i]!;
      one[1] = lonLat[i + 1]!;
      move(i);
      lonLat[i] = one[0];
      lonLat[i + 1] = one[1];
    }
  };
  return {
    toWgs84(lonLat) {
      each(lonLat, () => {
        const hit = grids.find(({ grid }) => grid.apply(one, 0));
        (hit === undefined ? otherwise : hit.onwards)?.toWgs84(one);
      });
    },
    fromWgs84(lonLat) {
      each(lonLat, (i) => {
        for (const { grid, onwards } of grids) {
          onwards?.fromWgs84(one);
          if (grid.undo(one, 0)) return;
          one[0] = lonLat[i]!;
          one[1] = lonLat[i + 1]!;
        }
        otherwise?.fromWgs84(one);
      });
    },
  };
}

interface Rotation {
  readonly x: number;
  readonly y: number;
  readonly z: number;
  undo(x: number, y: number, z: number, out: Float64Array): void;
}

/** Small-angle rotation matrix (1, -rz, ry; rz, 1, -rx; -ry, rx, 1) and its inverse in closed form. */
function rotation(rx: number, ry: number, rz: number): Rotation {
  const det = 1 + rx * rx + ry * ry + rz * rz;
  return {
    x: rx,
    y: ry,
    z: rz,
    undo(x, y, z, out) {
      const along = rx * x + ry * y + rz * z;
      out[0] = (x + rx * along - (ry * z - rz * y)) / det;
      out[1] = (y + ry * along - (rz * x - rx * z)) / det;
      out[2] = (z + rz * along - (rx * y - ry * x)) / det;
    },
  };
}

function toCartesian(lonLat: Float64Array, i: number, a: number, es: number, out: Float64Array): void {
  const lon = lonLat[i]! * RAD;
  const lat = lonLat[i + 1]! * RAD;
  const sin = Math.sin(lat);
  const n = a / Math.sqrt(1 - es * sin * sin);
  const r = n * Math.cos(lat);
  out[0] = r * Math.cos(lon);
  out[1] = r * Math.sin(lon);
  out[2] = n * (1 - es) * sin;
}

/** Bowring's start, then Newton-like steps on tan(latitude) until it stands. */
function toGeodetic(v: Float64Array, a: number, es: number, lonLat: Float64Array, i: number): void {
  const x = v[0]!;
  const y = v[1]!;
  const z = v[2]!;
  const r = Math.hypot(x, y);
  const b = a * Math.sqrt(1 - es);
  const beta = Math.atan2(z * a, r * b);
  const e2 = es / (1 - es);
  let lat = Math.atan2(z + e2 * b * Math.sin(beta) ** 3, r - es * a * Math.cos(beta) ** 3);
  for (let k = 0; k < 4; k++) {
    const sin = Math.sin(lat);
    const next = Math.atan2(z + (es * a * sin) / Math.sqrt(1 - es * sin * sin), r);
    const done = Math.abs(next - lat) < LAT_TOLERANCE;
    lat = next;
    if (done) break;
  }
  lonLat[i] = Math.atan2(y, x) / RAD;
  lonLat[i + 1] = lat / RAD;
}
