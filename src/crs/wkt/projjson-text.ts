// Crs -> PROJJSON, as GeoParquet states a system. In: a Crs of the table; out: a plain object, or null where a projection
// has no entry here. Terms: names of methods and parameters are EPSG's; every number comes from the one definition.

import type { Crs } from '../../model/index.js';
import { type UnpackedProj, unpackProj } from '../describe.js';

type Parameter = readonly [name: string, value: number, unit: 'degree' | 'length' | 'unity'];
type Method = (p: (key: string, fallback?: number) => number) => readonly [name: string, ...Parameter[]];

const ORIGIN = (p: (key: string) => number): Parameter[] => [
  ['False easting', p('x_0'), 'length'],
  ['False northing', p('y_0'), 'length'],
];

const natural =
  (name: string, scaled: boolean): Method =>
  (p) => [
    name,
    ['Latitude of natural origin', p('lat_0'), 'degree'],
    ['Longitude of natural origin', p('lon_0'), 'degree'],
    ...(scaled ? [['Scale factor at natural origin', p('k', p('k_0', 1)), 'unity'] as const] : []),
    ...ORIGIN(p),
  ];

const twoParallels = (name: string, p: (key: string) => number): readonly [string, ...Parameter[]] => [
  name,
  ['Latitude of false origin', p('lat_0'), 'degree'],
  ['Longitude of false origin', p('lon_0'), 'degree'],
  ['Latitude of 1st standard parallel', p('lat_1'), 'degree'],
  ['Latitude of 2nd standard parallel', p('lat_2'), 'degree'],
  ['Easting at false origin', p('x_0'), 'length'],
  ['Northing at false origin', p('y_0'), 'length'],
];

const oblique: Method = (p) => {
  const variantA = p('no_uoff', 0) === 1;
  return [
    `Hotine Oblique Mercator (variant ${variantA ? 'A' : 'B'})`,
    ['Latitude of projection centre', p('lat_0'), 'degree'],
    ['Longitude of projection centre', p('lonc'), 'degree'],
    ['Azimuth of initial line', p('alpha'), 'degree'],
    ['Angle from Rectified to Skew Grid', p('gamma', p('alpha')), 'degree'],
    ['Scale factor on initial line', p('k', p('k_0', 1)), 'unity'],
    [variantA ? 'False easting' : 'Easting at projection centre', p('x_0'), 'length'],
    [variantA ? 'False northing' : 'Northing at projection centre', p('y_0'), 'length'],
  ];
};

/** PROJ name -> EPSG's method; the projections that surveys are made in. */
const METHODS: ReadonlyMap<string, Method> = new Map<string, Method>([
  ['tmerc', natural('Transverse Mercator', true)],
  [
    'lcc',
    (p) =>
      Number.isNaN(p('lat_2', Number.NaN))
        ? natural('Lambert Conic Conformal (1SP)', true)(p)
        : twoParallels('Lambert Conic Conformal (2SP)', p),
  ],
  ['aea', (p) => ['Albers Equal Area', ...(twoParallels('', p).slice(1) as Parameter[])]],
  ['laea', natural('Lambert Azimuthal Equal Area', false)],
  ['sterea', natural('Oblique Stereographic', true)],
  ['cass', natural('Cassini-Soldner', false)],
  ['poly', natural('American Polyconic', false)],
  ['omerc', oblique],
  [
    'somerc',
    (p) =>
      oblique((key, fallback) =>
        key === 'alpha' || key === 'gamma' ? 90 : key === 'lonc' ? p('lon_0') : p(key, fallback),
      ),
  ],
]);

/**
 * The system as PROJJSON; null for a system without an entry (GeoParquet then says that its system is not known).
 *
 * @example
 * projjson(findCrs('EPSG:2913'))?.id; // { authority: 'EPSG', code: 2913 }
 */
export function projjson(crs: Crs): Readonly<Record<string, unknown>> | null {
  if (crs.kind === 'local' || crs.proj === '') return null;
  const unpacked = unpackProj(crs.proj);
  const base = geographic(crs, unpacked);
  const code = /^EPSG:(\d+)$/.exec(crs.code)?.[1];
  const id = code === undefined ? {} : { id: { authority: 'EPSG', code: Number(code) } };
  const schema = { $schema: 'https://proj.org/schemas/v0.5/projjson.schema.json' };
  if (crs.kind === 'geographic') return { ...schema, type: 'GeographicCRS', name: crs.name, ...base, ...id };
  // The scale of a conic with two parallels is 1 in EPSG's method: a system that also has a factor uses another method.
  const { parameters, projection } = unpacked;
  const scale = parameters.get('k') ?? parameters.get('k_0') ?? 1;
  if (projection === 'lcc' && parameters.has('lat_2') && scale !== 1) return null;
  const made = METHODS.get(projection)?.((key, fallback = 0) => parameters.get(key) ?? fallback);
  if (made === undefined) return null;
  const [method, ...list] = made;
  const unit = lengthUnit(crs);
  const units = { degree: 'degree', length: 'metre', unity: 'unity' } as const;
  return {
    ...schema,
    type: 'ProjectedCRS',
    name: crs.name,
    base_crs: { name: crs.datum.name, ...base },
    conversion: {
      name: crs.name,
      method: { name: method },
      // False origins are stated in metres, as the definition has them, whatever the unit of the axes.
      parameters: list.map(([name, value, kind]) => ({ name, value, unit: units[kind] })),
    },
    coordinate_system: {
      subtype: 'Cartesian',
      axis: [
        { name: 'Easting', abbreviation: 'E', direction: 'east', unit },
        { name: 'Northing', abbreviation: 'N', direction: 'north', unit },
      ],
    },
    ...id,
  };
}

function lengthUnit(crs: Crs): unknown {
  if (crs.unit === 'm') return 'metre';
  const name = crs.unit === 'ft' ? 'foot' : crs.unit === 'ftUS' ? 'US survey foot' : 'unit';
  return { type: 'LinearUnit', name, conversion_factor: crs.metresPerUnit };
}

function geographic(crs: Crs, { a, rf, pm }: UnpackedProj): Record<string, unknown> {
  const ellipsoid =
    rf === 0
      ? { name: 'sphere', radius: a }
      : { name: 'ellipsoid of the datum', semi_major_axis: a, inverse_flattening: rf };
  const meridian = pm === 0 ? {} : { prime_meridian: { name: 'reference meridian', longitude: pm } };
  return {
    datum: { type: 'GeodeticReferenceFrame', name: crs.datum.name, ellipsoid, ...meridian },
    coordinate_system: {
      subtype: 'ellipsoidal',
      axis: [
        { name: 'Longitude', abbreviation: 'Lon', direction: 'east', unit: 'degree' },
        { name: 'Latitude', abbreviation: 'Lat', direction: 'north', unit: 'degree' },
      ],
    },
  };
}
