// --soil and --tree-facts at the command line: what ends in the report, and what is refused. In: the demo; out: exit codes, text.
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { run } from '../support/cli.js';

const dir = mkdtempSync(join(tmpdir(), 'worth-'));
afterAll(() => rmSync(dir, { recursive: true, force: true }));
const demo = (name: string): string => join(import.meta.dirname, '../../data/demo', name);
const to = (name: string): string => join(dir, name);
const JOB = [
  'assess',
  '--trees',
  demo('survey.csv'),
  '--crs',
  'EPSG:2913',
  '--works',
  demo('works.geojson'),
  '--quiet',
];
const OUT = ['--margins', 'none', '--out', to('a.geojson')];

describe('what an arborist looks at, at the command line', () => {
  it('soil and facts of one’s own reach the cards and the provenance', async () => {
    const facts = {
      id: 'county',
      title: 'county',
      spans: [{ trees: ['Quercus'], years: 123, source: 'invented list' }],
    };
    writeFileSync(to('facts.json'), JSON.stringify(facts));
    const given = ['--soil', 'Sandy Loam', '--tree-facts', to('facts.json'), '--report', to('r.html')];
    const { code, err } = await run(...JOB, ...OUT, ...given);
    expect([code, err]).toEqual([0, '']);
    const html = readFileSync(to('r.html'), 'utf8');
    expect(html).toContain('about 123 years: shown, not used');
    expect(html).toContain('<section id="worth"');
    const { rootberth } = JSON.parse(readFileSync(to('a.geojson'), 'utf8')) as { rootberth: { options: unknown } };
    expect(rootberth.options).toMatchObject({ soil: 'sandy-loam', treeFacts: { id: 'county' } });
  });

  it.each([
    [['--soil', 'mud'], 2, 'soil-unknown: --soil mud is not a soil'],
    [['--soil', 'laom'], 2, 'did you mean loam?'],
    [['--tree-facts', 'none.json'], 1, 'tree-facts-unreadable'],
    [['--tree-facts', demo('packet.json')], 1, 'tree-facts-invalid'],
    [['--value', 'decay.soft=bad'], 2, '"bad" is not a value of decay'],
  ])('%j is refused', async (given, exit, words) => {
    const { code, err } = await run(...JOB, ...OUT, ...given);
    expect([code, err]).toEqual([exit, expect.stringContaining(words)]);
  });
});
