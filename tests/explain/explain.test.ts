// Explanations: quarters and halves of a disc are known by hand; for the whole demo the printed numbers are added up again.
import { fileURLToPath } from 'node:url';
import { beforeAll, describe, expect, test } from 'vitest';
import { explain } from '../../src/explain/explain.js';
import type { Assessment } from '../../src/model/index.js';
import { assessFiles } from '../../src/node/assess-files.js';
import { piecesOf } from '../../src/report/page/pieces.js';
import { builtinRule, parseRule, ruleIds } from '../../src/rules/index.js';
import { run } from '../support/cli.js';
import { box, localJob, tree } from '../support/local-job.js';

const DEMO = fileURLToPath(new URL('../../data/demo/', import.meta.url));
const FAR = 200;
const PI = Math.PI;

interface Step {
  readonly section: string;
  readonly label: string;
  readonly figures: readonly number[];
}

/** The steps of an explanation: section, label and the numbers in its columns. */
function stepsOf(lines: readonly string[]): Step[] {
  const steps: Step[] = [];
  let section = '';
  for (const [i, line] of lines.entries()) {
    section = /^\d+\. (.+)$/.exec(line)?.[1] ?? section;
    const match = /^(.*?)((?: {2,}-?\d+(?:\.\d+)? (?:m2|ft2|m|ft|cm|in|%|deg)| {2,}-)+)$/.exec(line);
    if (match === null) continue;
    const label = match[1]!.trim();
    const figures = [...match[2]!.matchAll(/-?\d+\.\d+/g)].map((found) => Number(found[0]));
    steps.push({ section, label: label === '' ? lines[i - 1]!.trim() : label, figures });
  }
  return steps;
}

const figure = (steps: readonly Step[], label: string | RegExp, column = 0): number => {
  const found = steps.find((step) => (typeof label === 'string' ? step.label === label : label.test(step.label)));
  if (found === undefined)
    throw new Error(`no step ${String(label)} in:\n${steps.map((step) => step.label).join('\n')}`);
  return found.figures[column]!;
};

describe('by hand: half-planes over a disc of 10 m', () => {
  const whole = PI * 100;
  const TREE = tree(0, 0, { id: 'oak', zone_radius_m: 10, dbh_m: 0.4 });
  const east = box(0.5, -FAR, FAR, FAR, { id: 'E', kind: 'building', depth_m: 1 });

  test('two that cross: alone, last, together', () => {
    const works = [
      box(0, -FAR, FAR, FAR, { id: 'E', kind: 'paving', depth_m: 0.1 }),
      box(-FAR, 0, FAR, FAR, { id: 'N', kind: 'fill' }),
    ];
    const lines = explain(localJob([TREE], works), 0);
    const steps = stepsOf(lines);
    expect(figure(steps, /^E: paving, 0\.100 m deep, counts$/)).toBeCloseTo(whole / 2, 3);
    expect(figure(steps, /^E: /, 1)).toBeCloseTo(whole / 4, 3);
    expect(figure(steps, /^N: fill, depth not given, counts$/, 1)).toBeCloseTo(whole / 4, 3);
    expect(figure(steps, /added up$/)).toBeCloseTo(whole, 3);
    expect(figure(steps, /counted more than once$/)).toBeCloseTo(whole / 4, 3);
    expect(figure(steps, 'taken together (overlap)', 1)).toBeCloseTo(75, 3);
    expect(figure(steps, 'of it under two or more')).toBeCloseTo(whole / 4, 3);
    expect(lines.join('\n')).toContain('trunk-in-works: Works stand on the trunk.');
    expect(lines.join('\n')).toContain('radius given with the tree');
  });

  test('a second footprint within the first takes nothing last, and takes the first’s share with it', () => {
    const inner = box(2, -1, 4, 1, { id: 'I', kind: 'trench', depth_m: 1 });
    const steps = stepsOf(explain(localJob([TREE], [east, inner]), 0));
    expect([figure(steps, /^I: trench/), figure(steps, /^I: trench/, 1)]).toEqual([4, 0]);
    expect(figure(steps, /^E: /) - figure(steps, /^E: /, 1)).toBeCloseTo(4, 3);
  });

  test('works that do not count are there, with the reason, and are in no sum', () => {
    const rule = parseRule(
      {
        ...builtinRule('foot-per-inch'),
        id: 'deep-bores',
        exempt: [{ kinds: ['bore'], deeperThan: '2 ft', reason: 'bore-below-roots' }],
      },
      'r.json',
    );
    const bore = box(-9, -0.5, -5, 0.5, { id: 'S', kind: 'bore', depth_m: 1 });
    const lines = explain(localJob([TREE], [east, bore], { rule }), 0);
    const steps = stepsOf(lines);
    expect(figure(steps, 'S: bore, 1.000 m deep, does not count (bore-below-roots)')).toBeCloseTo(4, 3);
    expect(figure(steps, /added up$/)).toBe(figure(steps, /^E: /));
  });

  test('hard ground that is spared is in no piece', () => {
    const existing = [box(0, 0, FAR, FAR, {})];
    const job = localJob([TREE], [east], { existing, options: { existingUse: 'spared' } });
    const steps = stepsOf(explain(job, 0));
    expect(figure(steps, /^E: /)).toBeCloseTo(figure(steps, 'taken together (overlap)'), 3);
    expect(figure(steps, 'hard today', 1)).toBeCloseTo(25, 3);
  });

  test('stems, a class, the face, bounds: each step has its number', () => {
    const rule = parseRule(
      {
        ...builtinRule('foot-per-inch'),
        id: 'town',
        zone: {
          radius: { max: [{ perDiameter: 10 }, { length: '2 m' }] },
          from: 'face',
          atLeast: '3 m',
          atMost: '4 m',
        },
        classes: [{ name: 'oaks', species: ['Quercus'], limits: [{ share: 0.1 }] }],
      },
      'r.json',
    );
    const stems = tree(0, 0, { id: 's', species: 'Quercus robur', stems_cm: '30;40' });
    const lines = explain(localJob([stems], [box(3, -1, 5, 1, { id: 'B', kind: 'building' })], { rule }), 0);
    const text = lines.join('\n');
    expect(text).toContain('oaks: the first of the rule’s 1 that fits the tree');
    expect(text).toContain('2 stems, root of the sum of squares: sqrt(40.00^2 + 30.00^2)');
    const steps = stepsOf(lines);
    expect(figure(steps, /^2 stems/)).toBe(50);
    expect(figure(steps, 'radius = the largest of: 10 x 50.00 cm = 5.000 m; 2.000 m = 2.000 m')).toBe(5);
    expect([figure(steps, 'at least 3 m'), figure(steps, 'at most 4 m')]).toEqual([5, 4]);
    expect(figure(steps, /^from the trunk’s face/)).toBe(4.25);
    expect(figure(steps, 'area = pi x 4.250^2')).toBeCloseTo(PI * 4.25 ** 2, 3);
    expect(text).toContain('all works, at most 10 % of the zone: kept');
  });

  test('a tree that is not assessed says why; a row that does not exist is an error', () => {
    const job = localJob([tree(0, 0, { id: 'bare', dbh_m: null }), TREE], [east]);
    const lines = explain(job, 0);
    expect(lines.join('\n')).toMatch(/^Tree bare[\s\S]*not-assessed: This tree cannot be judged[\s\S]*dbh-missing/);
    for (const row of [2, -1, 0.5, Number.NaN]) expect(() => explain(job, row)).toThrow(RangeError);
  });
});

describe('the printed numbers of every tree of the demo add up', () => {
  let jobs: Assessment[] = [];
  beforeAll(async () => {
    const demo = {
      trees: `${DEMO}survey.csv`,
      works: [`${DEMO}works.geojson`],
      crs: 'EPSG:2913',
      threads: 1,
      margins: false,
    };
    jobs = await Promise.all(ruleIds().map((rule) => assessFiles({ ...demo, rule })));
  });

  test.each(ruleIds().map((id, i) => [id, i] as const))('%s', (_id, i) => {
    const job = jobs[i]!;
    const half = 0.0005; // of the last digit printed
    let touched = 0;
    for (const { row, verdict, zoneRadiusM, rings } of job.trees) {
      const steps = stepsOf(explain(job, row));
      if (verdict === 'not-assessed') continue;
      const pieces = steps.filter(({ section, label }) => section === 'Works in the zone' && / counts/.test(label));
      const total = (column: number): number => pieces.reduce((sum, { figures }) => sum + figures[column]!, 0);
      const overlap = figure(steps, 'taken together (overlap)');
      const slack = half * (pieces.length + 2);
      expect(Math.abs(total(0) - figure(steps, /added up$/))).toBeLessThan(slack);
      expect(Math.abs(total(0) - figure(steps, /counted more than once$/) - overlap)).toBeLessThan(slack);
      if (pieces.length > 1) {
        expect(Math.abs(total(1) + figure(steps, 'of it under two or more') - overlap)).toBeLessThan(slack);
      } else expect(Math.abs(total(0) - overlap)).toBeLessThan(slack);
      // zone: radius, area and percent
      const [area] = steps
        .filter(({ section, label }) => section === 'Zone' && label.startsWith('area'))
        .map((s) => s.figures[0]!);
      const r = zoneRadiusM!;
      if (!job.job.zones.quarters.has(row)) expect(Math.abs(area! - PI * r * r)).toBeLessThan(half * 1.1);
      expect(Math.abs((100 * overlap) / area! - figure(steps, 'taken together (overlap)', 1))).toBeLessThan(0.01);
      // the worst piece is the one that takes most last
      if (overlap > 0) {
        touched++;
        const most = Math.max(...pieces.map(({ figures }) => figures[1]!));
        expect(Math.abs((100 * most) / area! - figure(steps, /would free the most/))).toBeLessThan(0.01);
      }
      // limits: broken as the verdict says
      const text = explain(job, row).join('\n');
      if (verdict === 'over-limit') expect(text).toMatch(/: BROKEN \(/);
      if (verdict === 'untouched' || verdict === 'within-limit') expect(text).not.toMatch(/BROKEN \((?!cut-in)/);
      const limits = steps.filter(({ section }) => section === 'Limits');
      for (const step of limits) {
        if (step.label !== 'counted against it') continue;
        const [taken, pct] = step.figures as [number, number];
        const whole = limits[limits.indexOf(step) + 2]!.figures[0]!;
        expect(Math.abs((100 * taken) / whole - pct)).toBeLessThan(0.05);
      }
      expect(steps.filter(({ label }) => /^.+: taken by all works/.test(label))).toHaveLength(rings.length);
      // The report’s cards measure each piece by itself, lines by their drawn outline (to the millimetre): another path.
      for (const { key, areaM2 } of piecesOf(job, job.tree(row)) ?? []) {
        if (areaM2 < 0.01) continue;
        expect(Math.abs(figure(steps, new RegExp(`^${key}: `)) - areaM2)).toBeLessThan(0.002 + 0.01 * areaM2);
      }
    }
    expect(touched).toBeGreaterThan(20);
  });
});

describe('--explain', () => {
  const base = [
    'assess',
    '--trees',
    `${DEMO}survey.csv`,
    '--crs',
    'EPSG:2913',
    '--works',
    `${DEMO}works.geojson`,
    '--quiet',
  ];

  test('prints trees by id, tag and row, in the units asked for, without --out', async () => {
    const { code, out, err } = await run(
      ...base,
      '--units',
      'us',
      '--explain',
      'T109',
      '--explain',
      '1201',
      '--explain',
      'trees:1',
    );
    expect([code, err]).toEqual([0, '']);
    expect([...out.matchAll(/^Tree (\S+) \((trees:\d+)\)/gm)].map((match) => match.slice(1))).toEqual([
      ['T109', 'trees:109'],
      ['T001', 'trees:0'],
      ['T002', 'trees:1'],
    ]);
    expect(out).toContain('radius = 12 x 54.00 in');
    expect(out).toContain('54.000 ft');
  });

  test('a tree that does not exist', async () => {
    const { code, err } = await run(...base, '--explain', 'T1O9');
    expect([code, err]).toEqual([
      2,
      expect.stringMatching(/no tree of survey\.csv has that id or tag, did you mean T/),
    ]);
  });

  test('and --out - both want standard output', async () => {
    expect(await run(...base, '--explain', 'T109', '--out', '-')).toMatchObject({
      code: 2,
      err: expect.stringContaining('--explain and --out both ask for standard output'),
    });
  });
});

describe('beside the first rule', () => {
  test('every further rule has its own reckoning, with its own zone', () => {
    const rules = [builtinRule('foot-per-inch'), builtinRule('bs5837-2012')];
    const job = localJob(
      [tree(0, 0, { id: 'oak', dbh_m: 0.5 })],
      [box(2, -FAR, FAR, FAR, { id: 'E', kind: 'paving' })],
      {
        rule: rules as never,
      },
    );
    const lines = explain(job, 0);
    const starts = lines.flatMap((line, i) => (line.startsWith('Rule ') ? [i] : []));
    expect(starts.map((i) => lines[i]?.split(':')[0])).toEqual(['Rule foot-per-inch', 'Rule bs5837-2012']);
    const [own, other] = [lines.slice(0, starts[1]), lines.slice(starts[1])].map(stepsOf) as [Step[], Step[]];
    // One foot an inch is 12 times the diameter too; the second rule's own cap of 707 m2 is not reached: 113.097 m2 both.
    for (const steps of [own, other]) expect(steps.some(({ figures }) => figures.includes(113.097))).toBe(true);
    expect(lines.filter((line) => /^\d+\. Verdict$/.test(line))).toHaveLength(2);
    expect(other.filter(({ section }) => section === 'Limits').length).toBeGreaterThan(0);
  });

  test('a crown over the edge of a house: area, share, bearings and lift', () => {
    const job = localJob(
      [tree(0, 0, { id: 'oak', dbh_m: 0.3, crown_radius_m: 4, height_m: 12, crown_base_m: 3 })],
      [box(0.5, -FAR, FAR, FAR, { id: 'H', kind: 'building', height_m: 5 })],
    );
    const steps = stepsOf(explain(job, 0)).filter(({ section }) => section === 'Crown and buildings');
    expect(figure(steps, /^area of the crown/)).toBeCloseTo(16 * PI, 3);
    // A segment of the circle of 4 m, 0.5 m from its centre; its chord ends acos(0.5 / 4) = 82.8 degrees from due east.
    const segment = 16 * Math.acos(0.125) - 0.5 * Math.sqrt(16 - 0.25);
    expect(figure(steps, /^taken by buildings/)).toBeCloseTo(segment, 3);
    expect(figure(steps, /^taken by buildings/, 1)).toBeCloseTo((segment / (16 * PI)) * 100, 3);
    expect(figure(steps, /lifted by$/)).toBeCloseTo(2, 3);
    expect(explain(job, 0).join('\n')).toContain('on the bearings 7.2 to 172.8: 165.6 degrees');
  });
});
