// Fences on paper: features of the role, which jobs have them unasked, stakes that a surveyor can set out.
import { describe, expect, test } from 'vitest';
import { assess } from '../../src/assess/index.js';
import { readLayer } from '../../src/read/index.js';
import { toGeoJSON, toStakes } from '../../src/write/index.js';
import { handMade } from '../support/assessment.js';
import { bytesOf } from '../support/layers.js';
import { box, type LocalFeature, localJob } from '../support/local-job.js';

const FT = 0.3048;
const zone = (x: number, y: number, radius: number, id: string): LocalFeature => ({
  point: [x, y],
  properties: { dbh_in: radius / FT, id },
});
const DRIVE: LocalFeature = {
  line: [
    [-30, 3],
    [30, 3],
  ],
  properties: { id: 'D', kind: 'paving', width_m: 3 },
};
const job = (options = {}) =>
  localJob([zone(0, 0, 8, 'A'), zone(40, 0, 5, 'B')], [DRIVE, box(42, -9, 60, 9, { id: 'H', kind: 'building' })], {
    options: { fences: { workingSpaceM: 1 }, ...options },
  });

describe('features', () => {
  test('ground below, fences, gates on top; figures in the units asked for', () => {
    const assessment = job();
    const features = toGeoJSON(assessment, { roles: ['fence'], units: 'us' }).features;
    const kinds = features.map((f) => f.properties?.rb_fence_kind as string);
    expect(kinds).toEqual([...kinds].sort((a, b) => 'gfx'.indexOf(order(a)) - 'gfx'.indexOf(order(b))));
    expect(new Set(kinds)).toEqual(new Set(['ground-protection', 'fence', 'gate']));
    const [first] = assessment.fences.fences;
    const fence = features.find((f) => f.properties?.rb_fence_kind === 'fence');
    expect(fence?.geometry.type).toBe('LineString');
    expect(fence?.properties).toMatchObject({ rb_role: 'fence', rb_id: 'fence:1', rb_trees: 'A', rb_tree_count: 1 });
    expect(fence?.properties?.rb_length_ft).toBeCloseTo(first?.lengthM! / FT, 5);
    expect(fence?.properties?.rb_working_space_ft).toBeCloseTo(1 / FT, 5);
    expect(fence?.properties?.rb_post_spacing_ft).toBeCloseTo(10, 5);
    const gate = features.find((f) => f.properties?.rb_fence_kind === 'gate');
    expect(gate?.properties).toMatchObject({ rb_id: 'gate:1', rb_works: 'D', rb_trees: null, rb_posts: null });
    const ground = features.find((f) => f.properties?.rb_fence_kind === 'ground-protection');
    expect(ground?.geometry.type).toBe('Polygon');
  });

  function order(kind: string): string {
    return { 'ground-protection': 'g', fence: 'f', gate: 'x' }[kind] ?? '';
  }

  test('small jobs have fences unasked, large ones when the role or an option asks; figures alone never', () => {
    const roles = (trees: number, options: object, asked: object = {}): string[] => {
      const made = handMade().assessment;
      const counts = { ...made.counts, trees: { ...made.counts.trees, in: trees } };
      const out = toGeoJSON({ ...made, counts, options }, asked) as unknown as {
        rootberth: { written: { roles: string[] } };
      };
      return out.rootberth.written.roles;
    };
    expect(roles(5000, {})).toContain('fence');
    expect(roles(5001, {})).not.toContain('fence');
    expect(roles(5001, { fences: {} })).toContain('fence');
    expect(roles(5001, {}, { roles: ['fence', 'tree'] })).toEqual(['fence', 'tree']);
    expect(roles(5, {}, { shapes: false })).not.toContain('fence');
  });

  test('a job that writes no fence lays none out', () => {
    const made = handMade().assessment;
    const guarded = Object.defineProperty({ ...made }, 'fences', {
      get() {
        throw new Error('laid out');
      },
    });
    expect(toGeoJSON(guarded, { roles: ['tree', 'lot', 'zone'] }).features.length).toBeGreaterThan(0);
    expect(() => toGeoJSON(guarded)).toThrow('laid out');
  });
});

describe('stakes', () => {
  const rows = (text: string) =>
    text
      .split('\r\n')
      .filter((line) => line !== '' && !line.startsWith('#'))
      .map((line) => line.split(','));

  test('every corner once, in the survey’s metres, within 10 cm outside the zone; gates by their ends', () => {
    const assessment = localJob([zone(100, 200, 8, 'A'), zone(150, 200, 4, 'B')], [box(900, 0, 901, 1, {})]);
    const [head, ...stakes] = rows(toStakes(assessment));
    expect(head).toEqual(['id', 'fence', 'kind', 'easting', 'northing', 'unit']);
    const ofA = stakes.filter(([, fence]) => fence === 'F1');
    expect(ofA).toHaveLength(assessment.fences.fences[0]?.shape[0]?.[0]?.length! - 1);
    expect(ofA[0]?.[0]).toBe('F1-01');
    for (const [, , kind, easting, northing, unit] of ofA) {
      expect([kind, unit]).toEqual(['corner', 'm']);
      const out = Math.hypot(Number(easting) - 100, Number(northing) - 200) - 8;
      expect(out).toBeGreaterThan(0);
      expect(out).toBeLessThan(0.1);
    }
    const withGate = rows(toStakes(job())).filter(([, , kind]) => kind === 'gate');
    expect(withGate.length).toBeGreaterThanOrEqual(4);
  });

  test('the head carries system, unit, factor, two check points far apart, and the cautions', () => {
    const text = toStakes(job());
    const head = text.split('\r\n').filter((line) => line.startsWith('#'));
    expect(head.join('\n')).toMatch(/system: local:m/);
    expect(head.join('\n')).toMatch(/unit: m\n# ground factor: 1 /);
    expect(head.filter((line) => line.includes('check point: tree'))).toEqual([
      '# check point: tree A at 0.000, 0.000 m',
      '# check point: tree B at 40.000, 0.000 m',
    ]);
    expect(head.join('\n')).toMatch(/licensed surveyor must verify[\s\S]*until final sign-off/);
  });

  test('state plane feet on the ground come back as the surveyor wrote them', () => {
    const [east, north] = [7640000.123, 680000.456];
    const csv = `id,easting,northing,dbh_in\nA,${east},${north},20\nB,${east + 300},${north + 100},12\n`;
    const works = {
      type: 'Feature',
      properties: {},
      geometry: {
        type: 'Polygon',
        coordinates: [
          [
            [-122.6, 45.4],
            [-122.599, 45.4],
            [-122.599, 45.401],
            [-122.6, 45.4],
          ],
        ],
      },
    };
    const assessment = assess({
      trees: readLayer(bytesOf(csv), { name: 'survey.csv' }),
      works: [{ layer: readLayer(bytesOf(JSON.stringify(works)), { name: 'w.geojson' }), kind: 'building' }],
      options: {
        crs: 'EPSG:2913',
        crsFor: { works: 'OGC:CRS84' },
        ground: { factor: 1.0001, east: 0, north: 0 },
      },
    });
    const text = toStakes(assessment);
    expect(text).toContain(`check point: tree A at ${east.toFixed(3)}, ${north.toFixed(3)} ft`);
    expect(text).toMatch(/ground factor: 1\.0001 about 0, 0/);
    for (const [, fence, , easting, northing] of rows(text).slice(1)) {
      const [cx, cy, radius] = fence === 'F1' ? [east, north, 20] : [east + 300, north + 100, 12];
      const out = Math.hypot(Number(easting) - cx, Number(northing) - cy) - radius;
      expect(Math.abs(out)).toBeLessThan(0.1 / FT + 0.02); // ground over grid, and the scale of the projection
    }
  });

  test('a survey in degrees needs a projected system', () => {
    const point = (id: string, lon: number) => ({
      type: 'Feature',
      properties: { id, dbh_in: 20 },
      geometry: { type: 'Point', coordinates: [lon, 45.5] },
    });
    const collection = { type: 'FeatureCollection', features: [point('A', -122.7)] };
    const layer = readLayer(bytesOf(JSON.stringify(collection)), { name: 't.geojson' });
    const assessment = assess({ trees: layer, works: [] });
    expect(() => toStakes(assessment)).toThrow(/need plane coordinates/);
  });
});
