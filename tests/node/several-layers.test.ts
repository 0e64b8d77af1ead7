// Works in several layers of one file: each is read with its kind, and figures are those of the layers in files of their own.
import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import {
  type AssessFilesOptions,
  assessFiles,
  mergeTiles,
  runTile,
  splitJob,
  toGeoJSON,
  writeAssessment,
} from '../../src/node.js';
import { writeZip } from '../support/shapefile.js';
import { gpkgBlob, wkb } from '../support/wkb.js';

const TREES = 'id,easting,northing,dbh_in\nT1,7650000,680000,20\nT2,7650040,680000,24\nT3,7650200,680100,12\n';
type Ring = [number, number][];
const square = (x: number, y: number, side: number): Ring => [
  [x, y],
  [x + side, y],
  [x + side, y + side],
  [x, y + side],
  [x, y],
];
/** Layer -> the kind that is given to it, and its outlines. */
const LAYERS = {
  house: { kind: 'building', rings: [square(7650010, 679990, 20)] },
  drive: { kind: 'paving', rings: [square(7650030, 679960, 30), square(7650060, 679990, 12)] },
  lots: { kind: null, rings: [square(7649900, 679900, 400)] },
} as const;

const collection = (rings: readonly Ring[]): string =>
  JSON.stringify({
    type: 'FeatureCollection',
    crs: { type: 'name', properties: { name: 'urn:ogc:def:crs:EPSG::2913' } },
    features: rings.map((ring, i) => ({
      type: 'Feature',
      properties: { id: `W${i}` },
      geometry: { type: 'Polygon', coordinates: [ring] },
    })),
  });

function geopackage(): Uint8Array {
  const db = new Database(':memory:');
  db.exec(`
    CREATE TABLE gpkg_spatial_ref_sys (srs_name TEXT, srs_id INTEGER PRIMARY KEY, organization TEXT,
      organization_coordsys_id INTEGER, definition TEXT);
    CREATE TABLE gpkg_geometry_columns (table_name TEXT, column_name TEXT, geometry_type_name TEXT, srs_id INTEGER, z INTEGER, m INTEGER);
    INSERT INTO gpkg_spatial_ref_sys VALUES ('Oregon North', 2913, 'EPSG', 2913, 'PROJCS[...]');`);
  for (const [name, { rings }] of Object.entries(LAYERS)) {
    db.exec(`INSERT INTO gpkg_geometry_columns VALUES ('${name}', 'geom', 'POLYGON', 2913, 0, 0);
      CREATE TABLE ${name} (fid INTEGER PRIMARY KEY, geom BLOB, id TEXT);`);
    const row = db.prepare(`INSERT INTO ${name} VALUES (?, ?, ?)`);
    rings.forEach((ring, i) => void row.run(i + 1, gpkgBlob(wkb.polygon([ring])), `W${i}`));
  }
  const bytes = new Uint8Array(db.serialize());
  db.close();
  return bytes;
}

function landxml(): string {
  const parcel = (name: string, ring: Ring): string =>
    `<Parcel name="${name}"><CoordGeom>${ring
      .slice(1)
      .map(([x, y], i) => `<Line><Start>${ring[i]![1]} ${ring[i]![0]}</Start><End>${y} ${x}</End></Line>`)
      .join('')}</CoordGeom></Parcel>`;
  const feature = (name: string, ring: Ring): string => parcel(name, ring).replaceAll('Parcel', 'PlanFeature');
  return `<LandXML><Units><Imperial linearUnit="foot"/></Units><CoordinateSystem epsgCode="2913"/>
    <Parcels name="Lots">${LAYERS.lots.rings.map((ring) => parcel('L', ring)).join('')}</Parcels>
    <PlanFeatures name="house">${LAYERS.house.rings.map((ring) => feature('H', ring)).join('')}</PlanFeatures>
    <PlanFeatures name="drive">${LAYERS.drive.rings.map((ring, i) => feature(`D${i}`, ring)).join('')}</PlanFeatures></LandXML>`;
}

let dir = '';
const at = (name: string): string => join(dir, name);
const KINDS = { house: 'building', Drive: 'paving' } as const;
const zipped = (): Uint8Array =>
  writeZip(
    Object.entries(LAYERS).map(([name, { rings }]) => ({
      name: `plan/${name}.geojson`,
      bytes: new TextEncoder().encode(collection(rings)),
    })),
  );

beforeAll(async () => {
  dir = await mkdtemp(join(tmpdir(), 'several-'));
  await writeFile(at('trees.csv'), TREES);
  for (const [name, { rings }] of Object.entries(LAYERS)) await writeFile(at(`${name}.geojson`), collection(rings));
  await writeFile(at('site.gpkg'), geopackage());
  await writeFile(at('site.zip'), zipped());
  await writeFile(at('site.xml'), landxml());
});
afterAll(() => rm(dir, { recursive: true }));

const job = (works: AssessFilesOptions['works'], read?: AssessFilesOptions['read']): AssessFilesOptions => ({
  trees: at('trees.csv'),
  crs: 'EPSG:2913',
  threads: 1,
  works,
  ...(read === undefined ? {} : { read }),
});
const figures = async (asked: AssessFilesOptions) => {
  const { trees } = await assessFiles(asked);
  return trees.map(({ verdict, overlapPct, worksByKind }) => ({ verdict, overlapPct, worksByKind }));
};
const apart = (): AssessFilesOptions =>
  job([
    { path: at('house.geojson'), kind: 'building' },
    { path: at('drive.geojson'), kind: 'paving' },
  ]);

describe('works in several layers of one file', () => {
  test.each(['site.gpkg', 'site.zip', 'site.xml'])('%s: figures are those of files of their own', async (name) => {
    const found = await figures(job([at(name)], { works: { layerKinds: KINDS } }));
    const wanted = await figures(apart());
    expect(found.map((tree) => tree.verdict)).toEqual(wanted.map((tree) => tree.verdict));
    found.forEach((tree, i) => {
      expect(tree.overlapPct).toBeCloseTo(wanted[i]!.overlapPct!, 9);
    });
    expect(wanted[0]!.overlapPct).toBeGreaterThan(1); // both layers reach the zone: the check can fail
  });

  test('each layer has its own name and kind in what is told', async () => {
    const assessment = await assessFiles(job([at('site.gpkg')], { works: { layerKinds: KINDS } }));
    expect(assessment.inputs.filter(({ role }) => role === 'works').map(({ name }) => name)).toEqual([
      'site.gpkg (house)',
      'site.gpkg (drive)',
    ]);
    const works = toGeoJSON(assessment).features.map(({ properties }) => properties ?? {});
    const kinds = works.filter(({ rb_role }) => rb_role === 'works').map(({ rb_kind }) => rb_kind);
    expect(kinds).toEqual(['building', 'paving', 'paving']);
  });

  test('* takes all of them', async () => {
    const { inputs } = await assessFiles(job([at('site.zip')], { works: { layer: '*' } }));
    expect(inputs.filter(({ role }) => role === 'works')).toHaveLength(3);
  });

  test('a name that no file holds is refused with the names there are', async () => {
    await expect(assessFiles(job([at('site.gpkg')], { works: { layerKinds: { hose: 'building' } } }))).rejects.toThrow(
      expect.objectContaining({
        code: 'layer-missing',
        message: 'no works file holds a layer called "hose"',
        cure: 'they hold house, drive, lots',
      }),
    );
  });

  test('without names the cure says how several are taken', async () => {
    await expect(assessFiles(job([at('site.gpkg')]))).rejects.toThrow(
      expect.objectContaining({ code: 'layer-several', cure: expect.stringContaining('--layer NAME=building') }),
    );
  });

  test('a drawing takes the names that no other file has', async () => {
    await writeFile(
      at('paths.kml'),
      `<kml xmlns="http://www.opengis.net/kml/2.2"><Document><Folder><name>paths</name><Placemark><Polygon><outerBoundaryIs><LinearRing>
       <coordinates>-122.6,45.5 -122.5999,45.5 -122.5999,45.5001 -122.6,45.5</coordinates></LinearRing></outerBoundaryIs></Polygon></Placemark></Folder>
       <Folder><name>other</name><Placemark><Point><coordinates>-122.6,45.5</coordinates></Point></Placemark></Folder></Document></kml>`,
    );
    const { inputs } = await assessFiles(
      job([at('site.gpkg'), at('paths.kml')], { works: { layerKinds: { house: 'building', paths: 'paving' } } }),
    );
    expect(inputs.filter(({ role }) => role === 'works').map(({ name }) => name)).toEqual([
      'site.gpkg (house)',
      'paths.kml',
    ]);
  });

  test.each(['site.gpkg', 'site.zip'])('%s in tiles: the same bytes as one machine', async (name) => {
    const asked = job([at(name)], { works: { layerKinds: KINDS } });
    const one = at(`${name}.one.geojson`);
    await writeAssessment(one, await assessFiles(asked));
    const files = { out: at(`${name}.merged.geojson`) };
    const manifest = at(`${name}.json`);
    const { tiles } = await splitJob(asked, { tiles: 2, files }, manifest);
    for (const index of tiles.keys()) await runTile(manifest, index);
    await mergeTiles(manifest);
    expect(await readFile(files.out, 'utf8')).toBe(await readFile(one, 'utf8'));
  });
});
