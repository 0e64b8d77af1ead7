// Options of coordinates on the command line: grids, ground factor, local systems, shots on the face; and what check says.

import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { findCrs, transformFor } from '../../src/crs/index.js';
import { run } from '../support/cli.js';
import { forward } from '../support/geodesy.js';
import { ntv2 } from '../support/grids.js';

let dir = '';
beforeAll(async () => {
  dir = await mkdtemp(join(tmpdir(), 'cli-xy-'));
});
afterAll(async () => {
  await rm(dir, { recursive: true });
});

async function file(name: string, content: string | Uint8Array): Promise<string> {
  const path = join(dir, name);
  await writeFile(path, content);
  return path;
}

async function survey(name: string, [x, y]: readonly [number, number]): Promise<string> {
  const rows = Array.from({ length: 12 }, (_, i) => `T${i},${x + 40 * i},${y + 25 * (i % 3)},24,90`);
  return file(name, `tag,easting,northing,dbh_in,AZ\n${rows.join('\n')}\n`);
}

async function works([x, y]: readonly [number, number], crs: string): Promise<string> {
  const ring = [
    [x, y],
    [x + 30, y],
    [x + 30, y + 30],
    [x, y + 30],
    [x, y],
  ];
  const feature = {
    type: 'Feature',
    properties: { kind: 'building' },
    geometry: { type: 'Polygon', coordinates: [ring] },
  };
  const named = { type: 'name', properties: { name: crs } };
  return file('w.geojson', JSON.stringify({ type: 'FeatureCollection', crs: named, features: [feature] }));
}

const ALABAMA = forward(transformFor(findCrs('EPSG:26729')), -86, 32.5);
const GRID = { west: -88, south: 30, step: 0.5, columns: 7, rows: 9, accuracyM: 0.2, node: () => [0.2, 0.7] as const };

describe('assess', () => {
  it('--grid: the operation and its accuracy stand in the output; without it a warning names --grid', async () => {
    const trees = await survey('t.csv', ALABAMA);
    const to = await works(ALABAMA, 'EPSG:26729');
    const grid = await file('al.gsb', ntv2([GRID], 'NAD27', 'NAD83'));
    const out = join(dir, 'o.geojson');
    const base = ['assess', '--trees', trees, '--works', to, '--crs', 'EPSG:26729', '--out', out];
    const coarse = await run(...base);
    expect(coarse.err).toMatch(/crs-datum-null[\s\S]*--grid FILE/);
    const fine = await run(...base, '--grid', grid);
    expect(fine.code).toBe(0);
    expect(fine.err).not.toContain('crs-datum-null');
    const { rootberth } = JSON.parse(await readFile(out, 'utf8'));
    expect(rootberth.inputs[0].datumOperation).toContain('by the grid al.gsb (0.2 m)');
    expect(rootberth.options.grids).toEqual([
      { name: 'al.gsb', sha256: expect.stringMatching(/^[0-9a-f]{64}$/), source: 'NAD27', target: 'NAD83' },
    ]);
    expect((await run(...base, '--grid', `AGD66=${grid}`)).err).toContain('grid-unused');
    expect((await run(...base, '--grid', join(dir, 'none.gsb'))).code).toBe(1);
  });

  it('local:ft with shots on the face', async () => {
    const trees = await survey('l.csv', [5000, 5000]);
    const to = await works([5200, 5100], 'local:ft');
    const out = join(dir, 'l.geojson');
    const done = await run(
      'assess',
      '--trees',
      trees,
      '--works',
      to,
      '--crs',
      'local:ft',
      '--stem-at',
      'face',
      '--stem-bearing',
      'AZ',
      '--roles',
      'tree',
      '--out',
      out,
    );
    expect(done.err).not.toContain('error');
    expect(done.code).toBe(0);
    const collection = JSON.parse(await readFile(out, 'utf8'));
    expect(collection.crs.properties.name).toBe('local:ft');
    expect(collection.features[0].geometry.coordinates).toEqual([5001, 5000]);
    expect(collection.features[0].properties.rb_nearest_bearing).toBeNull();
  });

  it('--ground-factor is said beside the system', async () => {
    const at = forward(transformFor(findCrs('EPSG:2913')), -122.7, 45.4);
    const trees = await survey('g.csv', [at[0] * 1.0001, at[1] * 1.0001]);
    const to = await works(at, 'EPSG:2913');
    const out = join(dir, 'g.geojson');
    const done = await run(
      'assess',
      '--trees',
      trees,
      '--works',
      to,
      '--crs',
      'EPSG:2913',
      '--ground-factor',
      '1.0001',
      '--out',
      out,
    );
    expect(done.code).toBe(0);
    const { rootberth, features } = JSON.parse(await readFile(out, 'utf8'));
    expect(rootberth.inputs[0].crsFrom).toContain('divided by 1.0001 about the origin of coordinates');
    const tree = features.find((f: { properties: { tag?: string } }) => f.properties.tag === 'T0');
    expect(tree.geometry.coordinates[0]).toBeCloseTo(-122.7, 8);
  });

  it.each([
    [['--ground-factor', '0.3048'], /not a factor from grid to ground/],
    [['--ground-origin', '1,2'], /needs --ground-factor/],
    [['--ground-factor', '1.0001', '--ground-origin', '1'], /not a point/],
    [['--ground-factor', '1.0001', '--ground-origin', '1,2,3'], /not a point/],
    [['--stem-at', 'face'], /needs --stem-bearing/],
    [['--stem-bearing', 'AZ'], /need --stem-at face/],
    [['--stem-at', 'side'], /Allowed choices are centre, face/],
  ])('%j is wrong usage', async (more, message) => {
    const done = await run('assess', '--trees', 't.csv', '--works', 'w.geojson', '--out', 'x', ...more);
    expect(done.code).toBe(2);
    expect(done.err).toMatch(message);
  });
});

describe('check', () => {
  it('names the unit, or the zone, that would fit', async () => {
    const feet = await survey('feet.csv', forward(transformFor(findCrs('EPSG:2264')), -79, 35.5));
    const unit = await run('check', feet, '--crs', 'EPSG:32119');
    expect(unit.err).toMatch(/crs-unit-suspect[\s\S]*EPSG:2264/);
    expect(unit.out).toMatch(/inside its area of use +│ NO/);
    const south = await survey('south.csv', forward(transformFor(findCrs('EPSG:2270')), -122.9, 42.3));
    expect((await run('check', south, '--crs', 'EPSG:2269')).err).toMatch(/crs-zone-suspect[\s\S]*EPSG:2270/);
  });

  it('compares several files: a slip of the two feet', async () => {
    const at = forward(transformFor(findCrs('EPSG:2913')), -122.7, 45.4);
    const a = await survey('a.csv', at);
    const b = await survey('b.csv', [at[0] * 1.000002000004, at[1] * 1.000002000004]);
    expect((await run('check', a, '--crs', 'EPSG:2913')).err).not.toContain('feet-slip');
    expect((await run('check', a, b, '--crs', 'EPSG:2913')).err).toContain('feet-slip');
  });
});
