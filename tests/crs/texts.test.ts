// WKT 2 and PROJJSON as files state them; and, one by one, the misreadings of proj4 2.22 that none of them may reach a
// result through. The values are those of EPSG Guidance Note 7-2 where it has an example, else PROJ's.

import { spawnSync } from 'node:child_process';
import { describe, expect, it } from 'vitest';
import { rows, unfold } from '../../src/crs/crs-table.js';
import { crsFromWkt, findCrs, resolveStatement, transformFor } from '../../src/crs/index.js';
import { InputError } from '../../src/model/findings.js';
import type { Crs } from '../../src/model/index.js';
import { dms, forward } from '../support/geodesy.js';

const DEGREE = 'ANGLEUNIT["degree",0.0174532925199433]';
const METRE = 'LENGTHUNIT["metre",1]';
const FOOT = 'LENGTHUNIT["foot",0.3048]';
const ELLIPSOIDS = {
  grs: `ELLIPSOID["GRS 1980",6378137,298.257222101,${METRE}]`,
  airy: `ELLIPSOID["Airy 1830",6377563.396,299.3249646,${METRE}]`,
  clarke: `ELLIPSOID["Clarke 1866",6378206.4,294.978698213898,${METRE}]`,
  everest: `ELLIPSOID["Everest 1830 (1967 Definition)",6377298.556,300.8017,${METRE}]`,
  bessel: `ELLIPSOID["Bessel 1841",6377397.155,299.1528128,${METRE}]`,
  wgs: `ELLIPSOID["WGS 84",6378137,298.257223563,${METRE}]`,
};

interface Text {
  readonly name: string;
  readonly base: string;
  readonly datum: string;
  readonly ellipsoid: keyof typeof ELLIPSOIDS;
  readonly method: string;
  readonly parameters: readonly (readonly [name: string, value: number, unit: string])[];
  readonly unit?: string;
  readonly axes?: readonly [string, string];
  readonly keyword?: 'BASEGEOGCRS' | 'BASEGEODCRS';
  readonly id?: number;
}

function wkt2(t: Text): string {
  const unit = t.unit ?? METRE;
  const parameters = t.parameters.map(([name, value, u]) => `PARAMETER["${name}",${value}${u === '' ? '' : `,${u}`}]`);
  const [east, north] = t.axes ?? ['east', 'north'];
  const base = `${t.keyword ?? 'BASEGEOGCRS'}["${t.base}",DATUM["${t.datum}",${ELLIPSOIDS[t.ellipsoid]}],PRIMEM["Greenwich",0,${DEGREE}]]`;
  return `PROJCRS["${t.name}",${base},CONVERSION["c",METHOD["${t.method}"],${parameters.join(',')}],CS[Cartesian,2],AXIS["x",${east},ORDER[1],${unit}],AXIS["y",${north},ORDER[2],${unit}]${t.id === undefined ? '' : `,ID["EPSG",${t.id}]`}]`;
}

const OREGON: Text = {
  name: 'Oregon North',
  base: 'NAD83(HARN)',
  datum: 'NAD83 (High Accuracy Reference Network)',
  ellipsoid: 'grs',
  method: 'Lambert Conic Conformal (2SP)',
  parameters: [
    ['Latitude of false origin', 43.6666666666667, DEGREE],
    ['Longitude of false origin', -120.5, DEGREE],
    ['Latitude of 1st standard parallel', 46, DEGREE],
    ['Latitude of 2nd standard parallel', 44.3333333333333, DEGREE],
    ['Easting at false origin', 8202099.738, FOOT],
    ['Northing at false origin', 0, FOOT],
  ],
  unit: FOOT,
};

function errorOf(run: () => unknown): InputError {
  try {
    run();
  } catch (error) {
    if (error instanceof InputError) return error;
    throw error;
  }
  throw new Error('no error');
}

/** On the system's own datum: examples of grids are without a shift. */
function own(crs: Crs): ReturnType<typeof transformFor> {
  return transformFor({ ...crs, proj: crs.proj.replace(/ \+towgs84=\S+/, '') });
}

function near(found: readonly number[], wanted: readonly [number, number], withinM: number): void {
  expect(Math.abs(found[0]! - wanted[0])).toBeLessThan(withinM);
  expect(Math.abs(found[1]! - wanted[1])).toBeLessThan(withinM);
}

const json = {
  $schema: 'https://proj.org/schemas/v0.5/projjson.schema.json',
  type: 'ProjectedCRS',
  name: 'Oregon North',
  base_crs: {
    name: 'NAD83(HARN)',
    datum: {
      type: 'GeodeticReferenceFrame',
      name: 'NAD83 (High Accuracy Reference Network)',
      ellipsoid: { name: 'GRS 1980', semi_major_axis: 6378137, inverse_flattening: 298.257222101 },
    },
  },
  conversion: {
    name: 'c',
    method: { name: 'Lambert Conic Conformal (2SP)', id: { authority: 'EPSG', code: 9802 } },
    parameters: OREGON.parameters.map(([name, value, unit]) => ({
      name,
      value,
      unit: unit === DEGREE ? 'degree' : { type: 'LinearUnit', name: 'foot', conversion_factor: 0.3048 },
    })),
  },
  coordinate_system: {
    subtype: 'Cartesian',
    axis: ['east', 'north'].map((direction) => ({
      name: direction,
      abbreviation: '',
      direction,
      unit: { type: 'LinearUnit', name: 'foot', conversion_factor: 0.3048 },
    })),
  },
};

describe('WKT 2 and PROJJSON', () => {
  const text = wkt2(OREGON);
  const vertical =
    'VERTCRS["NAVD88 height",VDATUM["North American Vertical Datum 1988"],CS[vertical,1],AXIS["up",up,LENGTHUNIT["metre",1]]]';
  it.each<[string, string | object]>([
    ['2019', text],
    ['2015, with BASEGEODCRS', wkt2({ ...OREGON, keyword: 'BASEGEODCRS' })],
    ['with a BOM and line feeds', `\uFEFF${text.replaceAll(',PARAMETER', ',\r\n  PARAMETER')}\n`],
    ['in lower-case keywords', text.replace(/[A-Z0-9]+(?=\[)/g, (k) => k.toLowerCase())],
    ['in long keywords', text.replace('PROJCRS', 'PROJECTEDCRS').replace('DATUM', 'GEODETICDATUM')],
    ['the horizontal part of a compound', `COMPOUNDCRS["both",${text},${vertical}]`],
    ['bound to WGS 84', `BOUNDCRS[SOURCECRS[${text}],TARGETCRS[GEOGCRS["WGS 84"]],ABRIDGEDTRANSFORMATION["t"]]`],
    ['parameters named by code alone', named(text)],
    [
      'lengths in the unit of the axes, angles in degrees, when not said',
      text.replaceAll(/(PARAMETER\["[^"]*",[-\d.]+),[A-Z]+\[[^\]]*\]/g, '$1'),
    ],
    ['PROJJSON text', JSON.stringify(json)],
    ['PROJJSON text with a BOM', `\uFEFF${JSON.stringify(json, null, 2)}`],
    ['PROJJSON object', json],
    [
      'PROJJSON, compound',
      { type: 'CompoundCRS', name: 'both', components: [json, { type: 'VerticalCRS', name: 'h' }] },
    ],
    ['PROJJSON, bound', { type: 'BoundCRS', source_crs: json, target_crs: { type: 'GeographicCRS', name: 'WGS 84' } }],
  ])('%s', (_name, stated) => {
    const crs = crsFromWkt(stated, 'lots.gpkg');
    expect(crs.code).toBe('EPSG:2913');
    expect(crs.datum.name).toBe('NAD83(HARN)');
  });

  function named(plain: string): string {
    const codes = [8821, 8822, 8823, 8824, 8826, 8827];
    let i = 0;
    return plain.replace(
      /PARAMETER\["[^"]*",([-\d.]+),([A-Z]+\[[^\]]*\])\]/g,
      (_, v, u) => `PARAMETER["p",${v},${u},ID["EPSG",${codes[i++]}]]`,
    );
  }

  it('the same in metres, in US feet and on another datum are other systems', () => {
    const us = text.replaceAll('LENGTHUNIT["foot",0.3048]', 'LENGTHUNIT["US survey foot",0.304800609601219]');
    expect(crsFromWkt(us, 'x').unit).toBe('ftUS');
    expect(crsFromWkt(us, 'x').code).toBe('custom');
    const plain = text
      .replace('NAD83(HARN)', 'NAD83')
      .replace('NAD83 (High Accuracy Reference Network)', 'North American Datum 1983');
    expect(crsFromWkt(plain, 'x').code).toBe('EPSG:2269');
  });

  it('geographic systems: ensemble, three dimensions, long degrees', () => {
    const wgs = `GEOGCRS["WGS 84",ENSEMBLE["World Geodetic System 1984 ensemble",MEMBER["World Geodetic System 1984 (G2139)"],${ELLIPSOIDS.wgs},ENSEMBLEACCURACY[2.0]],PRIMEM["Greenwich",0,${DEGREE}],CS[ellipsoidal,2],AXIS["lat",north,ORDER[1],${DEGREE}],AXIS["lon",east,ORDER[2],${DEGREE}]]`;
    expect(crsFromWkt(wgs, 'x').code).toBe('EPSG:4326');
    expect(crsFromWkt(wgs.replace(DEGREE, 'ANGLEUNIT["degree",0.01745329251994329577]'), 'x').code).toBe('EPSG:4326');
    expect(
      errorOf(() => crsFromWkt(wgs.replaceAll(DEGREE, 'ANGLEUNIT["grad",0.015707963267949]'), 'x')).message,
    ).toContain('grad');
  });

  it.each([
    ['derived', `DERIVEDPROJCRS["d",BASEPROJCRS["b"],DERIVINGCONVERSION["c",METHOD["Affine"]]]`, /derived/],
    [
      'rotated pole',
      `GEOGCRS["r",BASEGEOGCRS["b",DATUM["d",${ELLIPSOIDS.wgs}]],DERIVINGCONVERSION["c",METHOD["m"]],CS[ellipsoidal,2]]`,
      /derived/,
    ],
    ['geocentric', `GEODCRS["g",DATUM["d",${ELLIPSOIDS.wgs}],CS[Cartesian,3]]`, /geocentric/],
    ['vertical alone', 'VERTCRS["v",VDATUM["d"],CS[vertical,1]]', /VERTCRS/],
    ['axes west and south', wkt2({ ...OREGON, axes: ['west', 'south'] }), /west and south/],
    [
      'a parameter nobody knows',
      text.replace('],CS[Cartesian', ',PARAMETER["Skew of the moon",3]],CS[Cartesian'),
      /skewofthemoon/,
    ],
    [
      'web Mercator moved',
      wkt2({
        ...OREGON,
        base: 'WGS 84',
        datum: 'World Geodetic System 1984',
        ellipsoid: 'wgs',
        method: 'Popular Visualisation Pseudo Mercator',
        parameters: [['False easting', 5, METRE]],
        unit: METRE,
      }),
      /web maps/,
    ],
    ['nested without end', `${'COMPOUNDCRS["x",'.repeat(40)}`, /WKT/],
  ])('refuses: %s', (_name, stated, message) => {
    const error = errorOf(() => crsFromWkt(stated, 'lots.gpkg'));
    expect(error.message).toMatch(message);
    expect(error.layer).toBe('lots.gpkg');
    expect(error.cure).toContain('--crs');
  });

  it('a custom system takes the shift of its BOUNDCRS', () => {
    const shift = [598.1, 73.7, 418.2, 0.202, 0.045, -2.455, 6.7];
    const names = [
      'X-axis translation',
      'Y-axis translation',
      'Z-axis translation',
      'X-axis rotation',
      'Y-axis rotation',
      'Z-axis rotation',
    ];
    const source = wkt2({
      name: 'site',
      base: 'unknown',
      datum: 'Site datum',
      ellipsoid: 'bessel',
      method: 'Transverse Mercator',
      parameters: [['Longitude of natural origin', 9, DEGREE]],
    });
    const bound = (method: string, sign: number, scale: string): string =>
      `BOUNDCRS[SOURCECRS[${source}],TARGETCRS[GEOGCRS["WGS 84",DATUM["World Geodetic System 1984",${ELLIPSOIDS.wgs}]]],ABRIDGEDTRANSFORMATION["t",METHOD["${method}"],${names.map((n, i) => `PARAMETER["${n}",${shift[i]! * (i < 3 ? 1 : sign)}]`).join(',')},${scale}]]`;
    const vector = crsFromWkt(
      bound('Position Vector transformation (geog2D domain)', 1, 'PARAMETER["Scale difference",1.0000067]'),
      'x',
    );
    expect(vector.proj).toContain(`+towgs84=${shift.join(',')}`);
    expect(vector.datum.operation).toContain('TOWGS84');
    const frame = crsFromWkt(
      bound(
        'Coordinate Frame rotation (geog2D domain)',
        -1,
        'PARAMETER["Scale difference",6.7,SCALEUNIT["parts per million",1E-6]]',
      ),
      'x',
    );
    expect(frame.proj).toBe(vector.proj);
  });

  it('a statement of a file goes the same way', () => {
    expect(resolveStatement({ from: 'file', text }, 'x').code).toBe('EPSG:2913');
    expect(resolveStatement({ from: 'file', text: JSON.stringify(json) }, 'x').code).toBe('EPSG:2913');
  });
});

describe('defects of proj4 2.22 that cannot reach a result', () => {
  it('1. oblique Mercator A and B from WKT 2 and PROJJSON: azimuth and scale lost, up to 2400 km', () => {
    // EPSG Guidance Note 7-2, Timbalai 1948 / RSO Borneo (m)
    const borneo: Text = {
      name: 'RSO',
      base: 'Timbalai 1948',
      datum: 'Timbalai 1948',
      ellipsoid: 'everest',
      method: 'Hotine Oblique Mercator (variant B)',
      parameters: [
        ['Latitude of projection centre', 4, DEGREE],
        ['Longitude of projection centre', 115, DEGREE],
        ['Azimuth of initial line', 53.3158204722222, DEGREE],
        ['Angle from Rectified to Skew Grid', 53.1301023611111, DEGREE],
        ['Scale factor on initial line', 0.99984, 'SCALEUNIT["unity",1]'],
        ['Easting at projection centre', 590476.87, METRE],
        ['Northing at projection centre', 442857.65, METRE],
      ],
    };
    const at = [dms('E', 115, 48, 19.8196), dms('N', 5, 23, 14.1129)] as const;
    const crs = crsFromWkt(wkt2(borneo), 'x');
    expect(crs.code).toBe('EPSG:29873');
    near(forward(own(crs), ...at), [679245.73, 596562.78], 0.01);
    // moved a little, so that no row has it: composed here, and still with its azimuth
    const moved = crsFromWkt(wkt2(borneo).replace('590476.87', '590576.87'), 'x');
    expect(moved.code).toBe('custom');
    near(forward(own(moved), ...at), [679345.73, 596562.78], 0.01);
    // variant A: Alaska zone 1, NAD83
    const alaska = crsFromWkt(
      wkt2({
        name: 'Alaska 1',
        base: 'NAD83',
        datum: 'North American Datum 1983',
        ellipsoid: 'grs',
        method: 'Hotine Oblique Mercator (variant A)',
        parameters: [
          ['Latitude of projection centre', 57, DEGREE],
          ['Longitude of projection centre', -133.666666666667, DEGREE],
          ['Azimuth of initial line', 323.130102361111, DEGREE],
          ['Angle from Rectified to Skew Grid', 323.130102361111, DEGREE],
          ['Scale factor on initial line', 0.9999, 'SCALEUNIT["unity",1]'],
          ['False easting', 5000000, METRE],
          ['False northing', -5000000, METRE],
        ],
      }),
      'x',
    );
    expect(alaska.code).toBe('EPSG:26931');
  });

  it('2. BASEGEODCRS of WKT 2:2015: its ellipsoid ignored, 36 m in Great Britain, 219 m on NAD27', () => {
    const grid: Text = {
      name: 'BNG',
      base: 'OSGB36',
      datum: 'Ordnance Survey of Great Britain 1936',
      ellipsoid: 'airy',
      method: 'Transverse Mercator',
      parameters: [
        ['Latitude of natural origin', 49, DEGREE],
        ['Longitude of natural origin', -2, DEGREE],
        ['Scale factor at natural origin', 0.9996012717, 'SCALEUNIT["unity",1]'],
        ['False easting', 400000, METRE],
        ['False northing', -100000, METRE],
      ],
      keyword: 'BASEGEODCRS',
    };
    const crs = crsFromWkt(wkt2(grid), 'x');
    expect(crs.code).toBe('EPSG:27700');
    // OS, A Guide to Coordinate Systems in Great Britain, Annexe C
    near(forward(own(crs), dms('E', 1, 43, 4.5177), dms('N', 52, 39, 27.2531)), [651409.903, 313177.27], 0.001);
    expect(crsFromWkt(wkt2({ ...grid, datum: 'A site on Airy', base: 'site' }), 'x').proj).toContain('+a=6377563.396');
  });

  it('3. a false origin left out: NaN for eight projections', () => {
    for (const [method, parameters] of [
      [
        'Albers Equal Area',
        [
          ['Latitude of 1st standard parallel', 29.5, DEGREE],
          ['Latitude of 2nd standard parallel', 45.5, DEGREE],
          ['Latitude of false origin', 23, DEGREE],
          ['Longitude of false origin', -96, DEGREE],
        ],
      ],
      [
        'Lambert Azimuthal Equal Area',
        [
          ['Latitude of natural origin', 40, DEGREE],
          ['Longitude of natural origin', -100, DEGREE],
        ],
      ],
      [
        'Cassini-Soldner',
        [
          ['Latitude of natural origin', 40, DEGREE],
          ['Longitude of natural origin', -100, DEGREE],
        ],
      ],
      [
        'American Polyconic',
        [
          ['Latitude of natural origin', 30, DEGREE],
          ['Longitude of natural origin', -96, DEGREE],
        ],
      ],
      [
        'Hotine Oblique Mercator (variant B)',
        [
          ['Latitude of projection centre', 40, DEGREE],
          ['Longitude of projection centre', -100, DEGREE],
          ['Azimuth of initial line', 30, DEGREE],
        ],
      ],
    ] as const) {
      const crs = crsFromWkt(
        wkt2({ ...OREGON, method, parameters, unit: METRE, base: 'NAD83', datum: 'North American Datum 1983' }),
        'x',
      );
      expect(crs.proj, method).toMatch(/\+x_0=\S+ \+y_0=\S+/);
      const [x, y] = forward(transformFor(crs), -98, 39);
      expect(Number.isFinite(x + y), method).toBe(true);
    }
  });

  it('3, 4, 5, 6. no string in the table relies on a default, on +f, +es or a fraction, and cea has its parallel', () => {
    for (const row of rows().values()) {
      const { proj, code, kind } = unfold(row);
      if (kind === 'projected') {
        if (!/\+x_0=-?[\d.e-]+ /.test(proj) || !/\+y_0=-?[\d.e-]+ /.test(proj)) expect.fail(`${code} ${proj}`);
        if (proj.includes('+proj=cea') && !proj.includes('+lat_ts=')) expect.fail(`${code} ${proj}`);
      }
      if (/\+(f|es)=|\+to_meter=[^ ]*\/|\+init|\+datum=|\+nadgrids/.test(proj)) expect.fail(`${code} ${proj}`);
    }
  });

  it('4. cea without a parallel from a text: the one of the table, or refused', () => {
    const cea = wkt2({
      ...OREGON,
      unit: METRE,
      base: 'WGS 84',
      datum: 'World Geodetic System 1984',
      ellipsoid: 'wgs',
      method: 'Lambert Cylindrical Equal Area',
      parameters: [['Longitude of natural origin', 3, DEGREE]],
    });
    expect(errorOf(() => crsFromWkt(cea, 'x')).message).toContain('Cylindrical');
  });

  it('6. a unit of the past is a plain number of metres', () => {
    const chains = crsFromWkt(wkt2({ ...OREGON, unit: 'LENGTHUNIT["chain",20.1168]' }), 'x');
    expect(chains.proj).toContain('+to_meter=20.1168 ');
    expect(chains.unit).toBe('other');
    const [x] = forward(transformFor(chains), -120.5, 44);
    expect(x * 20.1168).toBeCloseTo(8202099.738 * 0.3048, 5);
  });

  const esri = (
    projection: string,
    parameters: string,
    spheroid = '"WGS_1984",6378137.0,298.257223563',
    names = ['GCS_WGS_1984', 'D_WGS_1984'],
  ): string =>
    `PROJCS["x",GEOGCS["${names[0]}",DATUM["${names[1]}",SPHEROID[${spheroid}]],PRIMEM["Greenwich",0.0],UNIT["Degree",0.0174532925199433]],PROJECTION["${projection}"],${parameters},UNIT["Meter",1.0]]`;

  it('7. ESRI Mercator: its standard parallel ignored (3.5 km)', () => {
    const text = esri(
      'Mercator',
      'PARAMETER["False_Easting",0.0],PARAMETER["False_Northing",0.0],PARAMETER["Central_Meridian",51.0],PARAMETER["Standard_Parallel_1",42.0]',
      '"Krasovsky_1940",6378245.0,298.3',
      ['GCS_Pulkovo_1942', 'D_Pulkovo_1942'],
    );
    // EPSG Guidance Note 7-2, Mercator B, Caspian Sea
    near(forward(own(crsFromWkt(text, 'x')), 53, 53), [165704.29, 5171848.07], 0.01);
  });

  it('7. ESRI polar stereographic with a standard parallel (2192 km)', () => {
    const text = esri(
      'Stereographic_North_Pole',
      'PARAMETER["False_Easting",0.0],PARAMETER["False_Northing",0.0],PARAMETER["Central_Meridian",-45.0],PARAMETER["Standard_Parallel_1",70.0]',
    );
    const crs = crsFromWkt(text, 'x');
    expect(crs.code).toBe('EPSG:3413');
    // Value of PROJ 9.1.1 for EPSG:3413 at 75 N, 0 E
    near(forward(transformFor(crs), 0, 75), PS_75N_0E, 0.001);
  });

  it('7. ESRI Rectified_Skew_Orthomorphic_Center: throws', () => {
    const text = esri(
      'Rectified_Skew_Orthomorphic_Center',
      'PARAMETER["False_Easting",590476.87],PARAMETER["False_Northing",442857.65],PARAMETER["Scale_Factor",0.99984],PARAMETER["Azimuth",53.3158204722222],PARAMETER["Longitude_Of_Center",115.0],PARAMETER["Latitude_Of_Center",4.0],PARAMETER["XY_Plane_Rotation",53.1301023611111]',
      '"Everest_Definition_1967",6377298.556,300.8017',
      ['GCS_Timbalai_1948', 'D_Timbalai_1948'],
    );
    expect(crsFromWkt(text, 'x').code).toBe('EPSG:29873');
  });

  it('8. Swiss grids: 65 mm from WKT 1, 381 m from WKT 2', () => {
    const swiss = wkt2({
      name: 'LV95',
      base: 'CH1903+',
      datum: 'CH1903+',
      ellipsoid: 'bessel',
      method: 'Hotine Oblique Mercator (variant B)',
      parameters: [
        ['Latitude of projection centre', 46.9524055555556, DEGREE],
        ['Longitude of projection centre', 7.43958333333333, DEGREE],
        ['Azimuth of initial line', 90, DEGREE],
        ['Angle from Rectified to Skew Grid', 90, DEGREE],
        ['Scale factor on initial line', 1, 'SCALEUNIT["unity",1]'],
        ['Easting at projection centre', 2600000, METRE],
        ['Northing at projection centre', 1200000, METRE],
      ],
    });
    expect(crsFromWkt(swiss, 'x').proj).toBe(findCrs('EPSG:2056').proj);
    const gdal = esri(
      'Hotine_Oblique_Mercator_Azimuth_Center',
      'PARAMETER["latitude_of_center",46.9524055555556],PARAMETER["longitude_of_center",7.43958333333333],PARAMETER["azimuth",90],PARAMETER["rectified_grid_angle",90],PARAMETER["scale_factor",1],PARAMETER["false_easting",2600000],PARAMETER["false_northing",1200000]',
      '"Bessel_1841",6377397.155,299.1528128',
      ['GCS_CH1903+', 'D_CH1903+'],
    );
    expect(crsFromWkt(gdal, 'x').proj).toBe(findCrs('EPSG:2056').proj);
  });

  it('9. method names it does not know: Michigan is read, Belgium refused, a sphere taken as a sphere only', () => {
    const two: Text = { ...OREGON, base: 'NAD27', datum: 'North American Datum 1927', ellipsoid: 'clarke' };
    const us = 'LENGTHUNIT["US survey foot",0.304800609601219]';
    const michigan = wkt2({
      ...two,
      method: 'Lambert Conic Conformal (2SP Michigan)',
      unit: us,
      parameters: [
        ['Latitude of false origin', 43.3166666666667, DEGREE],
        ['Longitude of false origin', -84.3333333333333, DEGREE],
        ['Latitude of 1st standard parallel', 44.1833333333333, DEGREE],
        ['Latitude of 2nd standard parallel', 45.7, DEGREE],
        ['Easting at false origin', 2000000, us],
        ['Northing at false origin', 0, us],
        ['Ellipsoid scaling factor', 1.0000382, 'SCALEUNIT["unity",1]'],
      ],
    });
    expect(crsFromWkt(michigan, 'x').code).toBe('EPSG:6201');
    expect(
      errorOf(() => crsFromWkt(wkt2({ ...two, method: 'Lambert Conic Conformal (2SP Belgium)', id: 31300 }), 'x'))
        .message,
    ).toContain('9803');
    const laea: Text = {
      ...OREGON,
      unit: METRE,
      method: 'Lambert Azimuthal Equal Area (Spherical)',
      parameters: [
        ['Latitude of natural origin', 45, DEGREE],
        ['Longitude of natural origin', -100, DEGREE],
      ],
    };
    expect(errorOf(() => crsFromWkt(wkt2(laea), 'x')).message).toContain('spheres');
    const sphere = wkt2({ ...laea, base: 'site', datum: 'site' }).replace(
      ELLIPSOIDS.grs,
      `ELLIPSOID["s",6370997,0,${METRE}]`,
    );
    expect(crsFromWkt(sphere, 'x').proj).toContain('+proj=laea');
  });

  it('10. axis order: easting first whatever the text’s order; 3413 keeps its two numbers apart', () => {
    const turned = wkt2({ ...OREGON, axes: ['north', 'east'] });
    expect(forward(transformFor(crsFromWkt(turned, 'x')), -122.7, 45.4)).toEqual(
      forward(transformFor(findCrs('EPSG:2913')), -122.7, 45.4),
    );
    const polar = crsFromWkt(
      wkt2({
        ...OREGON,
        unit: METRE,
        base: 'WGS 84',
        datum: 'World Geodetic System 1984',
        ellipsoid: 'wgs',
        method: 'Polar Stereographic (variant B)',
        parameters: [
          ['Latitude of standard parallel', 70, DEGREE],
          ['Longitude of origin', -45, DEGREE],
        ],
        axes: ['south', 'south'],
      }),
      'x',
    );
    expect(polar.code).toBe('EPSG:3413');
    const [x, y] = forward(transformFor(polar), 0, 75);
    expect(Math.abs(x + y)).toBeLessThan(0.001); // 0 E lies 45 degrees from the origin's meridian
    expect(x).toBeGreaterThan(1e6);
    near([x, y], PS_75N_0E, 0.001);
  });

  it('datum shifts do not depend on how a system is spelled (27700: 108 m)', () => {
    const code = transformFor(findCrs('EPSG:27700'));
    const xy = Float64Array.of(651409.903, 313177.27);
    code.toLonLat(xy);
    // Published WGS 84 position of the point: 52 39 28.723 N, 1 42 57.787 E; without a grid 2 m are at stake.
    expect(
      Math.hypot((xy[0]! - dms('E', 1, 42, 57.787)) * 67500, (xy[1]! - dms('N', 52, 39, 28.723)) * 111270),
    ).toBeLessThan(3);
  });
});

// PROJ 9.1.1: echo "75 0" | cs2cs -f %.4f EPSG:4326 EPSG:3413
const PS_75N_0E = [1155327.2723, -1155327.2723] as const;

const projinfo = spawnSync('projinfo', ['EPSG:2913', '-q', '-o', 'PROJ']).status === 0;

describe.skipIf(!projinfo)(
  'texts PROJ writes (skipped where projinfo is not installed: apt-get install proj-bin)',
  () => {
    const all = [...rows().values()].filter((row) => row.conversion >= 0);
    const sample = [
      2913,
      2264,
      6539,
      26931,
      3078,
      2056,
      27700,
      3413,
      5514,
      3035,
      28992,
      ...all.filter((_, i) => i % 350 === 0).map((row) => row.code),
    ];
    const FORMS = ['WKT1:GDAL', 'WKT1:ESRI', 'WKT2:2019', 'WKT2:2015', 'PROJJSON'];
    it.each(sample)('EPSG:%i from every text is the row of the table', (code) => {
      const run = spawnSync('projinfo', [`EPSG:${code}`, '--single-line', '-o', FORMS.join(',')], { encoding: 'utf8' });
      const texts = run.stdout.split('\n').filter((line) => /^(PROJCS|PROJCRS|\{)/.test(line));
      if (run.status !== 0) return; // newer than this PROJ
      expect(texts.length).toBeGreaterThanOrEqual(4);
      for (const text of texts) {
        const crs = crsFromWkt(text, 'x');
        const ours = forward(own(crs), ...middle(findCrs(`EPSG:${code}`)));
        const theirs = forward(own(findCrs(`EPSG:${code}`)), ...middle(findCrs(`EPSG:${code}`)));
        near(ours, theirs, 0.001 / crs.metresPerUnit);
      }
    });

    function middle(crs: Crs): [number, number] {
      const [w, s, e, n] = crs.areaOfUse ?? [0, 0, 10, 10];
      return [e >= w ? (w + e) / 2 : (((w + e + 360) / 2 + 540) % 360) - 180, (s + n) / 2];
    }
  },
);
