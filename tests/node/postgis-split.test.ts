// Tables of PostGIS in tiles. In: a server of Debian's started for this file; out: the files that one machine writes of the same
// rows, byte for byte; rows that changed are never used. Skipped where there is no server.
import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { tableOfRecords } from '../../src/node/tiles/merged-tables.js';
import {
  type AssessFilesOptions,
  assessFiles,
  mergeTiles,
  runTile,
  type SplitOptions,
  splitJob,
  writeAssessment,
} from '../../src/node.js';
import { readTableParts } from '../../src/postgis/read-table.js';
import { readTable } from '../../src/postgis.js';
import { run } from '../support/cli.js';
import { type Cluster, serverFolder, startCluster } from '../support/postgres.js';
import { scene } from '../support/scene.js';

const bin = serverFolder();
if (bin === null) console.warn('no PostgreSQL with PostGIS on this machine: the tests of tables in tiles are skipped');

describe.skipIf(bin === null)('tables of PostGIS in tiles', () => {
  let town: Cluster;
  let folder: string;
  let database: string;
  let job: AssessFilesOptions;

  beforeAll(async () => {
    folder = mkdtempSync(join(tmpdir(), 'rootberth-pg-split-'));
    town = await startCluster(bin ?? '');
    database = town.url.replace('gis@', 'gis:sesame@');
    const made = await scene(folder, 'geojson', 40);
    const path = made.works[0]!;
    const load = async (table: string, file: string, columns: string, values: string): Promise<void> => {
      await town.sql(`CREATE TABLE ${table} (row int PRIMARY KEY, ${columns}, geom geometry(Geometry, 4326));
        CREATE INDEX ON ${table} USING gist (geom)`);
      await town.sql(
        `INSERT INTO ${table} SELECT n, ${values}, ST_SetSRID(ST_GeomFromGeoJSON(CASE jsonb_typeof(f->'geometry')
         WHEN 'object' THEN f->>'geometry' END), 4326) FROM jsonb_array_elements($1::jsonb->'features') WITH ORDINALITY AS own(f, n)`,
        [readFileSync(file, 'utf8')],
      );
    };
    const p = (name: string, type = 'text'): string => `(f->'properties'->>'${name}')::${type}`;
    await load(
      'trees',
      made.trees,
      'id text, species text, dbh_in float8, crown_radius_ft float8, remarks text',
      [p('id'), p('species'), p('dbh_in', 'float8'), p('crown_radius_ft', 'float8'), p('remarks')].join(', '),
    );
    await load(
      'works',
      typeof path === 'string' ? path : path.path,
      'kind text, depth_m float8, height_m float8',
      [p('kind'), p('depth_m', 'float8'), p('height_m', 'float8')].join(', '),
    );
    await town.sql(`UPDATE trees SET geom = 'SRID=4326;POINT EMPTY' WHERE row = 30`); // one has no geometry, this an empty one
    // A road of 30 km from one clump of trees to the other.
    await town.sql(`INSERT INTO works (row, kind, geom) SELECT 25, 'paving', ST_Buffer(ST_GeomFromText(
      'LINESTRING(-122.5985 45.4005, -122.1995 45.4005)', 4326), 0.00003, 'endcap=flat')`);
    job = { database, trees: 'postgis:public.trees', works: ['postgis:public.works'], margins: false };
  }, 60_000);

  afterAll(async () => {
    await town?.stop();
    rmSync(folder, { recursive: true, force: true });
  }, 20_000);

  const text = (path: string): string => readFileSync(path, 'utf8');

  async function split(name: string, options: SplitOptions = {}) {
    const path = join(folder, `${name}.json`);
    const out = join(folder, `${name}.geojson`);
    return { path, out, manifest: await splitJob(job, { tiles: 4, files: { out }, ...options }, path) };
  }

  it('reads trees and works by tile, and the merged file is that of one machine', async () => {
    const { path, out, manifest } = await split('whole');
    expect(manifest.inputs.map(({ read, path: table, rows }) => [read, table, rows])).toEqual([
      ['table', 'postgis:public.trees', 40],
      ['table', 'postgis:public.works', 25],
    ]);
    for (let i = 3; i >= 0; i--) await runTile(path, i, { database });
    const { counts } = await mergeTiles(path, {}, { database });
    const one = join(folder, 'one.geojson');
    const assessment = await assessFiles(job);
    await writeAssessment(one, assessment, {});
    expect(counts).toEqual(assessment.counts);
    expect(text(out) === text(one)).toBe(true);
    // A tile asks for its own box; one has trees of both clumps, the others ask for nothing of the other clump, though the road
    // leads there.
    const asked = [0, 1, 2, 3].map((i) => {
      const { boxes } = JSON.parse(text(`${path}.d/tiles/00000${i}.json`)).inputs[1] as {
        boxes: { found: number[] }[];
      };
      return boxes.flatMap(({ found }) => found.filter((_, k) => k % 2 === 1)).reduce((sum, n) => sum + n, 0);
    });
    expect(asked.filter((n) => n < 25)).toHaveLength(3);
  });

  it('keeps the password out of all it writes, and takes the database from the environment of each machine', async () => {
    const { path, out } = await split('secret');
    expect((await run('run', '--manifest', path, '--index', 'all')).err).toContain('database-');
    Object.assign(process.env, { PGHOST: '127.0.0.1', PGPORT: String(town.port), PGUSER: 'gis', PGDATABASE: 'town' });
    try {
      expect((await run('run', '--manifest', path, '--index', '0-2')).code).toBe(0);
      for (const name of ['PGHOST', 'PGPORT', 'PGUSER', 'PGDATABASE']) delete process.env[name];
      expect((await run('run', '--manifest', path, '--index', '3', '--database', database)).code).toBe(0);
      expect((await run('merge', path, '--database', database)).code).toBe(0);
    } finally {
      for (const name of ['PGHOST', 'PGPORT', 'PGUSER', 'PGDATABASE']) delete process.env[name];
    }
    const written = [path, out, ...readdirSync(`${path}.d`, { recursive: true }).map((name) => `${path}.d/${name}`)];
    for (const file of written) {
      if (/\.\w+$/.test(file)) expect(text(file)).not.toMatch(/sesame|127\.0\.0\.1/);
    }
  });

  it('rows that change are never used: by their tile, and by the merge wherever they are', async () => {
    const { path, manifest } = await split('changed');
    const near = (tile: number): string => {
      const [w, s, e, n] = manifest.tiles[tile]?.box ?? [];
      return `ST_MakeEnvelope(${w}, ${s}, ${e}, ${n}, 4326)`;
    };
    const changed = { code: 'input-changed' };
    const tries: readonly (readonly [change: string, undo: string])[] = [
      [
        `UPDATE trees SET dbh_in = dbh_in + 1 WHERE geom && ${near(1)}`,
        `UPDATE trees SET dbh_in = dbh_in - 1 WHERE geom && ${near(1)}`,
      ],
      [
        `INSERT INTO trees (row, id, dbh_in, geom) SELECT 99, 'new', 9, ST_Centroid(${near(1)})`,
        'DELETE FROM trees WHERE row = 99',
      ],
    ];
    for (const [change, undo] of tries) {
      await town.sql(change);
      await expect(runTile(path, 1, { database, again: true }), change).rejects.toMatchObject(changed);
      await town.sql(undo);
      await runTile(path, 1, { database, again: true });
    }
    const far = manifest.tiles.findIndex(
      ({ box }) => Math.abs((box?.[0] ?? 0) - (manifest.tiles[1]?.box?.[0] ?? 0)) > 0.1,
    );
    await town.sql(
      `UPDATE trees SET remarks = 'felled' WHERE row = (SELECT max(row) FROM trees WHERE geom && ${near(1)})`,
    );
    for (const i of [0, 1, 2, 3]) if (i !== far) await runTile(path, i, { database }).catch(() => undefined);
    await runTile(path, far, { database }); // reads nothing of it
    await expect(mergeTiles(path, {}, { database })).rejects.toMatchObject(changed);
    await town.sql(`UPDATE trees SET remarks = NULL WHERE remarks = 'felled'`);
    for (const i of [0, 1, 2, 3]) await runTile(path, i, { database });
    await mergeTiles(path, {}, { database });
  });

  it('merges into the tables that one machine writes: values, types, shapes and what is told of the job', async () => {
    await town.sql('CREATE SCHEMA result; CREATE SCHEMA mine');
    // A number that JSON rounds, one with decimals among whole ones, a structure, a name of ours.
    await town.sql(`CREATE TABLE rich AS SELECT *, 9007199254740993 + row AS big, '{"b": [1, 2.50]}'::jsonb AS more,
      row % 2 = 0 AS rb_flag, CASE row WHEN 3 THEN '12.50' ELSE NULL END AS price FROM trees; ALTER TABLE rich ADD PRIMARY KEY (row)`);
    const rich = { ...job, trees: 'postgis:rich', lots: undefined, limit: 0.1 };
    const options: SplitOptions = { units: 'us', outCrs: 'EPSG:2913' };
    await writeAssessment('postgis:result.one', await assessFiles(rich), { ...options, database });
    const path = join(folder, 'tables.json');
    const files = { out: 'postgis:result.tiles', findings: join(folder, 'tables-found.json') };
    const manifest = await splitJob(rich, { ...options, tiles: 4, files }, path);
    expect(manifest.written.files.out).toBe('postgis:result.tiles');
    await expect(mergeTiles(path, {}, { database })).rejects.toMatchObject({ code: 'tiles-missing' });
    for (const i of [0, 1, 2, 3]) await runTile(path, i, { database });
    const merged = await mergeTiles(path, {}, { database });
    const roles = manifest.written.roles;
    expect(merged.files.slice(0, -1)).toEqual([...roles, 'job'].map((role) => `result.tiles_${role}`));
    for (const role of roles) {
      const of = async (name: string): Promise<unknown[]> => [
        await town.sql(
          `SELECT column_name, data_type FROM information_schema.columns WHERE table_schema = 'result'
          AND table_name = $1 ORDER BY ordinal_position`,
          [`${name}_${role}`],
        ),
        await town.sql(`SELECT t.*, encode(ST_AsEWKB(geom), 'hex') AS geom FROM result.${name}_${role} t ORDER BY fid`),
      ];
      const [one, tiles] = [await of('one'), await of('tiles')];
      expect([role, tiles]).toEqual([role, one]);
    }
    const [row] = await town.sql('SELECT big, more FROM result.tiles_tree WHERE row = 5');
    expect(row).toEqual({ big: 9007199254740998, more: '{"b":[1,2.5]}' }); // JSON knows no more digits
    const [told] = await town.sql(
      'SELECT (SELECT rootberth::text FROM result.one_job) = rootberth::text AS same FROM result.tiles_job',
    );
    expect(told).toEqual({ same: true });
    // Another's table is left alone; a file can be written of the same tiles; not the other way round.
    await town.sql('CREATE TABLE mine.x_tree (precious int)');
    await expect(mergeTiles(path, { out: 'postgis:mine.x' }, { database })).rejects.toMatchObject({
      code: 'table-not-ours',
    });
    await mergeTiles(path, { out: join(folder, 'tables.geojson') }, { database });
    const { path: other } = await split('no-tables');
    for (const i of [0, 1, 2, 3]) await runTile(other, i, { database });
    await expect(mergeTiles(other, { out: 'postgis:result.x' }, { database })).rejects.toMatchObject({
      code: 'tables-not-split',
    });
  });

  it('whole numbers beyond 2^53 keep their digits on the way from tiles to tables; ids of ours are none', () => {
    const fields = [
      { name: 'feature_id', type: 'text', own: true },
      { name: 'big', type: 'integer', own: true },
    ] as const;
    const lines = [
      '{"type":"Feature","id":"a","geometry":null,"properties":{"big":9007199254740993}}',
      '{"type":"Feature","id":"tree:T1","geometry":{"type":"MultiPoint","coordinates":[[1,2],[3,4]]},"properties":{"big":7}}',
    ];
    const table = tableOfRecords({ role: 'tree', fields }, () => lines.map((line) => Buffer.from(line)));
    expect([...table.rows()]).toEqual([
      ['a', 9007199254740993n],
      [null, 7],
    ]);
    expect([...table.features()][1]?.geometry).toEqual({
      type: 'MultiPoint',
      parts: [[Float64Array.of(1, 2)], [Float64Array.of(3, 4)]],
    });
  });

  it('reads several parts from one snapshot; rows without a place are a part of their own', async () => {
    const everywhere = [-180, -90, 180, 90] as const;
    const [placed, placeless, again] = await readTableParts('trees', [everywhere, null, everywhere], { database });
    expect([placed?.count, placeless?.count, again?.sha256 === placed?.sha256]).toEqual([38, 2, true]);
    expect((await readTable('trees', { database })).count).toBe(40);
  });

  it('tables beside files, a system that only the caller knows, a shape that can’t be read', async () => {
    await town.sql(`CREATE TABLE bare AS SELECT row, id, dbh_in, ST_SetSRID(geom, 0) AS geom FROM trees;
      ALTER TABLE bare ADD PRIMARY KEY (row)`);
    const works = join(folder, 'plan.geojson');
    const ring = [
      [-122.6, 45.4],
      [-122.599, 45.4],
      [-122.599, 45.401],
      [-122.6, 45.4],
    ];
    const shape = {
      type: 'Feature',
      properties: { kind: 'building' },
      geometry: { type: 'Polygon', coordinates: [ring] },
    };
    writeFileSync(works, JSON.stringify({ type: 'FeatureCollection', features: [shape] }));
    job = { database, trees: 'postgis:bare', works: [works], crs: 'OGC:CRS84', margins: false };
    const one = join(folder, 'bare-one.geojson');
    for (const kind of ['table', 'whole']) {
      await writeAssessment(one, await assessFiles(job), {});
      const { path, out, manifest } = await split(`bare-${kind}`);
      expect(manifest.inputs.map(({ read }) => read)).toEqual([kind, 'ranges']);
      for (const i of [0, 1, 2, 3]) await runTile(path, i, { database });
      await mergeTiles(path, {}, { database });
      expect(text(out) === text(one)).toBe(true);
      // Next: a mesh is not a shape of ours, nobody knows its box.
      await town.sql(
        `INSERT INTO bare VALUES (98, 'odd', 9, 'TIN Z(((-122.6 45.4 0,-122.6 45.4 1,-122.6 45.41 0,-122.6 45.4 0)))') ON CONFLICT DO NOTHING`,
      );
    }
  });
});
