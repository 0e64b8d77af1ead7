// The command that `check` prints after a finding carries its cure: it is run here as it is printed. In: files with a
// flaw or with several layers; out: exit codes, and what the run made of the file.

import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { run } from '../support/cli.js';
import { dxf, entity, lwpolyline } from '../support/dxf.js';
import { writeShapefile, writeZip } from '../support/shapefile.js';
import { shellWords } from '../support/shell-words.js';

let folder = '';
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'printed-'));
});
afterAll(() => rm(folder, { recursive: true }));

const put = async (name: string, content: string | Uint8Array): Promise<string> => {
  const path = join(folder, name);
  await writeFile(path, content);
  return path;
};

interface Printed {
  readonly command: string; // without the folder
  readonly err: string;
  readonly code: number;
  readonly features: readonly { readonly properties: Readonly<Record<string, unknown>> }[];
}

/** Runs `check`, then the command it prints. */
async function printed(...argv: string[]): Promise<Printed> {
  const { out, err: checked } = await run('check', ...argv);
  const line = /\n {2}rootberth (.*)\n/.exec(out)?.[1] ?? '';
  const assessed = join(folder, 'assessed.geojson');
  const words = shellWords(line).map((word) => (word === 'assessed.geojson' ? assessed : word));
  await rm(assessed, { force: true });
  const { code, err } = await run(...words);
  const text = await readFile(assessed, 'utf8').catch(() => '{"features":[]}');
  return { command: line.replaceAll(`${folder}/`, ''), err: checked + err, code, features: JSON.parse(text).features };
}

const labels = ({ features }: Printed, role: string): unknown[] =>
  features.filter((one) => one.properties.rb_role === role).map((one) => one.properties.name);

// ---------------------------------------------------------------- files of several layers

const ring = (x: number, y: number, side: number): number[][] => [
  [x, y],
  [x + side, y],
  [x + side, y + side],
  [x, y + side],
  [x, y],
];
const area = (name: string, x: number, y: number, side: number): string => {
  const corners = ring(x, y, side).map((corner) => corner.map((v) => v.toFixed(6)).join(','));
  return `<Placemark><name>${name}</name><Polygon><outerBoundaryIs><LinearRing><coordinates>${corners.join(' ')}</coordinates></LinearRing></outerBoundaryIs></Polygon></Placemark>`;
};
const tree = (name: string, x: number, y: number): string =>
  `<Placemark><name>${name}</name><ExtendedData><Data name="dbh_in"><value>20</value></Data></ExtendedData><Point><coordinates>${x},${y}</coordinates></Point></Placemark>`;
const named = (name: string, inside: string): string => `<Folder><name>${name}</name>${inside}</Folder>`;
const LOT = named('lot', area('Lot 7', -122.68, 45.5, 0.0006));
const TREES = named('tree', tree('Oak 1', -122.67975, 45.50025) + tree('Fir 2', -122.6795, 45.5004));
const HOUSE = named('house', area('House', -122.67972, 45.50022, 0.0002));
const DRIVE = named('driveway', area('Drive', -122.67995, 45.50005, 0.0001));
const kml = (inside: string): string =>
  `<kml xmlns="http://www.opengis.net/kml/2.2"><Document>${inside}</Document></kml>`;

describe('a file of several layers', () => {
  it('KML of a lot, trees and a house: each folder by its role, and the lot is no building', async () => {
    const path = await put('site.kml', kml(LOT + TREES + HOUSE));
    const done = await printed(path);
    expect([done.code, done.command]).toEqual([
      0,
      'assess --trees site.kml --works site.kml --lots site.kml --layer tree --layer works=house --layer lots=lot --out assessed.geojson',
    ]);
    expect([labels(done, 'tree'), labels(done, 'works'), labels(done, 'lot')]).toEqual([
      ['Oak 1', 'Fir 2'],
      ['House'],
      ['Lot 7'],
    ]);
  });

  it('KML of two folders of works: each with its kind', async () => {
    const done = await printed(await put('two.kml', kml(LOT + TREES + HOUSE + DRIVE)));
    expect([done.code, done.command]).toEqual([0, expect.stringContaining('--layer house=building')]);
    expect(done.features.filter((one) => one.properties.rb_role === 'works').map((one) => one.properties.kind)).toEqual(
      ['building', 'paving'],
    );
  });

  it('is asked for by name when it is given whole, in words that work', async () => {
    const path = await put('asked.kml', kml(LOT + TREES + HOUSE));
    const out = join(folder, 'asked.geojson');
    const whole = await run('assess', '--trees', path, '--layer', 'tree', '--works', path, '--out', out);
    expect(whole.code).toBe(1);
    expect(whole.err).toContain(
      'asked.kml holds 3 layers, given for works: lot (1 area), tree (2 points), house (1 area)',
    );
    expect(whole.err).toContain('--layer works=NAME');
    const all = ['--layer', 'tree', '--layer', 'works=*', '--works', path];
    expect((await run('assess', '--trees', path, ...all, '--out', out)).code).toBe(0);
  });

  it('a zip of shapefiles', async () => {
    const part = (name: string, file: Parameters<typeof writeShapefile>[0]) =>
      Object.entries(writeShapefile(file)).map(([extension, bytes]) => ({ name: `${name}.${extension}`, bytes }));
    const prj =
      'GEOGCS["WGS 84",DATUM["WGS_1984",SPHEROID["WGS 84",6378137,298.257223563]],PRIMEM["Greenwich",0],UNIT["degree",0.0174532925199433]]';
    const trees = part('trees', {
      type: 'point',
      prj,
      fields: [{ name: 'dbh_in', type: 'N', length: 4 }],
      features: [{ geometry: { type: 'Point', coordinates: [-122.6795, 45.5004] }, properties: { dbh_in: 20 } }],
    });
    const house = part('house', {
      type: 'polygon',
      prj,
      features: [{ geometry: { type: 'Polygon', coordinates: [ring(-122.67972, 45.50022, 0.0002).reverse()] } }],
    });
    const done = await printed(await put('site.zip', writeZip([...trees, ...house])));
    expect([done.code, done.command]).toEqual([
      0,
      expect.stringContaining('--layer trees.shp --layer works=house.shp'),
    ]);
    expect([labels(done, 'tree').length, labels(done, 'works').length]).toEqual([1, 1]);
  });

  it('a drawing of trees and a footprint: the layer of the trees', async () => {
    const point = entity('POINT', 'V-TREE', [10, 7640000], [20, 680000]);
    const box = lwpolyline(
      'A-BLDG',
      [
        [7640010, 680010],
        [7640040, 680010],
        [7640040, 680040],
      ],
      true,
    );
    const path = await put('plan.dxf', dxf([point, point, box]));
    const out = join(folder, 'plan.geojson');
    const given = ['--crs', 'EPSG:2913', '--field', 'dbh=layer:in'];
    const asked = await run('assess', '--trees', path, '--works', path, ...given, '--out', out);
    expect([asked.code, asked.err]).toEqual([1, expect.stringContaining('V-TREE (2 points), A-BLDG (1 area)')]);
    const { out: text } = await run('check', path, '--crs', 'EPSG:2913');
    expect(text).toContain('--layer V-TREE');
  });
});

// ---------------------------------------------------------------- coordinate columns

const house = async (): Promise<string> =>
  put(
    'house.geojson',
    JSON.stringify({
      type: 'Feature',
      properties: { kind: 'building' },
      geometry: { type: 'Polygon', coordinates: [ring(-122.67972, 45.50022, 0.0002)] },
    }),
  );
const ROWS = [
  ['A', -122.67975, 45.50025],
  ['B', -122.6795, 45.5004],
] as const;

describe('coordinate columns', () => {
  const cases: readonly (readonly [what: string, text: string, expected: string])[] = [
    [
      'Long and Lat',
      `tag,Long,Lat,dbh_in\n${ROWS.map(([t, x, y]) => `${t},${x},${y},20`).join('\n')}\n`,
      '--xy Long,Lat',
    ],
    [
      'Lat before Long',
      `tag,Lat,Long,dbh_in\n${ROWS.map(([t, x, y]) => `${t},${y},${x},20`).join('\n')}\n`,
      '--xy Long,Lat',
    ],
    [
      'POINT_X and POINT_Y',
      `tag,POINT_Y,POINT_X,dbh_in\n${ROWS.map(([t, x, y]) => `${t},${y},${x},20`).join('\n')}\n`,
      '--xy POINT_X,POINT_Y',
    ],
    [
      'x and y that hold latitude and longitude',
      `tag,x,y,dbh_in\n${ROWS.map(([t, x, y]) => `${t},${y},${x},20`).join('\n')}\n`,
      '--xy y,x',
    ],
    [
      'lon and lat the wrong way round',
      `tag,lon,lat,dbh_in\n${ROWS.map(([t, x, y]) => `${t},${y},${x},20`).join('\n')}\n`,
      '--xy lat,lon',
    ],
  ];
  it.each(cases)('%s: the command names them and runs', async (_, text, expected) => {
    const done = await printed(await put('survey.csv', text), await house());
    expect([done.code, done.command]).toEqual([0, expect.stringContaining(expected)]);
    const places = done.features
      .filter((one) => one.properties.rb_role === 'tree')
      .map((one) => (one as unknown as { geometry: { coordinates: number[] } }).geometry.coordinates);
    expect(places).toEqual(ROWS.map(([, x, y]) => [x, y]));
  });

  it('swapped columns that were named: the command names them the right way round, and only once', async () => {
    const text = `tag,a,b,dbh_in\nT1,680142.92,7639984.09,20\nT2,680150.25,7639990.5,20\n`;
    const path = await put('ab.csv', text);
    const { out, err } = await run('check', path, '--xy', 'a,b', '--crs', 'EPSG:2913');
    expect(err).toContain('axes-swapped');
    const line = /rootberth (assess .*)\n/.exec(out)?.[1] ?? '';
    expect(line.match(/--xy \S+/g)).toEqual(['--xy b,a']);
    const again = await run(
      ...shellWords(line).map((word) => (word === 'assessed.geojson' ? join(folder, 'x.geojson') : word)),
    );
    expect([again.code, again.err.includes('axes-swapped')]).toEqual([0, false]);
  });

  it('survey points whose northing and easting are exchanged: the order of the columns is', async () => {
    const path = await put('points.csv', `1,7639984.09,680142.92,312.1,OAK 24\n2,7639990.5,680150.25,311,FIR 12\n`);
    const { out } = await run('check', path, '--columns', 'P,N,E,Z,D', '--crs', 'EPSG:2913');
    expect(out).toContain('--columns P,E,N,Z,D');
    expect(out).not.toContain('P,N,E,Z,D');
  });

  it('a GeoJSON that no option turns round: a note says so', async () => {
    const feature = {
      type: 'Feature',
      properties: { dbh_in: 20 },
      geometry: { type: 'Point', coordinates: [680142.92, 7639984.09] },
    };
    const { out } = await run('check', await put('turned.geojson', JSON.stringify(feature)), '--crs', 'EPSG:2913');
    expect(out).toContain('and no option can change that');
  });
});
