// A siting drawn before and after, and in the report: true to scale, of the works at both places.
import { describe, expect, it } from 'vitest';
import { toReport, toSitingPlan } from '../../src/report/index.js';
import { builtinRule } from '../../src/rules/index.js';
import { siting } from '../../src/siting/siting.js';
import { box, localLayer, tree } from '../support/local-job.js';

const found = siting(
  {
    trees: localLayer('trees.csv', [tree(0, 0, { id: 'T1', dbh_cm: 40, zone_radius_m: 8 })]),
    works: [{ layer: localLayer('works.csv', [box(2, -5, 12, 5, { id: 'house<1>', kind: 'building' })]) }],
    lots: localLayer('lots.csv', [box(-20, -20, 30, 20, { id: 'L1' })]),
    rule: builtinRule('foot-per-inch'),
    options: { crs: 'local:m' },
  },
  { setback: 3 },
);

describe('before and after', () => {
  it('in one drawing, the same bytes every time', () => {
    const svg = toSitingPlan(found);
    expect(svg).toBe(toSitingPlan(found));
    expect(svg.match(/class="rb-building" d="/g)).toHaveLength(3); // two places and the legend
    expect(svg).toContain('As drawn');
    expect(svg).toContain('Siting 1');
    expect(svg).not.toContain('house<1>');
    expect(toSitingPlan(found, { rank: 9 })).toBe('');
  });

  it('the house is as long on paper as its scale says', () => {
    const svg = toSitingPlan(found);
    const ratio = Number(/1:(\d+)/.exec(svg)?.[1]);
    const [, dx = '', dy = ''] = /class="rb-building" d="M[\d.]+,[\d.]+l(-?[\d.]+),?(-?[\d.]+)/.exec(svg) ?? [];
    expect(Math.hypot(Number(dx), Number(dy))).toBeCloseTo(10_000 / ratio, 1);
  });

  it('as a section of the report, with the trees for which it makes a difference', () => {
    const html = toReport(found.sitings[0]?.after ?? found.before, { siting: found });
    expect(html).toContain('<h2>Before and after</h2>');
    expect(html).toMatch(/<td><bdi>T1<\/bdi><\/td><td>\d\d\.\d %<\/td>/);
    expect(html).toContain('keeps the one tree within its limits');
    const ids = [...html.matchAll(/ id="([^"]+)"/g)].map(([, id]) => id);
    expect(new Set(ids).size).toBe(ids.length);
    expect(toReport(found.before)).not.toContain('Before and after');
  });
});
