// The drawing, read back by dxf-parser; ground systems and odd layers in every format. In: data/demo and small layers;
// out: circles in feet on the surveyed points, closed outlines with their arcs, signs; nothing is lost where a format is narrow.
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
import { toStakes } from '../../src/write/index.js';
import { handMade } from '../support/assessment.js';
import { dxf, lwpolyline } from '../support/dxf.js';
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
  readonly vertices?: { x: number; y: number; bulge?: number }[];
  readonly shape?: boolean;
  readonly text?: string;
  readonly name?: string; // of the block of an INSERT
  readonly xScale?: number;
}

async function drawing(name: string, of: Assessment, options: object = {}) {
  const path = join(dir, name);
  await writeAssessment(path, of, { units: 'us', ...options });
  const parsed = new dxfParser().parseSync(await readFile(path, 'utf8'));
  const entities = (parsed?.entities ?? []) as unknown as Entity[];
  return { parsed, on: (layer: string) => entities.filter((e) => e.layer === layer), entities };
}

/** Entities on every layer whose name begins so. */
const startingWith = (entities: readonly Entity[], start: string): Entity[] =>
  entities.filter((e) => e.layer.startsWith(start));

describe('DXF', () => {
  test('zones are circles on the surveyed points, with their radius in feet, on the layer of their verdict', async () => {
    const { parsed, entities, on } = await drawing('a.dxf', assessment);
    expect(parsed?.header.$INSUNITS).toBe(2); // feet
    expect(parsed?.header.$MEASUREMENT).toBe(0); // not metric
    expect(parsed?.header.$ACADVER).toBe('AC1021');
    const assessed = assessment.trees.filter((tree) => tree.zoneRadiusM !== null);
    const circles = startingWith(entities, 'ROOT-ZONES-');
    expect(circles.map((c) => c.type)).toEqual(assessed.map(() => 'CIRCLE'));
    assessed.forEach((tree, i) => {
      const { center, radius = 0, layer } = circles[i]!;
      const { xy } = assessment.job.trees;
      const what = tree.disposition === 'keep' ? tree.verdict : tree.disposition;
      expect(layer).toBe(`ROOT-ZONES-${what.toUpperCase()}`);
      expect([center?.x, center?.y]).toEqual([xy[tree.row * 2], xy[tree.row * 2 + 1]]);
      // One foot per inch of diameter, times the grid's scale, which here is within 1 in 10,000 of 1.
      const feet = (tree.zoneRadiusM ?? 0) / 0.3048;
      expect(feet).toBeCloseTo((tree.dbhM ?? 0) / 0.0254, 6);
      expect(Math.abs(radius / feet - 1)).toBeLessThan(1.5e-4);
    });
    // Every verdict and disposition that the demo has is a layer that something lies on.
    expect(new Set(circles.map((c) => c.layer)).size).toBeGreaterThanOrEqual(5);
    expect(on('ROOT-RINGS')).toHaveLength(assessed.reduce((sum, tree) => sum + tree.rings.length, 0));
  });

  test('a zone that an arborist drew is drawn as it is, not as a circle of its farthest corner', async () => {
    const drawn = await assessFiles({
      trees: demo('survey.csv'),
      works: [demo('works.geojson')],
      zones: demo('zones.geojson'),
      crs: 'EPSG:2913',
    });
    const { entities } = await drawing('zones.dxf', drawn, { roles: ['zone'] });
    const polylines = startingWith(entities, 'ROOT-ZONES-').filter((e) => e.type === 'LWPOLYLINE');
    expect(drawn.job.zoneShapes.size).toBeGreaterThan(0);
    expect(polylines).toHaveLength(drawn.job.zoneShapes.size);
  });

  test('a system that stretches the ground stretches the circles with it', async () => {
    const { entities } = await drawing('web.dxf', assessment, { outCrs: 'EPSG:3857', roles: ['zone', 'tree'] });
    const tree = assessment.trees.find((t) => t.zoneRadiusM !== null);
    const [circle] = startingWith(entities, 'ROOT-ZONES-');
    // Web Mercator: 1 / cos(latitude) on the sphere; the ellipsoid moves it by less than 0.5 %.
    const stretch = 1 / Math.cos(((tree?.lat ?? 0) * Math.PI) / 180);
    expect((circle?.radius ?? 0) / ((tree?.zoneRadiusM ?? 1) * stretch)).toBeCloseTo(1, 2);
    expect(stretch).toBeGreaterThan(1.42);
  });

  test('fences, gates, stakes and protected ground lie on layers of their own', async () => {
    const { on } = await drawing('fences.dxf', assessment);
    const { fences, gates, groundProtection } = assessment.fences;
    const rings = (list: readonly { shape: readonly (readonly unknown[])[] }[]): number =>
      list.reduce((sum, { shape }) => sum + shape.flat().length, 0);
    expect(fences.length).toBeGreaterThan(10);
    expect(on('FENCE')).toHaveLength(rings(fences));
    expect(on('FENCE').every((e) => e.shape === true)).toBe(true); // closed
    expect(on('FENCE-GATES')).toHaveLength(gates.length);
    expect(on('GROUND-PROTECTION')).toHaveLength(rings(groundProtection));
    expect(on('FENCE-GATES').every((e) => e.shape !== true)).toBe(true);
    // The stakes are those of --stakes, point by point.
    const rows = toStakes(assessment)
      .split('\r\n')
      .filter((line) => /^[FG]\d/.test(line))
      .map((line) => line.split(','));
    const stakes = on('FENCE-STAKES');
    const points = stakes.filter((e) => e.type === 'POINT');
    expect(points).toHaveLength(rows.length);
    expect(stakes.filter((e) => e.type === 'TEXT').map((e) => e.text)).toEqual(rows.map(([id]) => id));
    rows.forEach(([, , , easting, northing], i) => {
      expect(points[i]?.position?.x).toBeCloseTo(Number(easting), 2);
      expect(points[i]?.position?.y).toBeCloseTo(Number(northing), 2);
    });
  });

  test('overlap, severed ground, works and lots are closed outlines, one per ring, vertex for vertex', async () => {
    const { entities } = await drawing('b.dxf', assessment);
    const { crs, fromLonLat } = transformFor(findCrs('EPSG:2913'));
    const { features } = toGeoJSON(assessment, { output: { crs, toOutput: fromLonLat } });
    const layers = { OVERLAP: 'overlap', 'SEVERED-GROUND': 'severed', 'WORKS-': 'works', LOTS: 'lot' } as const;
    for (const [layer, role] of Object.entries(layers)) {
      const rings = features.filter((f) => f.properties?.rb_role === role).flatMap(ringsOf);
      // a line of works that does not count (the deep bore) is drawn as the open line it is
      const open = features.filter((f) => f.properties?.rb_role === role && f.geometry?.type === 'LineString');
      const all = startingWith(entities, layer);
      const drawn = all.filter((e) => e.shape === true);
      expect(all.length - drawn.length, layer).toBe(open.length);
      expect(
        drawn.map((e) => [e.type, e.shape]),
        layer,
      ).toEqual(rings.map(() => ['LWPOLYLINE', true]));
      rings.forEach((ring, i) => {
        expect(drawn[i]?.vertices?.map((v) => [v.x, v.y])).toEqual(ring.slice(0, -1));
      });
    }
    const kinds = features.filter((f) => f.properties?.rb_role === 'works').map((f) => String(f.properties?.rb_kind));
    for (const kind of new Set(kinds)) {
      const here = entities.filter((e) => e.layer === `WORKS-${kind.toUpperCase()}`);
      expect(here.length, kind).toBeGreaterThanOrEqual(kinds.filter((one) => one === kind).length);
    }
  });

  test('arcs of a drawing come out as arcs, and read again they hold the same ground', async () => {
    // A drive of two half circles and a house with a rounded corner, as bulges: tangent of a quarter of the turn.
    const [e, n] = [7_640_000, 680_000];
    const quarter = Math.tan(Math.PI / 8);
    const source = dxf([
      lwpolyline(
        'DRIVES',
        [
          [e, n, 0],
          [e + 60, n, 1],
          [e + 60, n + 20, 0],
          [e, n + 20, 1],
        ],
        true,
      ),
      lwpolyline(
        'DRIVES',
        [
          [e, n + 40, 0],
          [e + 40, n + 40, 0],
          [e + 40, n + 60, quarter],
          [e + 30, n + 70, 0],
          [e, n + 70, 0],
        ],
        true,
      ),
    ]);
    await writeFile(join(dir, 'arcs-in.dxf'), source);
    await writeFile(join(dir, 'one.csv'), `id,easting,northing,dbh_in\r\nA,${e + 20},${n + 30},12\r\n`);
    const arcs = await assessFiles({
      trees: join(dir, 'one.csv'),
      works: [{ path: join(dir, 'arcs-in.dxf'), kind: 'paving' }],
      crs: 'EPSG:2913',
    });
    const { on } = await drawing('arcs.dxf', arcs);
    const [drive, house] = on('WORKS-PAVING');
    const bulges = (of: Entity | undefined): number[] => of?.vertices?.map((v) => v.bulge ?? 0) ?? [];
    expect(bulges(drive).sort()).toHaveLength(4);
    for (const bulge of bulges(drive).filter((b) => b !== 0)) expect(bulge).toBeCloseTo(1, 5);
    expect(bulges(drive).filter((b) => b !== 0)).toHaveLength(2);
    expect(
      bulges(house)
        .filter((b) => b !== 0)
        .map((b) => b.toFixed(4)),
    ).toEqual([quarter.toFixed(4)]);
    expect(house?.vertices).toHaveLength(5);
    const again = await readLayer(join(dir, 'arcs.dxf'));
    const rows = Array.from({ length: again.count }, (_, row) => row).filter(
      (row) => again.properties(row).layer === 'WORKS-PAVING',
    );
    const areas = rows.map((row) => {
      const { partStart, ringStart, vertexStart, xy } = again.geometry;
      const first = ringStart[partStart[row]!]!;
      const [from, to] = [vertexStart[first]!, vertexStart[first + 1]!];
      let twice = 0;
      for (let i = from; i < to - 1; i++) {
        twice += (xy[i * 2]! - e) * (xy[i * 2 + 3]! - n) - (xy[i * 2 + 2]! - e) * (xy[i * 2 + 1]! - n);
      }
      return Math.abs(twice) / 2;
    });
    // 60 by 20 with two half circles of radius 10; 40 by 30 less a corner of 10 by 10, with a quarter of a circle in it.
    expect(areas[0]! / (1200 + Math.PI * 100)).toBeCloseTo(1, 3);
    expect(areas[1]! / (1200 - 100 + (Math.PI * 100) / 4)).toBeCloseTo(1, 3);
  });

  test('every tree has a point, a trunk where its diameter is known, and a sign of its disposition', async () => {
    const { on, entities } = await drawing('c.dxf', assessment);
    expect(on('TRUNKS').filter((e) => e.type === 'POINT')).toHaveLength(assessment.trees.length);
    const known = assessment.trees.filter((tree) => tree.dbhM !== null);
    expect(on('TRUNKS').filter((e) => e.type === 'CIRCLE')).toHaveLength(known.length);
    const signs = entities.filter((e) => e.type === 'INSERT');
    expect(signs).toHaveLength(assessment.trees.length);
    const { trees } = assessment.job;
    assessment.trees.forEach((tree, i) => {
      const { name, layer, position, xScale = 0 } = signs[i]!;
      expect([name, layer]).toEqual([
        `TREE-${tree.disposition.toUpperCase()}`,
        `TREES-${tree.disposition.toUpperCase()}`,
      ]);
      expect([position?.x, position?.y]).toEqual([trees.xy[tree.row * 2], trees.xy[tree.row * 2 + 1]]);
      // The crown's mean radius, else the zone's, else a metre; the grid's scale is within 1 in 10,000 of 1.
      const four = [0, 1, 2, 3].map((q) => trees.crownM[tree.row * 4 + q]!);
      const crown = four.reduce((sum, r) => sum + r, 0) / 4;
      const radiusM = crown > 0 ? crown : (tree.zoneRadiusM ?? 1);
      expect(xScale / (radiusM / 0.3048)).toBeCloseTo(1, 3);
    });
  });

  test('our own reader finds the signs with their attributes, one row a tree', async () => {
    await drawing('signs.dxf', assessment, { roles: ['tree'] });
    const layer = await readLayer(join(dir, 'signs.dxf'));
    const rows = Array.from({ length: layer.count }, (_, row) => layer.properties(row));
    const signs = rows.filter(({ entity }) => entity === 'INSERT');
    const { trees } = assessment.job;
    expect(signs).toHaveLength(assessment.trees.length);
    assessment.trees.forEach((tree, i) => {
      expect(signs[i]).toMatchObject({
        block: `TREE-${tree.disposition.toUpperCase()}`,
        TAG: tree.key,
        DIAMETER: tree.dbhM === null ? null : `dbh ${(tree.dbhM / 0.0254).toFixed(1)} in`,
        PERCENT: tree.overlapPct === null ? 'not assessed' : `${tree.overlapPct.toFixed(1)} %`,
        SPECIES: trees.species[tree.row] ?? null,
        VERDICT: tree.verdict,
        DISPOSITION: tree.disposition,
      });
    });
  });

  test('only our own layers are drawn on, and roles choose among them', async () => {
    const { entities } = await drawing('d.dxf', assessment, { roles: ['zone', 'works'] });
    const layers = [...new Set(entities.map((e) => e.layer))].filter((name) => !/^(ROOT-ZONES|WORKS)-/.test(name));
    expect(layers).toEqual(['NOTES']);
  });

  test('the drawing says its system and unit, and what survey feet do to programs that do not know them', async () => {
    const feet = await drawing('ft.dxf', assessment, { roles: ['tree'], stamp: 'invented data' });
    const note = feet.on('NOTES')[0]?.text ?? '';
    expect(note).toContain('invented data');
    expect(note).toContain('EPSG:2913');
    expect(note).toContain('international foot (0.3048 m)');
    expect(note).not.toContain('2 parts in a million');
    // Washington North (EPSG:2285) is in US survey feet.
    const survey = await drawing('ftus.dxf', assessment, { roles: ['tree'], outCrs: 'EPSG:2285' });
    expect(survey.parsed?.header.$INSUNITS).toBe(21);
    expect(survey.on('NOTES')[0]?.text).toContain('US survey foot (1200/3937 m)');
    expect(survey.on('NOTES')[0]?.text).toContain('2 parts in a million');
    const metres = await drawing('m.dxf', assessment, { roles: ['tree'], outCrs: 'EPSG:32610' });
    expect([metres.parsed?.header.$INSUNITS, metres.parsed?.header.$MEASUREMENT]).toEqual([6, 1]);
  });

  test('an office’s own names take the place of ours; several of ours may share one, whatever its capitals', async () => {
    const dxfLayers = { 'TREES-KEEP': 'Bäume', 'ROOT-ZONES-UNTOUCHED': 'ZONEN', 'ROOT-ZONES-OVER-LIMIT': 'zonen' };
    const { on, parsed } = await drawing('own.dxf', assessment, { dxfLayers });
    expect(on('TREES-KEEP')).toHaveLength(0);
    expect(on('Bäume').length).toBe(assessment.trees.filter((t) => t.disposition === 'keep').length);
    const kept = assessment.trees.filter((t) => t.disposition === 'keep' && t.zoneRadiusM !== null);
    const both = kept.filter((t) => t.verdict === 'untouched' || t.verdict === 'over-limit');
    expect(on('ZONEN')).toHaveLength(both.length);
    const names = Object.keys(parsed?.tables.layer.layers ?? {});
    expect(names.filter((name) => name.toLowerCase() === 'zonen')).toEqual(['ZONEN']);
    expect(names).not.toContain('TREES-KEEP');
  });

  test.each([
    [{ 'TREES-KEP': 'A' }, 'TREES-KEP: no layer of that name, did you mean TREES-KEEP?'],
    [{ LOTS: 'a/b:c' }, 'LOTS: "a/b:c" holds / :, which a drawing\'s layer may not; write "a-b-c"'],
    [{ LOTS: '' }, 'LOTS: the name is empty'],
    [{ LOTS: 'two\nlines' }, 'holds a line break'],
    [{ LOTS: 'x'.repeat(256) }, 'the name has 256 characters, and 255 is the most'],
    [{ LOTS: 7 }, 'LOTS: found 7, expected a name in quotes'],
    [['LOTS'], 'is no object of names'],
  ])('layer names that can’t be used are refused before anything is drawn: %j', async (dxfLayers, message) => {
    const write = writeAssessment(join(dir, 'never.dxf'), assessment, { dxfLayers: dxfLayers as never });
    await expect(write).rejects.toMatchObject({
      code: 'dxf-layers-invalid',
      usage: true,
      message: expect.stringContaining(message),
    });
    await expect(readFile(join(dir, 'never.dxf'))).rejects.toThrow('ENOENT');
  });

  test('without works zones have no verdict; a group is its outline, its name, and its zone as it is', async () => {
    const corners = [
      [-122.6919, 45.5115],
      [-122.6915, 45.5115],
      [-122.6915, 45.5118],
      [-122.6919, 45.5118],
      [-122.6919, 45.5115],
    ];
    const grove = { type: 'Polygon', coordinates: [corners] };
    const lone = { type: 'Point', coordinates: [-122.6925, 45.5115] };
    const features = [grove, lone].map((geometry, i) => ({
      type: 'Feature',
      id: `T${i}`,
      geometry,
      properties: { dbh_in: 10, species: 'Ä ^J 50%%' },
    }));
    await writeFile(join(dir, 'group.geojson'), JSON.stringify({ type: 'FeatureCollection', features }));
    const alone = await assessFiles({ trees: join(dir, 'group.geojson') });
    expect(alone.trees.map(({ verdict }) => verdict)).toEqual([null, null]);
    const { on } = await drawing('alone.dxf', alone, { outCrs: 'EPSG:2913', roles: ['zone', 'tree'] });
    expect(on('ROOT-ZONES-NOT-ASSESSED').map((e) => e.type)).toEqual(['LWPOLYLINE', 'CIRCLE']);
    expect(on('TREES-KEEP').map((e) => e.type)).toEqual(['LWPOLYLINE', 'INSERT']);
    expect(
      on('TREES-LABELS')
        .filter((e) => e.type === 'TEXT')
        .map((e) => e.text),
    ).toEqual(['T0']);
    const layer = await readLayer(join(dir, 'alone.dxf'));
    const rows = Array.from({ length: layer.count }, (_, row) => layer.properties(row));
    // Nothing is said of a percent; a caret and %% would be commands in a text.
    expect(rows.find(({ entity }) => entity === 'INSERT')).toMatchObject({
      TAG: 'T1',
      PERCENT: null,
      VERDICT: null,
      SPECIES: 'Ä ^ J 50% %',
    });
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
