// --layer, --columns and --code on the command line: what they mean, what is refused, and the job run through with them.

import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { codesOf, columnsOf, layersOf } from '../../src/cli/values.js';
import { InputError } from '../../src/model/findings.js';
import { run } from '../support/cli.js';
import { dxf, entity, lwpolyline } from '../support/dxf.js';

let folder = '';
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'formats-cli-'));
  await writeFile(join(folder, 'shots.txt'), '1,680000,7650000,300,OAK 24"\n2,680100,7650000,300,EP\n');
  const house = [
    [7650010, 679970],
    [7650030, 679970],
    [7650030, 680030],
    [7650010, 680030],
  ];
  await writeFile(
    join(folder, 'site.dxf'),
    dxf([lwpolyline('A-BLDG', house, true), entity('POINT', 'A-GRID', [10, 7650000], [20, 680000])], 2),
  );
});
afterAll(() => rm(folder, { recursive: true, force: true }));

describe('values', () => {
  it('tells layers of a role from drawing layers and their kinds', () => {
    expect(layersOf(['oaks', 'works=plan', 'lots=Parcels', 'A-BLDG=building', 'works=C-DRIV=Paving'])).toEqual({
      layers: { trees: 'oaks', works: 'plan', lots: 'Parcels' },
      kinds: { 'A-BLDG': 'building', 'C-DRIV': 'paving' },
    });
    expect(layersOf(['trees=a=b']).layers).toEqual({ trees: 'a=b' });
    expect(() => layersOf(['A-BLDG=bilding'])).toThrow(InputError);
  });

  it('reads codes and columns, and refuses what names none', () => {
    expect(codesOf(['OAK=Quercus garryana', 'FIR=Abies'])).toEqual({ OAK: 'Quercus garryana', FIR: 'Abies' });
    for (const bad of ['OAK', '=Quercus', 'OAK=', 'OAK 24=Quercus']) expect(() => codesOf([bad])).toThrow(InputError);
    expect(columnsOf('PNEZD')).toEqual(columnsOf('P,N,E,Z,D'));
    expect(columnsOf('tag, easting,northing')).toEqual(['tag', 'easting', 'northing']);
    expect(() => columnsOf('x')).toThrow(InputError);
  });
});

describe('the job', () => {
  const job = (...more: string[]): string[] => [
    'assess',
    '--trees',
    join(folder, 'shots.txt'),
    '--columns',
    'PNEZD',
    '--works',
    join(folder, 'site.dxf'),
    '--crs',
    'EPSG:2913',
    '--out',
    join(folder, 'out.geojson'),
    ...more,
  ];

  it('assesses survey points against mapped drawing layers; everything read comes out again', async () => {
    const { code, err } = await run(...job('--code', 'OAK=Quercus garryana', '--layer', 'A-BLDG=building'));
    expect([code, err]).toEqual([0, expect.stringContaining('code-unmapped')]);
    expect(err).toContain('A-GRID (1)');
    const { features } = JSON.parse(await readFile(join(folder, 'out.geojson'), 'utf8')) as {
      features: { properties: Record<string, unknown> }[];
    };
    const of = (role: string): Record<string, unknown>[] =>
      features.map((f) => f.properties).filter((p) => p.rb_role === role);
    expect(of('tree').map((p) => [p.point, p.species, p.rb_verdict, p.rb_reasons])).toEqual([
      [1, 'Quercus garryana', 'over-limit', expect.any(String)],
      [2, undefined, 'not-assessed', 'code-unmapped'],
    ]);
    expect(of('works').map((p) => [p.layer, p.kind])).toEqual([
      ['A-BLDG', 'building'],
      ['A-GRID', undefined],
    ]);
  });

  it.each([
    [['--layer', 'A-BLDG=bilding'], 2, 'layer-invalid'],
    [['--layer', 'A-BUILD=building'], 1, 'A-BLDG'],
    [['--code', 'OAK'], 2, 'code-invalid'],
    [['--columns', 'x'], 2, 'columns-invalid'],
  ])('refuses %j', async (more, exit, words) => {
    const { code, err } = await run(...job(...more));
    expect([code, err]).toEqual([exit, expect.stringContaining(words)]);
  });

  it('check takes the same options', async () => {
    const { code, out } = await run(
      'check',
      join(folder, 'shots.txt'),
      '--columns',
      'P,N,E,Z,D',
      '--code',
      'OAK=Quercus',
      '--crs',
      'EPSG:2913',
    );
    expect([code, out]).toEqual([0, expect.stringMatching(/points[\s\S]*1 of 2/)]);
  });
});
