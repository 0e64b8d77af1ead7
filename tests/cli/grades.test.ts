// --grades through the command line: LandXML pairs, one file for both, a job file, wrong usage.
import { mkdtempSync, readFileSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { run } from '../support/cli.js';

const dir = mkdtempSync(join(tmpdir(), 'grades-'));
const at = (name: string): string => join(dir, name);
const put = (name: string, text: string): string => {
  writeFileSync(at(name), text);
  return at(name);
};

/** A square of 100 ft in EPSG:2913, with a height at its four corners. */
const surface = (name: string, [sw, se, ne, nw]: readonly [number, number, number, number]): string =>
  `<Surface name="${name}"><Definition surfType="TIN"><Pnts>` +
  `<P id="1">680000 7650000 ${sw}</P><P id="2">680000 7650100 ${se}</P><P id="3">680100 7650100 ${ne}</P><P id="4">680100 7650000 ${nw}</P>` +
  '</Pnts><Faces><F>1 2 3</F><F>1 3 4</F></Faces></Definition></Surface>';
const xml = (inner: string): string =>
  `<LandXML><Units><Imperial linearUnit="foot"/></Units><CoordinateSystem epsgCode="2913"/><Surfaces>${inner}</Surfaces></LandXML>`;

const existing = put('existing.xml', xml(surface('EG', [100, 100, 100, 100])));
const proposed = put('proposed.xml', xml(surface('FG', [100, 104, 104, 100]))); // 4 ft of fill in the east
const both = put('both.xml', xml(surface('EG', [100, 100, 100, 100]) + surface('FG', [100, 104, 104, 100])));
const trees = put('trees.csv', 'id,easting,northing,dbh_in\nT1,7650050,680050,10\n');
const base = ['assess', '--trees', trees, '--crs', 'EPSG:2913', '--units', 'us'];

interface Feature {
  readonly properties: Readonly<Record<string, unknown>>;
}
const featuresOf = (file: string, role: string): Feature[] =>
  (JSON.parse(readFileSync(file, 'utf8')) as { features: Feature[] }).features.filter(
    ({ properties }) => properties.rb_role === role,
  );

describe('--grades', () => {
  it('makes fill of two surfaces, with depths, figures and a verdict', async () => {
    const out = at('a.geojson');
    const { code } = await run(...base, '--grades', `${existing},${proposed}`, '--grade-depths', '1ft', '--out', out);
    expect(code).toBe(0);
    const works = featuresOf(out, 'works').map(({ properties }) => properties);
    expect(works.map((one) => [one.id, one.kind, one.depth_m, one.rb_from_grades])).toEqual([
      ['fill-1', 'fill', 0.3048, true],
      ['fill-2', 'fill', 1.2192, true],
    ]);
    const [tree] = featuresOf(out, 'tree');
    expect(tree!.properties.rb_grade_change_ft).toBeCloseTo(2, 6);
    // all of its zone is filled: 10 ft of radius, on ground measured true to size (grid to ground: 1e-4)
    expect(tree!.properties.rb_filled_pct).toBe(100);
    expect(tree!.properties.rb_verdict).toBe('stem-in-works');
  });

  it('takes both surfaces of one file by name, and asks where it must', async () => {
    const asked = await run(...base, '--grades', both, '--out', at('b.geojson'));
    expect(asked.code).toBe(1);
    expect(asked.err).toContain('--grade-surfaces "EG,FG"');
    const named = await run(...base, '--grades', both, '--grade-surfaces', 'fg,eg', '--out', at('b.geojson'));
    expect(named.code).toBe(0);
    expect(featuresOf(at('b.geojson'), 'works')[0]!.properties.kind).toBe('excavation');
  });

  it('one table of spots with existing and proposed heights', async () => {
    const head = 'id,easting,northing,height_ft,proposed_height_ft';
    const rows = [
      'a,7650000,680000,100,100',
      'b,7650100,680000,100,104',
      'c,7650100,680100,100,104',
      'd,7650000,680100,100,100',
    ];
    const spots = put('spots.csv', [head, ...rows].join('\n'));
    const out = at('c.geojson');
    expect((await run(...base, '--grades', spots, '--out', out)).code).toBe(0);
    expect(featuresOf(out, 'tree')[0]!.properties.rb_grade_change_ft).toBeCloseTo(2, 6);
    const alone = put(
      'alone.csv',
      [head.replace(',proposed_height_ft', ''), ...rows.map((row) => row.replace(/,\d+$/, ''))].join('\n'),
    );
    const refused = await run(...base, '--grades', alone, '--out', out);
    expect([refused.code, refused.err.includes('proposed_height_ft')]).toEqual([1, true]);
  });

  it('field notes: heights by level, proposed heights in the same rows', async () => {
    const notes = put(
      'notes.csv',
      [
        'point,easting_ft,northing_ft,backsight_ft,foresight_ft,height_ft,proposed_height_ft,dbh_in',
        'BM,,,5,,100,,',
        'a,7650000,680000,,5,,100,',
        'b,7650100,680000,,5,,104,',
        'c,7650100,680100,,5,,104,',
        'd,7650000,680100,,5,,100,',
        'T1,7650050,680050,,5,,102,10',
        'BM,,,,5.02,,,',
      ].join('\n'),
    );
    const out = at('n.geojson');
    const { code, err } = await run('assess', '--trees', notes, '--grades', notes, '--crs', 'EPSG:2913', '--out', out);
    expect(code).toBe(0);
    const [tree] = featuresOf(out, 'tree');
    // one set-up: the closure of 0.02 ft is between the two shots of the benchmark, and lowers the sight by half of it
    expect(tree!.properties.ground_height_m).toBeCloseTo(100.01 * 0.3048, 4);
    expect(tree!.properties.rb_grade_change_m).toBeCloseTo(1.99 * 0.3048, 4);
    expect(err.match(/levels close on BM/g)).toHaveLength(1);
  });

  it('goes into a job file and back', async () => {
    const [out, job] = [at('d.geojson'), at('job.json')];
    await run(...base, '--grades', `${existing},${proposed}`, '--out', out, '--save-config', job);
    expect(JSON.parse(readFileSync(job, 'utf8')).grades).toBe('existing.xml,proposed.xml');
    const again = at('e.geojson');
    expect((await run('assess', '--config', job, '--out', again)).code).toBe(0);
    expect(readFileSync(again, 'utf8')).toBe(readFileSync(out, 'utf8'));
  });

  it.each([
    [['--grades', 'a,b,c'], 'grades-invalid'],
    [['--grades', existing, '--grade-surfaces', 'EG'], 'grades-invalid'],
    [['--grade-least', '1cm'], '--grades EXISTING,PROPOSED'],
    [['--grades', `${existing},${proposed}`, '--grade-least', '0cm'], 'option-grades'],
  ])('wrong usage: %j', async (words, told) => {
    const { code, err } = await run(...base, ...words, '--out', at('f.geojson'));
    expect([code, err.includes(told)]).toEqual([2, true]);
  });

  it('never writes over a surface', async () => {
    const { code, err } = await run(...base, '--grades', `${existing},${proposed}`, '--out', proposed);
    expect([code, err.includes('output-is-input')]).toEqual([2, true]);
  });

  it('is refused where a job is cut into tiles', async () => {
    const words = ['split', '--trees', trees, '--grades', `${existing},${proposed}`];
    expect((await run(...words, '--tiles', '2', '--manifest', at('m.json'))).code).toBe(2);
  });
});
