// Inputs that once passed in silence or were refused without a place: in: each of them; out: the finding or error that
// names layer, feature, place and cure. Dates and lengths against values worked by hand.
import { mkdtempSync, readFileSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { assess } from '../../src/assess/index.js';
import { checkTrees, checkWorks } from '../../src/check/index.js';
import { dayOf } from '../../src/check/survey-date.js';
import { firstOutsideDegrees } from '../../src/crs/bounds.js';
import { assignCrs, crsFromWkt } from '../../src/crs/index.js';
import { InputError } from '../../src/model/findings.js';
import type { Layer } from '../../src/model/index.js';
import { lengthInMetres } from '../../src/model/units.js';
import { readLayer } from '../../src/read/index.js';
import { polygonLayer, treeLayer } from '../support/check-layers.js';
import { run } from '../support/cli.js';
import { bytesOf } from '../support/layers.js';

const geojson = (features: readonly object[], more: object = {}): Layer =>
  readLayer(bytesOf(JSON.stringify({ type: 'FeatureCollection', ...more, features })), { name: 'plan.geojson' });
const feature = (type: string, coordinates: unknown) => ({
  type: 'Feature',
  properties: {},
  geometry: { type, coordinates },
});
const refusal = (act: () => unknown): InputError => {
  try {
    act();
  } catch (error) {
    if (error instanceof InputError) return error;
  }
  throw new Error('not refused');
};

describe('one vertex outside degrees', () => {
  const ring = (stray: readonly [number, number]) => [
    [-122.5, 45.5],
    [-122.4, 45.5],
    stray,
    [-122.5, 45.6],
    [-122.5, 45.5],
  ];
  const sound = ring([-122.4, 45.6]);
  const layer = geojson([
    feature('Polygon', [sound]),
    feature('MultiPolygon', [[sound], [sound, ring([-1224, 45.6])]]),
    feature('Point', [-122.5, 45.5]),
  ]);

  it.each([[{}], [{ crs: 'EPSG:4326' }], [{ crs: 'EPSG:2913' }]])(
    'with %j the others stay in degrees, and it is named',
    (options) => {
      const { assigned } = assignCrs([{ role: 'works', layer }], options);
      expect(assigned[0]?.crs.kind).toBe('geographic');
      expect(assigned[0]?.from).toContain(
        'all but 1 of 21 positions fit degrees (RFC 7946); the first that does not: feature 1, -1224, 45.6',
      );
      const { table, findings } = checkWorks([{ layer, kind: 'building' }], { degrees: new Set([layer]) });
      expect([...table.rejected.keys()]).toContain(1);
      expect(table.rejected.has(0)).toBe(false);
      expect(findings.find(({ feature }) => feature === 1)).toMatchObject({
        code: 'geometry-broken',
        layer: 'plan.geojson',
      });
    },
  );

  it.each([
    ['Point', [-122, 145], 'coordinates'],
    [
      'MultiPoint',
      [
        [1, 1],
        [181, 0],
      ],
      'coordinates[1]',
    ],
    [
      'LineString',
      [
        [1, 1],
        [2, 2],
        [0, -91],
      ],
      'coordinates[2]',
    ],
    [
      'MultiLineString',
      [
        [
          [1, 1],
          [2, 2],
        ],
        [
          [0, 0],
          [500, 2],
        ],
      ],
      'coordinates[1][1]',
    ],
  ])('in a %s', (type, coordinates, path) => {
    const others = [1, 2, 3].map((x) => feature('Point', [x, x]));
    const layer = geojson([...others, ...others, feature(type, coordinates)]);
    expect(firstOutsideDegrees(layer)).toMatchObject({ feature: 6, path });
    expect(assignCrs([{ role: 'trees', layer }]).assigned[0]?.from).toContain('feature 6');
  });

  it('projected coordinates throughout are told by their range, as before', () => {
    const error = refusal(() => assignCrs([{ role: 'trees', layer: geojson([feature('Point', [7650000, 680000])]) }]));
    expect(error.feature).toBeNull();
    expect(error.message).toContain('run from 7650000, 680000');
  });

  it('degrees called projected are named as what they look like', () => {
    const degrees = geojson([feature('Point', [-122.5, 45.5])]);
    const error = refusal(() => assignCrs([{ role: 'trees', layer: degrees }], { crsFor: { trees: 'EPSG:2913' } }));
    expect(error.message).toContain('these look like longitude, latitude');
  });
});

describe('a crs member that is not an object', () => {
  it.each([['EPSG:2913'], [['EPSG', 2913]], [2913], [true]])('%j is told and left aside', (crs) => {
    for (const layer of [
      geojson([feature('Point', [1, 2])], { crs }),
      geojson([feature('Point', [1, 2]), 7 as unknown as object], { crs }), // the other way of reading
    ]) {
      const own = layer.findings.filter((f) => f.code === 'crs-member-broken');
      expect(own.map((f) => f.path)).toEqual(['crs']);
      expect(layer.crs).toEqual({ from: 'rfc7946', text: 'OGC:CRS84' });
    }
  });

  it('null states nothing, by the letter of GeoJSON 2008', () => {
    expect(geojson([feature('Point', [1, 2])], { crs: null }).findings).toEqual([]);
  });
});

describe('words for numbers in a .prj', () => {
  const wkt = (change: (text: string) => string): string =>
    change(
      'PROJCS["NAD_1983_UTM_Zone_10N",GEOGCS["GCS_North_American_1983",DATUM["D_North_American_1983",SPHEROID["GRS_1980",6378137.0,298.257222101]],PRIMEM["Greenwich",0.0],UNIT["Degree",0.0174532925199433]],PROJECTION["Transverse_Mercator"],PARAMETER["False_Easting",500000.0],PARAMETER["False_Northing",0.0],PARAMETER["Central_Meridian",-123.0],PARAMETER["Scale_Factor",0.9996],PARAMETER["Latitude_Of_Origin",0.0],UNIT["Meter",1.0]]',
    );

  it('the text itself is sound', () => {
    expect(
      crsFromWkt(
        wkt((text) => text),
        'x.prj',
      ).code,
    ).toBe('EPSG:26910');
  });

  it.each([
    ['"False_Easting",500000.0', '"False_Easting","abc"', 'its parameter "False_Easting" is "abc"'],
    ['"False_Easting",500000.0', '"False_Easting"', 'its parameter "False_Easting" is nothing'],
    ['-123.0', 'west', 'its parameter "Central_Meridian" is "west"'],
    ['"Greenwich",0.0', '"Greenwich","?"', 'its PRIMEM "Greenwich" is "?"'],
    ['0.0174532925199433', '"deg"', 'its UNIT "Degree" is "deg"'],
    ['298.257222101', '""', 'its SPHEROID "GRS_1980" is ""'],
  ])('%s as %s is refused by name', (from, to, words) => {
    const error = refusal(() =>
      crsFromWkt(
        wkt((text) => text.replace(from, to)),
        'x.prj',
      ),
    );
    expect(error.code).toBe('crs-unreadable');
    expect(error.message).toContain(words);
    expect(error.cure).toContain('--crs');
  });

  it('in WKT 2 and PROJJSON as well', () => {
    const wkt2 =
      'PROJCRS["a",BASEGEOGCRS["WGS 84",DATUM["World Geodetic System 1984",ELLIPSOID["WGS 84",6378137,298.257223563]]],CONVERSION["b",METHOD["Transverse Mercator"],PARAMETER["False easting","abc"]],CS[Cartesian,2],AXIS["e",east],AXIS["n",north],LENGTHUNIT["metre",1]]';
    expect(refusal(() => crsFromWkt(wkt2, 'x')).message).toContain('its parameter "False easting" is "abc"');
    const json = {
      type: 'ProjectedCRS',
      name: 'a',
      conversion: {
        name: 'b',
        method: { name: 'Transverse Mercator' },
        parameters: [{ name: 'False easting', value: 'abc' }],
      },
    };
    expect(refusal(() => crsFromWkt(json, 'x')).message).toContain('its parameter "False easting" is nothing');
  });
});

it('a line of Latin-1 among UTF-8 lines is told, with its place', () => {
  const line = (name: string): string =>
    `{"type":"Feature","properties":{"name":"${name}"},"geometry":{"type":"Point","coordinates":[1,2]}}\n`;
  const bytes = Buffer.concat([
    Buffer.from(line('Säule')),
    Buffer.from(line('Straße'), 'latin1'),
    Buffer.from(line('x')),
  ]);
  const layer = readLayer(bytes, { name: 'lines.ndjson' });
  expect([0, 1, 2].map((f) => layer.value(f, 'name'))).toEqual(['Säule', 'Straße', 'x']);
  expect(layer.findings.map((f) => [f.code, f.path])).toEqual([['encoding-assumed', 'line 2']]);
});

it('places are said once, and one number is one', () => {
  const layer = geojson([feature('Polygon', [[[1], [2, 2], [3, 3], [1, 1]]]), feature('Point', [])]);
  expect(layer.findings[0]?.path).toBe('features[0].geometry.coordinates[0][0]');
  expect(layer.findings[0]?.message).toContain('a position of one number; it needs two');
  for (const { message } of layer.findings) expect(message).not.toMatch(/at \d+:|\b1 numbers/);
});

it('a zone radius of 0 or less is told', () => {
  const rows = [{ zone_radius_ft: 0 }, { zone_radius_ft: '0' }, { zone_radius_ft: -3 }, { zone_radius_ft: 20 }];
  const { table, findings } = checkTrees(treeLayer(rows.map((row) => ({ dbh_in: 9, ...row }))));
  expect([...table.zoneRadiusM].map(Number.isNaN)).toEqual([true, true, true, false]);
  expect(findings.map((f) => [f.code, f.feature, f.message])).toEqual([
    ['number-unreadable', 2, 'zone_radius_ft -3 is negative; treated as missing'],
    ['zone-radius-zero', null, 'zone_radius_ft is 0 for 2 of 4 trees: treated as missing; the rule sizes their zones'],
  ]);
});

describe('feet and inches', () => {
  it.each([
    [`12'6"`, 150],
    [`12' 6"`, 150],
    ['12’6”', 150],
    ['12′ 6″', 150],
    ['12 ft 6 in', 150],
    ['12ft6in.', 150],
    ['12 feet 6 inches', 150],
    [`5' 0`, 60],
    [`5'-3 1/2"`, 63.5],
    [`0' 3/4"`, 0.75],
    [`6'2.5"`, 74.5],
    [`6'`, 72],
    [`24"`, 24],
    [`24''`, 24],
  ])('%s', (text, inches) => {
    expect(lengthInMetres(text)).toBeCloseTo(inches * 0.0254, 12);
  });

  it.each([`12'14"`, `12'6'`, `6"12'`, `1.5'6"`, `-5'6"`, `5' 1/0"`, '12 6', `'6"`])('%s is not a length', (text) => {
    expect(lengthInMetres(text)).toBeUndefined();
  });

  it('in any length field, whatever unit its name says', () => {
    const { table } = checkTrees(treeLayer([{ dbh_cm: `1'6"`, height_m: '45 ft 3 in', crown_radius_ft: `12'` }]));
    expect(table.dbhM[0]).toBeCloseTo(0.4572, 12);
    expect(table.heightM[0]).toBeCloseTo(543 * 0.0254, 12);
    expect(table.crownM[0]).toBeCloseTo(3.6576, 12);
  });
});

describe('old surveys', () => {
  const codes = (rows: readonly object[], options = {}) =>
    checkTrees(treeLayer(rows.map((row) => ({ dbh_in: 9, ...row }))), options).findings.map((f) => [
      f.code,
      f.feature,
      f.message,
    ]);

  it('are counted, with the oldest; without today nothing is judged', () => {
    const rows = ['2024-10-01', '2024-09-30', '2019-04-02', null, ''].map((surveyed) => ({ surveyed }));
    expect(codes(rows)).toEqual([]);
    expect(codes(rows, { today: '2026-10-01' })).toEqual([
      ['survey-old', 2, '2 of 5 trees were surveyed more than 2 years before 2026-10-01; the oldest on 2019-04-02'],
    ]);
    expect(codes(rows, { today: '2026-10-01', surveyAgeMonths: 120 })).toEqual([]);
    expect(codes(rows, { today: '2024-10-02', surveyAgeMonths: 0 })[0]?.[2]).toContain('3 of 5');
  });

  it('the end of February is the end of February', () => {
    expect(codes([{ surveyed: '2022-02-28' }], { today: '2024-02-29' })).toEqual([]);
    expect(codes([{ surveyed: '2022-02-27' }], { today: '2024-02-29' })).toHaveLength(1);
  });

  it('dates that cannot be read are counted once', () => {
    const rows = ['spring', '2024-13-01', '2026-09-01'].map((surveyed) => ({ surveyed }));
    expect(codes(rows, { today: '2026-10-01' })).toEqual([
      ['value-unknown', 0, 'survey dates that can\'t be read: 2 of 3, the first "spring"; their age was not checked'],
    ]);
  });

  const utc = (y: number, m: number, d: number): number => Date.UTC(y, m - 1, d) / 86_400_000;
  it.each([
    ['2024-03-05', utc(2024, 3, 5)],
    ['2024-03-05T10:00:00Z', utc(2024, 3, 5)],
    ['2024/3/5', utc(2024, 3, 5)],
    ['20240305', utc(2024, 3, 5)],
    [20240305, utc(2024, 3, 5)],
    ['2024', utc(2024, 12, 31)],
    [2024, utc(2024, 12, 31)],
    ['2024-02', utc(2024, 2, 29)],
    ['5.3.2024', utc(2024, 3, 5)],
    ['13/03/2024', utc(2024, 3, 13)],
    ['03/13/2024', utc(2024, 3, 13)],
    ['03/04/2024', utc(2024, 4, 3)], // the later of 4 March and 3 April
    ['5 Mar 2024', utc(2024, 3, 5)],
    ['March 5, 2024', utc(2024, 3, 5)],
    ['31/02/2024', undefined],
    ['5 Foo 2024', undefined],
    ['3/4/24', undefined],
    [true, undefined],
  ])('%s', (text, day) => {
    expect(dayOf(text)).toBe(day);
  });

  it('any day written by the calendar is read back', () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 40_000 }), (day) => {
        expect(dayOf(new Date(day * 86_400_000).toISOString())).toBe(day);
      }),
    );
  });

  it('the date is part of the result only where it made a survey old', () => {
    const works = [
      {
        layer: polygonLayer(
          [
            [
              [
                [0, 0],
                [4, 0],
                [4, 4],
                [0, 0],
              ],
            ],
          ],
          [{ kind: 'building' }],
        ),
      },
    ];
    const options = { crs: 'local:ft', today: '2026-10-01' } as const;
    expect(assess({ trees: treeLayer([{ dbh_in: 9 }]), works, options }).options).toEqual({ crs: 'local:ft' });
    const young = treeLayer([{ dbh_in: 9, surveyed: '2026-09-01' }]);
    expect(assess({ trees: young, works, options }).options).toEqual({ crs: 'local:ft' });
    const dated = treeLayer([{ dbh_in: 9, surveyed: '2020-01-01' }]);
    expect(assess({ trees: dated, works, options }).options).toEqual(options);
    expect(refusal(() => assess({ trees: dated, works, options: { ...options, today: '1 Oct' } })).usage).toBe(true);
  });

  it('on the command line', async () => {
    const dir = mkdtempSync(join(tmpdir(), 'rootberth-dates-'));
    const trees = join(dir, 'trees.csv');
    writeFileSync(trees, 'id,easting,northing,dbh_in,surveyed\nT1,7650000,680000,12,2020-05-01\n');
    const works = join(dir, 'works.geojson');
    writeFileSync(
      works,
      JSON.stringify(
        feature('Polygon', [
          [
            [-122, 45],
            [-121.9, 45],
            [-121.9, 45.1],
            [-122, 45],
          ],
        ]),
      ),
    );
    const out = join(dir, 'out.json');
    const base = ['assess', '--trees', trees, '--works', works, '--crs', 'EPSG:2913', '--out', join(dir, 'o.geojson')];
    const codesOf = async (...more: string[]): Promise<string[]> => {
      const { code, err } = await run(...base, '--findings', out, ...more);
      expect(code, err).toBe(0);
      return JSON.parse(readFileSync(out, 'utf8')).findings.map((f: { code: string }) => f.code);
    };
    expect(await codesOf('--today', '2022-05-02')).toContain('survey-old');
    expect(await codesOf('--today', '2022-05-01')).not.toContain('survey-old');
    expect(await codesOf('--today', '2026-05-01', '--survey-age', '18mo')).toContain('survey-old');
    expect(await codesOf('--survey-age', 'never')).not.toContain('survey-old');
    expect(await codesOf()).toContain('survey-old'); // the machine's own date is past 2022
    expect((await run(...base, '--survey-age', '2')).code).toBe(2);
    expect((await run(...base, '--today', 'tomorrow')).code).toBe(2);
  });
});
