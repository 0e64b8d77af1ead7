// Crowns in the output: properties and their units, the drawn outline and its area, the schedule, drawn polygons.
import { describe, expect, it } from 'vitest';
import { assess } from '../../src/assess/index.js';
import { readLayer } from '../../src/read/index.js';
import { toGeoJSON, toSchedule } from '../../src/write/index.js';
import { crownJob } from '../support/crowns.js';
import { bytesOf } from '../support/layers.js';
import { rect, signedArea } from '../support/shapes.js';

const TREE = { crown_n_m: 6, crown_e_m: 4, crown_s_m: 3, crown_w_m: 5, crown_base_m: 4, height_m: 15 };
const HOUSE = [{ ring: rect(2, -20, 20, 20), height_m: 7 }];

type Feature = ReturnType<typeof toGeoJSON>['features'][number];
const ofRole = (features: readonly Feature[], role: string): Feature[] =>
  features.filter((f) => f.properties?.rb_role === role);

const shellOf = (feature: Feature | undefined): readonly [number, number][] =>
  (feature?.geometry! as { coordinates: [number, number][][] } | undefined)?.coordinates[0] ?? [];

describe('crown properties', () => {
  const assessment = crownJob(TREE, HOUSE, { clearanceM: 0.5 });
  const crown = assessment.trees[0]?.crown;

  it('stand on the tree, in metres', () => {
    const [tree] = ofRole(toGeoJSON(assessment).features, 'tree');
    expect(tree?.properties).toMatchObject({
      rb_crown_area_m2: expect.closeTo((Math.PI / 4) * (24 + 12 + 15 + 30), 5),
      rb_crown_overlap_m2: expect.closeTo(crown?.overlapM2!, 5),
      rb_crown_overlap_pct: expect.closeTo(crown?.overlapPct!, 5),
      rb_crown_arc_from: expect.closeTo(crown?.arcFrom!, 5),
      rb_crown_arc_to: expect.closeTo(crown?.arcTo!, 5),
      rb_crown_arc_degrees: expect.closeTo(crown?.arcDegrees!, 5),
      rb_crown_lift_m: 3.5,
      rb_crown_works: 'B1',
    });
  });

  it('in feet with --units us', () => {
    const [tree] = ofRole(toGeoJSON(assessment, { units: 'us' }).features, 'tree');
    expect(tree?.properties?.rb_crown_lift_ft).toBeCloseTo(3.5 / 0.3048, 5);
    expect(tree?.properties?.rb_crown_area_ft2).toBeCloseTo(crown?.areaM2! / 0.3048 ** 2, 4);
    expect(tree?.properties).not.toHaveProperty('rb_crown_lift_m');
  });

  it('the outline has the crown’s area and is drawn between rings and overlaps', () => {
    const { features } = toGeoJSON(assessment);
    const roles = [...new Set(features.map((f) => f.properties?.rb_role))];
    expect(roles.indexOf('crown')).toBe(roles.indexOf('ring') + 1);
    const [drawn] = ofRole(features, 'crown');
    expect(drawn).toMatchObject({ id: 'crown:T1', properties: { rb_id: 'crown:0', rb_tree: 'trees:0' } });
    const ring = shellOf(drawn);
    expect(signedArea(ring.slice(0, -1).flatMap(([x, y]) => [x - 5000, y - 5000]))).toBeCloseTo(crown?.areaM2!, 3);
    expect(Math.max(...ring.map(([, y]) => y - 5000))).toBeCloseTo(6, 1);
    expect(Math.min(...ring.map(([x]) => x - 5000))).toBeCloseTo(-5, 1);
  });

  it('the schedule has its columns', () => {
    const [head, row] = toSchedule(assessment).split('\r\n');
    expect(head).toContain('Crown area (m2),Crown over buildings (m2),Crown over buildings (%)');
    expect(head).toContain('Lift to clear the buildings (m),Crown over,Verdict');
    expect(row).toContain(',3.50,B1,');
  });

  it('all round is written 0 to 360', () => {
    const [tree] = ofRole(toGeoJSON(crownJob(TREE, [{ ring: rect(-1, -1, 20, 20) }])).features, 'tree');
    expect([tree?.properties?.rb_crown_arc_from, tree?.properties?.rb_crown_arc_to]).toEqual([0, 360]);
  });

  it('a job without crowns has none of it', () => {
    const plain = crownJob({}, HOUSE);
    const { features } = toGeoJSON(plain);
    expect(ofRole(features, 'crown')).toEqual([]);
    expect(Object.keys(ofRole(features, 'tree')[0]?.properties ?? {}).filter((k) => k.includes('crown'))).toEqual([]);
    expect(toSchedule(plain)).not.toContain('Crown');
  });

  it('without a conflict figures are 0, without a crown null', () => {
    const text = 'x,y,id,dbh_m,crown_radius_m\n0,0,A,0.3,4\n50,0,B,0.3,\n';
    const two = assess({
      trees: readLayer(bytesOf(text), { name: 't.csv' }),
      works: [{ layer: readLayer(bytesOf('{"type":"FeatureCollection","features":[]}'), { name: 'none.geojson' }) }],
      options: { crs: 'local:m' },
    });
    const [a, b] = ofRole(toGeoJSON(two).features, 'tree').map((f) => f.properties ?? {});
    expect(a).toMatchObject({
      rb_crown_overlap_m2: 0,
      rb_crown_overlap_pct: 0,
      rb_crown_arc_from: null,
      rb_crown_lift_m: null,
    });
    expect(b).toMatchObject({ rb_crown_area_m2: null, rb_crown_overlap_m2: null, rb_crown_works: null });
    expect(ofRole(toGeoJSON(two).features, 'crown')).toHaveLength(1);
  });
});

describe('crowns that were drawn', () => {
  const at = ([x, y]: readonly [number, number]): [number, number] => [5000 + x, 5000 + y];
  const polygon = (ring: readonly (readonly [number, number])[], tree = 'T1') => ({
    type: 'Feature',
    properties: { tree },
    geometry: { type: 'Polygon', coordinates: [[...ring, ring[0]!].map(at)] },
  });
  const job = (crowns: readonly unknown[], house: readonly (readonly [number, number])[], more = '') =>
    assess({
      trees: readLayer(bytesOf(`x,y,id,dbh_m,crown_radius_m\n5000,5000,T1,0.3,${more}\n`), { name: 't.csv' }),
      works: [
        {
          layer: readLayer(bytesOf(JSON.stringify({ type: 'FeatureCollection', features: [polygon(house, 'H')] })), {
            name: 'w',
          }),
          kind: 'building',
        },
      ],
      crowns: readLayer(bytesOf(JSON.stringify({ type: 'FeatureCollection', features: crowns })), { name: 'crowns' }),
      options: { crs: 'local:m' },
    });
  const SQUARE = [
    [-4, -4],
    [4, -4],
    [4, 4],
    [-4, 4],
  ] as const; // 64 m2
  const EAST = [
    [2, -9],
    [9, -9],
    [9, 9],
    [2, 9],
  ] as const;

  it('go before radii; area and overlap are the polygon’s', () => {
    const crown = job([polygon(SQUARE)], EAST, '20').trees[0]?.crown;
    expect(crown?.areaM2).toBeCloseTo(64, 9);
    expect(crown?.overlapM2).toBeCloseTo(16, 9); // 2 x 8
    // the wall in the crown runs from (2, -4) to (2, 4); the crown in the wall turns no farther
    const half = (Math.atan2(4, 2) * 180) / Math.PI;
    expect(crown?.arcFrom).toBeCloseTo(90 - half, 7);
    expect(crown?.arcTo).toBeCloseTo(90 + half, 7);
  });

  it('two features of one tree are one shape', () => {
    const more = [
      [3, -1],
      [6, -1],
      [6, 1],
      [3, 1],
    ] as const; // 2 x 1 overlaps the square, 4 more
    const crown = job([polygon(SQUARE), polygon(more)], EAST).trees[0]?.crown;
    expect(crown?.areaM2).toBeCloseTo(68, 9);
    expect(crown?.overlapM2).toBeCloseTo(20, 9);
  });

  it('a crown that leans away from its trunk', () => {
    const away = [
      [5, -1],
      [7, -1],
      [7, 1],
      [5, 1],
    ] as const;
    const result = job([polygon(away)], EAST);
    const crown = result.trees[0]?.crown;
    expect(crown?.overlapPct).toBeCloseTo(100, 9);
    const half = (Math.atan2(1, 5) * 180) / Math.PI;
    expect([crown?.arcFrom, crown?.arcTo]).toEqual([expect.closeTo(90 - half, 7), expect.closeTo(90 + half, 7)]);
  });

  it('are drawn as they were given', () => {
    const [drawn] = ofRole(toGeoJSON(job([polygon(SQUARE)], EAST)).features, 'crown');
    const ring = shellOf(drawn);
    expect(signedArea(ring.slice(0, -1).flatMap(([x, y]) => [x - 5000, y - 5000]))).toBeCloseTo(64, 2);
  });
});
