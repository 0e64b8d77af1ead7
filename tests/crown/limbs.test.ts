// The limb list: bearings and what they count from, lines against buildings, heights, flags, shares, rows in and out.
import { mkdtempSync, readFileSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { assess } from '../../src/assess/index.js';
import { bearingOf, declinationOf } from '../../src/check/limbs.js';
import { findCrs, transformFor } from '../../src/crs/index.js';
import { InputError } from '../../src/model/findings.js';
import type { Assessment, AssessOptions, LimbResult } from '../../src/model/index.js';
import { readLayer } from '../../src/read/index.js';
import { toLimbSchedule } from '../../src/write/index.js';
import { run as runCli } from '../support/cli.js';
import { bytesOf } from '../support/layers.js';

const HOUSE = [
  [4, -50],
  [50, -50],
  [50, 50],
  [4, 50],
] as const; // a wall 4 m east of the trunk

/** One tree at 5000, 5000 of a plane in metres with a trunk of 1 m and a crown of 8 m; a house to the east, 6 m high. */
function job(list: string, options: AssessOptions = {}, height: number | null = 6): Assessment {
  const ring = [...HOUSE, HOUSE[0]].map(([x, y]) => [5000 + x, 5000 + y]);
  const house = {
    type: 'Feature',
    properties: { id: 'B1', kind: 'building', height_m: height },
    geometry: { type: 'Polygon', coordinates: [ring] },
  };
  return assess({
    trees: readLayer(bytesOf('x,y,id,tag,dbh_m,crown_radius_m\n5000,5000,T1,77,1,8\n5100,5000,T2,78,1,\n'), {
      name: 't.csv',
    }),
    works: [{ layer: readLayer(bytesOf(JSON.stringify(house)), { name: 'w.geojson' }) }],
    limbs: readLayer(bytesOf(list), { name: 'limbs.csv', table: true }),
    options: { crs: 'local:m', ...options },
  });
}
const first = (list: string, options: AssessOptions = {}, height: number | null = 6): LimbResult =>
  job(list, options, height).limbs[0]!;

describe('bearings', () => {
  it.each([
    ['0', 0],
    ['360', 0],
    ['45.5', 45.5],
    ['45,5', 45.5],
    ['271°', 271],
    ['N45E', 45],
    ['S12W', 192],
    ['N 10 W', 350],
    ['s 30 e', 150],
    ['361', Number.NaN],
    ['-5', Number.NaN],
    ['N95E', Number.NaN],
    ['east', Number.NaN],
  ])('%s', (text, degrees) => expect(bearingOf(text)).toBe(degrees));

  it.each([
    ['15.2', 15.2],
    ['-3', -3],
    ['15.2E', 15.2],
    ['3 W', -3],
    ['-3W', Number.NaN],
    ['x', Number.NaN],
  ])('declination %s', (text, degrees) => expect(declinationOf(text)).toBe(degrees));

  it('magnetic north lies the declination east of true north', () => {
    const list = 'tree,bearing,bearing_ref,declination,length_m\nT1,75,magnetic,15,6\n';
    expect(first(list).bearing).toBeCloseTo(90, 12);
    expect(first('tree,bearing,length_m\nT1,75,6\n', { limbs: { bearing: 'magnetic', declination: -5 } }).bearing).toBe(
      70,
    );
  });

  it('grid bearings get the convergence of the survey’s grid', () => {
    const crs = findCrs('EPSG:32610');
    const at = Float64Array.of(-125.9, 45);
    const convergence = transformFor(crs).convergence(-125.9, 45);
    transformFor(crs).fromLonLat(at);
    const assessment = assess({
      trees: readLayer(bytesOf(`x,y,id,dbh_m\n${at[0]},${at[1]},T1,1\n`), { name: 't.csv' }),
      works: [],
      limbs: readLayer(bytesOf('tree,bearing,length_m\nT1,90,10\n'), { name: 'limbs.csv', table: true }),
      options: { crs: 'EPSG:32610', limbs: { bearing: 'grid' } },
    });
    const limb = assessment.limbs[0];
    expect(convergence).toBeLessThan(-2); // grid north stands west of true north there
    expect(limb?.bearing).toBeCloseTo(90 + convergence, 9);
    // Laid out in the grid the line runs due east of it.
    const ends = Float64Array.from((limb?.line ?? []).flat());
    transformFor(crs).fromLonLat(ends);
    expect(ends[3]! - ends[1]!).toBeCloseTo(0, 3);
    expect(ends[2]! - ends[0]!).toBeCloseTo(10, 1); // the projection's scale
  });

  it('a survey in lon/lat has no grid', () => {
    const assessment = assess({
      trees: readLayer(bytesOf('lon,lat,id,dbh_m\n-122,45,T1,1\n'), { name: 't.csv' }),
      works: [],
      limbs: readLayer(bytesOf('tree,bearing,length_m\nT1,90,10\n'), { name: 'limbs.csv', table: true }),
      options: { limbs: { bearing: 'grid' } },
    });
    expect(assessment.limbs[0]).toMatchObject({ accepted: false, reasons: ['no-grid'] });
  });

  it('what they count from is never guessed', () => {
    expect(() => job('tree,bearing,length_m\nT1,90,6\n')).toThrow(InputError);
    const some = job('tree,bearing,bearing_ref,length_m\nT1,90,true,6\nT1,90,,6\nT1,90,magnetic,6\n');
    expect(some.limbs.map((l) => [l.accepted, l.reasons])).toEqual([
      [true, ['limb-height-unknown']],
      [false, ['bearing-reference-missing']],
      [false, ['declination-missing']],
    ]);
    expect(some.findings.filter((f) => f.code === 'limb-unplaced')).toHaveLength(2);
  });
});

describe('in the way', () => {
  const TRUE = { limbs: { bearing: 'true' } } as const;

  it('a limb meets the wall where its line does', () => {
    // the wall is 4 m east; at 60 degrees from north the line is 4 / sin 60 long
    const limb = first('tree,bearing,height_m,length_m\nT1,60,5,7\n', TRUE);
    expect(limb).toMatchObject({ conflict: true, works: 'B1', accepted: true, lengthM: 7 });
    expect(limb.meetsAtM).toBeCloseTo(4 / Math.sin(Math.PI / 3), 9);
    expect(first('tree,bearing,height_m,length_m\nT1,270,5,7\n', TRUE).conflict).toBe(false);
    // 3 m from the trunk's face (0.5 m) end short of the wall
    expect(first('tree,bearing,height_m,length_m\nT1,90,5,3.4\n', TRUE).conflict).toBe(false);
    expect(first('tree,bearing,height_m,length_m\nT1,90,5,3.6\n', TRUE).conflict).toBe(true);
  });

  it('reaches as far as the crown where no length is given, and nowhere without either', () => {
    const limb = first('tree,bearing,height_m\nT1,90,5\n', TRUE);
    expect(limb.conflict).toBe(true);
    expect(limb.lengthM).toBeCloseTo(7.5, 12);
    expect(first('tree,bearing,height_m\nT2,90,5\n', TRUE)).toMatchObject({
      conflict: null,
      reasons: ['limb-length-missing'],
    });
  });

  it('passes over a building that is low enough', () => {
    const list = 'tree,bearing,height_m,length_m\nT1,90,7,7\n';
    expect(first(list, TRUE)).toMatchObject({ conflict: false, works: null, reasons: ['limb-above'] });
    expect(first(list, { ...TRUE, clearanceM: 1.5 }).conflict).toBe(true);
    expect(first(list, TRUE, null)).toMatchObject({ conflict: true, reasons: ['limb-height-unknown'] });
  });

  it('the clearance brings the wall nearer', () => {
    const limb = first('tree,bearing,height_m,length_m\nT1,90,5,7\n', { ...TRUE, clearanceM: 2 });
    expect(limb.meetsAtM).toBeCloseTo(2, 9);
  });

  it('a cut above the diameter set is flagged; told only where the limb is in the way', () => {
    const list = 'tree,bearing,height_m,length_m,diameter_in,id\nT1,90,5,7,5,a\nT1,270,5,7,5,b\nT1,90,5,7,4,c\n';
    const assessment = job(list, { limbs: { bearing: 'true', limitM: 0.1016 } });
    expect(assessment.limbs.map((l) => l.reasons.includes('limb-over-diameter'))).toEqual([true, true, false]);
    expect(assessment.findings.filter((f) => f.code === 'limb-over-diameter').map((f) => f.id)).toEqual(['a']);
  });

  it('shares of the crown add up per tree over the limbs in the way', () => {
    const list =
      'tree,bearing,height_m,length_m,crown_share\nT1,90,5,7,15%\nT1,80,5,7,0.12\nT1,270,5,7,40%\nT1,91,5,7,12\n';
    const assessment = job(list, { limbs: { bearing: 'true' } });
    expect(assessment.limbs[0]?.treeShare).toBeCloseTo(0.27, 12);
    expect(assessment.findings.find((f) => f.code === 'limbs-over-quarter')?.message).toContain('27.0 %');
    expect(assessment.findings.map((f) => f.code)).toContain('number-unreadable'); // a bare 12
    const under = job(list.replace('15%', '13%'), { limbs: { bearing: 'true' } });
    expect(under.findings.map((f) => f.code)).not.toContain('limbs-over-quarter');
  });
});

describe('the list', () => {
  it('every row comes out, accepted or with its reasons; trees by id or tag', () => {
    const list =
      'id,tree,bearing,bearing_ref,length_m\na,T1,90,t,6\nb,77,80,true,6\nc,T9,70,true,6\nd,,60,true,6\ne,T1,,true,6\n';
    const assessment = job(list);
    expect(assessment.limbs.map((l) => [l.key, l.treeRow, l.accepted])).toEqual([
      ['a', 0, true],
      ['b', 0, true],
      ['c', null, false],
      ['d', null, false],
      ['e', 0, false],
    ]);
    expect(assessment.counts.limbs).toEqual({ in: 5, accepted: 2, rejected: 3 });
    expect(assessment.inputs.at(-1)).toMatchObject({ role: 'limbs', name: 'limbs.csv', features: 5 });
    const rows = toLimbSchedule(assessment).split('\r\n');
    expect(rows[0]).toContain('Limb,Tree,Bearing (deg from grid north)');
    expect(rows).toHaveLength(7); // heading, five rows, the end of the last
    expect(rows[1]).toBe('a,T1,90.0,90.0,true north,,,6.00,yes,B1,4.00,,,limb-height-unknown');
    expect(rows[3]).toContain('c,T9,,70.0,true north,,,6.00,not known,,,,,tree-unknown');
  });

  it('a list without tree or bearing is not a list', () => {
    expect(() => job('limb,bearing,bearing_ref\na,90,true\n')).toThrow(/has no field "tree"/);
    expect(job('tree,bearing\n').limbs).toEqual([]);
  });

  it('on the command line', async () => {
    const dir = mkdtempSync(join(tmpdir(), 'limbs-'));
    const file = (name: string, text: string): string => {
      writeFileSync(join(dir, name), text);
      return join(dir, name);
    };
    const trees = file('t.csv', 'x,y,id,dbh_m\n5000,5000,T1,1\n');
    const ring = [...HOUSE, HOUSE[0]].map(([x, y]) => [5000 + x, 5000 + y]);
    const house = {
      type: 'Feature',
      properties: { kind: 'building' },
      geometry: { type: 'Polygon', coordinates: [ring] },
    };
    const works = file('w.geojson', JSON.stringify(house));
    const limbs = file('limbs.csv', 'tree;bearing;length_m;diameter_in\nT1;75;6,5;5\n');
    const base = ['assess', '--trees', trees, '--works', works, '--crs', 'local:m', '--out', join(dir, 'out.geojson')];
    const list = ['--limbs', limbs, '--limb-bearing', 'magnetic', '--declination', '15E', '--limb-limit', '4in'];
    const schedule = join(dir, 'limbs-out.csv');
    const done = await runCli(...base, ...list, '--units', 'us', '--limb-schedule', schedule);
    expect(done.code).toBe(0);
    expect(done.err).toContain('limb-over-diameter');
    const [, row] = readFileSync(schedule, 'utf8').split('\r\n');
    expect(row).toContain('T1,90.0,75.0,magnetic north,5.0,,21.33,yes,');
    expect((await runCli(...base, '--limb-limit', '4in')).code).toBe(2);
    expect((await runCli(...base, '--limbs', limbs)).code).toBe(2); // nothing says which north
    expect((await runCli(...base, ...list, '--declination', 'east')).code).toBe(2);
    expect((await runCli(...base, '--clearance', '2')).code).toBe(2);
  });
});
