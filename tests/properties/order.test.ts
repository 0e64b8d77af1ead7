// Whatever the order of input and the number of threads, figures are the same to the last bit: jobs with hard ground,
// classes by depth, drawn zones and groups. (Threads: on the built library.)
import { describe, expect, it } from 'vitest';
import { type AssessJob, assess } from '../../src/assess/index.js';
import type { TreeResult } from '../../src/model/index.js';
import { parseRule } from '../../src/rules/index.js';
import { box, type LocalFeature, localLayer, tree } from '../support/local-job.js';
import { mulberry32 } from '../support/random.js';
import { star } from '../support/shapes.js';

const SIDE = 90;
const rule = parseRule(
  {
    id: 'town',
    title: 'Town code',
    source: 'invented',
    stems: { zone: 'sum' },
    zone: { radius: { perDiameter: 12 } },
    rings: [
      {
        name: 'no-cut',
        radius: { perDiameter: 4 },
        limits: [{ share: 0, kinds: ['trench', 'fill'], deeperThan: '4 in' }],
      },
    ],
    limits: [{ share: '20%' }, { share: '10%', kinds: ['trench', 'fill'], deeperThan: '4 in' }],
  },
  'town.json',
);

function layers(seed: number, trees: number) {
  const random = mulberry32(seed);
  const at = (): number => random() * SIDE;
  const shape = (properties: Record<string, unknown>, [x, y] = [at(), at()] as const): LocalFeature => {
    const ring = star(random, 0);
    const points = Array.from(
      { length: ring.length / 2 },
      (_, i) => [x + 4 * ring[i * 2]!, y + 4 * ring[i * 2 + 1]!] as const,
    );
    return { rings: [points], properties };
  };
  const kinds = ['building', 'trench', 'fill', 'paving'];
  const many = <T>(n: number, make: (i: number) => T): T[] => Array.from({ length: n }, (_, i) => make(i));
  const places = many(trees, () => [at(), at()] as const);
  return {
    trees: many(trees, (i) =>
      (trees < 100 ? i % 8 === 7 : i % 1000 === 7) // each group looks at all works near it
        ? (([x, y]) => box(x, y, x + 6, y + 2, { id: `T${i}`, dbh_cm: 20 }))(places[i]!)
        : tree(...places[i]!, { id: `T${i}`, dbh_cm: 15 + (i % 50) }),
    ),
    works: many(40, (i) =>
      shape({ id: `W${i}`, kind: kinds[i % 4], ...(i % 3 === 0 ? {} : { depth_m: (i % 5) * 0.06 }) }),
    ),
    existing: many(15, (i) => shape({ id: `E${i}` })),
    zones: many(10, (i) => shape({ tree: `T${(i % 5) * 8}` }, places[(i % 5) * 8])), // two for every tree they name
  };
}

/** What a job says of each tree, by its id; works are named by id. */
function told(
  all: ReturnType<typeof layers>,
  existingUse: 'counted' | 'spared' | 'regrown',
  runner?: AssessJob['runner'],
): Map<string, unknown> {
  const assessment = assess({
    trees: localLayer('trees.csv', all.trees),
    works: [{ layer: localLayer('works.csv', all.works) }],
    existing: [localLayer('existing.csv', all.existing)],
    zones: localLayer('zones.csv', all.zones),
    rule,
    options: { crs: 'local:m', existingUse, margins: all.trees.length < 100 },
    ...(runner === undefined ? {} : { runner }),
  });
  // Of works that take nothing alone, or that all hold the trunk, the first by input order is named: order may move no more.
  const named = (one: TreeResult): string | null => ((one.worstWorksPct ?? 0) > 1e-6 ? one.worstWorks : null);
  return new Map(
    assessment.trees.map((one: TreeResult) => [
      one.key,
      { ...one, row: 0, worstWorks: named(one), nearestWorks: one.nearestM === 0 ? null : one.nearestWorks },
    ]),
  );
}

describe('figures do not depend on', () => {
  for (const use of ['counted', 'spared', 'regrown'] as const) {
    it(`the order of trees, works, hard ground and drawn zones: hard ground ${use}`, () => {
      const all = layers(20_261_125, 48);
      const turned = {
        trees: [...all.trees].reverse(),
        works: [...all.works].reverse(),
        existing: [...all.existing].reverse(),
        zones: [...all.zones].reverse(),
      };
      const before = told(all, use);
      const after = told(turned, use);
      expect(before.size).toBe(48);
      for (const [key, one] of before) expect({ key, of: after.get(key) }).toEqual({ key, of: one });
    });
  }

  it('the number of threads', async () => {
    const { threadRunner } = (await import(
      '../../build/node/threads/threads.js' as string
    )) as typeof import('../../src/node/threads/threads.js');
    const all = layers(7, 21_000);
    const two = threadRunner(2);
    try {
      const one = told(all, 'spared');
      const both = told(all, 'spared', two);
      let other = 0;
      for (const [key, of] of one) if (JSON.stringify(of) !== JSON.stringify(both.get(key))) other++;
      expect(other).toBe(0);
    } finally {
      two.close();
    }
  }, 60_000);
});
