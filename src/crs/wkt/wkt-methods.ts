// In: a WKT projection's name and parameters; out: the same as a PROJ projection with every parameter written out.
// Names are those of WKT 1 (OGC, GDAL, ESRI) and of WKT 2 and PROJJSON (the EPSG registry's).
// Terms: canonical = one spelling per projection, so that text and table can be compared number by number;
// lat_1 <= lat_2; k where PROJ also says k_0; false easting and northing in metres, angles in degrees.

import type { WktParameters } from './wkt-parameters.js';

/** A projection in its one spelling. */
export interface Canonical {
  readonly projection: string;
  readonly flag: '' | 'no_uoff';
  readonly parameters: ReadonlyMap<string, number>;
}

const LON: readonly string[] = [
  'centralmeridian',
  'longitudeofcenter',
  'longitudeoforigin',
  'longitudeofnaturalorigin',
];
const LAT: readonly string[] = ['latitudeoforigin', 'latitudeofcenter', 'latitudeofnaturalorigin'];

type Make = (p: WktParameters) => Canonical | undefined;

function make(projection: string, values: Readonly<Record<string, number>>, p: WktParameters): Canonical {
  return {
    projection,
    flag: '',
    parameters: new Map([...Object.entries(values), ['x_0', p('falseeasting') ?? 0], ['y_0', p('falsenorthing') ?? 0]]),
  };
}
const lon0 = (p: WktParameters): number => p(...LON) ?? 0;
const lat0 = (p: WktParameters): number => p(...LAT) ?? 0;
const scale = (p: WktParameters): number => p('scalefactor') ?? 1;

function lambert(p: WktParameters): Canonical | undefined {
  const first = p('standardparallel1');
  const second = p('standardparallel2');
  const origin = p(...LAT);
  // One parallel: it is the latitude of origin where none is given, and the other way round.
  const a = first ?? origin;
  const b = second ?? a;
  if (a === undefined || b === undefined) return undefined;
  const k = scale(p) * (p('ellipsoidscalingfactor') ?? 1); // Michigan 1964: the ellipsoid is blown up instead
  return make('lcc', { lat_0: origin ?? a, lon_0: lon0(p), lat_1: Math.min(a, b), lat_2: Math.max(a, b), k }, p);
}

function albers(p: WktParameters): Canonical | undefined {
  const a = p('standardparallel1');
  const b = p('standardparallel2') ?? a;
  if (a === undefined || b === undefined) return undefined;
  return make('aea', { lat_0: lat0(p), lon_0: lon0(p), lat_1: Math.min(a, b), lat_2: Math.max(a, b) }, p);
}

function mercator(p: WktParameters): Canonical | undefined {
  // A latitude of origin off the equator has different meanings in two vocabularies, so it is not guessed.
  if (Math.abs(lat0(p)) > 1e-9 && p('standardparallel1') === undefined) return undefined;
  return make('merc', { lat_ts: Math.abs(p('standardparallel1') ?? 0), lon_0: lon0(p), k: scale(p) }, p);
}

function polar(p: WktParameters, pole?: 1 | -1): Canonical | undefined {
  const given = p('standardparallel1') ?? p(...LAT);
  if (given === undefined) return undefined;
  const north = pole ?? (given >= 0 ? 1 : -1);
  const atPole = Math.abs(Math.abs(given) - 90) < 1e-9;
  const values = { lat_0: 90 * north, lat_ts: atPole ? 90 * north : given, lon_0: lon0(p), k: scale(p) };
  // A scale factor beside a true-scale latitude: the same thing is stated twice.
  if (!atPole && Math.abs(values.k - 1) > 1e-12) return undefined;
  return make('stere', values, p);
}

function oblique(variant: 'A' | 'B'): Make {
  return (p) => {
    const alpha = p('azimuth');
    const lat = p(...LAT);
    const lonc = p('longitudeofcenter', 'longitudeofcentre', ...LON);
    if (alpha === undefined || lat === undefined || lonc === undefined) return undefined;
    const gamma = p('rectifiedgridangle', 'xyplanerotation') ?? alpha;
    if (variant === 'B' && Math.abs(alpha - 90) < 1e-9 && Math.abs(gamma - 90) < 1e-9)
      return make('somerc', { lat_0: lat, lon_0: lonc, k: scale(p) }, p);
    const made = make('omerc', { lat_0: lat, lonc, alpha, gamma, k: scale(p) }, p);
    return variant === 'A' ? { ...made, flag: 'no_uoff' } : made;
  };
}

function plain(projection: string, withScale: boolean): Make {
  return (p) => make(projection, { lat_0: lat0(p), lon_0: lon0(p), ...(withScale ? { k: scale(p) } : {}) }, p);
}

/** Krovak with axes east and north; in the ESRI dialect three more parameters do this. */
function krovak(p: WktParameters): Canonical | undefined {
  const alpha = p('azimuth');
  const k = p('scalefactor');
  if (alpha === undefined || k === undefined || Math.abs((p('pseudostandardparallel1') ?? 78.5) - 78.5) > 1e-9)
    return undefined;
  const turned = [p('xscale'), p('yscale'), p('xyplanerotation')];
  if (turned.some((v, i) => v !== undefined && v !== [-1, 1, 90][i])) return undefined;
  return make('krovak', { lat_0: lat0(p), lon_0: p('longitudeofcenter', ...LON) ?? 0, alpha, k }, p);
}

/** True to scale along a parallel; no scale factor. */
function cylinder(projection: 'cea' | 'eqc'): Make {
  return (p) => {
    const origin = projection === 'eqc' ? { lat_0: lat0(p) } : {};
    return make(projection, { lat_ts: Math.abs(p('standardparallel1') ?? 0), ...origin, lon_0: lon0(p) }, p);
  };
}

/** Projections that can be composed from a text's own numbers. Of the others only rows of the table are used. */
export const COMPOSED: ReadonlySet<string> = new Set([
  'tmerc',
  'lcc',
  'aea',
  'merc',
  'sterea',
  'stere',
  'omerc',
  'somerc',
  'cass',
  'laea',
  'poly',
]);

/** Method names; a method that is not here is refused, unless the text's code is in the table. */
export const METHODS: ReadonlyMap<string, Make> = new Map<string, Make>([
  ['transversemercator', plain('tmerc', true)],
  ['gausskruger', plain('tmerc', true)],
  ['transversemercatorcomplex', plain('tmerc', true)],
  ['lambertconformalconic', lambert],
  ['lambertconformalconic1sp', lambert],
  ['lambertconformalconic2sp', lambert],
  ['albers', albers],
  ['albersconicequalarea', albers],
  ['mercator', mercator],
  ['mercator1sp', mercator],
  ['mercator2sp', mercator],
  ['obliquestereographic', plain('sterea', true)],
  ['doublestereographic', plain('sterea', true)],
  ['polarstereographic', (p) => polar(p)],
  ['stereographicnorthpole', (p) => polar(p, 1)],
  ['stereographicsouthpole', (p) => polar(p, -1)],
  ['hotineobliquemercator', oblique('A')],
  ['hotineobliquemercatorazimuthnaturalorigin', oblique('A')],
  ['rectifiedskeworthomorphicnaturalorigin', oblique('A')],
  ['hotineobliquemercatorazimuthcenter', oblique('B')],
  ['obliquemercator', oblique('B')],
  ['rectifiedskeworthomorphiccenter', oblique('B')],
  ['swissobliquecylindrical', plain('somerc', true)],
  ['swissobliquemercator', plain('somerc', true)],
  ['cassinisoldner', plain('cass', false)],
  ['cassini', plain('cass', false)],
  ['lambertazimuthalequalarea', plain('laea', false)],
  ['polyconic', plain('poly', false)],
  ['newzealandmapgrid', plain('nzmg', false)],
  ['krovak', krovak],
  ['cylindricalequalarea', cylinder('cea')],
  ['equirectangular', cylinder('eqc')],
  ['equidistantcylindrical', cylinder('eqc')],
  ['platecarree', cylinder('eqc')],
  ['azimuthalequidistant', plain('aeqd', false)],
  ['equalearth', (p) => make('eqearth', { lon_0: lon0(p) }, p)],
  // as WKT 2 and PROJJSON name them
  ['lambertconicconformal1sp', lambert],
  ['lambertconicconformal2sp', lambert],
  ['lambertconicconformal2spmichigan', lambert],
  ['mercatorvarianta', mercator],
  ['mercatorvariantb', mercator],
  ['albersequalarea', albers],
  ['polarstereographicvarianta', (p) => polar(p)],
  ['polarstereographicvariantb', (p) => polar(p)],
  ['hotineobliquemercatorvarianta', oblique('A')],
  ['hotineobliquemercatorvariantb', oblique('B')],
  ['lambertazimuthalequalareaspherical', plain('laea', false)],
  ['americanpolyconic', plain('poly', false)],
  ['krovaknorthorientated', krovak],
  ['lambertcylindricalequalarea', cylinder('cea')],
  ['lambertcylindricalequalareaspherical', cylinder('cea')],
  ['equidistantcylindricalspherical', cylinder('eqc')],
]);

/** A table projection (or any PROJ one) in the same spelling. */
export function canonical(projection: string, parameters: ReadonlyMap<string, number>): Canonical {
  const q = new Map(parameters);
  const flag = q.has('no_uoff') ? 'no_uoff' : '';
  q.delete('no_uoff');
  const k0 = q.get('k_0');
  if (k0 !== undefined && !q.has('k')) q.set('k', k0);
  q.delete('k_0');
  if (projection === 'lcc') {
    const a = q.get('lat_1') ?? 0;
    const b = q.get('lat_2') ?? a;
    q.set('lat_1', Math.min(a, b)).set('lat_2', Math.max(a, b));
  } else if (projection === 'aea') {
    const a = q.get('lat_1') ?? 0;
    const b = q.get('lat_2') ?? a;
    q.set('lat_1', Math.min(a, b)).set('lat_2', Math.max(a, b));
  } else if (projection === 'merc' || projection === 'cea' || projection === 'eqc') {
    q.set('lat_ts', Math.abs(q.get('lat_ts') ?? 0));
    if (projection === 'eqc') q.set('lat_0', q.get('lat_0') ?? 0);
  } else if (projection === 'stere') {
    q.set('lat_ts', q.get('lat_ts') ?? q.get('lat_0') ?? 0);
  }
  if (SCALED.has(projection) && !q.has('k')) q.set('k', 1);
  return { projection, flag, parameters: q };
}
const SCALED: ReadonlySet<string> = new Set(['tmerc', 'lcc', 'merc', 'sterea', 'stere', 'omerc', 'somerc']);

// Tolerances per quantity. False origin: real .prj texts differ from the registry by 0.8 mm (0.0026 ft). Angle: six
// decimals written for a third of a degree. Scale: a hundredth of a millimetre in a kilometre.
const METRES = 0.01;
const DEGREES = 5e-7;
const SCALE = 1e-8;

/** Whether two projections are the same to within what texts round away. */
export function same(a: Canonical, b: Canonical): boolean {
  if (a.projection !== b.projection || a.flag !== b.flag || a.parameters.size !== b.parameters.size) return false;
  for (const [key, value] of a.parameters) {
    const other = b.parameters.get(key);
    const limit = key === 'x_0' || key === 'y_0' ? METRES : key === 'k' ? SCALE : DEGREES;
    if (other === undefined) return false;
    const miss = Math.abs(value - other);
    if (miss > limit && !(limit === DEGREES && Math.abs(miss - 360) <= limit)) return false;
  }
  return true;
}
