// Published positions and what the project stage makes of them. Sources stand beside each value; a value marked
// "computed" is PROJ 9.1.1's, not published. Positions are latitude, longitude on the system's own datum.

import { readFileSync } from 'node:fs';
import proj4 from 'proj4';
import { describe, expect, it } from 'vitest';
import { crsFromWkt, findCrs, transformFor } from '../../src/crs/index.js';
import { dms, forward, inverse, onOwnDatum } from '../support/geodesy.js';

const FT = 0.3048;
const FTUS = 1200 / 3937;

type Row = readonly [code: string, name: string, lat: number, lon: number, e: number, n: number, tolerance: number];

describe('EPSG Guidance Note 7-2 examples (as carried in the EPSG data set)', () => {
  // Tolerance: half of the last printed digit, unless said.
  const rows: readonly Row[] = [
    ['EPSG:32040', 'Lambert 2SP, Texas South Central NAD27, ftUS', 28.5, -96, 2963503.91, 254759.8, 0.005],
    [
      'EPSG:24200',
      'Lambert 1SP, Jamaica',
      dms('N', 17, 55, 55.8),
      dms('W', 76, 56, 37.26),
      255966.58,
      142493.51,
      0.005,
    ],
    // The example rounds k0 to 0.9996013, hence 0.01 m.
    ['EPSG:27700', 'Transverse Mercator, British National Grid', 50.5, 0.5, 577274.99, 69740.5, 0.01],
    [
      'EPSG:29873',
      'Hotine B, Borneo',
      dms('N', 5, 23, 14.1129),
      dms('E', 115, 48, 19.8196),
      679245.73,
      596562.78,
      0.005,
    ],
    [
      'EPSG:5514',
      'Krovak East North',
      dms('N', 50, 12, 32.442),
      dms('E', 16, 50, 59.179),
      -568991.0,
      -1050538.63,
      0.005,
    ],
    ['EPSG:3035', 'LAEA Europe', 50, 5, 3962799.45, 2999718.85, 0.005],
    ['EPSG:3002', 'Mercator A, Makassar NEIEZ', -3, 120, 5009726.58, 569150.82, 0.005],
    ['EPSG:28992', 'Oblique stereographic, RD New', 53, 6, 196105.283, 557057.739, 0.0005],
    ['EPSG:32661', 'Polar stereographic A, UPS North', 73, 44, 3320416.75, 632668.43, 0.005],
    ['EPSG:30200', "Cassini, Trinidad, Clarke's links", 10, -62, 66644.94, 82536.22, 0.005],
    ['EPSG:3857', 'Pseudo-Mercator', dms('N', 24, 22, 54.433), dms('W', 100, 20), -11169055.58, 2800000.0, 0.005],
  ];
  it.each(rows)('%s %s', (code, _name, lat, lon, e, n, tolerance) => {
    const t = onOwnDatum(code);
    const [x, y] = forward(t, lon, lat);
    expect(Math.abs(x - e)).toBeLessThanOrEqual(tolerance);
    expect(Math.abs(y - n)).toBeLessThanOrEqual(tolerance);
    const [lon2, lat2] = inverse(t, x, y);
    expect(lon2).toBeCloseTo(lon, 7);
    expect(lat2).toBeCloseTo(lat, 7);
  });

  it('refuses Belge Lambert 72 of 1972 (31300), whose example proj4 and PROJ miss by 745 m', () => {
    expect(() => findCrs('EPSG:31300')).toThrow(/9803/);
  });
  it('refuses Krovak with southing and westing (5513)', () => {
    expect(() => findCrs('EPSG:5513')).toThrow(/axes/);
  });
});

describe('Snyder 1987, USGS Professional Paper 1395, numerical examples (PROJ strings as composed here)', () => {
  const rows: readonly (readonly [string, string, number, number, number, number, number])[] = [
    ['Mercator p. 266', '+proj=merc +lon_0=180 +k=1', 35, -75, 11688673.7, 4139145.6, 0.07], // hand arithmetic in the book
    ['Transverse Mercator p. 269', '+proj=tmerc +lat_0=0 +lon_0=-75 +k=0.9996', 40.5, -73.5, 127106.5, 4484124.4, 0.05],
    ['Albers p. 292', '+proj=aea +lat_0=23 +lon_0=-96 +lat_1=29.5 +lat_2=45.5', 35, -75, 1885472.7, 1535925.0, 0.05],
    ['Lambert p. 296', '+proj=lcc +lat_0=23 +lon_0=-96 +lat_1=33 +lat_2=45', 35, -75, 1894410.9, 1564649.5, 0.05],
    ['Polyconic p. 304', '+proj=poly +lat_0=30 +lon_0=-96', 40, -75, 1776774.54, 1319657.78, 0.005],
    ['Azimuthal equal-area p. 334', '+proj=laea +lat_0=40 +lon_0=-100', 30, -110, -965932.11, -1056814.93, 0.005],
  ];
  it.each(rows)('%s', (_name, projection, lat, lon, e, n, tolerance) => {
    const crs = { ...findCrs('EPSG:32610'), proj: `${projection} +x_0=0 +y_0=0 +ellps=clrk66 +units=m` };
    const [x, y] = forward(transformFor(crs), lon, lat);
    expect(Math.abs(x - e)).toBeLessThanOrEqual(tolerance);
    expect(Math.abs(y - n)).toBeLessThanOrEqual(tolerance);
  });
  it('Polar stereographic p. 314: the book rounds rho, so half a metre', () => {
    const proj = '+proj=stere +lat_0=-90 +lon_0=-100 +k=0.994 +x_0=0 +y_0=0 +ellps=intl +units=m';
    const [x, y] = forward(transformFor({ ...findCrs('EPSG:32610'), proj }), 150, -75);
    expect(Math.abs(x - -1573645.4)).toBeLessThan(0.5);
    expect(Math.abs(y - -572760.1)).toBeLessThan(0.5);
  });
});

describe('national worked examples', () => {
  it('Ordnance Survey, A Guide to Coordinate Systems in Great Britain, annexe C', () => {
    const [e, n] = forward(onOwnDatum('EPSG:27700'), dms('E', 1, 43, 4.5177), dms('N', 52, 39, 27.2531));
    expect(Math.abs(e - 651409.903)).toBeLessThan(0.0006);
    expect(Math.abs(n - 313177.27)).toBeLessThan(0.0006);
  });

  it('the same point on WGS 84, published as 52 39 28.723 N 1 42 57.787 E: within the 2 m of the Helmert shift', () => {
    const t = transformFor(findCrs('EPSG:27700'));
    const [lon, lat] = inverse(t, 651409.903, 313177.27);
    // computed: cs2cs with the same seven parameters gives 1.71605199, 52.65797860; 4 mm is the published agreement.
    expect(Math.hypot((lon - 1.71605199) * 67_600, (lat - 52.6579786) * 111_270)).toBeLessThan(0.004);
    const east = (lon - dms('E', 1, 42, 57.787)) * 67_600;
    const north = (lat - dms('N', 52, 39, 28.723)) * 111_270;
    expect(Math.hypot(east, north)).toBeLessThan(2.5);
    const [e, n] = forward(t, lon, lat);
    expect(Math.hypot(e - 651409.903, n - 313177.27)).toBeLessThan(1e-4);
  });

  // GDA Technical Manual. Its convergence has the other sign: -1 35 03.65 there is 1 35 03.65 clockwise here.
  it.each(['EPSG:28355', 'EPSG:7855'])('Flinders Peak in %s', (code) => {
    const t = transformFor(findCrs(code));
    const lat = dms('S', 37, 57, 3.7203);
    const lon = dms('E', 144, 25, 29.5244);
    const [e, n] = forward(t, lon, lat);
    expect(Math.abs(e - 273741.297)).toBeLessThan(0.0006);
    expect(Math.abs(n - 5796489.777)).toBeLessThan(0.0006);
    expect(Math.abs(t.convergence(lon, lat) - dms('E', 1, 35, 3.65))).toBeLessThan(0.005 / 3600 + 1e-9);
    expect(t.convergence(lon, lat)).toBeCloseTo(1.5843465, 6); // computed
  });
  it('Buninyong, from memory', () => {
    const [e, n] = forward(transformFor(findCrs('EPSG:28355')), dms('E', 143, 55, 35.3839), dms('S', 37, 39, 10.1561));
    expect(Math.abs(e - 228854.052)).toBeLessThan(0.001);
    expect(Math.abs(n - 5828259.038)).toBeLessThan(0.001);
  });

  it('NGS NCAT: South Dakota North, NAD83(2011), US survey feet, to UTM 13N', () => {
    const grid = transformFor(findCrs('EPSG:6572'));
    const [lon, lat] = inverse(grid, 1002231.06, 735056.25);
    expect(lat).toBeCloseTo(45.787414064, 8);
    expect(lon).toBeCloseTo(-103.788872, 8);
    const [e, n] = forward(transformFor(findCrs('EPSG:6342')), lon, lat);
    expect(Math.abs(e - 594138.761)).toBeLessThan(0.001);
    expect(Math.abs(n - 5071141.376)).toBeLessThan(0.001);
    expect(Math.abs(grid.convergence(lon, lat) - dms('W', 2, 40, 53.5))).toBeLessThan(0.05 / 3600);
    expect(grid.convergence(lon, lat)).toBeCloseTo(-2.6815294, 6); // computed
  });

  // IOGP GIGS test data 5103 parts 2 and 3 (as in OSGeo/PROJ test/gigs): one place in two feet.
  const gigs: readonly (readonly [number, number, number, number, number, number])[] = [
    [49, -110, 2003937.27, 6452491.7, 2003933.27, 6452478.8],
    [41, -110, 2054436.57, 3527302.73, 2054432.46, 3527295.67],
    [41, -102, 4257435.06, 3666924.89, 4257426.54, 3666917.56],
  ];
  it.each(gigs)('GIGS Utah North at %d, %d: EPSG:2921 (ft) and EPSG:3568 (ftUS)', (lat, lon, e, n, eUs, nUs) => {
    const [x, y] = forward(transformFor(findCrs('EPSG:2921')), lon, lat);
    const [xUs, yUs] = forward(transformFor(findCrs('EPSG:3568')), lon, lat);
    expect(Math.abs(x - e)).toBeLessThanOrEqual(0.0052);
    expect(Math.abs(y - n)).toBeLessThanOrEqual(0.0052);
    expect(Math.abs(xUs - eUs)).toBeLessThanOrEqual(0.0052);
    expect(Math.abs(yUs - nUs)).toBeLessThanOrEqual(0.0052);
    expect(x * FT).toBeCloseTo(xUs * FTUS, 3); // the same metres, but for how each foot rounds its false easting
  });

  it('GIGS 5101 part 1: transverse Mercator far from its meridian', () => {
    const proj = '+proj=tmerc +lat_0=49 +lon_0=-2 +k=0.9996012717 +x_0=400000 +y_0=-100000 +ellps=WGS84 +units=m';
    const t = transformFor({ ...findCrs('EPSG:32630'), proj });
    for (const [lon, lat, e, n] of [
      [3, 80, 496813.178, 3358297.326],
      [3, 0, 957087.829, -5527462.686],
      [-2, 80, 400000, 3354134.429],
    ] as const) {
      const [x, y] = forward(t, lon, lat);
      expect(Math.abs(x - e)).toBeLessThan(0.0011);
      expect(Math.abs(y - n)).toBeLessThan(0.0011);
    }
  });
});

describe('UTM (computed with GeoConvert and PROJ)', () => {
  it.each([
    [40.5, -73.5, 'EPSG:32618', 627103.087305, 4484335.401661],
    [33.3, 44.4, 'EPSG:32638', 444140.544918, 3684706.35555], // the GeographicLib manual's point
    [38.8977, -77.0365, 'EPSG:32618', 323394.296412, 4307395.63384],
    [-33.8568, 151.2153, 'EPSG:32756', 334900.569652, 6252288.752888],
    [60, 4.5, 'EPSG:32632', 249129.549, 6659949.574], // Norway's zone 32 reaches over zone 31
  ] as const)('%d, %d in %s', (lat, lon, code, e, n) => {
    const [x, y] = forward(transformFor(findCrs(code)), lon, lat);
    expect(Math.abs(x - e)).toBeLessThan(0.0006);
    expect(Math.abs(y - n)).toBeLessThan(0.0006);
  });
});

describe('State Plane in feet (computed with PROJ, in the unit of the zone)', () => {
  const rows: readonly (readonly [string, 'ft' | 'ftUS', number, number, number, number])[] = [
    ['EPSG:2264', 'ftUS', 35.5, -79.0, 2000000.0, 636902.6808],
    ['EPSG:2277', 'ftUS', 30.3, -97.7, 3127546.4425, 10082681.2304],
    ['EPSG:2229', 'ftUS', 34.0, -118.3, 6470736.4043, 1822517.8355],
    ['EPSG:3435', 'ftUS', 41.9, -87.7, 1156667.7222, 1906786.3257],
    ['EPSG:6539', 'ftUS', 40.8, -73.5, 1122681.7035, 231133.6462],
    ['EPSG:2263', 'ftUS', 40.7, -74.0, 984250.0, 194305.3389],
    ['EPSG:2225', 'ftUS', 40.8, -123.5, 6146431.3028, 2178269.1735],
    ['EPSG:2227', 'ftUS', 37.5, -122.0, 6126548.2445, 2008012.8128],
    ['EPSG:2285', 'ftUS', 47.6, -122.3, 1278588.8793, 222309.7991],
    ['EPSG:2240', 'ftUS', 33.75, -84.4, 2225660.7199, 1364173.4021],
    ['EPSG:2236', 'ftUS', 26.1, -80.2, 918709.2402, 642842.7472],
    ['EPSG:6588', 'ftUS', 30.3, -97.7, 2378772.1598, 14022542.1373],
    ['EPSG:2269', 'ft', 45.4, -122.7, 7637093.7834, 639620.1129],
    ['EPSG:2913', 'ft', 45.4, -122.7, 7637093.7834, 639620.1129],
    ['EPSG:2273', 'ft', 34.0, -81.0, 2000000.0, 788303.8676],
    ['EPSG:3361', 'ft', 34.0, -81.0, 2000000.0, 788303.8676],
    ['EPSG:2253', 'ft', 42.3, -83.5, 13357813.3963, 292750.4342],
    ['EPSG:2868', 'ft', 33.4, -112.0, 674568.0347, 873075.5193],
    ['EPSG:2256', 'ft', 46.6, -112.0, 1340516.9005, 866772.3639],
  ];
  it.each(rows)('%s in %s', (code, unit, lat, lon, e, n) => {
    const crs = findCrs(code);
    expect(crs.unit).toBe(unit);
    const t = transformFor(crs);
    const [x, y] = forward(t, lon, lat);
    expect(Math.abs(x - e)).toBeLessThan(0.0001);
    expect(Math.abs(y - n)).toBeLessThan(0.0001);
    const [lon2, lat2] = inverse(t, x, y);
    expect(Math.abs(lon2 - lon)).toBeLessThan(1e-10);
    expect(Math.abs(lat2 - lat)).toBeLessThan(1e-10);
  });

  it('a foot taken for the other moves Oregon by 4.7 m, Michigan by 8.1 m', () => {
    for (const [code, lon, lat, metres] of [
      ['EPSG:2913', -122.7, 45.4, 4.67],
      ['EPSG:2253', -83.5, 42.3, 8.145],
    ] as const) {
      const [x, y] = forward(transformFor(findCrs(code)), lon, lat);
      expect(Math.hypot(x, y) * (FTUS - FT)).toBeCloseTo(metres, 2);
    }
  });
});

describe('Web Mercator is not a grid to measure in', () => {
  it.each([
    [30.3, 1.341468, 1.34591],
    [51.5, 2.580482, 2.57661],
  ])(
    'at %d N an area is blown up about %d times (secant squared), %d on the ellipsoid (proj -S)',
    (lat, sphere, scale) => {
      expect(1 / Math.cos((lat * Math.PI) / 180) ** 2).toBeCloseTo(sphere, 6);
      const t = transformFor(findCrs('EPSG:3857'));
      const d = 1e-4;
      const [x0] = forward(t, 0, lat);
      const [x1] = forward(t, d, lat);
      const [, y0] = forward(t, 0, lat - d / 2);
      const [, y1] = forward(t, 0, lat + d / 2);
      const sin = Math.sin((lat * Math.PI) / 180);
      const w = 1 - 0.00669437999014 * sin * sin;
      const east = ((d * Math.PI) / 180) * (6378137 / Math.sqrt(w)) * Math.cos((lat * Math.PI) / 180);
      const north = ((d * Math.PI) / 180) * ((6378137 * (1 - 0.00669437999014)) / w ** 1.5);
      expect(((x1 - x0) * (y1 - y0)) / (east * north)).toBeCloseTo(scale, 4);
    },
  );
});

describe('real .prj texts (ESRI WKT1, as found in public files)', () => {
  const gcs = (name: string, datum: string) =>
    `GEOGCS["${name}",DATUM["${datum}",SPHEROID["GRS_1980",6378137.0,298.257222101]],PRIMEM["Greenwich",0.0],UNIT["Degree",0.0174532925199433]]`;
  const nad83 = gcs('GCS_North_American_1983', 'D_North_American_1983');
  const feet = 'UNIT["Foot_US",0.3048006096012192]]';
  const lambert = (name: string, g: string, fe: string, fn: string, lon: string, a: string, b: string, lat: string) =>
    `PROJCS["${name}",${g},PROJECTION["Lambert_Conformal_Conic"],PARAMETER["False_Easting",${fe}],PARAMETER["False_Northing",${fn}],PARAMETER["Central_Meridian",${lon}],PARAMETER["Standard_Parallel_1",${a}],PARAMETER["Standard_Parallel_2",${b}],PARAMETER["Latitude_Of_Origin",${lat}],${feet}`;
  const rows: readonly (readonly [string, string, number, number, number, number])[] = [
    [
      lambert(
        'NAD_1983_StatePlane_North_Carolina_FIPS_3200_Feet',
        nad83,
        '2000000.002616666',
        '0.0',
        '-79.0',
        '34.33333333333334',
        '36.16666666666666',
        '33.75',
      ),
      'EPSG:2264',
      35.5,
      -79,
      2000000.0,
      636902.6808,
    ],
    [
      lambert(
        'NAD_1983_StatePlane_Texas_Central_FIPS_4203_Feet',
        nad83,
        '2296583.333333333',
        '9842500.0',
        '-100.3333333333333',
        '30.11666666666667',
        '31.88333333333333',
        '29.66666666666667',
      ),
      'EPSG:2277',
      30.3,
      -97.7,
      3127546.4425,
      10082681.2304,
    ],
    [
      lambert(
        'NAD_1983_StatePlane_California_V_FIPS_0405_Feet',
        nad83,
        '6561666.666666666',
        '1640416.666666667',
        '-118.0',
        '34.03333333333333',
        '35.46666666666667',
        '33.5',
      ),
      'EPSG:2229',
      34,
      -118.3,
      6470736.4043,
      1822517.8355,
    ],
    [
      lambert(
        'NAD_1983_2011_StatePlane_New_York_Long_Isl_FIPS_3104_Ft_US',
        gcs('GCS_NAD_1983_2011', 'D_NAD_1983_2011'),
        '984250.0',
        '0.0',
        '-74.0',
        '40.66666666666666',
        '41.03333333333333',
        '40.16666666666666',
      ),
      'EPSG:6539',
      40.8,
      -73.5,
      1122681.7035,
      231133.6462,
    ],
    [
      `PROJCS["NAD_1983_StatePlane_Illinois_East_FIPS_1201_Feet",${nad83},PROJECTION["Transverse_Mercator"],PARAMETER["False_Easting",984250.0],PARAMETER["False_Northing",0.0],PARAMETER["Central_Meridian",-88.33333333333333],PARAMETER["Scale_Factor",0.999975],PARAMETER["Latitude_Of_Origin",36.66666666666666],${feet}`,
      'EPSG:3435',
      41.9,
      -87.7,
      1156667.7222,
      1906786.3257,
    ],
  ];
  it.each(rows.map((row) => [row[1], row] as const))(
    'is %s, to the registry figure',
    (_code, [text, code, lat, lon, e, n]) => {
      const crs = crsFromWkt(text, 'file.prj');
      expect(crs.code).toBe(code);
      const [x, y] = forward(transformFor(crs), lon, lat);
      expect(Math.abs(x - e)).toBeLessThan(0.0001);
      expect(Math.abs(y - n)).toBeLessThan(0.0001);
    },
  );
});

describe('the traps of proj4 that the table avoids', () => {
  const table = readFileSync(new URL('../../src/crs/tables/all.ts', import.meta.url), 'utf8');
  it('every string states its false origin, and no unit is a fraction', () => {
    const templates = /TEMPLATES: string = `([^`]*)`/.exec(table)?.[1]?.split('\n') ?? [];
    expect(templates.length).toBeGreaterThan(10);
    for (const t of templates) expect(t).toMatch(/ x_0 y_0\b/);
    expect(findCrs('EPSG:2264').proj).not.toMatch(/to_meter|\//);
  });
  it('proj4 still reads +to_meter=1200/3937 as 1200: if this fails, the trap is gone', () => {
    const [x] = proj4('+proj=merc +lon_0=0 +k=1 +x_0=0 +y_0=0 +ellps=GRS80 +to_meter=1200/3937', [1, 0]);
    expect(x).toBeCloseTo(111319.49 / 1200, 1);
  });
  it('Alaska zone 1 (oblique Mercator), which WKT 2 would put 622 km away', () => {
    // computed with PROJ 9.1.1
    const [e, n] = forward(transformFor(findCrs('EPSG:26931')), -134.4, 58.3);
    expect(e).toBeCloseTo(775672.462, 3);
    expect(n).toBeCloseTo(720098.3296, 3);
  });
});
