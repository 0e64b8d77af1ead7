// The drawing, read back by dxf-parser; ground systems and odd layers in every format. In: data/demo and small layers;
// out: circles in feet on the surveyed points, closed outlines, labels; nothing is lost where a format is narrow.
import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { parse } from 'csv-parse/sync';
import dxfParser from 'dxf-parser';
import type { Feature } from 'geojson';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { transformFor } from '../../src/crs/index.js';
import { readZip } from '../../src/node/read/index.js';
import { type Assessment, assessFiles, findCrs, readLayer, toGeoJSON, writeAssessment } from '../../src/node.js';
import { handMade } from '../support/assessment.js';
import { readGpkg } from '../support/read-back.js';

const demo = (name: string): string => fileURLToPath(new URL(`../../data/demo/${name}`, import.meta.url));

let dir = '';
let assessment: Assessment;
beforeAll(async () => {
  dir = await mkdtemp(join(tmpdir(), 'drawing-'));
  assessment = await assessFiles({
    trees: demo('survey.csv'),
    works: [demo('works.geojson')],
    lots: demo('lots.geojson'),
    crs: 'EPSG:2913',
  });
});
afterAll(async () => {
  await rm(dir, { recursive: true });
});

interface Entity {
  readonly type: string;
  readonly layer: string;
  readonly center?: { x: number; y: number };
  readonly position?: { x: number; y: number };
  readonly radius?: number;
  readonly vertices?: { x: number; y: number }[];
  readonly shape?: boolean;
  readonly text?: string;
}

async function drawing(name: string, of: Assessment, options: object = {}) {
  const path = join(dir, name);
  await writeAssessment(path, of, { units: 'us', ...options });
  const parsed = new dxfParser().parseSync(await readFile(path, 'utf8'));
  const entities = (parsed?.entities ?? []) as unknown as Entity[];
  return { parsed, on: (layer: string) => entities.filter((e) => e.layer === layer), entities };
}

describe('DXF', () => {
  test('zones are circles on the surveyed points, with their radius in feet', async () => {
    const { parsed, on } = await drawing('a.dxf', assessment);
    expect(parsed?.header.$INSUNITS).toBe(2); // feet
    const assessed = assessment.trees.filter((tree) => tree.zoneRadiusM !== null);
    const circles = on('Root zones');
    expect(circles.map((c) => c.type)).toEqual(assessed.map(() => 'CIRCLE'));
    assessed.forEach((tree, i) => {
      const { center, radius = 0 } = circles[i]!;
      const { xy } = assessment.job.trees;
      expect([center?.x, center?.y]).toEqual([xy[tree.row * 2], xy[tree.row * 2 + 1]]);
      // One foot per inch of diameter, times the grid's scale, which here is within 1 in 10,000 of 1.
      const feet = (tree.zoneRadiusM ?? 0) / 0.3048;
      expect(feet).toBeCloseTo((tree.dbhM ?? 0) / 0.0254, 6);
      expect(Math.abs(radius / feet - 1)).toBeLessThan(1.5e-4);
    });
    expect(on('Root zone rings')).toHaveLength(assessed.reduce((sum, tree) => sum + tree.rings.length, 0));
  });

  test('a system that stretches the ground stretches the circles with it', async () => {
    const { on } = await drawing('web.dxf', assessment, { outCrs: 'EPSG:3857', roles: ['zone', 'tree'] });
    const tree = assessment.trees.find((t) => t.zoneRadiusM !== null);
    const [circle] = on('Root zones');
    // Web Mercator: 1 / cos(latitude) on the sphere; the ellipsoid moves it by less than 0.5 %.
    const stretch = 1 / Math.cos(((tree?.lat ?? 0) * Math.PI) / 180);
    expect((circle?.radius ?? 0) / ((tree?.zoneRadiusM ?? 1) * stretch)).toBeCloseTo(1, 2);
    expect(stretch).toBeGreaterThan(1.42);
  });

  test('fences, gates and protected ground lie on layers of their own', async () => {
    const { on } = await drawing('fences.dxf', assessment);
    const { fences, gates, groundProtection } = assessment.fences;
    const rings = (list: readonly { shape: readonly (readonly unknown[])[] }[]): number =>
      list.reduce((sum, { shape }) => sum + shape.flat().length, 0);
    expect(fences.length).toBeGreaterThan(10);
    expect(on('Protection fences')).toHaveLength(rings(fences));
    expect(on('Fence gates')).toHaveLength(gates.length);
    expect(on('Ground protection')).toHaveLength(rings(groundProtection));
    expect(on('Fence gates').every((e) => e.shape !== true)).toBe(true);
  });

  test('overlap, severed ground, works and lots are closed outlines, one per ring, vertex for vertex', async () => {
    const { on } = await drawing('b.dxf', assessment);
    const { crs, fromLonLat } = transformFor(findCrs('EPSG:2913'));
    const { features } = toGeoJSON(assessment, { output: { crs, toOutput: fromLonLat } });
    const layers = { Overlap: 'overlap', 'Severed ground': 'severed', Works: 'works', Lots: 'lot' } as const;
    for (const [layer, role] of Object.entries(layers)) {
      const rings = features.filter((f) => f.properties?.rb_role === role).flatMap(ringsOf);
      // a line of works that does not count (the deep bore) is drawn as the open line it is
      const open = features.filter((f) => f.properties?.rb_role === role && f.geometry?.type === 'LineString');
      const drawn = on(layer).filter((e) => e.shape === true);
      expect(on(layer).length - drawn.length, layer).toBe(open.length);
      expect(
        drawn.map((e) => [e.type, e.shape]),
        layer,
      ).toEqual(rings.map(() => ['LWPOLYLINE', true]));
      rings.forEach((ring, i) => {
        expect(drawn[i]?.vertices?.map((v) => [v.x, v.y])).toEqual(ring.slice(0, -1));
      });
    }
  });

  test('every tree has a point, a trunk where its diameter is known, and a label', async () => {
    const { on } = await drawing('c.dxf', assessment);
    const trunks = on('Tree trunks');
    expect(trunks.filter((e) => e.type === 'POINT')).toHaveLength(assessment.trees.length);
    const known = assessment.trees.filter((tree) => tree.dbhM !== null);
    expect(trunks.filter((e) => e.type === 'CIRCLE')).toHaveLength(known.length);
    const labels = on('Tree labels').map((e) => e.text);
    expect(labels).toHaveLength(assessment.trees.length);
    const [first] = assessment.trees;
    expect(labels[0]).toBe(
      `${first?.key}\\Pdbh ${((first?.dbhM ?? 0) / 0.0254).toFixed(1)} in\\P${first?.overlapPct?.toFixed(1)} %`,
    );
  });

  test('only our own layers are drawn on, and roles choose among them', async () => {
    const { entities } = await drawing('d.dxf', assessment, { roles: ['zone', 'works'] });
    expect([...new Set(entities.map((e) => e.layer))].sort()).toEqual(['Root zones', 'Works']);
  });

  test('a survey in degrees needs a plane system, and is told which', async () => {
    const { assessment: degrees } = handMade();
    await expect(writeAssessment(join(dir, 'no.dxf'), degrees)).rejects.toMatchObject({
      code: 'format-needs-plane',
      usage: true,
      cure: 'name a projected system with --out-crs, such as EPSG:32610',
    });
  });
});

function ringsOf(feature: Feature): number[][][] {
  const { geometry } = feature;
  if (geometry.type === 'Polygon') return geometry.coordinates;
  return geometry.type === 'MultiPolygon' ? geometry.coordinates.flat() : [];
}

describe('a layer with everything that is awkward', () => {
  const long = 'ä'.repeat(200); // 400 bytes in UTF-8
  const odd = async (): Promise<Assessment> => {
    const point = (x: number, properties: object, id?: string) => ({
      type: 'Feature',
      ...(id === undefined ? {} : { id }),
      geometry: { type: 'Point', coordinates: [x, 45.5] },
      properties,
    });
    const trees = {
      type: 'FeatureCollection',
      features: [
        point(
          -122.5,
          { dbh_in: 10, fid: 7, GEOM: 'a', Tag: 1, tag: 'x', note: long, mixed: 1, list: [1, { b: 2 }] },
          'one',
        ),
        point(-122.49, {
          dbh_in: 12.5,
          'a very long field name': -0.000001,
          'a very long field': 1e-7,
          mixed: 'two',
          ok: true,
        }),
        point(-122.48, { dbh_in: null, big: 1234567890123456, ok: null, note: '=1+1' }),
        { type: 'Feature', geometry: null, properties: { dbh_in: 3 } },
        {
          type: 'Feature',
          geometry: {
            type: 'MultiPoint',
            coordinates: [
              [-122.47, 45.5],
              [-122.46, 45.5],
            ],
          },
          properties: { dbh_in: 3 },
        },
      ],
    };
    const works = {
      type: 'FeatureCollection',
      features: [
        {
          type: 'Feature',
          geometry: {
            type: 'LineString',
            coordinates: [
              [-122.5, 45.5],
              [-122.49, 45.51],
            ],
          },
          properties: { id: 'no width', kind: 'trench' },
        },
        {
          type: 'Feature',
          geometry: {
            type: 'LineString',
            coordinates: [
              [-122.5, 45.49],
              [-122.5, 45.51],
            ],
          },
          properties: { id: 'W', kind: 'trench', width_m: 1 },
        },
      ],
    };
    await writeFile(join(dir, 'odd.geojson'), JSON.stringify(trees));
    await writeFile(join(dir, 'odd-works.geojson'), JSON.stringify(works));
    return assessFiles({ trees: join(dir, 'odd.geojson'), works: [join(dir, 'odd-works.geojson')] });
  };

  test('GeoPackage: names that clash get numbers, types hold every value, ids beside properties are kept', async () => {
    const path = join(dir, 'odd.gpkg');
    await writeAssessment(path, await odd());
    const gpkg = readGpkg(path);
    const trees = gpkg.rows.get('tree') ?? [];
    expect(trees).toHaveLength(5);
    expect(trees[0]?.properties).toMatchObject({
      feature_id: 'one',
      fid_2: 7,
      GEOM_2: 'a',
      Tag: 1,
      tag_2: 'x',
      note: long,
      mixed: '1',
      list: '[1,{"b":2}]',
    });
    expect(trees[1]?.properties).toMatchObject({ 'a very long field name': -0.000001, mixed: 'two', ok: 1 });
    expect(trees[2]?.properties).toMatchObject({ big: 1234567890123456, ok: null });
    expect(trees.map((t) => t.geometry?.type ?? null)).toEqual(['Point', 'Point', 'Point', null, 'MultiPoint']);
    expect(gpkg.sql("SELECT geometry_type_name g FROM gpkg_geometry_columns WHERE table_name = 'tree'")).toEqual([
      { g: 'GEOMETRY' },
    ]);
    gpkg.close();
  });

  test('shapefile: text is cut between letters with a finding; other kinds of geometry get a layer of their own', async () => {
    const path = join(dir, 'odd.zip');
    const { findings } = await writeAssessment(path, await odd());
    expect(findings.map((f) => [f.code, f.path])).toEqual([
      ['text-truncated', 'properties.note'],
      ['fence-leaves-tree', null],
    ]);
    const layer = await readLayer(path, { layer: 'tree' });
    expect(layer.count).toBe(4); // three points and one without geometry
    expect((await readLayer(path, { layer: 'tree_multipoint' })).count).toBe(1);
    const works = await readLayer(path, { layer: 'works' });
    expect([works.count, works.geometry.partStart[2]]).toEqual([2, 1]); // the line without width has no outline
    const zip = new Uint8Array(await readFile(path));
    const text = new TextDecoder().decode((await readZip(zip, 'odd.zip', 'fieldnames.csv')).parts.get('csv'));
    const map = parse(text, { columns: true }).filter((m) => m.layer === 'tree');
    const short = (name: string): string => map.find((m) => m.name === name)?.short ?? '';
    expect(layer.properties(0)[short('note')]).toBe('ä'.repeat(127)); // 254 bytes
    expect(layer.properties(1)[short('a very long field name')]).toBe(-0.000001);
    expect(layer.properties(1)[short('a very long field')]).toBe(1e-7);
    expect(layer.properties(2)[short('big')]).toBe(1234567890123456);
    expect([short('a very long field name'), short('a very long field')]).toEqual(['a_very_lon', 'a_very_l_1']);
    expect([short('Tag'), short('tag')]).toEqual(['Tag', 'tag_1']);
  });

  test('our own reader finds every polygon of the demo in the zip again, holes and all', async () => {
    const path = join(dir, 'demo.zip');
    await writeAssessment(path, assessment);
    for (const role of ['overlap', 'severed', 'zone']) {
      const { geometry } = await readLayer(path, { layer: role });
      const rings = toGeoJSON(assessment, { roles: [role] }).features.flatMap(ringsOf);
      expect(geometry.vertexStart.length - 1, role).toBe(rings.length);
      expect(geometry.xy.length, role).toBe(rings.flat(2).length);
    }
  });

  test('CSV: what a spreadsheet would run is made inert, as in the schedule', async () => {
    const path = join(dir, 'odd.csv');
    await writeAssessment(path, await odd());
    const rows = parse(await readFile(path, 'utf8'), { columns: true });
    expect(rows).toHaveLength(5);
    expect(rows[2]?.note).toBe("'=1+1");
    expect(rows[4]?.rb_wkt).toBe('MULTIPOINT((-122.47 45.5),(-122.46 45.5))');
  });
});
