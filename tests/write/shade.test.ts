// Sun and shade written out: table, lines on the map, report, command line. In: a house and two trees; out: text that says
// what the result says.
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { shade, toFacades, toReport, toShadeTable } from '../../src/core.js';
import { run } from '../support/cli.js';
import { box, localJob, tree } from '../support/local-job.js';

const E = 500_000;
const N = 5_038_000;
const assessment = localJob(
  [
    tree(E - 7, N + 4, { id: '=T1', dbh_cm: 40, height_m: 12, crown_base_m: 2, crown_radius_m: 4 }),
    tree(E + 17, N + 4, { id: 'T2', dbh_cm: 40, height_m: 12, crown_radius_m: 4, disposition: 'remove' }),
  ],
  [box(E, N, E + 10, N + 8, { id: 'H', kind: 'building', height_m: 6 })],
  { options: { crs: 'EPSG:32610', margins: false } },
);
const result = shade(assessment);
const demo = join(import.meta.dirname, '../..', 'data', 'demo');
const dir = mkdtempSync(join(tmpdir(), 'shade-'));
afterAll(() => rmSync(dir, { recursive: true }));

describe('the table', () => {
  it('has two rows a wall and two a tree that shades it, as wide as its heading, in feet when asked', () => {
    const lines = toShadeTable(result, { units: 'us' })
      .trimEnd()
      .split('\r\n')
      .map((line) => line.split(','));
    const [head, ...rows] = lines as [string[], ...string[][]];
    expect(new Set(rows.map((row) => row.length))).toEqual(new Set([head.length]));
    expect(rows.length).toBe(result.facades.reduce((sum, { trees }) => sum + 2 + 2 * trees.length, 0));
    expect(head[3]).toBe('Length (ft)');
    expect(rows[0]?.slice(0, 7)).toEqual(['H:1', 'H', '180.0', '32.82', '19.69', '', 'trees that stay']); // 10.004 m, 6 m
    expect(rows.some((row) => row[5] === "'=T1")).toBe(true); // inert in a spreadsheet
    const west = rows.filter((row) => row[0] === 'H:4' && row[6] === 'trees that stay')[0]!;
    const months = west.slice(-12).reduce((sum, cell) => sum + Number(cell), 0);
    expect(months).toBeCloseTo(Number(west[8]), 0);
  });
});

describe('the lines', () => {
  it('are on the map where the walls are, with figures of the trees that stay and of today', () => {
    const { features, rootberth } = JSON.parse(toFacades(result)) as GeoJSON.FeatureCollection<GeoJSON.LineString> & {
      rootberth: { cautions: string[] };
    };
    expect(features).toHaveLength(4);
    expect(rootberth.cautions.join(' ')).toMatch(/arborist/);
    const east = features.find(({ properties }) => Math.abs(properties?.rb_faces_bearing - 90) < 1);
    expect(east?.properties).toMatchObject({
      rb_role: 'facade',
      rb_works: 'H',
      rb_height_m: 6,
      rb_height_assumed: false,
    });
    expect(east?.properties?.rb_shade_year_h).toBeLessThan(east?.properties?.rb_shade_today_year_h);
    for (const { geometry } of features) {
      for (const [lon, lat] of geometry.coordinates) {
        expect(lon).toBeCloseTo(-123, 3);
        expect(lat).toBeCloseTo(45.495, 2);
      }
    }
  });

  it('are none without a building', () => {
    const bare = localJob([], [box(E, N, E + 1, N + 1, { kind: 'paving' })], { options: { crs: 'EPSG:32610' } });
    expect(JSON.parse(toFacades(shade(bare))).features).toEqual([]);
    expect(toShadeTable(shade(bare)).split('\r\n')).toHaveLength(2);
    expect(toReport(bare, { shade: shade(bare) })).not.toContain('id="shade"');
  });
});

describe('the report', () => {
  it('shows the walls, the trees and one that goes', () => {
    const page = toReport(assessment, { shade: result });
    expect(page).toContain('id="shade"');
    expect(page.match(/class="bars"/g)).toHaveLength(4);
    expect(page).toMatch(/class="crown gone"/);
    expect(page).toContain('<td>goes</td>');
    expect(toReport(assessment)).not.toContain('id="shade"');
  });
});

describe('the command line', () => {
  it('writes both and says what was taken; settings reach the reckoning', async () => {
    const [lines, table] = [join(dir, 'f.geojson'), join(dir, 's.csv')];
    const job = [
      'assess',
      '--trees',
      join(demo, 'survey.csv'),
      '--crs',
      'EPSG:2913',
      '--works',
      join(demo, 'works.geojson'),
    ];
    const options = ['--margins', 'none', '--no-config', '--out', join(dir, 'a.geojson')];
    const found = join(dir, 'findings.json');
    const { code } = await run(
      ...[
        ...job,
        ...options,
        '--findings',
        found,
        '--shade',
        lines,
        '--shade-table',
        table,
        '--transmission',
        '10%,0.7',
        '--leaf-dates',
        '05-01,10-15',
      ],
    );
    expect(code).toBe(0);
    expect(readFileSync(found, 'utf8')).toMatch(/shade-assumed/);
    expect(JSON.parse(readFileSync(lines, 'utf8')).rootberth.shade).toMatchObject({
      ...{ transmissionLeafOn: 0.1, transmissionLeafOff: 0.7, leafOn: '05-01', leafOff: '10-15' },
    });
    expect(readFileSync(table, 'utf8').split('\r\n').length).toBeGreaterThan(200);
    for (const [option, value] of [
      ['--transmission', '20,65'],
      ['--leaf-dates', 'April'],
    ] as const) {
      expect((await run(...job, ...options, '--shade', lines, option, value)).code, option).toBe(2);
    }
    expect((await run(...job, ...options, '--storey', '3m')).err).toMatch(/--storey does nothing without/);
  });
});
