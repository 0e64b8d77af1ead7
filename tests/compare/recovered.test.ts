// What must always hold: any set of edits of a plan is told exactly, and its reverse the other way round; every tree of both
// files is accounted for. Edits are drawn at random, the trees' verdicts are whatever the assessment says of them.
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { compareAssessed } from '../../src/compare/index.js';
import { runs } from '../support/runs.js';
import { SITE, type Site, type SiteTree, writtenSite } from '../support/site.js';

const BEFORE = writtenSite(SITE);

type Edit =
  | { readonly kind: 'move'; readonly dx: number; readonly dy: number }
  | { readonly kind: 'measure'; readonly dbh: number }
  | { readonly kind: 'species' }
  | { readonly kind: 'drop' };

const edit: fc.Arbitrary<Edit> = fc.oneof(
  fc.record({
    kind: fc.constant('move' as const),
    // from 5 mm up: what is told begins at half a millimetre
    dx: fc.integer({ min: 5, max: 4000 }).map((mm) => mm / 1000),
    dy: fc.integer({ min: -4000, max: 4000 }).map((mm) => mm / 1000),
  }),
  fc.record({ kind: fc.constant('measure' as const), dbh: fc.integer({ min: 220, max: 600 }).map((n) => n / 10) }),
  fc.record({ kind: fc.constant('species' as const) }),
  fc.record({ kind: fc.constant('drop' as const) }),
);

const edits = fc.record({
  trees: fc.uniqueArray(fc.tuple(fc.nat({ max: SITE.trees.length - 1 }), edit), {
    selector: ([at]) => at,
    maxLength: 6,
  }),
  added: fc.nat({ max: 3 }),
  house: fc.option(fc.integer({ min: 10, max: 3000 }).map((mm) => mm / 1000)),
  depth: fc.option(fc.integer({ min: 5, max: 9 })),
  order: fc.boolean(),
});

function applied(tree: SiteTree, one: Edit | undefined): SiteTree[] {
  if (one === undefined) return [tree];
  if (one.kind === 'drop') return [];
  if (one.kind === 'move') return [{ ...tree, x: tree.x + one.dx, y: tree.y + one.dy }];
  return [one.kind === 'measure' ? { ...tree, dbh_in: one.dbh } : { ...tree, species: 'Ulmus' }];
}

test('edits are recovered exactly, and the other way round', { timeout: 600_000 }, () => {
  fc.assert(
    fc.property(edits, ({ trees, added, house, depth, order }) => {
      const byRow = new Map(trees);
      const more = Array.from(
        { length: added },
        (_, i): SiteTree => ({ ...SITE.trees[i]!, id: `N${i}`, x: 100 + 9 * i }),
      );
      const kept = SITE.trees.flatMap((tree, row) => applied(tree, byRow.get(row)));
      const after: Site = {
        ...SITE,
        trees: order ? [...more, ...kept.reverse()] : [...kept, ...more],
        works: SITE.works.map((one) => {
          if (one.id === 'house' && house !== null) return { ...one, box: [17 + house, 4, 10, 8] };
          return one.id === 'drain' && depth !== null ? { ...one, depth_ft: depth } : one;
        }),
      };
      const file = writtenSite(after);
      const there = compareAssessed(BEFORE, file);
      expect(there.settings).toEqual([]);
      const told = new Map(
        there.trees
          .filter((one) => one.change !== 'changed' || one.move !== null || one.fields.length > 0)
          .map((one) => [
            one.label,
            [one.change, one.move?.byM.toFixed(3), ...one.fields.map(({ field, after: to }) => `${field} ${to}`)],
          ]),
      );
      const expected = new Map<string, unknown>();
      for (const [row, one] of trees) {
        const label = SITE.trees[row]!.id!;
        if (one.kind === 'drop') expected.set(label, ['gone', undefined]);
        else if (one.kind === 'move') expected.set(label, ['changed', expect.any(String)]);
        else if (one.kind === 'species') expected.set(label, ['changed', undefined, 'species Ulmus']);
        else expected.set(label, ['changed', undefined, expect.stringMatching(/^diameter /)]);
      }
      for (const { id } of more) expected.set(id!, ['added', undefined]);
      expect(told).toEqual(expected);
      for (const [row, one] of trees) {
        const change = there.trees.find(({ label }) => label === SITE.trees[row]!.id);
        if (one.kind === 'move') expect(change!.move!.byM).toBeCloseTo(Math.hypot(one.dx, one.dy), 3);
        if (one.kind === 'measure') expect(change!.after!.dbhM).toBeCloseTo(one.dbh * 0.0254, 6);
      }
      const works = there.works.map(({ label, move, fields }) => [
        label,
        move === null,
        fields.map(({ after: to }) => to),
      ]);
      expect(works).toEqual([
        ...(house === null ? [] : [['house', false, []]]),
        ...(depth === null ? [] : [['drain', true, [String(depth)]]]),
      ]);
      const { counts } = there;
      expect(counts.trees.matched + counts.trees.gone).toBe(SITE.trees.length);
      expect(counts.trees.matched + counts.trees.added).toBe(after.trees.length);
      // Every verdict that changed has a reason that is one of the edits.
      for (const { verdict } of there.trees) {
        if (verdict !== null) expect(verdict.why.map(({ code }) => code)).not.toContain('not-found');
      }
      const back = compareAssessed(file, BEFORE);
      const swap: Record<string, string> = { gone: 'added', added: 'gone', changed: 'changed' };
      expect(new Set(back.trees.map((one) => `${one.label} ${one.change}`))).toEqual(
        new Set(there.trees.map((one) => `${one.label} ${swap[one.change]}`)),
      );
      // Corners of differences are on a grid of 1 mm: half a millimetre along the 36 m round the house.
      expect(Math.abs(back.ground.takenM2 - there.ground.freedM2)).toBeLessThan(0.0005 * 36);
    }),
    { numRuns: runs(25) },
  );
});
