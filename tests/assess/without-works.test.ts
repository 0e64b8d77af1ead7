// A survey before there is a design: zones, and nothing that reads as cleared. In: the demo's survey and a job on a local
// grid without works; out: what every figure, table, drawing and tile says of it.

import { mkdtemp, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { assess } from '../../src/assess/index.js';
import { explain } from '../../src/explain/index.js';
import { readLayer } from '../../src/read/index.js';
import { toPlan, toReport } from '../../src/report/index.js';
import { builtinRule } from '../../src/rules/index.js';
import { geojsonText, summaryTable, toLotTable, toSchedule } from '../../src/write/index.js';
import { run } from '../support/cli.js';
import { bytesOf } from '../support/layers.js';

const SURVEY = `tag,x,y,dbh_cm,crown_radius_m,accuracy_m
A,0,0,50,4,0.1
B,30,0,,,0.1
C,60,0,20,,
`;
const trees = readLayer(bytesOf(SURVEY), { name: 'survey.csv' });
const options = { crs: 'local:m' };
const job = { trees, rule: builtinRule('foot-per-inch'), options };
const nothing = readLayer(bytesOf('{"type":"FeatureCollection","features":[]}'), { name: 'plan.geojson' });

describe('without works', () => {
  const assessment = assess(job);
  const [zoned, bare] = assessment.trees;

  it('has zones, no verdict, and the reason', () => {
    // 1 ft per inch: 50 cm / 2.54 x 0.3048 = 6 m
    expect(zoned).toMatchObject({ zoneRadiusM: expect.closeTo(6, 9), verdict: null, reasons: ['no-works'] });
    expect(bare).toMatchObject({ zoneRadiusM: null, verdict: 'not-assessed', reasons: ['dbh-missing'] });
    expect(assessment.counts).toMatchObject({ trees: { in: 3, assessed: 2, notAssessed: 1 }, works: { in: 0 } });
    expect(Object.values(assessment.counts.verdicts).reduce((a, b) => a + b)).toBe(1); // the one that is not assessed
    expect(assessment.findings.filter(({ code }) => code === 'no-works')).toHaveLength(1);
  });

  it('has null, not 0, for every figure of works', () => {
    const { overlapM2, overlapPct, overlapByKindM2, severedM2, severedPct, affectedPct } = zoned!;
    const { nearestM, worstWorks, marginM, verdictHolds } = zoned!;
    const figures = [overlapM2, overlapPct, overlapByKindM2, severedM2, severedPct, affectedPct, nearestM, worstWorks];
    expect([...figures, marginM, verdictHolds].every((figure) => figure === null)).toBe(true);
    expect(zoned!.rings.map((ring) => ring.overlapPct)).toEqual([null]);
    expect(zoned!.crown).toMatchObject({ areaM2: expect.closeTo(16 * Math.PI, 6), overlapPct: null, arcDegrees: null });
    const { overLimit, stemInWorks, goingOver } = assessment.totals.all;
    expect([overLimit, stemInWorks, goingOver, assessment.reckoning(0)]).toEqual([null, null, null, null]);
  });

  it('is the same for a list of no works; a file of works without features is works given', () => {
    const text = (one: typeof assessment): string => [...geojsonText(one)].join('');
    expect(text(assess({ ...job, works: [] }))).toBe(text(assessment));
    const given = assess({ ...job, works: [{ layer: nothing }] });
    expect(given.trees.map((tree) => tree.verdict)).toEqual(['untouched', 'not-assessed', 'untouched']);
    expect(given.totals.all.overLimit).toBe(0);
  });

  it('reads as cleared nowhere', () => {
    const texts = [
      summaryTable(assessment),
      toSchedule(assessment),
      toReport(assessment),
      toPlan(assessment),
      explain(assessment, 0).join('\n'),
      [...geojsonText(assessment, { roles: ['tree'] })].join('').replace(/"rootberth":.*/s, ''), // counts of verdicts, each 0
    ];
    for (const text of texts) {
      const words = text.replace(/<style>.*?<\/style>/gs, '').replace(/"counts".*/s, '');
      expect(words).not.toMatch(/untouched|within.limit|no tree is over/i);
    }
    expect(texts[0]).toContain('none given, so there are zones but no verdicts');
    expect(texts[2]).toContain('No works given: zone only');
    expect(texts[4]).toContain('nothing was judged');
    const [heading, total] = toLotTable(assessment)
      .split('\r\n')
      .filter((line) => /^(?:Lot|total),/.test(line));
    const at = heading!.split(',').indexOf('"Kept');
    expect(at).toBeGreaterThan(0);
    expect(total).toContain(',,,'); // the three counts of limits
  });
});

describe('the command line without works', () => {
  const DEMO = fileURLToPath(new URL('../../data/demo/', import.meta.url));
  let folder = '';
  beforeAll(async () => {
    folder = await mkdtemp(join(tmpdir(), 'zones-only-'));
  });
  afterAll(() => rm(folder, { recursive: true }));
  const survey = ['--trees', join(DEMO, 'survey.csv'), '--crs', 'EPSG:2913', '--lots', join(DEMO, 'lots.geojson')];

  it('says so, writes, and has nothing to fail on', async () => {
    const out = join(folder, 'zones.geojson');
    const done = await run('assess', ...survey, '--out', out, '--fail-on', 'over-limit');
    expect([done.code, done.out]).toEqual([
      0,
      expect.stringContaining('none given, so there are zones but no verdicts'),
    ]);
    const { features } = JSON.parse(await readFile(out, 'utf8'));
    const own = features.filter((one: { properties: { rb_role: string } }) => one.properties.rb_role === 'tree');
    expect(new Set(own.map((one: { properties: { rb_verdict: unknown } }) => one.properties.rb_verdict))).toEqual(
      new Set([null, 'not-assessed']),
    );
  });

  it('gives the same bytes in tiles', async () => {
    const [whole, merged, manifest] = ['whole.geojson', 'merged.geojson', 'job.json'].map((name) => join(folder, name));
    const margins = ['--margins', 'all'];
    expect((await run('assess', ...survey, ...margins, '--out', whole!)).code).toBe(0);
    const split = await run('split', ...survey, ...margins, '--tiles', '3', '--out', merged!, '--manifest', manifest!);
    expect(split.code).toBe(0);
    expect((await run('run', manifest!, '--index', 'all')).code).toBe(0);
    const done = await run('merge', manifest!, '--fail-on', 'over-limit');
    expect([done.code, done.out]).toEqual([
      0,
      expect.stringContaining('none given, so there are zones but no verdicts'),
    ]);
    expect(await readFile(merged!, 'utf8')).toBe(await readFile(whole!, 'utf8'));
  });

  it.each(['gpkg', 'csv', 'xlsx', 'fgb', 'dxf', 'zip', 'parquet'])('writes %s', async (ending) => {
    const out = join(folder, `zones.${ending}`);
    expect((await run('assess', ...survey, '--out', out, '--quiet')).code).toBe(0);
    expect((await readFile(out)).length).toBeGreaterThan(1000);
  });

  it('sites nothing', async () => {
    const sited = await run('siting', ...survey, '--out', join(folder, 's.geojson'));
    expect([sited.code, sited.err]).toEqual([2, expect.stringContaining('works-missing')]);
  });
});
