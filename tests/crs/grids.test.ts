// Shift grids: NTv2 and GeoTIFF of our own making, beside PROJ where it is installed; what is said of their use.

import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import fc from 'fast-check';
import { afterAll, describe, expect, it } from 'vitest';
import { findCrs, placeLayers, readNtv2, transformFor } from '../../src/crs/index.js';
import { InputError } from '../../src/model/findings.js';
import type { Layer, ShiftGrid } from '../../src/model/index.js';
import { LayerBuilder } from '../../src/model/index.js';
import { readGrid } from '../../src/node/read/grid-file.js';
import { forward } from '../support/geodesy.js';
import { ntv2, type TestGrid, tiff } from '../support/grids.js';

// Invented shifts of the size NAD27 has in Alabama; not a plane, so that a wrong corner or axis shows.
const GRID: TestGrid = {
  west: -88,
  south: 30,
  step: 0.25,
  columns: 13,
  rows: 17,
  accuracyM: 0.15,
  node: (c, r) => [0.1 + 0.02 * c - 0.003 * c * r, 0.6 + 0.01 * r + 0.002 * c * c],
};
/** A finer part inside the first. */
const FINE: TestGrid = {
  ...GRID,
  west: -86.5,
  south: 32,
  step: 0.05,
  columns: 11,
  rows: 11,
  accuracyM: 0.05,
  node: (c, r) => [0.3 + 0.01 * c, 0.7 + 0.02 * r],
};

const folder = mkdtempSync(join(tmpdir(), 'rb-grids-'));
afterAll(() => rmSync(folder, { recursive: true }));
function file(name: string, bytes: Uint8Array): string {
  const path = join(folder, name);
  writeFileSync(path, bytes);
  return path;
}

function layerOf(points: readonly (readonly [number, number])[]): Layer {
  const b = new LayerBuilder('t.csv', 'csv');
  for (const [x, y] of points) {
    b.begin('point');
    b.part();
    b.ring();
    b.vertex(x, y);
    b.end({});
  }
  return b.finish({ crs: null, sha256: null });
}

function errorOf(run: () => unknown): InputError {
  try {
    run();
  } catch (error) {
    if (error instanceof InputError) return error;
    throw error;
  }
  throw new Error('no error');
}

const ALABAMA = findCrs('EPSG:26729'); // NAD27 / Alabama East, ftUS
const plain = transformFor({ ...ALABAMA, proj: ALABAMA.proj.replace(/ \+towgs84=\S+/, '') });
const place = (grids: readonly ShiftGrid[], lonLat: readonly (readonly [number, number])[]) =>
  placeLayers([{ role: 'trees', layer: layerOf(lonLat.map(([lon, lat]) => forward(plain, lon, lat))) }], {
    crs: 'EPSG:26729',
    grids,
  });

describe('reading', () => {
  it('NTv2 in both byte orders, GeoTIFF, and the shift at a node and between', async () => {
    const grids = [
      readNtv2(ntv2([GRID], 'NAD27', 'NAD83'), 'a.gsb'),
      readNtv2(ntv2([GRID], 'NAD27', 'NAD83', false), 'b.gsb'),
      await readGrid(file('c.tif', tiff(GRID))),
    ];
    for (const grid of grids) {
      const xy = Float64Array.of(-87, 31, -86.9, 31.1);
      expect(grid.apply(xy, 0) && grid.apply(xy, 2), grid.name).toBe(true);
      const [lon, lat] = GRID.node(4, 4);
      expect((xy[0]! + 87) * 3600).toBeCloseTo(lon, 5);
      expect((xy[1]! - 31) * 3600).toBeCloseTo(lat, 5);
      expect(grid.undo(xy, 2)).toBe(true);
      expect(xy[2]).toBeCloseTo(-86.9, 12);
      expect(xy[3]).toBeCloseTo(31.1, 12);
      expect(grid.apply(Float64Array.of(-90, 31), 0)).toBe(false);
      expect(grid.apply(Float64Array.of(Number.NaN, 31), 0)).toBe(false);
    }
    expect(grids.map((g) => [g.source, g.target])).toEqual([
      ['NAD27', 'NAD83'],
      ['NAD27', 'NAD83'],
      ['EPSG:4267', 'EPSG:4269'],
    ]);
  });

  it('the finer of two parts holds, and states its accuracy', () => {
    const grid = readNtv2(ntv2([GRID, FINE], 'NAD27', 'NAD83'), 'a.gsb');
    const xy = Float64Array.of(-86.5, 32);
    grid.apply(xy, 0);
    expect((xy[1]! - 32) * 3600).toBeCloseTo(0.7, 4);
    expect(grid.accuracyOver([-88, 30, -87.9, 30.1])).toBe(0.15);
    expect(
      readNtv2(ntv2([{ ...GRID, accuracyM: -1 }], 'NAD27', 'NAD83'), 'a.gsb').accuracyOver([-88, 30, -85, 34]),
    ).toBeNull();
  });

  it('there and back, over the grid', () => {
    const grid = readNtv2(ntv2([GRID], 'NAD27', 'NAD83'), 'a.gsb');
    fc.assert(
      fc.property(
        fc.double({ min: -87.99, max: -85.01, noNaN: true }),
        fc.double({ min: 30.01, max: 33.99, noNaN: true }),
        (lon, lat) => {
          const xy = Float64Array.of(lon, lat);
          grid.apply(xy, 0);
          grid.undo(xy, 0);
          expect(Math.hypot(xy[0]! - lon, xy[1]! - lat) * 111_320).toBeLessThan(1e-6);
        },
      ),
    );
  });

  it.each<[string, (b: Uint8Array) => Uint8Array, RegExp]>([
    ['empty', () => new Uint8Array(0), /not an NTv2/],
    ['something else', () => new TextEncoder().encode('x'.repeat(400)), /not an NTv2/],
    ['cut off', (b) => b.subarray(0, b.length - 200), /ends inside subgrid 1 of 1/],
    ['cut off early', (b) => b.subarray(0, 200), /ends before subgrid 1/],
    ['in another unit', (b) => b.map((v, i) => (i >= 56 && i < 64 ? 88 : v)), /XXXXXXXX/],
    ['with a wrong node count', (b) => b.map((v, i) => (i === 176 + 168 ? v + 1 : v)), /nodes/],
  ])('refuses a file that is %s, by name', (_what, damage, message) => {
    const error = errorOf(() => readNtv2(damage(ntv2([GRID], 'NAD27', 'NAD83')), 'bad.gsb'));
    expect(error.code).toBe('grid-unreadable');
    expect(error.message).toMatch(message);
    expect(error.message).toContain('bad.gsb');
  });

  it('refuses a broken GeoTIFF, by name', async () => {
    const whole = tiff(GRID);
    await expect(readGrid(file('cut.tif', whole.subarray(0, 120)))).rejects.toMatchObject({ code: 'grid-unreadable' });
    await expect(readGrid(join(folder, 'none.gsb'))).rejects.toMatchObject({ code: 'file-missing' });
  });
});

describe('use', () => {
  const grid = readNtv2(ntv2([GRID], 'NAD27', 'NAD83'), 'alabama.gsb');
  it('serves the layers on its datum, with its name and accuracy as the operation', () => {
    const { placed, findings } = place(
      [grid],
      [
        [-86, 32.5],
        [-86.1, 32.6],
      ],
    );
    expect(placed[0]?.crs.datum).toEqual({
      name: 'NAD27',
      operation: expect.stringMatching(
        /^NAD27 to NAD83 by the grid alabama\.gsb \(0\.15 m\); NAD83 to WGS 84: taken as WGS 84/,
      ),
      accuracyM: 0.15 + (findCrs('EPSG:4269').datum.accuracyM ?? 0),
    });
    expect(findings.map((f) => f.code)).toEqual(['crs-assigned']);
    const xy = Float64Array.from(forward(plain, -86, 32.5));
    placed[0]?.transform.toLonLat(xy);
    const [lon, lat] = GRID.node(8, 10);
    expect((xy[0]! + 86) * 3600).toBeCloseTo(lon, 4);
    expect((xy[1]! - 32.5) * 3600).toBeCloseTo(lat, 4);
    placed[0]?.transform.fromLonLat(xy);
    expect(xy[0]).toBeCloseTo(forward(plain, -86, 32.5)[0], 5);
  });
  it.each([
    ['EPSG:26729', [-86, 32.5], /NAD27.*accurate to \d+ m only \(no shift grid is used\)/],
    ['EPSG:27700', [-2, 52], /OSGB36.*accurate to 2 m only/],
  ] as const)('%s without one: a warning with the metres at stake and --grid as the cure', (code, at, message) => {
    const layer = layerOf([forward(transformFor(findCrs(code)), ...at)]);
    const found = placeLayers([{ role: 'trees', layer }], { crs: code }).findings;
    const coarse = found.find((f) => f.code === 'crs-datum-null');
    expect(coarse?.severity).toBe('warning');
    expect(coarse?.message).toMatch(message);
    expect(coarse?.cure).toContain('--grid');
  });
  it('unused, without effect, too small: each is said', () => {
    const codes = (grids: ShiftGrid[], points: (readonly [number, number])[]): string[] =>
      place(grids, points)
        .findings.map((f) => f.code)
        .filter((c) => c.startsWith('grid'));
    expect(codes([readNtv2(ntv2([GRID], 'AGD66', 'GDA94'), 'agd.gsb')], [[-86, 32.5]])).toEqual(['grid-unused']);
    const nothing = readNtv2(ntv2([{ ...GRID, node: () => [0, 0] }], 'NAD27', 'NAD83'), 'zero.gsb');
    expect(codes([nothing], [[-86, 32.5]])).toEqual(['grid-no-shift']);
    expect(
      codes(
        [grid],
        [
          [-86, 32.5],
          [-86, 34.5],
        ],
      ),
    ).toEqual(['grid-outside']);
    const misnamed = readNtv2(ntv2([GRID], 'LOCAL', 'NAD83'), 'x.gsb', { source: 'NAD27' });
    expect(codes([misnamed], [[-86, 32.5]])).toEqual([]);
  });
  it('a place outside goes by the operation without a grid', () => {
    const { placed } = place(
      [grid],
      [
        [-86, 34.5],
        [-86, 32],
      ],
    );
    const here = Float64Array.from(forward(plain, -86, 34.5));
    const there = here.slice();
    placed[0]?.transform.toLonLat(here);
    transformFor(ALABAMA).toLonLat(there);
    expect([...here]).toEqual([...there]);
  });
  it('a target nobody knows is refused', () => {
    const odd = readNtv2(ntv2([GRID], 'NAD27', 'MOON'), 'moon.gsb');
    expect(errorOf(() => place([odd], [[-86, 32.5]])).message).toContain('MOON');
  });
  it('is written by name and hash, never with its nodes', () => {
    expect(JSON.stringify(grid)).toBe('{"name":"alabama.gsb","source":"NAD27","target":"NAD83","sha256":null}');
  });
});

const cct = spawnSync('cct', ['--version']).error === undefined;
describe.skipIf(!cct)('beside PROJ (skipped where cct is not installed: apt-get install proj-bin)', () => {
  it.each(['gsb', 'tif'])('every place in a .%s within a micrometre', async (kind) => {
    const path = file(`p.${kind}`, kind === 'gsb' ? ntv2([GRID, FINE], 'NAD27', 'NAD83') : tiff(GRID));
    const grid = await readGrid(path);
    const points = Array.from(
      { length: 60 },
      (_, i) => [-87.95 + ((i * 0.37) % 2.9), 30.02 + ((i * 0.61) % 3.9)] as const,
    );
    const run = spawnSync(
      'cct',
      [
        '-d',
        '12',
        '+proj=pipeline',
        '+step',
        '+proj=unitconvert',
        '+xy_in=deg',
        '+xy_out=rad',
        '+step',
        '+proj=hgridshift',
        `+grids=${path}`,
        '+step',
        '+proj=unitconvert',
        '+xy_in=rad',
        '+xy_out=deg',
      ],
      {
        input: points.map(([x, y]) => `${x} ${y} 0 0\n`).join(''),
        encoding: 'utf8',
      },
    );
    const lines = run.stdout.trim().split('\n');
    expect(lines.length).toBe(60);
    let worst = 0;
    for (const [i, line] of lines.entries()) {
      const [lon = Number.NaN, lat = Number.NaN] = line.trim().split(/\s+/).map(Number);
      const xy = Float64Array.from(points[i]!);
      expect(grid.apply(xy, 0)).toBe(true);
      worst = Math.max(worst, Math.hypot(xy[0]! - lon, xy[1]! - lat) * 111_320);
    }
    expect(worst).toBeLessThan(1e-6);
  });
});
