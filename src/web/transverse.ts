// The transverse Mercator of the frame, for a web page without tables. In: an ellipsoid and an origin as proj4 states them; out:
// the same bits as proj4's `etmerc`, whose own start loads another projection (its option +approx).
// Terms: after K. Engsager and K. Poder, "A highly accurate world wide algorithm for the transverse Mercator mapping (almost)",
// ICC 2007; rows = the coefficients of their series in the third flattening n, lowest power first, as proj4 has them.

import clens from 'proj4/lib/common/clens.js';
import gatg from 'proj4/lib/common/gatg.js';
import { forward, inverse, names } from 'proj4/lib/projections/etmerc.js';
import type { ProjectionMethods } from '../crs/index.js';

type Rows = readonly (readonly number[])[];

/** Gaussian to geodetic latitude, and back. */
const CGB: Rows = [
  [2, -2 / 3, -2, 116 / 45, 26 / 45, -2854 / 675],
  [7 / 3, -8 / 5, -227 / 45, 2704 / 315, 2323 / 945],
  [56 / 15, -136 / 35, -1262 / 105, 73814 / 2835],
  [4279 / 630, -332 / 35, -399572 / 14175],
  [4174 / 315, -144838 / 6237],
  [601676 / 22275],
];
const CBG: Rows = [
  [-2, 2 / 3, 4 / 3, -82 / 45, 32 / 45, 4642 / 4725],
  [5 / 3, -16 / 15, -13 / 9, 904 / 315, -1522 / 945],
  [-26 / 15, 34 / 21, 8 / 5, -12686 / 2835],
  [1237 / 630, -12 / 5, -24832 / 14175],
  [-734 / 315, 109598 / 31185],
  [444337 / 155925],
];
/** Plane to Gaussian sphere, and back. */
const UTG: Rows = [
  [-0.5, 2 / 3, -37 / 96, 1 / 360, 81 / 512, -96199 / 604800],
  [-1 / 48, -1 / 15, 437 / 1440, -46 / 105, 1118711 / 3870720],
  [-17 / 480, 37 / 840, 209 / 4480, -5569 / 90720],
  [-4397 / 161280, 11 / 504, 830251 / 7257600],
  [-4583 / 161280, 108847 / 3991680],
  [-20648693 / 638668800],
];
const GTU: Rows = [
  [0.5, -2 / 3, 5 / 16, 41 / 180, -127 / 288, 7891 / 37800],
  [13 / 48, -3 / 5, 557 / 1440, 281 / 630, -1983433 / 1935360],
  [61 / 240, -103 / 140, 15061 / 26880, 167603 / 181440],
  [49561 / 161280, -179 / 168, 6601661 / 7257600],
  [34729 / 80640, -3418889 / 1995840],
  [212378941 / 319334400],
];

/** In the order of operations in which proj4 sums them. */
function summed(rows: Rows, n: number): number[] {
  let power = 1;
  return rows.map((row) => {
    power *= n;
    return power * row.reduceRight((sum, one) => one + n * sum, 0);
  });
}

interface State {
  es: number;
  x0?: number;
  y0?: number;
  long0?: number;
  lat0?: number;
  k0?: number;
  cgb: number[];
  cbg: number[];
  utg: number[];
  gtu: number[];
  Qn: number;
  Zb: number;
}

function init(this: State): void {
  this.x0 ??= 0;
  this.y0 ??= 0;
  this.long0 ??= 0;
  this.lat0 ??= 0;
  this.k0 ??= 1;
  const f = this.es / (1 + Math.sqrt(1 - this.es));
  const n = f / (2 - f);
  this.cgb = summed(CGB, n);
  this.cbg = summed(CBG, n);
  this.utg = summed(UTG, n);
  this.gtu = summed(GTU, n);
  const n2 = n * n;
  this.Qn = (this.k0 / (1 + n)) * (1 + n2 * (1 / 4 + n2 * (1 / 64 + n2 / 256)));
  const z = gatg(this.cbg, this.lat0);
  this.Zb = -this.Qn * (z + clens(this.gtu, 2 * z));
}

const methods: object = { init, forward, inverse, names };
export const tmerc: ProjectionMethods = methods as ProjectionMethods;
