import { booleanClockwise } from '@turf/turf';
import type { Feature, FeatureCollection, Polygon, Position } from 'geojson';
import * as geojsonValidation from 'geojson-validation';
import { describe, expect, it, test } from 'vitest';
import { InputError } from '../../src/model/findings.js';
import type { TreeResult } from '../../src/model/index.js';
import { geojsonText, ROLES, toFindings, toGeoJSON } from '../../src/write/index.js';
import { handMade, square } from '../support/assessment.js';
import { mulberry32 } from '../support/random.js';

const text = (...args: Parameters<typeof geojsonText>): string => [...geojsonText(...args)].join('');
const ofRole = (collection: FeatureCollection, role: string): Feature[] =>
  collection.features.filter((f) => f.properties?.rb_role === role);
const properties = (collection: FeatureCollection, id: string): Record<string, unknown> => {
  const found = collection.features.find((f) => f.properties?.rb_id === id);
  return found?.properties!;
};

describe('collection', () => {
  test('object and text are equal, and the bytes are the same every time', () => {
    const { assessment } = handMade();
    expect(toGeoJSON(assessment)).toEqual(JSON.parse(text(assessment)));
    expect(text(handMade().assessment)).toBe(text(assessment));
    const options = { crs: 'EPSG:2913', limit: 0.2 }; // the same options written in another order
    expect(text(handMade({ options }).assessment)).toBe(text(assessment));
  });

  test('foreign member stands before the features; one feature a line', () => {
    const { assessment } = handMade();
    const written = text(assessment);
    expect(Object.keys(JSON.parse(written))).toEqual(['type', 'rootberth', 'features']);
    const lines = written.split('\n');
    const features = toGeoJSON(assessment).features;
    expect(lines.filter((l) => l.startsWith('{"type":"Feature",'))).toHaveLength(features.length);
    const member = (toGeoJSON(assessment) as unknown as { rootberth: Record<string, unknown> }).rootberth;
    expect(member).toMatchObject({
      version: '0.0.0-test',
      rule: assessment.rule,
      options: assessment.options,
      inputs: assessment.inputs,
      counts: assessment.counts,
      findings: assessment.findings,
      written: { units: 'metric', prefix: 'rb_', positions: expect.stringContaining('RFC 7946') },
    });
  });

  test('roles come bottom to top, each in input order, and every feature read is there', () => {
    const { assessment } = handMade();
    const features = toGeoJSON(assessment).features;
    const order = features.map((f) => ROLES.indexOf(f.properties?.rb_role));
    expect(order).toEqual([...order].sort((a, b) => a - b));
    expect(features.map((f) => f.id)).toEqual([
      'lot:L-122.5',
      'lot:L-122.4',
      'works:W1',
      'works:W2',
      'works:W3',
      'zone:T1',
      'zone:T2',
      'ring:T1:no-cut',
      'ring:T2:no-cut',
      'overlap:T1',
      'severed:T1',
      'ground-protection:1',
      'fence:1',
      'gate:1',
      'a',
      'tree:T2',
      'tree:T3',
      'tree:T4',
    ]);
    const ids = features.map((f) => f.properties?.rb_id);
    expect(new Set(ids).size).toBe(ids.length);
  });

  test('a clipped shape is drawn once, and only when its role is written', () => {
    const { assessment, drawn } = handMade();
    text(assessment);
    expect(drawn).toEqual({ overlap: 1, severed: 1 });
    text(assessment, { roles: ['zone', 'ring', 'severed'] });
    expect(drawn).toEqual({ overlap: 1, severed: 2 });
  });

  test('picked roles give the same features as the whole, in the fixed order', () => {
    const { assessment } = handMade();
    const all = toGeoJSON(assessment);
    const picked = toGeoJSON(assessment, { roles: ['tree', 'severed', 'ring'] }).features;
    expect(picked).toEqual([...ofRole(all, 'ring'), ...ofRole(all, 'severed'), ...ofRole(all, 'tree')]);
    expect(toGeoJSON(assessment, { shapes: false }).features).toEqual(
      ['lot', 'works', 'tree'].flatMap((role) => ofRole(all, role)),
    );
  });

  test('what drawing had to say is handed back and marked on the features', () => {
    const { assessment } = handMade();
    const pieces = geojsonText(assessment);
    let step = pieces.next();
    while (!step.done) step = pieces.next();
    expect(step.value.map((f) => f.code)).toEqual(['shape-approximate']);
    expect(properties(toGeoJSON(assessment), 'overlap:0').rb_approximate).toBe(true);
  });
});

describe('geometry', () => {
  test('every feature passes geojson-validation and the right-hand rule', () => {
    const features = toGeoJSON(handMade().assessment).features;
    for (const feature of features) {
      if (feature.geometry !== null) expect(geojsonValidation.valid(feature, true)).toEqual([]);
      const polygons: Position[][][] =
        feature.geometry?.type === 'Polygon'
          ? [feature.geometry.coordinates]
          : feature.geometry?.type === 'MultiPolygon'
            ? feature.geometry.coordinates
            : [];
      for (const rings of polygons) {
        rings.forEach((ring, r) => {
          expect(booleanClockwise(ring), `${feature.id} ring ${r}`).toBe(r > 0);
          expect(ring[0]).toEqual(ring[ring.length - 1]);
        });
      }
    }
    expect(ofRole(toGeoJSON(handMade().assessment), 'severed')[0]?.geometry.type).toBe('MultiPolygon');
  });

  test('a line with width is written as the polygon that was measured, a rejected line as a line', () => {
    const works = ofRole(toGeoJSON(handMade().assessment), 'works');
    expect(works.map((f) => f.geometry.type)).toEqual(['Polygon', 'Polygon', 'LineString']);
    const { coordinates } = works[1]!.geometry as Polygon; // measured gave nothing: the cleaned one
    expect(coordinates).toHaveLength(2);
  });

  test('a tree row of two points is shown as it was read; without a way to place it, as null', () => {
    const { assessment } = handMade();
    const tree = ofRole(toGeoJSON(assessment), 'tree')[3];
    expect(tree?.geometry).toEqual({
      type: 'MultiPoint',
      coordinates: [
        [-122.2, 45.5],
        [-122.1, 45.5],
      ],
    });
    const { treeLayerToLonLat: _, ...job } = assessment.job;
    expect(ofRole(toGeoJSON({ ...assessment, job }), 'tree')[3]?.geometry).toBeNull();
  });

  test('a shape across the antimeridian is cut there (RFC 7946 section 3.1.9)', () => {
    const { assessment } = handMade();
    const shapes: typeof assessment.shapes = () => ({
      zone: [[square(179.9999, -17, 0.0002).map(([x, y]): [number, number] => [x > 180 ? x - 360 : x, y])]],
      rings: [],
      overlap: [],
      severed: [],
      findingsOf: () => [],
      crown: [],
    });
    const [zone] = toGeoJSON({ ...assessment, shapes }, { roles: ['zone'] }).features;
    expect(geojsonValidation.valid(zone, true)).toEqual([]);
    expect(zone?.geometry).toEqual({
      type: 'MultiPolygon',
      coordinates: [
        [
          [
            [179.9997, -17.0002],
            [180, -17.0002],
            [180, -16.9998],
            [179.9997, -16.9998],
            [179.9997, -17.0002],
          ],
        ],
        [
          [
            [-180, -16.9998],
            [-180, -17.0002],
            [-179.9999, -17.0002],
            [-179.9999, -16.9998],
            [-180, -16.9998],
          ],
        ],
      ],
    });
  });

  test('a ring that touches itself is opened: loops become polygons or holes, spikes go', () => {
    const { assessment } = handMade();
    const drawnAs = (ring: [number, number][]): unknown => {
      const shapes: typeof assessment.shapes = () => ({
        zone: [],
        rings: [],
        overlap: [[ring]],
        severed: [],
        findingsOf: () => [],
        crown: [],
      });
      const trees = assessment.trees.slice(0, 1);
      return toGeoJSON({ ...assessment, trees, shapes }, { roles: ['overlap'] }).features[0]?.geometry;
    };
    // two squares that meet in [1, 1]
    const eight: [number, number][] = [
      [0, 0],
      [1, 0],
      [1, 1],
      [2, 1],
      [2, 2],
      [1, 2],
      [1, 1],
      [0, 1],
      [0, 0],
    ];
    expect(drawnAs(eight)).toEqual({
      type: 'MultiPolygon',
      coordinates: [
        [
          [
            [1, 1],
            [2, 1],
            [2, 2],
            [1, 2],
            [1, 1],
          ],
        ],
        [
          [
            [0, 0],
            [1, 0],
            [1, 1],
            [0, 1],
            [0, 0],
          ],
        ],
      ],
    });
    // a square whose ring goes round a hole from its corner [0, 0], and a spike to [5, 4]
    const bay: [number, number][] = [
      [0, 0],
      [4, 0],
      [4, 4],
      [5, 4],
      [4, 4],
      [0, 4],
      [0, 0],
      [1, 2],
      [2, 1],
      [0, 0],
    ];
    expect(drawnAs(bay)).toEqual({
      type: 'Polygon',
      coordinates: [
        [
          [0, 0],
          [4, 0],
          [4, 4],
          [0, 4],
          [0, 0],
        ],
        [
          [0, 0],
          [1, 2],
          [2, 1],
          [0, 0],
        ],
      ],
    });
  });

  test('a position that is not a number gives null, a shape without area no feature', () => {
    const { assessment } = handMade();
    const worksLonLat = assessment.job.worksLonLat.slice();
    worksLonLat[9] = Number.NaN; // in W2's shell
    const job = { ...assessment.job, worksLonLat };
    const shapes: typeof assessment.shapes = () => ({
      zone: [[square(0, 0, 1e-11)]],
      rings: [],
      overlap: [],
      severed: [],
      findingsOf: () => [],
      crown: [],
    });
    const out = toGeoJSON({ ...assessment, job, shapes });
    expect(ofRole(out, 'works')[1]?.geometry).toBeNull();
    expect(ofRole(out, 'zone')).toEqual([]);
  });
});

describe('properties', () => {
  test('a tree: own first, then ours, in the fixed order, with 6 decimals and null for what there is not', () => {
    const { assessment } = handMade();
    const line = text(assessment)
      .split('\n')
      .find((l) => l.includes('"rb_id":"trees:0"'));
    expect(line).toBe(
      '{"type":"Feature","id":"a","geometry":{"type":"Point","coordinates":[-122.5,45.5]},"properties":{' +
        '"tag":"T1","remarks":"lean, \\"slight\\"","source_source_rb_verdict":"old","source_rb_verdict":"older",' +
        '"rb_role":"tree","rb_id":"trees:0","rb_disposition":"keep","rb_dbh_m":0.508,"rb_zone_radius_m":6.096,' +
        '"rb_zone_area_m2":116.745359,"rb_overlap_m2":40.123457,"rb_overlap_pct":34.368357,' +
        '"rb_overlap_building_m2":10,"rb_overlap_trench_m2":35,"rb_severed_m2":2,"rb_severed_pct":1.71313,' +
        '"rb_affected_pct":36.081487,"rb_ring_no-cut_pct":12.5,"rb_nearest_m":0.3048,"rb_nearest_face_m":0.0508,' +
        '"rb_nearest_bearing":0,"rb_nearest_grid_bearing":1.5,"rb_convergence":-1.5,"rb_nearest_works":"W1",' +
        '"rb_worst_works":"W1","rb_worst_works_pct":25.5,"rb_margin_m":-0.3048,"rb_verdict":"over-limit","rb_consequence":"exceeds the limit","rb_reasons":"over-zone-limit;ring-no-cut",' +
        '"rb_lot":"L-122.5","rb_z":101.5}},',
    );
    const out = toGeoJSON(assessment);
    const keys = Object.keys(properties(out, 'trees:1')).filter((k) => k.startsWith('rb_'));
    expect(Object.keys(properties(out, 'trees:2')).filter((k) => k.startsWith('rb_'))).toEqual(keys);
    expect(properties(out, 'trees:2')).toMatchObject({
      rb_dbh_m: null,
      rb_overlap_trench_m2: null,
      'rb_ring_no-cut_pct': null,
      rb_nearest_works: null,
      rb_lot: null,
      rb_z: 7,
    });
    expect(Object.is(properties(out, 'trees:1').rb_severed_m2, 0)).toBe(true); // no negative zero
  });

  test('a survey in degrees without heights has neither grid bearing nor rb_z', () => {
    const { assessment } = handMade();
    const trees = assessment.trees.map((t): TreeResult => ({ ...t, convergence: null, nearestGridBearing: null }));
    const job = { ...assessment.job, trees: { ...assessment.job.trees, z: null } };
    const keys = Object.keys(properties(toGeoJSON({ ...assessment, trees, job }), 'trees:1'));
    for (const key of ['rb_nearest_grid_bearing', 'rb_convergence', 'rb_z']) expect(keys).not.toContain(key);
  });

  test('us units: feet, square feet, inches, by definition of the international foot (0.3048 m)', () => {
    const out = toGeoJSON(handMade().assessment, { units: 'us' });
    expect(properties(out, 'trees:0')).toMatchObject({
      rb_dbh_in: 20,
      rb_zone_radius_ft: 20,
      rb_zone_area_ft2: 1256.636585, // 116.7453589 / 0.09290304
      rb_overlap_trench_ft2: 376.736865, // 35 / 0.09290304
      rb_nearest_ft: 1,
      rb_nearest_face_ft: 0.166667,
      rb_overlap_pct: 34.368357,
    });
    const keys = out.features.flatMap((f) => Object.keys(f.properties ?? {}));
    expect(keys.filter((k) => /^rb_.*_m2?$/.test(k))).toEqual([]);
    expect(properties(out, 'ring:0:no-cut').rb_ring_radius_ft).toBe(5);
  });

  test('works and lots say whether they counted and why not', () => {
    const out = toGeoJSON(handMade().assessment);
    expect(properties(out, 'works:1')).toEqual({
      id: 'W2',
      kind: 'building',
      rb_role: 'works',
      rb_id: 'works:1',
      rb_layer: 'works.geojson',
      rb_kind: 'building',
      rb_option: null,
      rb_counted: 'true',
      rb_counted_reason: null,
      rb_repaired: true,
      rb_reasons: '',
    });
    expect(properties(out, 'works:2')).toMatchObject({ rb_counted: 'false', rb_reasons: 'width-missing' });
    expect(properties(out, 'lots:0')).toMatchObject({ rb_role: 'lot', rb_accepted: true, rb_reasons: '' });
  });

  test('drawn features point at their tree', () => {
    const out = toGeoJSON(handMade().assessment);
    for (const role of ['zone', 'ring', 'overlap', 'severed']) {
      for (const f of ofRole(out, role)) expect(properties(out, f.properties?.rb_tree).rb_role).toBe('tree');
    }
  });

  test('another prefix: ours take it, and what begins with rb_ is then the source’s own', () => {
    const out = toGeoJSON(handMade().assessment, { prefix: 'x_', roles: ['tree'] });
    expect(out.features[0]?.properties).toMatchObject({ rb_verdict: 'old', x_verdict: 'over-limit', x_id: 'trees:0' });
  });

  test('own values that JSON has no word for do not break the file', () => {
    const { assessment } = handMade();
    const layer = {
      ...assessment.job.trees.layer,
      properties: () => JSON.parse('{"__proto__":1,"a":null}') as Record<string, unknown>,
    };
    const odd = {
      ...layer,
      properties: () => ({ big: 12345678901234567890n, nan: Number.NaN, gone: undefined, at: new Date(0) }),
    };
    const job = (l: typeof layer) => ({ ...assessment.job, trees: { ...assessment.job.trees, layer: l } });
    expect(text({ ...assessment, job: job(layer) }, { roles: ['tree'] })).toContain(
      '"properties":{"__proto__":1,"a":null,',
    );
    expect(text({ ...assessment, job: job(odd) }, { roles: ['tree'] })).toContain(
      '"properties":{"big":"12345678901234567890","nan":null,"gone":null,"at":"1970-01-01T00:00:00.000Z","rb_role"',
    );
  });
});

describe('options', () => {
  test.each([
    [{ roles: ['roots'] }, 'role-unknown'],
    [{ roles: ['tree', 'trees'] }, 'role-unknown'],
    [{ prefix: '' }, 'prefix-unusable'],
    [{ prefix: '1_' }, 'prefix-unusable'],
  ])('%j is refused before any text is asked for', (options, code) => {
    const { assessment } = handMade();
    let caught: unknown;
    try {
      geojsonText(assessment, options);
    } catch (error) {
      caught = error;
    }
    expect(caught).toBeInstanceOf(InputError);
    expect(caught).toMatchObject({ code, usage: true });
  });
});

test('findings file: inputs, counts and findings, late ones at the end', () => {
  const { assessment } = handMade();
  const late = { ...assessment.findings[0]!, message: 'late' };
  const file = JSON.parse(toFindings(assessment, [late]));
  expect(Object.keys(file)).toEqual(['version', 'inputs', 'counts', 'rule', 'findings']);
  expect(file.findings.map((f: { message: string }) => f.message)).toEqual(['no diameter', 'late']);
  expect(JSON.parse(toFindings({ ...assessment, findings: [] })).findings).toEqual([]);
});

describe('the collection as bytes', () => {
  it('is the text, byte for byte, for the demo in every unit and for the fixture', async () => {
    const { assessFiles } = await import('../../src/node.js');
    const { geojsonBytes } = await import('../../src/write/index.js');
    const demo = await assessFiles({
      trees: 'data/demo/survey.csv',
      works: ['data/demo/works.geojson'],
      lots: 'data/demo/lots.geojson',
      crs: 'EPSG:2913',
    });
    for (const assessment of [demo, handMade().assessment]) {
      for (const units of ['metric', 'us'] as const) {
        const options = { units };
        const text = [...geojsonText(assessment, options)].join('');
        const bytes = Buffer.concat([...geojsonBytes(assessment, options)]).toString('utf8');
        expect(bytes).toBe(text);
      }
    }
  });

  it('writes numbers as String() does', async () => {
    const { ByteText } = await import('../../src/write/byte-text.js');
    const out = new ByteText();
    const random = mulberry32(4);
    const numbers = [
      0, -0.5, 1, 1e-6, -1e-6, 2e-7, 123456.789012, 359.999999, 1e15, 9.3e11, 0.1, 12345678.000001, -179.999999999,
    ];
    for (let i = 0; i < 5000; i++) numbers.push(Math.round((random() - 0.5) * 10 ** (i % 12) * 1e6) / 1e6 + 0);
    for (const decimals of [6, 9] as const) {
      for (const n of numbers) {
        out.rounded(n, decimals);
        expect(Buffer.from(out.take()).toString()).toBe(String(n));
      }
    }
  });
});
