// --value on the command line and in a job file; words, stems and letters end to end. In: small files; out: properties,
// findings, exit codes.

import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { valuesOf } from '../../src/cli/values.js';
import { run } from '../support/cli.js';

let folder = '';
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'words-cli-'));
  await writeFile(
    join(folder, 'trees.csv'),
    'Tree No.,x,y,DBH 1,DBH 2,STATUS\nT1,0,0,12,9,TBR\nT2,30,0,20,,R\nT3,60,0,18,,R\nT4,90,0,10,,Keep\n',
  );
  const line = {
    type: 'LineString',
    coordinates: [
      [0, 5],
      [200, 5],
    ],
  };
  const properties = { name: 'L', kind: 'Sewer lat. 4', width_m: 1, depth_m: 1 };
  await writeFile(
    join(folder, 'works.geojson'),
    JSON.stringify({ type: 'FeatureCollection', features: [{ type: 'Feature', properties, geometry: line }] }),
  );
});
afterAll(() => rm(folder, { recursive: true, force: true }));

const files = (out: string) => [
  ...['--trees', join(folder, 'trees.csv'), '--works', join(folder, 'works.geojson')],
  ...['--crs', 'local:m', '--works-crs', 'local:m', '--dbh-unit', 'in', '--field', 'disposition=STATUS'],
  ...['--out', join(folder, out)],
];

const said = async (out: string, role: string, name: string) => {
  const { features } = JSON.parse(await readFile(join(folder, out), 'utf8'));
  const of = features.filter((f: { properties: { rb_role: string } }) => f.properties.rb_role === role);
  return of.map((f: { properties: Record<string, unknown> }) => f.properties[name]);
};

it('splits at the last equals sign, and refuses what maps nothing', () => {
  expect(valuesOf(['disposition.A=B=remove'])).toEqual({ 'disposition.A=B': 'remove' });
  for (const bad of ['disposition=remove', 'disposition.R=', '=remove'])
    expect(() => valuesOf([bad])).toThrow('maps nothing');
});

it('a letter is asked for, and told by --value, on the command line and in a job file', async () => {
  const asked = await run('assess', ...files('asked.geojson'));
  expect(asked.code).toBe(0);
  expect(asked.err).toContain('STATUS "R" has different meanings in different offices (2 trees)');
  expect(asked.err).toContain('--value disposition.R=keep');
  expect(await said('asked.geojson', 'tree', 'rb_disposition')).toEqual(['remove', 'unknown', 'unknown', 'keep']);
  expect(await said('asked.geojson', 'works', 'rb_kind')).toEqual(['building']);

  const values = ['disposition.R=remove', 'works.kind."Sewer lat. 4"=trench'];
  const told = await run('assess', ...files('told.geojson'), ...values.flatMap((one) => ['--value', one]));
  expect([told.code, told.err.includes('disposition-unknown')]).toEqual([0, false]);
  expect(await said('told.geojson', 'tree', 'rb_disposition')).toEqual(['remove', 'remove', 'remove', 'keep']);
  expect(await said('told.geojson', 'works', 'rb_kind')).toEqual(['trench']);

  await writeFile(join(folder, 'job.json'), JSON.stringify({ value: values }));
  const job = await run('assess', '--config', join(folder, 'job.json'), ...files('job.geojson'));
  expect(job.code).toBe(0);
  expect(await said('job.geojson', 'tree', 'rb_disposition')).toEqual(['remove', 'remove', 'remove', 'keep']);
});

it('a value that does not exist is wrong usage', async () => {
  const { code, err } = await run('assess', ...files('bad.geojson'), '--value', 'disposition.R=gone');
  expect([code, err]).toEqual([2, expect.stringContaining('choose from keep, remove, transplant, unknown')]);
});

it('check keeps --value in the line that it proposes, and proposes all stems', async () => {
  const args = ['--crs', 'local:m', '--dbh-unit', 'in', '--value', 'disposition.R=remove'];
  const { out } = await run('check', join(folder, 'trees.csv'), ...args);
  expect(out).toContain('--value disposition.R=remove');
  expect(out).not.toContain('dbh=DBH 1');
});
