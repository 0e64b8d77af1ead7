// Trees that a rule cannot size: what is nearest is known all the same, and works on the trunk are a verdict.
import { describe, expect, it } from 'vitest';
import { toReport } from '../../src/core.js';
import { explain } from '../../src/explain/index.js';
import { builtinRule } from '../../src/rules/index.js';
import { geojsonText, summaryTable } from '../../src/write/index.js';
import { box, type LocalFeature, localJob, tree } from '../support/local-job.js';

const HOUSE = box(0, 0, 10, 10, { id: 'house', kind: 'building' });
const job = (trees: readonly LocalFeature[], more: Parameters<typeof localJob>[2] = {}) =>
  localJob([tree(40, 40, { id: 'sized', dbh_in: 10 }), ...trees], [HOUSE], more);

describe('a tree without a usable diameter', () => {
  it('is stem-in-works where its point stands in the works', () => {
    const found = job([tree(5, 4, { id: 'oak', dbh_in: '' })]);
    expect(found.trees[1]).toMatchObject({
      verdict: 'stem-in-works',
      reasons: ['trunk-in-works', 'dbh-missing'],
      zoneRadiusM: null,
      zoneAreaM2: null,
      overlapM2: null,
      overlapPct: null,
      severedPct: null,
      affectedPct: 100,
      nearestM: 0,
      nearestWorks: 'house',
      nearestFaceM: null,
      marginM: null,
      verdictHolds: null,
    });
    expect(found.counts.trees).toEqual({ in: 2, assessed: 2, notAssessed: 0 });
    expect(summaryTable(found)).toMatch(/Over their limit: 1[\s\S]*oak .*stem-in-works/);
  });

  it('is so where the works come within its accuracy, and not farther off', () => {
    const found = job([
      tree(10.3, 5, { id: 'near', dbh_in: '', accuracy_m: 0.5 }),
      tree(10.7, 5, { id: 'off', dbh_in: '', accuracy_m: 0.5 }),
      tree(10.3, 6, { id: 'unsaid', dbh_in: '' }),
    ]);
    expect(found.trees.slice(1).map(({ verdict }) => verdict)).toEqual([
      'stem-in-works',
      'not-assessed',
      'not-assessed',
    ]);
    expect(found.trees[1]?.verdictHolds).toBeNull();
  });

  it('carries nearest works and the distance when it is not assessed', () => {
    const [, lone] = job([tree(13, 14, { id: 'lone', dbh_in: '' })]).trees;
    expect(lone).toMatchObject({ verdict: 'not-assessed', nearestWorks: 'house', affectedPct: null, overlapM2: null });
    expect(lone?.nearestM).toBeCloseTo(5, 9);
    expect(lone?.nearestGridBearing).toBeCloseTo((Math.atan2(-3, -4) * 180) / Math.PI + 360, 6);
  });

  it('is not in works that do not count', () => {
    const bore = box(0, 0, 10, 10, { id: 'bore', kind: 'bore', depth_m: 5 });
    const found = localJob(
      [tree(40, 40, { id: 'sized', dbh_in: 10 }), tree(5, 4, { id: 'oak', dbh_in: '' })],
      [bore, box(20, 0, 21, 1, { id: 'shed', kind: 'building' })],
    );
    expect(found.trees[1]).toMatchObject({ verdict: 'not-assessed', nearestWorks: 'shed' });
  });

  it('is measured by its trunk where only its crown is missing', () => {
    const found = job([tree(10.2, 5, { id: 'beech', dbh_cm: 50 })], { rule: builtinRule('din18920') });
    expect(found.trees[1]).toMatchObject({ verdict: 'stem-in-works', zoneRadiusM: null });
    expect(found.trees[1]?.nearestFaceM).toBe(0);
  });

  it('changes nothing of the others, and a group has no trunk to stand in works', () => {
    const sized = tree(12, 5, { id: 'sized', dbh_in: 20 });
    const hedge = { ...box(2, 2, 4, 3, { id: 'hedge', dbh_in: '' }) };
    const lone = tree(5, 4, { id: 'oak', dbh_in: '' });
    const [alone] = localJob([sized], [HOUSE]).trees;
    const { trees } = localJob([sized, lone, hedge], [HOUSE]);
    expect(trees[0]).toEqual(alone);
    expect(trees[2]).toMatchObject({ verdict: 'not-assessed', nearestM: 0, nearestWorks: 'house' });
  });

  it('has a sign that can be seen, a card with a drawing, an explanation, and no zone in the file', () => {
    const found = job([tree(5, 4, { id: 'oak', dbh_in: '' })]);
    const html = toReport(found);
    expect(html).toMatch(/<article class="card" id="t1">/);
    expect(html).not.toContain('the tree has no position');
    // The sign of a trunk in the works is at least as large as that of a trunk of half a metre: 1.7 mm.
    const sizes = [...html.matchAll(/<g id="rbs-3k(\d+)">/g)].map((m) => Number(m[1]));
    expect(sizes.length).toBeGreaterThan(0);
    for (const size of sizes) expect(size).toBeGreaterThanOrEqual(17);
    expect(explain(found, 1).join('\n')).toContain('stem-in-works');
    const { features } = JSON.parse([...geojsonText(found, { roles: ['zone', 'tree'] })].join('')) as {
      features: { id: string; properties: Record<string, unknown> }[];
    };
    expect(features.some(({ id }) => id === 'zone:1')).toBe(false);
    const oak = features.find(({ properties }) => properties.rb_role === 'tree' && properties.id === 'oak');
    expect(oak?.properties).toMatchObject({
      rb_verdict: 'stem-in-works',
      rb_affected_pct: 100,
      rb_overlap_pct: null,
      rb_nearest_m: 0,
    });
  });

  it('stands in the lot’s count, and is told of when fences are laid out', () => {
    const found = job([tree(5, 4, { id: 'oak', dbh_in: '' })], {
      lots: [box(-5, -5, 50, 50, { id: 'A' })],
    });
    expect(found.lots[0]?.figures).toMatchObject({ stemInWorks: 1, notAssessed: 0 });
    expect(found.fences.findings.map(({ message }) => message).join('\n')).toContain('its trunk stands in the works');
  });
});
