// Crs -> the text of a .prj. In: a Crs of the table; out: WKT1 in Esri's vocabulary, as shapefile readers expect it, with
// the EPSG code as authority. Terms: parameters in the system's own unit and in degrees; names by Esri (esri-names.ts).

import type { Crs } from '../../model/index.js';
import { unpackProj } from '../describe.js';
import { ESRI_NAMES } from '../tables/esri-names.js';

const UNITS: Readonly<Partial<Record<Crs['unit'], string>>> = { m: 'Meter', ft: 'Foot', ftUS: 'Foot_US' };

/** PROJ parameter -> value; a missing one is the fall-back. */
type Get = (key: string, fallback?: number) => number;
type Method = (p: Get) => readonly [name: string, ...(readonly [string, number])[]];

const conic: Method = (p) => {
  const k = p('k', p('k_0', 1));
  const two = !Number.isNaN(p('lat_2', Number.NaN));
  return [
    'Lambert_Conformal_Conic',
    ['Central_Meridian', p('lon_0')],
    ['Standard_Parallel_1', p('lat_1')],
    ...(two ? [['Standard_Parallel_2', p('lat_2')] as const] : []),
    ...(two && k === 1 ? [] : [['Scale_Factor', k] as const]),
    ['Latitude_Of_Origin', p('lat_0')],
  ];
};

const natural =
  (name: string, scaled: boolean): Method =>
  (p) => [
    name,
    ['Central_Meridian', p('lon_0')],
    ...(scaled ? [['Scale_Factor', p('k', p('k_0', 1))] as const] : []),
    ['Latitude_Of_Origin', p('lat_0')],
  ];

const parallel =
  (name: string): Method =>
  (p) => [name, ['Central_Meridian', p('lon_0')], ['Standard_Parallel_1', p('lat_ts')]];

const oblique: Method = (p) => {
  const gamma = p('gamma', p('alpha'));
  const natural_ = p('no_uoff', 0) === 1;
  // Esri keeps a rectified angle of its own in its other family of names only.
  const rectified = Math.abs(gamma - p('alpha')) > 1e-9;
  const family = rectified ? 'Rectified_Skew_Orthomorphic' : 'Hotine_Oblique_Mercator_Azimuth';
  return [
    `${family}_${natural_ ? 'Natural_Origin' : 'Center'}`,
    ['Scale_Factor', p('k', p('k_0', 1))],
    ['Azimuth', p('alpha')],
    ['Longitude_Of_Center', p('lonc')],
    ['Latitude_Of_Center', p('lat_0')],
    ...(rectified ? [['XY_Plane_Rotation', gamma] as const] : []),
  ];
};

const mercator: Method = (p) => {
  const k = p('k', p('k_0', 1));
  const [name, parallelName] = ['Mercator', 'Standard_Parallel_1'];
  if (k === 1) return [name, ['Central_Meridian', p('lon_0')], [parallelName, p('lat_ts')]];
  // Esri's Mercator has no scale factor; the parallel at which the scale is k is equivalent.
  return [name, ['Central_Meridian', p('lon_0')], [parallelName, parallelOfScale(k, p('es'))]];
};

/** Latitude (degrees) at which a Mercator scaled by k at the equator is true: cos(lat) / sqrt(1 - es sin(lat)^2) = k. */
function parallelOfScale(k: number, es: number): number {
  return (Math.acos(Math.sqrt((k * k * (1 - es)) / (1 - k * k * es))) * 180) / Math.PI;
}

const polar: Method = (p) => {
  const south = p('lat_0') < 0;
  const truth = p('lat_ts', p('lat_0'));
  if (Math.abs(Math.abs(truth) - 90) > 1e-9) {
    return [
      `Stereographic_${south ? 'South' : 'North'}_Pole`,
      ['Central_Meridian', p('lon_0')],
      ['Standard_Parallel_1', truth],
    ];
  }
  return [
    'Polar_Stereographic',
    ['latitude_of_origin', p('lat_0')],
    ['central_meridian', p('lon_0')],
    ['scale_factor', p('k', p('k_0', 1))],
  ];
};

/** PROJ name -> Esri's method and its parameters; a projection that is not here has no .prj. */
const METHODS: ReadonlyMap<string, Method> = new Map<string, Method>([
  ['tmerc', natural('Transverse_Mercator', true)],
  ['lcc', conic],
  ['sterea', natural('Double_Stereographic', true)],
  [
    'somerc',
    (p) => [
      'Hotine_Oblique_Mercator_Azimuth_Center',
      ['Scale_Factor', p('k_0', p('k', 1))],
      ['Azimuth', 90],
      ['Longitude_Of_Center', p('lon_0')],
      ['Latitude_Of_Center', p('lat_0')],
    ],
  ],
  ['omerc', oblique],
  ['cass', natural('Cassini', true)],
  [
    'laea',
    (p) => ['Lambert_Azimuthal_Equal_Area', ['Central_Meridian', p('lon_0')], ['Latitude_Of_Origin', p('lat_0')]],
  ],
  ['merc', mercator],
  [
    'aea',
    (p) => [
      'Albers',
      ['Central_Meridian', p('lon_0')],
      ['Standard_Parallel_1', p('lat_1')],
      ['Standard_Parallel_2', p('lat_2')],
      ['Latitude_Of_Origin', p('lat_0')],
    ],
  ],
  ['stere', polar],
  ['aeqd', natural('Azimuthal_Equidistant', false)],
  ['cea', parallel('Cylindrical_Equal_Area')],
  ['eqc', parallel('Equidistant_Cylindrical')],
  ['poly', natural('Polyconic', false)],
  ['nzmg', (p) => ['New_Zealand_Map_Grid', ['Longitude_Of_Origin', p('lon_0')], ['Latitude_Of_Origin', p('lat_0')]]],
  ['eqearth', (p) => ['Equal_Earth', ['Central_Meridian', p('lon_0')]]],
]);

/**
 * The text of a .prj for a Crs; null when Esri's vocabulary has no words for it (a local system, or a projection it lacks).
 *
 * @example
 * esriWkt(findCrs('EPSG:2913')); // 'PROJCS["NAD83_HARN_Oregon_North_ft",GEOGCS["GCS_North_American_1983_HARN",...'
 */
export function esriWkt(crs: Crs): string | null {
  if (crs.kind === 'local' || crs.proj === '') return null;
  const { projection, parameters, a, rf, es, pm } = unpackProj(crs.proj);
  const geogcs = geogcsText(crs, a, rf, pm);
  const authority = /^EPSG:(\d+)$/.exec(crs.code)?.[1];
  const tail = authority === undefined ? '' : `,AUTHORITY["EPSG","${authority}"]`;
  // Longitude first is how shapefiles are anyway: OGC:CRS84 is EPSG:4326 there.
  if (crs.kind === 'geographic') return `${geogcs}${crs.code === 'OGC:CRS84' ? ',AUTHORITY["EPSG","4326"]' : tail}]`;
  const get: Get = (key, fallback = 0) => (key === 'es' ? es : (parameters.get(key) ?? fallback));
  const web = projection === 'merc' && es === 0 && a === 6378137;
  const made = web ? WEB_MERCATOR : METHODS.get(projection)?.(get);
  if (made === undefined) return null;
  const [method, ...values] = made;
  const origin = [
    ['False_Easting', whole(get('x_0') / crs.metresPerUnit)],
    ['False_Northing', whole(get('y_0') / crs.metresPerUnit)],
  ] as const;
  const list = [...origin, ...values].map(([name, value]) => `PARAMETER["${name}",${decimal(value)}]`);
  const unit = `UNIT["${UNITS[crs.unit] ?? 'Unit'}",${decimal(crs.metresPerUnit)}]`;
  return `PROJCS["${plainName(crs.name)}",${geogcs}],PROJECTION["${method}"],${list.join(',')},${unit}${tail}]`;
}

const WEB_MERCATOR: ReturnType<Method> = [
  'Mercator_Auxiliary_Sphere',
  ['Central_Meridian', 0],
  ['Standard_Parallel_1', 0],
  ['Auxiliary_Sphere_Type', 0],
];

/** Without the closing bracket, so that an authority can follow. */
function geogcsText(crs: Crs, a: number, rf: number, pm: number): string {
  const wgs84 = crs.datum.name === 'WGS 84';
  const [, gcs, datum, ellipsoid] = (
    ESRI_NAMES.split('\n').find((line) => line.startsWith(`${crs.datum.name}|`)) ?? ''
  ).split('|');
  const simple = plainName(crs.datum.name);
  // The sphere of Web Mercator stands for the ellipsoid.
  const flattening = wgs84 && rf === 0 ? 298.257223563 : rf;
  const spheroid = `SPHEROID["${ellipsoid ?? 'Ellipsoid'}",${decimal(a)},${decimal(flattening)}]`;
  const meridian = `PRIMEM["${pm === 0 ? 'Greenwich' : 'Reference_Meridian'}",${decimal(pm)}]`;
  const unit = 'UNIT["Degree",0.0174532925199433]';
  return `GEOGCS["${gcs ?? `GCS_${simple}`}",DATUM["${datum ?? `D_${simple}`}",${spheroid}],${meridian},${unit}`;
}

/** Letters, digits and single underscores: what every reader of a .prj takes. */
function plainName(name: string): string {
  return name.replace(/[^A-Za-z0-9]+/g, '_').replace(/^_|_$/g, '');
}

/** Without the last digits, which are noise from dividing metres by a unit. */
function whole(value: number): number {
  return Number(value.toPrecision(13));
}

/** 15 significant digits with a decimal point, as Esri writes. */
function decimal(value: number): string {
  const text = String(Number(value.toPrecision(15)));
  return /[.e]/.test(text) ? text : `${text}.0`;
}
