// In: a PROJ string of ours; out: a projection that works on radians and metres, one point at a time.
// Terms: methods = what proj4 has for one projection: start, there and back. They are registered (`useProjections`): Node
// takes all of proj4, a web page only the modules of the projections that our systems use (src/web.ts), a quarter of it.

const RAD = Math.PI / 180;

/** proj4's methods for a projection, called on an object that holds its parameters. */
export interface ProjectionMethods {
  readonly names: readonly string[];
  init?(): void;
}

/** What is used of a projection: radians and metres; `datum_params` and prime meridian as the string states them. */
export interface Projection {
  readonly a: number;
  readonly es: number;
  readonly from_greenwich?: number;
  readonly datum_params?: readonly number[] | null;
  forward(point: { x: number; y: number }): { x: number; y: number } | null | undefined;
  inverse(point: { x: number; y: number }): { x: number; y: number } | null | undefined;
}

let methodsOf: (name: string) => ProjectionMethods | undefined = () => undefined;

/** Registers the source of projections. */
export function useProjections(find: (name: string) => ProjectionMethods | undefined): void {
  methodsOf = find;
}

/** Parameters under the names that the methods know: angles in degrees become radians. */
const ANGLES: Readonly<Record<string, string>> = {
  lat_0: 'lat0',
  lat_1: 'lat1',
  lat_2: 'lat2',
  lat_ts: 'lat_ts',
  lon_0: 'long0',
  lonc: 'longc',
  alpha: 'alpha',
  gamma: 'rectified_grid_angle',
};
const NUMBERS: Readonly<Record<string, string>> = {
  x_0: 'x0',
  y_0: 'y0',
  k: 'k0',
  k_0: 'k0',
  a: 'a',
  b: 'b',
  rf: 'rf',
};

/** Ellipsoids by PROJ's names: major axis, then minor axis or reciprocal of the flattening, as PROJ has them. */
const ELLIPSOIDS: Readonly<Record<string, readonly [a: number, second: 'b' | 'rf', value: number]>> = {
  WGS84: [6378137, 'rf', 298.257223563],
  GRS80: [6378137, 'rf', 298.257222101],
  GRS67: [6378160, 'rf', 298.247167427],
  IAU76: [6378140, 'rf', 298.257],
  NWL9D: [6378145, 'rf', 298.25],
  airy: [6377563.396, 'b', 6356256.91],
  mod_airy: [6377340.189, 'b', 6356034.446],
  aust_SA: [6378160, 'rf', 298.25],
  bessel: [6377397.155, 'rf', 299.1528128],
  bess_nam: [6377483.865, 'rf', 299.1528128],
  clrk66: [6378206.4, 'b', 6356583.8],
  clrk80: [6378249.145, 'rf', 293.4663],
  clrk80ign: [6378249.2, 'b', 6356515],
  evrst30: [6377276.345, 'rf', 300.8017],
  evrst48: [6377304.063, 'rf', 300.8017],
  evrst56: [6377301.243, 'rf', 300.8017],
  evrst69: [6377295.664, 'rf', 300.8017],
  evrstSS: [6377298.556, 'rf', 300.8017],
  helmert: [6378200, 'rf', 298.3],
  hough: [6378270, 'rf', 297],
  intl: [6378388, 'rf', 297],
  krass: [6378245, 'rf', 298.3],
  sphere: [6370997, 'b', 6370997],
};

/** Prime meridians by PROJ's names, degrees east of Greenwich, as proj4 has them. */
const MERIDIANS: Readonly<Record<string, number>> = {
  greenwich: 0,
  lisbon: -9.131906111111,
  paris: 2.337229166667,
  bogota: -74.080916666667,
  madrid: -3.687938888889,
  rome: 12.452333333333,
  bern: 7.439583333333,
  jakarta: 106.807719444444,
  ferro: -17.666666666667,
  brussels: 4.367975,
  stockholm: 18.058277777778,
  athens: 23.7163375,
  oslo: 10.722916666667,
};

/** Below this two axes are one (proj4's own). */
const SPHERE_M = 1e-10;

/**
 * The projection of a PROJ string. Unit and datum grids in it are left to the caller.
 *
 * @throws Error for one that is not registered
 */
export function projection(proj: string): Projection {
  const given: Record<string, unknown> = { projStr: proj };
  let [name, ellipsoid] = ['', 'WGS84'];
  for (const part of proj.split('+')) {
    const [key = '', value] = part.trim().split('=') as [string?, string?];
    if (key === '') continue;
    const angle = ANGLES[key];
    const number = NUMBERS[key];
    if (value === undefined) given[key] = true;
    else if (angle !== undefined) given[angle] = Number(value) * RAD;
    else if (number !== undefined) given[number] = Number(value);
    else if (key === 'proj') name = value;
    else if (key === 'ellps') ellipsoid = value;
    else if (key === 'R') given.a = given.b = Number(value);
    else if (key === 'pm') given.from_greenwich = (MERIDIANS[value] ?? Number(value)) * RAD;
    else if (key === 'towgs84') given.datum_params = value.split(',').map(Number);
    else given[key] = value;
  }
  const methods = methodsOf(name);
  if (methods === undefined) throw new Error(`the projection ${name} is not registered`);
  given.projName = name;
  given.lat1 ||= given.lat0; // one standard parallel: the latitude of origin
  const made = Object.assign({}, given, methods, shapeOf(given, ellipsoid)) as Record<string, unknown>;
  methods.init?.call(made);
  made.k0 ||= 1; // only after the projection could set its own
  return made as unknown as Projection;
}

/** Axes and eccentricities. */
function shapeOf(given: Readonly<Record<string, unknown>>, ellipsoid: string): Record<string, unknown> {
  let { a, b, rf } = given as { a?: number; b?: number; rf?: number };
  if (a === undefined) {
    const known = ELLIPSOIDS[ellipsoid];
    if (known === undefined) throw new Error(`the ellipsoid ${ellipsoid} is not known`);
    const [major, second, value] = known;
    [a, b, rf] = second === 'b' ? [major, value, undefined] : [major, undefined, value];
  }
  b ??= rf === undefined ? a : (1 - 1 / rf) * a;
  const sphere = Math.abs(a - b) < SPHERE_M;
  if (sphere) b = a;
  const es = (a * a - b * b) / (a * a);
  return { a, b, rf, es, e: Math.sqrt(es), ep2: (a * a - b * b) / (b * b), ...(sphere ? { sphere } : {}) };
}
