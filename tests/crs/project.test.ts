// What a layer says of its coordinates, and what becomes of it: codes, .prj texts, assignment, findings about places.

import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { rows, unfold } from '../../src/crs/crs-table.js';
import {
  assignCrs,
  CRS84,
  checkPositions,
  crsFromWkt,
  findCrs,
  PLANE_STEP,
  placeLayers,
  resolveStatement,
  transformFor,
} from '../../src/crs/index.js';
import { parseWkt } from '../../src/crs/wkt/wkt-tree.js';
import { InputError } from '../../src/model/findings.js';
import type { CrsStatement, Layer, LayerRole } from '../../src/model/index.js';
import { LayerBuilder } from '../../src/model/index.js';
import { forward } from '../support/geodesy.js';

function layerOf(name: string, points: readonly (readonly [number, number])[], crs: CrsStatement | null = null): Layer {
  const b = new LayerBuilder(name, 'csv');
  for (const [i, [x, y]] of points.entries()) {
    b.begin('point');
    b.part();
    b.ring();
    b.vertex(x, y);
    b.end({ tag: `T${i}` }, `T${i}`);
  }
  return b.finish({ crs, sha256: null });
}

function errorOf(run: () => unknown): InputError {
  try {
    run();
  } catch (error) {
    if (error instanceof InputError) return error;
    throw error;
  }
  throw new Error('no error');
}

const OREGON = [7637093.78, 639620.11] as const; // EPSG:2913, feet: -122.7, 45.4

describe('findCrs', () => {
  it.each([
    'EPSG:2913',
    'epsg:2913',
    '2913',
    ' EPSG:2913 ',
    'EPSG::2913',
    'urn:ogc:def:crs:EPSG::2913',
    'urn:ogc:def:crs:EPSG:9.8:2913',
    'http://www.opengis.net/def/crs/EPSG/0/2913',
    'https://www.opengis.net/def/crs/EPSG/0/2913',
    'http://www.opengis.net/gml/srs/epsg.xml#2913',
  ])('%s', (code) => {
    const crs = findCrs(code);
    expect(crs.code).toBe('EPSG:2913');
    expect(crs.name).toBe('NAD83(HARN) / Oregon North (ft)');
    expect(crs.unit).toBe('ft');
    expect(crs.metresPerUnit).toBe(0.3048);
    expect(crs.datum).toEqual({ name: 'NAD83(HARN)', operation: 'taken as WGS 84 (EPSG:1580)', accuracyM: 2 });
    expect(crs.areaOfUse).toEqual([-124.17, 43.95, -116.47, 46.26]);
  });

  it.each(['OGC:CRS84', 'CRS84', 'urn:ogc:def:crs:OGC:1.3:CRS84', 'http://www.opengis.net/def/crs/OGC/1.3/CRS84'])(
    '%s is longitude, latitude',
    (code) => expect(findCrs(code)).toBe(CRS84),
  );

  it('EPSG:4326 and an URN of it are longitude, latitude too: axis order never flips', () => {
    const t = transformFor(findCrs('urn:ogc:def:crs:EPSG::4326'));
    expect(forward(t, -122.7, 45.4)).toEqual([-122.7, 45.4]);
    expect(t.convergence(-122.7, 45.4)).toBe(0);
    // 2193 is northing, easting in the registry
    const [e, n] = forward(transformFor(findCrs('EPSG:2193')), 174.77, -36.86);
    expect(e).toBeGreaterThan(1_700_000);
    expect(e).toBeLessThan(1_800_000);
    expect(n).toBeGreaterThan(5_900_000);
  });

  it('the three kinds of foot and metre stay apart', () => {
    expect(findCrs('EPSG:2264').metresPerUnit).toBe(1200 / 3937);
    expect(findCrs('EPSG:2264').unit).toBe('ftUS');
    expect(findCrs('EPSG:32119').unit).toBe('m');
    expect(findCrs('EPSG:30200').unit).toBe('other');
    expect(findCrs('local:ft').metresPerUnit).toBe(0.3048);
    expect(findCrs('local:ftUS').metresPerUnit).toBe(1200 / 3937);
    expect(findCrs('local:m').kind).toBe('local');
  });

  it('Web Mercator under its many numbers', () => {
    for (const code of ['3857', 'EPSG:900913', 'ESRI:102100', '102113']) expect(findCrs(code).code).toBe('EPSG:3857');
  });

  it('an unknown code is wrong usage and names its neighbours', () => {
    const error = errorOf(() => findCrs('EPSG:29133'));
    expect(error.code).toBe('crs-unknown');
    expect(error.usage).toBe(true);
    expect(error.cure).toContain('EPSG:2913 (NAD83(HARN) / Oregon North (ft))');
    expect(errorOf(() => findCrs('oregon north')).cure).toContain('EPSG:2269');
    expect(errorOf(() => findCrs('local:yd')).cure).toContain('local:ftUS');
    expect(errorOf(() => findCrs('')).cure).toContain('EPSG:2913');
  });

  it('a code that is left out says why', () => {
    expect(errorOf(() => findCrs('EPSG:2048')).message).toContain('axes point west and south');
    expect(errorOf(() => findCrs('EPSG:31300')).message).toContain('9803');
  });

  it('has every State Plane zone of NAD83, HARN, NSRS2007, 2011 and NAD27, and the grids people ask for', () => {
    const all = JSON.parse(
      readFileSync(createRequire(import.meta.url).resolve('epsg-index/all.json'), 'utf8'),
    ) as Record<string, { kind: string; name: string; wkt: string | null }>;
    const missing: string[] = [];
    let wanted = 0;
    for (const [code, { kind, name, wkt }] of Object.entries(all)) {
      if (kind !== 'CRS-PROJCRS' || wkt === null || /AUTHORITY\["ESRI"/.test(wkt.slice(-30))) continue;
      if (!/^(NAD83|NAD27|WGS 84 \/ UTM|ETRS89 \/ UTM|GDA94 \/ MGA|GDA2020 \/ MGA)/.test(name)) continue;
      if (name.includes('grid system')) continue; // all zones under one code: no coordinates of its own
      wanted++;
      if (!rows().has(Number(code))) missing.push(`${code} ${name}`);
    }
    expect(wanted).toBeGreaterThan(1800);
    expect(missing).toEqual([]);
    for (const code of [27700, 2154, 2193, 3857, 31370, 28992, 2056, 21781, 5514, 3067, 27572])
      expect(rows().has(code), String(code)).toBe(true);
  });
});

describe('datums', () => {
  it('one family, one shift: NAD83, HARN and 2011 lie on each other, and each says how good that is', () => {
    for (const code of ['EPSG:2269', 'EPSG:2913', 'EPSG:6885', 'EPSG:26910']) {
      expect(findCrs(code).proj).not.toContain('towgs84');
      expect(findCrs(code).datum.operation).toContain('taken as WGS 84');
      expect(findCrs(code).datum.accuracyM).toBeGreaterThan(0);
    }
    expect(findCrs('EPSG:28355').datum.accuracyM).toBe(1.8);
    expect(findCrs('EPSG:27700').datum.operation).toContain('EPSG:1314');
    expect(findCrs('EPSG:27700').datum.accuracyM).toBe(2);
  });
  it('NAD27 moves by tens of metres and says that ten are at stake', () => {
    const crs = findCrs('EPSG:26729'); // Alabama East
    expect(crs.datum.accuracyM).toBeGreaterThanOrEqual(5);
    const shifted = forward(transformFor(crs), -86, 32.5);
    const own = forward(transformFor({ ...crs, proj: crs.proj.replace(/ \+towgs84=\S+/, '') }), -86, 32.5);
    const metres = Math.hypot(shifted[0] - own[0], shifted[1] - own[1]) * crs.metresPerUnit;
    expect(metres).toBeGreaterThan(5);
    expect(metres).toBeLessThan(200);
  });
});

describe('transformFor', () => {
  it('far from the origin: the same job at 7,600,000 ft and at 0 agrees', () => {
    const t = transformFor(findCrs('EPSG:2913'));
    const [x, y] = forward(t, -122.7, 45.4);
    const step = Float64Array.of(x, y, x + 1, y, x, y + 1);
    t.toLonLat(step);
    t.fromLonLat(step);
    expect(Math.abs(step[2]! - x - 1)).toBeLessThan(1e-7);
    expect(Math.abs(step[5]! - y - 1)).toBeLessThan(1e-7);
  });
  it('a place with no image becomes NaN, never an error, and leaves its neighbours alone', () => {
    const t = transformFor(findCrs('EPSG:2913'));
    const xy = Float64Array.of(Number.NaN, 1, ...OREGON, Number.POSITIVE_INFINITY, 0, 1e300, 1e300);
    t.toLonLat(xy);
    expect(xy[0]).toBeNaN();
    expect(xy[2]).toBeCloseTo(-122.7, 7);
    expect(xy[3]).toBeCloseTo(45.4, 7);
    expect(xy[4]).toBeNaN();
    t.toLonLat(new Float64Array(0));
  });
  it('local systems have no longitude: their columns hold scaled metres, there and back', () => {
    const t = transformFor(findCrs('local:ft'));
    const xy = Float64Array.of(PLANE_STEP / 0.3048, 0, Number.NaN, 1);
    t.toLonLat(xy);
    expect(xy[0]).toBeCloseTo(1, 12);
    expect(xy[2]).toBeNaN();
    expect(t.convergence(0, 0)).toBe(0);
    t.fromLonLat(xy);
    expect(xy[0]).toBeCloseTo(PLANE_STEP / 0.3048, 6);
  });
  it('there and back within 0.1 mm, whatever the datum', () => {
    for (const code of [
      'EPSG:2913',
      'EPSG:27700',
      'EPSG:31467',
      'EPSG:26729',
      'EPSG:27572',
      'EPSG:4267',
      'EPSG:3857',
    ]) {
      const crs = findCrs(code);
      const [w = 0, s = 0, e = 0, n = 0] = crs.areaOfUse ?? [];
      const t = transformFor(crs);
      fc.assert(
        fc.property(fc.double({ min: 0, max: 1, noNaN: true }), fc.double({ min: 0, max: 1, noNaN: true }), (u, v) => {
          const lon = w + (e - w) * u;
          const lat = s + (n - s) * v;
          const xy = Float64Array.of(lon, lat);
          t.fromLonLat(xy);
          t.toLonLat(xy);
          expect(Math.hypot(((((xy[0]! - lon) % 360) + 540) % 360) - 180, xy[1]! - lat) * 111_320, code).toBeLessThan(
            1e-4,
          );
        }),
        { numRuns: 50 },
      );
    }
  });
});

const NC =
  'PROJCS["NAD_1983_StatePlane_North_Carolina_FIPS_3200_Feet",GEOGCS["GCS_North_American_1983",DATUM["D_North_American_1983",SPHEROID["GRS_1980",6378137.0,298.257222101]],PRIMEM["Greenwich",0.0],UNIT["Degree",0.0174532925199433]],PROJECTION["Lambert_Conformal_Conic"],PARAMETER["False_Easting",2000000.002616666],PARAMETER["False_Northing",0.0],PARAMETER["Central_Meridian",-79.0],PARAMETER["Standard_Parallel_1",34.33333333333334],PARAMETER["Standard_Parallel_2",36.16666666666666],PARAMETER["Latitude_Of_Origin",33.75],UNIT["Foot_US",0.3048006096012192]]';
const VERTCS =
  'VERTCS["NAVD_1988",VDATUM["North_American_Vertical_Datum_1988"],PARAMETER["Vertical_Shift",0.0],PARAMETER["Direction",1.0],UNIT["Foot_US",0.3048006096012192]]';

describe('.prj texts', () => {
  it.each([
    ['as it is', NC],
    ['with a VERTCS after it', `${NC},${VERTCS}`],
    ['inside a COMPD_CS', `COMPD_CS["both",${NC},${VERTCS}]`],
    ['with a BOM and CRLF', `\uFEFF${NC.replaceAll(',PARAMETER', ',\r\n  PARAMETER')}\r\n`],
    ['in lower-case keywords', NC.replace(/[A-Z]+(?=\[)/g, (k) => k.toLowerCase())],
    ['in lower-case parameter names', NC.replace(/"(False|Central|Standard|Latitude)[^"]*"/g, (k) => k.toLowerCase())],
    ['in round brackets', NC.replaceAll('[', '(').replaceAll(']', ')')],
    [
      'with parallels the other way round',
      NC.replace('34.33333333333334', 'X')
        .replace('36.16666666666666', '34.33333333333334')
        .replace('X', '36.16666666666666'),
    ],
    ['with an ESRI authority', NC.replace(/\]$/, ',AUTHORITY["ESRI",102719]]')],
    ['with the unit to 15 digits', NC.replace('0.3048006096012192', '0.304800609601219')],
  ])('%s', (_name, text) => {
    expect(crsFromWkt(text, 'trees.shp').code).toBe('EPSG:2264');
  });

  it('the international foot in the same text is another system', () => {
    const crs = crsFromWkt(NC.replace('"Foot_US",0.3048006096012192', '"Foot",0.3048'), 'trees.shp');
    expect(crs.code).toBe('custom');
    expect(crs.unit).toBe('ft');
  });

  it('a code whose numbers agree is taken; one whose numbers do not is said', () => {
    expect(crsFromWkt(NC.replace(/\]$/, ',AUTHORITY["EPSG","2264"]]'), 'x').code).toBe('EPSG:2264');
    const wrong = {
      from: 'prj',
      text: NC.replace('-79.0', '-78.0').replace(/\]$/, ',AUTHORITY["EPSG","2264"]]'),
    } as const;
    const { assigned, findings } = assignCrs([{ role: 'trees', layer: layerOf('t.shp', [[2e6, 6e5]], wrong) }]);
    expect(assigned[0]?.crs.code).toBe('custom');
    expect(findings.map((f) => [f.code, f.severity])).toContainEqual(['crs-code-mismatch', 'warning']);
    expect(findings.find((f) => f.code === 'crs-code-mismatch')?.message).toContain('EPSG:2264');
  });

  it('a system of one site gets a string of ours, right to the PROJ of the same parameters', () => {
    const text = `PROJCS["Site grid",GEOGCS["GCS_NAD_1983_2011",DATUM["D_NAD_1983_2011",SPHEROID["GRS_1980",6378137,298.257222101]],PRIMEM["Greenwich",0],UNIT["Degree",0.0174532925199433]],PROJECTION["Transverse_Mercator"],PARAMETER["False_Easting",100000],PARAMETER["False_Northing",50000],PARAMETER["Central_Meridian",-122.5],PARAMETER["Scale_Factor",1.00012],PARAMETER["Latitude_Of_Origin",45.25],UNIT["Foot",0.3048]]`;
    const crs = crsFromWkt(text, 'site.shp');
    expect(crs.code).toBe('custom');
    expect(crs.datum.name).toBe('NAD83(2011)');
    expect(crs.proj).toContain('+x_0=30480 ');
    const [x, y] = forward(transformFor(crs), -122.5, 45.25);
    expect(x).toBeCloseTo(100000, 6);
    expect(y).toBeCloseTo(50000, 6);
  });

  it('a GEOGCS is degrees; grads and other bodies are refused', () => {
    const text =
      'GEOGCS["GCS_WGS_1984",DATUM["D_WGS_1984",SPHEROID["WGS_1984",6378137,298.257223563]],PRIMEM["Greenwich",0],UNIT["Degree",0.0174532925199433]]';
    expect(crsFromWkt(text, 'x').code).toBe('EPSG:4326');
    expect(
      errorOf(() => crsFromWkt(text.replace('"Degree",0.0174532925199433', '"Grad",0.01570796326794897'), 'x')).message,
    ).toContain('Grad');
    expect(
      errorOf(() =>
        crsFromWkt(
          'GEOGCS["GCS_Mars",DATUM["D_Mars",SPHEROID["Mars",3396190,169.9]],PRIMEM["R",0],UNIT["Degree",0.0174532925199433]]',
          'x',
        ),
      ).code,
    ).toBe('crs-unreadable');
  });

  it.each([
    ['', /cannot be read/],
    ['no wkt at all', /cannot be read/],
    [NC.slice(0, 200), /cannot be read/],
    ['PROJCRS["x",BASEGEOGCRS["y"]]', /ellipsoid/],
    ['{"type":"ProjectedCRS","name":"x"}', /ellipsoid/],
    ['{"type":"ProjectedCRS"', /PROJJSON/],
    ['{"type":"VerticalCRS","name":"x"}', /VERTCRS/],
    ['{"type":7}', /PROJJSON/],
    ['ENGCRS["site",EDATUM["d"],CS[Cartesian,2]]', /local system/],
    ['LOCAL_CS["site",UNIT["Foot",0.3048]]', /local system/],
    ['GEOCCS["x",DATUM["y",SPHEROID["z",6378137,298]]]', /GEOCCS/],
    [NC.replace('Lambert_Conformal_Conic', 'Robinson'), /Robinson/],
    [NC.replace(',UNIT["Foot_US",0.3048006096012192]', ''), /unit/],
  ])('refuses %.20s with the cure', (text, message) => {
    const error = errorOf(() => crsFromWkt(text, 'lots.shp'));
    expect(error.message).toMatch(message);
    expect(error.layer).toBe('lots.shp');
    expect(error.cure).toContain('--crs');
    expect(error.usage).toBe(false);
  });

  it('any text at all gives a system or an InputError', () => {
    const bits = fc.constantFrom('PROJCS', 'GEOGCS', 'UNIT', '[', ']', ',', '"a"', '1', '"', '-', 'DATUM', '(', ' ');
    fc.assert(
      fc.property(
        fc.oneof(
          fc.string(),
          fc.array(bits).map((b) => b.join('')),
        ),
        (text) => {
          try {
            crsFromWkt(text, 'x');
          } catch (error) {
            expect(error).toBeInstanceOf(InputError);
          }
        },
      ),
    );
  });

  it('the tree: texts with doubled quotes, numbers, nesting; depth is bounded', () => {
    expect(parseWkt('A["x ""y""",-1.5e3,B[NORTH]]')).toEqual({
      keyword: 'A',
      values: ['x "y"', -1500, { keyword: 'B', values: ['NORTH'] }],
    });
    expect(parseWkt('A['.repeat(100_000))).toBeUndefined();
  });

  it('WKT of the registry itself, its codes taken away, finds the same definition (a sample)', () => {
    const all = JSON.parse(
      readFileSync(createRequire(import.meta.url).resolve('epsg-index/all.json'), 'utf8'),
    ) as Record<string, { wkt: string | null }>;
    const odd: string[] = [];
    let tried = 0;
    for (const [i, row] of [...rows().values()].entries()) {
      const wkt = all[String(row.code)]?.wkt;
      if (i % 40 !== 0 || !wkt || /"ESRI"/.test(wkt) || /Krovak|Cylindrical_Equal_Area/.test(wkt)) continue;
      tried++;
      const bare = wkt.replace(/,AUTHORITY\[[^\]]*\]/g, '').replace(/,TOWGS84\[[^\]]*\]/g, '');
      const own = unfold(row);
      const found = crsFromWkt(bare, 'x');
      if (found.proj !== own.proj) odd.push(`${own.code} -> ${found.code} ${found.proj}`);
    }
    expect(tried).toBeGreaterThan(100);
    expect(odd).toEqual([]);
  });
});

describe('resolveStatement', () => {
  it('takes codes, URNs, old crs members and WKT', () => {
    expect(resolveStatement({ from: 'crs-member', text: 'urn:ogc:def:crs:EPSG::2913' }, 'x').code).toBe('EPSG:2913');
    expect(resolveStatement({ from: 'crs-member', text: '{"type":"EPSG","properties":{"code":2913}}' }, 'x').code).toBe(
      'EPSG:2913',
    );
    expect(resolveStatement({ from: 'prj', text: NC }, 'x').code).toBe('EPSG:2264');
    expect(resolveStatement({ from: 'rfc7946', text: 'OGC:CRS84' }, 'x')).toBe(CRS84);
  });
  it('what a file states wrongly is the file’s fault, not wrong usage', () => {
    const error = errorOf(() => resolveStatement({ from: 'crs-member', text: 'EPSG:29133' }, 'works.geojson'));
    expect(error.usage).toBe(false);
    expect(error.layer).toBe('works.geojson');
    expect(error.message).toContain('29133');
    expect(errorOf(() => resolveStatement({ from: 'file', text: '+proj=lcc' }, 'x')).cure).toContain('--crs');
  });
});

describe('assignCrs', () => {
  const degrees = layerOf('works.geojson', [[-122.7, 45.4]], { from: 'rfc7946', text: 'OGC:CRS84' });
  const bare = layerOf('trees.csv', [OREGON]);
  const stated = layerOf('lots.shp', [[2000000, 636902]], { from: 'prj', text: NC });
  const one = (layer: Layer, role: LayerRole = 'trees') => ({ role, layer });

  it('own option, own statement, RFC 7946, --crs: in that order', () => {
    const { assigned, findings } = assignCrs([one(bare), one(degrees, 'works'), one(stated, 'lots')], {
      crs: 'EPSG:2913',
    });
    expect(assigned.map((a) => a.crs.code)).toEqual(['EPSG:2913', 'OGC:CRS84', 'EPSG:2264']);
    expect(assigned.map((a) => a.from)).toEqual([
      'by --crs',
      'because it states none and every coordinate fits degrees (RFC 7946); --crs EPSG:2913 is for layers that state none',
      'stated by its .prj; --crs EPSG:2913 is for layers that state none',
    ]);
    expect(findings.map((f) => [f.code, f.layer])).toEqual([
      ['crs-assigned', 'trees.csv'],
      ['crs-assigned', 'works.geojson'],
      ['crs-assigned', 'lots.shp'],
    ]);
  });

  it('an option that overrules the file says so', () => {
    const { assigned } = assignCrs([one(stated, 'lots')], { crsFor: { lots: 'EPSG:6543' } });
    expect(assigned[0]?.crs.code).toBe('EPSG:6543');
    expect(assigned[0]?.from).toBe(
      'by --lots-crs, although the file itself states EPSG:2264 (NAD83 / North Carolina (ftUS))',
    );
    const broken = layerOf('b.shp', [OREGON], { from: 'prj', text: 'rubbish' });
    expect(assignCrs([one(broken)], { crsFor: { trees: 'EPSG:2913' } }).assigned[0]?.from).toContain('cannot be used');
  });

  it('nothing says it: an error with the file, the range and the cure', () => {
    const error = errorOf(() => assignCrs([one(bare)]));
    expect(error.code).toBe('crs-missing');
    expect(error.layer).toBe('trees.csv');
    expect(error.message).toContain('7637093.78, 639620.11');
    expect(error.cure).toContain('--trees-crs');
    expect(errorOf(() => assignCrs([one(layerOf('empty.csv', []))])).message).toContain('no coordinates');
  });

  it('feet said to be degrees, and degrees said to be feet', () => {
    const feet = errorOf(() => assignCrs([one(bare)], { crs: 'EPSG:4326' }));
    expect(feet.code).toBe('crs-degrees');
    expect(feet.message).toContain('look like feet or metres');
    const back = errorOf(() => assignCrs([one(layerOf('t.csv', [[-122.7, 45.4]]))], { crs: 'EPSG:2913' }));
    expect(back.message).toContain('look like longitude, latitude');
    expect(assignCrs([one(layerOf('t.csv', [[12, 30]]))], { crs: 'local:ft' }).assigned[0]?.crs.kind).toBe('local');
  });

  it('local and georeferenced layers cannot be laid together', () => {
    const options = { crsFor: { trees: 'local:ft' } };
    expect(errorOf(() => assignCrs([one(bare), one(degrees, 'works')], options)).code).toBe('crs-local-mixed');
  });
});

describe('checkPositions', () => {
  const place = (
    ...layers: readonly (readonly [LayerRole, string, readonly (readonly [number, number])[], string])[]
  ): { readonly codes: readonly string[]; readonly findings: ReturnType<typeof checkPositions> } => {
    const assigned = layers.map(([role, name, points, code]) => ({
      role,
      layer: layerOf(name, points),
      crs: findCrs(code),
      from: '',
    }));
    const findings = checkPositions(assigned);
    return { codes: findings.map((f) => f.code), findings };
  };
  const grid = (n: number, x0: number, y0: number, step = 10): [number, number][] =>
    Array.from({ length: n }, (_, i) => [x0 + (i % 10) * step, y0 + Math.floor(i / 10) * step]);

  it('a layer in its place has nothing to say', () => {
    expect(place(['trees', 't', grid(100, ...OREGON), 'EPSG:2913']).codes).toEqual([]);
  });

  it('a tree outside the area of use is named, with its id; the rest stay', () => {
    const points = [...grid(30, ...OREGON), [5000, 5000], [Number.NaN, 5]] as [number, number][];
    const { findings } = place(['trees', 't', points, 'EPSG:2913']);
    expect(findings.map((f) => [f.code, f.feature, f.id])).toEqual([['outside-area-of-use', 30, 'T30']]);
    expect(findings[0]?.message).toContain('EPSG:2913');
  });

  it('many are listed up to twenty and then counted', () => {
    const { findings } = place(['trees', 't', grid(100, 5000, 5000), 'EPSG:2913']);
    expect(findings.length).toBe(21);
    expect(findings[20]?.feature).toBeNull();
    expect(findings[20]?.message).toContain('100 of 100');
  });

  it('swapped axes are one finding for the layer', () => {
    const swapped = grid(50, ...OREGON).map(([x, y]): [number, number] => [y, x]);
    expect(place(['trees', 't', swapped, 'EPSG:2913']).codes).toEqual(['axes-swapped']);
    expect(place(['trees', 't', [[45.4, -122.7]], 'EPSG:4326']).codes).toEqual(['axes-swapped']);
  });

  it('the antimeridian is inside an area that spans it', () => {
    const t = transformFor(findCrs('EPSG:3460')); // Fiji
    const points = [forward(t, 179.9, -17), forward(t, -179.9, -17)];
    const codes = place(['trees', 't', points, 'EPSG:3460']).codes;
    expect(codes.filter((code) => code !== 'crs-datum-null')).toEqual([]);
  });

  it('works far away from all trees', () => {
    const { codes, findings } = place(
      ['trees', 't', grid(20, ...OREGON), 'EPSG:2913'],
      ['works', 'w', grid(20, OREGON[0] + 100_000, OREGON[1]), 'EPSG:2913'],
    );
    expect(codes).toEqual(['layers-apart']);
    expect(findings[0]?.message).toContain('30.4 km'); // 100,000 ft less the trees' own width
    expect(
      place(['trees', 't', grid(20, 0, 0), 'local:ft'], ['works', 'w', grid(20, 9000, 0), 'local:ft']).codes,
    ).toEqual(['layers-apart']);
    expect(
      place(['trees', 't', grid(20, 0, 0), 'local:ft'], ['works', 'w', grid(20, 900, 0), 'local:ft']).codes,
    ).toEqual([]);
  });

  it('either side of the antimeridian is near, not far', () => {
    const sides = place(['trees', 't', [[179.9999, 1]], 'EPSG:4326'], ['works', 'w', [[-179.9999, 1]], 'EPSG:4326']);
    expect(sides.codes).toEqual([]);
  });

  it('a layer shifted by the two parts in a million of a wrong foot is suspected; a shift of another size is not', () => {
    const trees = grid(100, ...OREGON);
    const slipped = trees.map(([x, y]): [number, number] => [x * 1.000002000004, y * 1.000002000004]);
    const moved = trees.map(([x, y]): [number, number] => [x + 15.3, y + 15.3]);
    expect(place(['trees', 't', trees, 'EPSG:2913'], ['works', 'w', slipped, 'EPSG:2913']).codes).toEqual([
      'feet-slip',
    ]);
    expect(place(['trees', 't', slipped, 'EPSG:2913'], ['works', 'w', trees, 'EPSG:2913']).codes).toEqual([
      'feet-slip',
    ]);
    expect(place(['trees', 't', trees, 'EPSG:2913'], ['works', 'w', moved, 'EPSG:2913']).codes).toEqual([]);
    expect(place(['trees', 't', trees, 'EPSG:2913'], ['works', 'w', trees, 'EPSG:2913']).codes).toEqual([]);
  });

  it('one zone in two feet is said, with the metres at stake', () => {
    const utah = forward(transformFor(findCrs('EPSG:2921')), -111, 41.5);
    const utahUs = forward(transformFor(findCrs('EPSG:3568')), -111, 41.5);
    const { codes, findings } = place(
      ['trees', 't', grid(20, ...utah), 'EPSG:2921'],
      ['works', 'w', grid(20, ...utahUs), 'EPSG:3568'],
    );
    expect(codes).toEqual(['feet-slip']);
    expect(findings[0]?.message).toMatch(/2\.\d\d m apart/);
  });

  it('datums: a coarse or unknown shift, and layers on two datums', () => {
    const nad27 = forward(transformFor(findCrs('EPSG:26729')), -86, 32.5);
    const nad83 = forward(transformFor(findCrs('EPSG:26929')), -86, 32.5);
    const { codes, findings } = place(['trees', 't', [nad27], 'EPSG:26729'], ['works', 'w', [nad83], 'EPSG:26929']);
    expect(codes).toEqual(['crs-datum-null', 'crs-mixed-datums']);
    expect(findings[0]?.message).toMatch(/NAD27.*accurate to \d+ m only/);
    expect(findings[1]?.message).toMatch(/up to \d+ m apart/);
    const mixed = place(['trees', 't', grid(9, ...OREGON), 'EPSG:2913'], ['works', 'w', [[-122.7, 45.4]], 'OGC:CRS84']);
    expect(mixed.codes).toEqual(['crs-mixed-datums']);
    expect(mixed.findings[0]?.message).toContain('up to 2 m');
  });

  it('layers without coordinates pass', () => {
    expect(place(['trees', 't', [], 'EPSG:2913'], ['works', 'w', [], 'OGC:CRS84']).codes).toEqual([]);
    const { placed, findings } = placeLayers([{ role: 'trees', layer: layerOf('t', [OREGON]) }], { crs: '2913' });
    expect(placed[0]?.transform.crs.code).toBe('EPSG:2913');
    expect(findings.map((f) => f.code)).toEqual(['crs-assigned']);
  });
});
