// Verdicts: the order of the outcomes, limits at their edges, rings, kinds, and reasons.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type OverlapTable, VERDICTS, WORKS_KINDS, type WorksKind } from '../../src/model/index.js';
import { REASONS } from '../../src/model/reasons.js';
import type { Rule } from '../../src/model/rule.js';
import { affectedPct, builtinRule, judge, judgeAll, ruleIds, type TreeFigures } from '../../src/rules/index.js';
import { zones } from '../../src/rules/zone/zone.js';
import { setKinds } from '../support/rule-sets.js';
import { treeTable } from '../support/tree-table.js';

const foot = builtinRule('foot-per-inch');
const british = builtinRule('bs5837-2012');
const australian = builtinRule('as4970-2009');

/** Figures of a zone of 100 m2 with works that do not lie over each other. */
function figures(kinds: Partial<Record<WorksKind, number>>, rule: Rule, more: Partial<TreeFigures> = {}): TreeFigures {
  const of = (kind: WorksKind): number => kinds[kind] ?? 0;
  const sum = (set: readonly WorksKind[]): number => set.reduce((total, kind) => total + of(kind), 0);
  return {
    rejected: [],
    notes: [],
    zoneM2: 100,
    overlapM2: sum(WORKS_KINDS),
    severedM2: 0,
    stemInWorks: false,
    setM2: setKinds(rule).map(sum),
    rings: rule.rings.map(() => ({ areaM2: 6.25, overlapM2: 0, setM2: setKinds(rule).map(() => 0) })),
    ...more,
  };
}

describe('verdict', () => {
  it.each([
    ['nothing near', {}, foot, 'untouched', []],
    ['within the limit', { building: 12 }, foot, 'within-limit', []],
    ['exactly the limit', { paving: 20 }, foot, 'within-limit', []],
    ['a hair over, from rounding', { paving: 20 * (1 + 1e-12) }, foot, 'within-limit', []],
    ['over', { paving: 20.001 }, foot, 'over-limit', ['over-zone-limit']],
    ['minor encroachment', { trench: 9 }, australian, 'within-limit', ['compensation-needed']],
    ['exactly 10 %', { trench: 10 }, australian, 'within-limit', ['compensation-needed']],
    ['major encroachment', { trench: 10.01 }, australian, 'over-limit', ['major-encroachment']],
    ['surfacing within', { paving: 19 }, british, 'within-limit', []],
    ['surfacing over', { paving: 21 }, british, 'over-limit', ['surfacing-over-limit']],
    ['a structure', { building: 1 }, british, 'over-limit', ['structure-or-excavation-in-zone']],
    [
      'both',
      { fill: 1, paving: 30 },
      british,
      'over-limit',
      ['structure-or-excavation-in-zone', 'surfacing-over-limit'],
    ],
    ['a bore, which it does not limit', { bore: 5 }, british, 'within-limit', []],
    ['a sliver under the tolerance of 0.1 %', { building: 0.09 }, british, 'within-limit', []],
    ['just over the tolerance', { building: 0.11 }, british, 'over-limit', ['structure-or-excavation-in-zone']],
    ['any works in a root zone', { fill: 0.2 }, builtinRule('din18920'), 'over-limit', ['works-in-root-zone']],
  ] as const)('%s', (_case, kinds, rule, verdict, reasons) => {
    const judged = judge(figures(kinds, rule), rule);
    expect(judged.verdict).toBe(verdict);
    expect(judged.reasons).toEqual(reasons);
    expect(judged.consequence).toBe(rule.consequences[verdict]);
  });

  it('judges a limit on several kinds by their union, not by the sum of the kinds', () => {
    const lying = figures({ building: 15, excavation: 15 }, british, {
      overlapM2: 15,
      setM2: setKinds(british).map(() => 15),
    });
    const rule = {
      ...british,
      limits: [{ share: 0.2, kinds: ['excavation', 'building'] as const, reason: 'too-much' }],
    };
    expect(judge(lying, rule).verdict).toBe('within-limit');
    expect(judge({ ...lying, setM2: [21] }, rule).reasons).toEqual(['too-much']);
  });

  it('has a zero limit broken above a square millimetre where there is no tolerance', () => {
    const rule = { ...builtinRule('din18920'), tolerance: 0 };
    expect(judge(figures({ fill: 0.9e-6 }, rule), rule).verdict).toBe('within-limit');
    expect(judge(figures({ fill: 1.1e-6 }, rule), rule).verdict).toBe('over-limit');
  });

  it('takes a limit’s own tolerance before the rule’s', () => {
    const rule = { ...builtinRule('din18920'), limits: [{ share: 0, tolerance: 0.01 }] };
    expect(judge(figures({ fill: 0.9 }, rule), rule).verdict).toBe('within-limit');
    expect(judge(figures({ fill: 1.1 }, rule), rule).reasons).toEqual(['over-zone-limit']);
  });

  it('puts works on the trunk above a broken limit, and tells both', () => {
    const judged = judge(figures({ building: 30 }, foot, { stemInWorks: true }), foot);
    expect(judged.verdict).toBe('stem-in-works');
    expect(judged.reasons).toEqual(['trunk-in-works', 'over-zone-limit']);
  });

  it('puts not assessed above all but works on the trunk, with the reasons it was given', () => {
    const tree = figures({}, foot, { rejected: ['crown-missing'], notes: ['estimated'], stemInWorks: true });
    expect(judge(tree, foot)).toEqual({
      verdict: 'stem-in-works',
      consequence: foot.consequences['stem-in-works'],
      reasons: ['trunk-in-works', 'crown-missing', 'estimated'],
    });
    expect(judge({ ...tree, stemInWorks: false }, foot)).toEqual({
      verdict: 'not-assessed',
      consequence: foot.consequences['not-assessed'],
      reasons: ['crown-missing', 'estimated'],
    });
  });

  it.each([
    ['the overlap', { overlapM2: Number.NaN }],
    ['the zone', { zoneM2: Number.NaN }],
    ['the union a limit needs', { setM2: [] }],
  ])('never passes a tree when %s was not measured', (_case, more) => {
    expect(judge(figures({}, british, more), british)).toMatchObject({
      verdict: 'not-assessed',
      reasons: ['not-measured'],
    });
  });

  it('counts what is severed only where the rule says so', () => {
    const tree = figures({ trench: 5 }, foot, { severedM2: 16 });
    expect(judge(tree, foot).verdict).toBe('within-limit');
    expect(judge(tree, { ...foot, judge: 'affected' }).reasons).toEqual(['over-zone-limit']);
    expect(judge({ ...tree, severedM2: 14 }, { ...foot, judge: 'affected' }).verdict).toBe('within-limit');
  });

  it('does not call a tree untouched when ground is severed and none taken', () => {
    expect(judge(figures({}, foot, { severedM2: 3 }), foot).verdict).toBe('within-limit');
  });
});

describe('rings', () => {
  const ring = (overlapM2: number, cutM2: number, areaM2 = 6.25): Partial<TreeFigures> => ({
    rings: [{ areaM2, overlapM2, setM2: [cutM2] }],
  });

  it('break a limit of their own', () => {
    expect(judge(figures({ paving: 3 }, foot, ring(1, 0)), foot)).toMatchObject({
      verdict: 'over-limit',
      reasons: ['works-in-no-cut-ring'],
    });
  });

  it('tell a cut in them whatever the verdict', () => {
    const lenient = { ...foot, rings: foot.rings.map((r) => ({ ...r, limits: [{ share: 0.5 }] })) };
    expect(judge(figures({ trench: 3 }, lenient, ring(1, 1)), lenient)).toMatchObject({
      verdict: 'within-limit',
      reasons: ['cut-in-no-cut'],
    });
    expect(judge(figures({ trench: 3 }, foot, ring(1, 1)), foot).reasons).toEqual([
      'works-in-no-cut-ring',
      'cut-in-no-cut',
    ]);
    expect(judge(figures({ trench: 3 }, australian, ring(1, 1)), australian).reasons).toEqual([
      'works-in-structural-ring',
      'cut-in-structural',
    ]);
  });

  it('are passed over where they do not apply', () => {
    expect(judge(figures({ trench: 3 }, foot, ring(Number.NaN, Number.NaN, Number.NaN)), foot).verdict).toBe(
      'within-limit',
    );
  });

  it('never pass when they apply and were not measured', () => {
    expect(judge(figures({ trench: 3 }, foot, ring(Number.NaN, 0)), foot).reasons).toEqual(['not-measured']);
  });

  it('have a tolerance that is a share of the ring, not of the zone', () => {
    expect(judge(figures({ paving: 3 }, foot, ring(0.006, 0)), foot).verdict).toBe('within-limit');
    expect(judge(figures({ paving: 3 }, foot, ring(0.0063, 0)), foot).verdict).toBe('over-limit');
  });

  it('stand in the file with a code for every reason', () => {
    for (const code of ['cut-in-no-cut', 'cut-in-structural']) expect(Object.keys(REASONS)).toContain(code);
    for (const [code, sentence] of Object.entries(REASONS)) {
      expect(code).toMatch(/^[a-z]+(-[a-z0-9]+)*$/);
      expect(sentence).toMatch(/^[A-Z].*\.$/);
    }
  });
});

describe('affectedPct', () => {
  it.each([
    [20, 5, 100, false, 25],
    [0, 0, 50, false, 0],
    [1, 0, 100, true, 100],
    [60, 40.0000001, 100, false, 100],
  ])('%d + %d of %d, trunk in works %s: %d', (overlap, severed, zone, stem, percent) => {
    expect(affectedPct(overlap, severed, zone, stem)).toBe(percent);
  });
  it('is NaN without a zone', () => {
    expect(affectedPct(Number.NaN, Number.NaN, Number.NaN, false)).toBeNaN();
  });
});

describe('judgeAll', () => {
  it.each(ruleIds())('%s: is judge, row by row', (id) => {
    const rule = builtinRule(id);
    const sets = setKinds(rule);
    const share = fc.oneof(fc.constant(0), fc.double({ min: 0, max: 0.3, noNaN: true }));
    const tree = fc.record({
      dbh: fc.double({ min: 0.1, max: 1.5, noNaN: true }),
      crown: fc.constantFrom(2, Number.NaN),
    });
    const row = fc.record({
      tree,
      kinds: fc.array(share, { minLength: 7, maxLength: 7 }),
      severed: share,
      stem: fc.boolean(),
    });
    fc.assert(
      fc.property(fc.array(row, { minLength: 1, maxLength: 8 }), (rows) => {
        const trees = treeTable(rows.map((r, i) => ({ ...r.tree, ...(i % 3 === 2 ? { notes: ['estimated'] } : {}) })));
        const { table } = zones(trees, rule);
        const area = (i: number): number => table.areaM2[i]!;
        const of = (i: number, kinds: readonly WorksKind[]): number =>
          kinds.reduce((sum, kind) => sum + (rows[i]?.kinds[WORKS_KINDS.indexOf(kind)] ?? 0), 0) * area(i);
        const column = (at: (i: number) => number): Float64Array => Float64Array.from(rows, (_, i) => at(i));
        const overlap: OverlapTable = {
          overlapM2: column((i) => of(i, WORKS_KINDS)),
          severedM2: column((i) => (rows[i]?.severed ?? 0) * area(i)),
          byKindM2: WORKS_KINDS.map((kind) => column((i) => of(i, [kind]))),
          setM2: sets.map((set) => column((i) => of(i, set))),
          unknownM2: null,
          existingM2: null,
          ringExistingM2: [],
          worstM2: column(() => 0),
          worstWorks: new Int32Array(rows.length).fill(-1),
          ringOverlapM2: rule.rings.map(() => column((i) => of(i, WORKS_KINDS) / 20)),
          ringSetM2: rule.rings.map(() => sets.map((set) => column((i) => of(i, set) / 20))),
          nearestM: column(() => 1),
          nearestBearing: column(() => 0),
          nearestWorks: new Int32Array(rows.length),
          stemInWorks: Uint8Array.from(rows, (r) => (r.stem ? 1 : 0)),
        };
        const all = judgeAll(trees, table, overlap, rule);
        expect(all.length).toBe(rows.length);
        all.forEach((judged, i) => {
          const alone: TreeFigures = {
            rejected: table.rejected.get(i) ?? [],
            notes: [...(trees.notes.get(i) ?? []), ...(table.notes.get(i) ?? [])],
            zoneM2: area(i),
            overlapM2: overlap.overlapM2[i]!,
            severedM2: overlap.severedM2[i]!,
            stemInWorks: rows[i]?.stem === true,
            setM2: overlap.setM2.map((c) => c[i]!),
            rings: rule.rings.map((_, r) => ({
              areaM2: Math.PI * table.ringRadiusM[r]?.[i]! ** 2,
              overlapM2: overlap.ringOverlapM2[r]?.[i]!,
              setM2: (overlap.ringSetM2[r] ?? []).map((c) => c[i]!),
            })),
          };
          expect(judged).toEqual(judge(alone, rule));
          expect(VERDICTS).toContain(judged.verdict);
        });
      }),
      { numRuns: 40 },
    );
  });
});
