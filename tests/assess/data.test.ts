// What callers get of an assessment: objects of their own, and data apart from methods.
import { describe, expect, it } from 'vitest';
import { assessmentData } from '../../src/assess/index.js';
import { treeView, treeViews } from '../../src/model/index.js';
import { builtinRule } from '../../src/rules/index.js';
import { box, localJob, tree } from '../support/local-job.js';

const rules = [builtinRule('foot-per-inch'), builtinRule('as4970-2009')];
const assessment = localJob(
  [tree(0, 0, { id: 'T1', dbh_cm: 50 }), tree(5, 0, { id: 'T2', dbh_cm: 30 }), tree(90, 0, { id: 'T3' })],
  [box(2, -50, 50, 50, { id: 'house', kind: 'building' })],
  { rule: rules },
);

describe('results', () => {
  it('keep what they said when iteration goes on', () => {
    const kept = [...assessment.eachTree()];
    expect(new Set(kept).size).toBe(3);
    expect(kept.map((one) => one.key)).toEqual(['T1', 'T2', 'T3']);
    expect(kept).toEqual(assessment.trees);
    const [other] = assessment.otherRules;
    const pair = [other!.tree(0), other!.tree(1)];
    expect(pair[0]!.key).toBe('T1');
    expect(pair[0]).not.toBe(pair[1]);
  });

  it('can be cloned and stored', () => {
    expect(structuredClone(assessment.trees)).toEqual(assessment.trees);
    const data = assessmentData(assessment);
    expect(structuredClone(data)).toEqual(data);
    expect(JSON.parse(JSON.stringify(data)).counts).toEqual(assessment.counts);
    expect(Object.keys(data).filter((key) => typeof data[key as keyof typeof data] === 'function')).toEqual([]);
  });

  it('are walked by writers through one object, which says the same', () => {
    const seen: object[] = [];
    let row = 0;
    for (const view of treeViews(assessment)) {
      seen.push(view);
      expect(view.overlapPct).toBe(assessment.trees[row++]!.overlapPct);
    }
    expect(new Set(seen).size).toBe(1);
    // an assessment put together by somebody else has no such object: its own rows serve
    expect([...treeViews({ ...assessment })].map((one) => one.key)).toEqual(['T1', 'T2', 'T3']);
    expect(treeView({ ...assessment }, 1).key).toBe('T2');
  });
});
