// Depth, hard ground, classes, options, several rules, drawn zones: each against closed forms of plane geometry or
// figures that were printed.
import { describe, expect, it } from 'vitest';
import { builtinRule, parseRule, ruleAreas } from '../../src/rules/index.js';
import { geojsonText, optionTablePieces } from '../../src/write/index.js';
import { box, localJob, tree } from '../support/local-job.js';

const FAR = 1000;
/** Share of a circle beyond a chord at distance d (in radii): the circular segment. */
const segment = (d: number): number => (Math.acos(d) - d * Math.sqrt(1 - d * d)) / Math.PI;
const BASE = {
  id: 'town',
  title: 'Town code',
  source: 'invented',
  stems: { zone: 'sum' },
  zone: { radius: { length: '10 m' } },
  limits: [{ share: '20%' }],
};
const rule = (more: object) => parseRule({ ...BASE, ...more }, 'town.json');
const TREE = tree(0, 0, { id: 'T1', dbh_cm: 50 });
const east = (d: number, properties: object) => box(d, -FAR, FAR, FAR, { id: `E${d}`, ...properties });

describe('depth', () => {
  // Austin TX, Environmental Criteria Manual 3.5.2: half zone, no cut or fill deeper than 4 in (seen in a secondary
  // description); quarter zone, none (from memory)
  const austin = rule({
    zone: { radius: { perDiameter: '1 ft per in' } },
    rings: [
      {
        name: 'half',
        radius: { perDiameter: '0.5 ft per in' },
        limits: [{ share: 0, kinds: ['excavation', 'trench', 'fill'], deeperThan: '4 in' }],
      },
      {
        name: 'quarter',
        radius: { perDiameter: '0.25 ft per in' },
        limits: [{ share: 0, kinds: ['excavation', 'trench', 'fill'] }],
      },
    ],
    limits: [{ share: '50%' }],
  });
  const R = 20 * 0.3048; // 20 in
  const at = (d: number, properties: object) =>
    localJob([tree(0, 0, { id: 'T1', dbh_in: 20 })], [east(d * R, { kind: 'fill', ...properties })], { rule: austin });
  it.each([
    ['6 in of fill in the half zone', 0.4, { depth_in: 6 }, ['over-ring-limit']],
    ['4 in exactly', 0.4, { depth_in: 4 }, []],
    ['3 in', 0.4, { depth_in: 3 }, []],
    ['3 in in the quarter zone', 0.2, { depth_in: 3 }, ['over-ring-limit']],
    ['6 in beyond the half zone', 0.6, { depth_in: 6 }, []],
    ['of unknown depth, which counts in full', 0.4, {}, ['depth-unknown', 'over-ring-limit']],
  ])('%s', (_case, d, properties, reasons) => {
    expect(at(d, properties).trees[0]?.reasons).toEqual(reasons);
  });
  it('two works of different depth: each limit sees those it names, the overlap their union', () => {
    const { trees } = localJob(
      [TREE],
      [
        east(5, { kind: 'excavation', depth_m: 0.3 }),
        box(-FAR, -FAR, -5, FAR, { id: 'W', kind: 'excavation', depth_m: 0.05 }),
      ],
      { rule: rule({ limits: [{ share: '30%', kinds: ['excavation'], deeperThan: '4 in' }] }) },
    );
    expect(trees[0]?.overlapPct).toBeCloseTo(200 * segment(0.5), 9); // 39.1 %
    expect(trees[0]?.verdict).toBe('within-limit'); // 19.6 % is deeper than 4 in
  });
  it('a rule may name many depths: each limit sees the works that lie deeper', () => {
    const DEPTHS = ['4 in', '8 in', '12 in', '24 in'];
    const many = rule({
      limits: [
        { share: '99%' },
        ...DEPTHS.map((deeperThan, i) => ({
          share: '15%', // a segment beyond half the radius is 19.6 %
          kinds: ['excavation', 'trench', 'fill'],
          deeperThan,
          reason: `deeper-${i}`,
        })),
      ],
      rings: [{ name: 'no-cut', radius: { length: '1 m' }, limits: [] }],
      exempt: [{ kinds: ['bore'], atLeast: '24 in' }],
    });
    expect(ruleAreas(many).classes).toHaveLength(23);
    for (const [kind, depth_in, broken] of [
      ['trench', 3, 0],
      ['trench', 10, 2],
      ['fill', 12, 2],
      ['excavation', 30, 4],
      ['fill', undefined, 4],
      ['bore', 3, 0], // none of these limits names bores
    ] as const) {
      const { trees } = localJob([TREE], [east(5, { kind, ...(depth_in === undefined ? {} : { depth_in }) })], {
        rule: many,
      });
      const deeper = trees[0]?.reasons.filter((reason) => reason.startsWith('deeper-'));
      expect(deeper).toHaveLength(broken);
      expect(trees[0]?.overlapPct).toBeCloseTo(100 * segment(0.5), 9);
    }
  });
  it('exempt works count nowhere: bores deeper than 24 in, fill up to 1 in, no-dig paving', () => {
    const exempt = rule({
      exempt: [
        { kinds: ['bore'], deeperThan: '24 in' },
        { kinds: ['fill'], upTo: '1 in', reason: 'thin-fill' },
        { kinds: ['paving'], noDig: true },
      ],
    });
    const run = (properties: object) => localJob([TREE], [box(-1, -1, 1, 1, properties as never)], { rule: exempt });
    expect(run({ kind: 'bore', depth_in: 30 }).trees[0]).toMatchObject({
      verdict: 'untouched',
      overlapM2: 0,
      nearestM: null,
    });
    expect(run({ kind: 'bore', depth_in: 20 }).trees[0]?.verdict).toBe('stem-in-works');
    expect(run({ kind: 'bore' }).trees[0]?.reasons).toContain('depth-unknown');
    expect(run({ kind: 'paving', no_dig: 'yes' }).trees[0]?.verdict).toBe('untouched');
    const thin = run({ kind: 'fill', depth_in: 1 });
    expect(thin.works[0]).toMatchObject({ counted: 'false', countedReason: 'thin-fill' });
    expect(thin.counts.works).toEqual({ in: 1, counted: 0, notCounted: 1, rejected: 0 });
    expect(thin.findings.map(({ code }) => code)).toContain('works-exempt');
  });
  it.each(['foot-per-inch', 'tolerance-age'])('%s: a bore with 24 in of cover passes below a trunk', (id) => {
    // University of Missouri Extension G6885: tunnel at least 2 ft deep
    const run = (properties: object) =>
      localJob([TREE], [box(-1, -1, 1, 1, { kind: 'bore', ...properties } as never)], { rule: builtinRule(id) });
    for (const deep of [{ depth_in: 24 }, { depth_ft: 2 }, { depth_m: 0.6096 }, { depth_ft: 3 }]) {
      const { trees, works } = run(deep);
      expect(trees[0]).toMatchObject({ verdict: 'untouched', overlapM2: 0 });
      expect(works[0]).toMatchObject({ counted: 'false', countedReason: 'bored-below-roots' });
    }
    for (const shallow of [{ depth_in: 23.9 }, { depth_m: 0.6 }, {}]) {
      expect(run(shallow).trees[0]?.verdict).toBe('stem-in-works');
    }
    expect(run({}).trees[0]?.reasons).toContain('depth-unknown');
    expect(run({ depth_in: 20 }).trees[0]?.reasons).not.toContain('depth-unknown');
  });
  it('what does not count is said for each rule that does not count it', () => {
    const rules = [builtinRule('foot-per-inch'), rule({ exempt: [{ kinds: ['fill'], upTo: '1 in', reason: 'thin' }] })];
    const works = [east(5, { kind: 'fill', depth_in: 1 }), east(6, { kind: 'bore', depth_ft: 3 })];
    const told = localJob([TREE], works, { rule: rules }).findings.filter(({ code }) => code === 'works-exempt');
    expect(told.map(({ message }) => message)).toEqual([
      'works that do not count under rule foot-per-inch: 1 of 2 (bored-below-roots)',
      'works that do not count under rule town: 1 of 2 (thin)',
    ]);
  });
  it('works marked no_dig cut in no ring, whatever their kind', () => {
    const reasons = (ruleId: string, properties: object) =>
      localJob([TREE], [box(1, -1, 2, 1, properties as never)], { rule: builtinRule(ruleId) }).trees[0]?.reasons;
    for (const [id, reason] of [
      ['foot-per-inch', 'cut-in-no-cut'],
      ['as4970-2009', 'cut-in-structural'],
    ] as const) {
      for (const kind of ['building', 'trench', 'excavation']) {
        expect(reasons(id, { kind })).toContain(reason);
        expect(reasons(id, { kind, no_dig: 'yes' })).not.toContain(reason);
      }
      expect(reasons(id, { kind: 'paving', depth_m: 0.3 })).toContain(reason);
      expect(reasons(id, { kind: 'paving', depth_m: 0.1 })).not.toContain(reason);
      expect(reasons(id, { kind: 'paving', depth_m: 0.3, no_dig: 'yes' })).not.toContain(reason);
    }
  });
  it('paving cuts only where it is known to be deeper than 0.15 m', () => {
    const severed = (properties: object) =>
      localJob([TREE], [box(4, -FAR, 5, FAR, { kind: 'paving', ...properties })]).trees[0]?.severedPct;
    const behind = 100 * segment(5 / (12 * 0.5));
    expect(severed({ depth_m: 0.2 })).toBeCloseTo(behind, 9);
    expect(severed({ depth_m: 0.1 })).toBe(0);
    expect(severed({})).toBe(0);
  });
});

describe('hard ground', () => {
  const halfHard = [box(-FAR, -FAR, 0, FAR, {})]; // the west half
  it('tells its share, and counts works on it by default', () => {
    const works = [box(-FAR, -FAR, -5, FAR, { kind: 'paving' })];
    const [counted] = localJob([TREE], works, { existing: halfHard, rule: rule({}) }).trees;
    expect(counted?.existingPct).toBeCloseTo(50, 9);
    expect(counted?.overlapPct).toBeCloseTo(100 * segment(0.5), 9);
    const spared = localJob([TREE], works, { existing: halfHard, rule: rule({}), options: { existingUse: 'spared' } });
    expect(spared.trees[0]?.overlapPct).toBe(0);
    expect(spared.trees[0]?.worstWorksPct).toBeNull(); // works that take nothing are not to blame
  });
  it('a limit of the unsurfaced ground is held against the free half', () => {
    const british = builtinRule('bs5837-2012'); // new surfacing at most 20 % of the ground now unsurfaced
    const r = 12 * 0.5;
    // the east strip beyond d takes segment(d / r) of the zone, twice that of the free half
    const verdict = (share: number, existing: typeof halfHard) => {
      let d = 0;
      for (let step = 0.5; step > 1e-12; step /= 2) if (segment(d + step) > share) d += step;
      return localJob([TREE], [east(d * r, { kind: 'paving' })], { existing, rule: british }).trees[0]?.verdict;
    };
    expect(verdict(0.0999, halfHard)).toBe('within-limit');
    expect(verdict(0.1001, halfHard)).toBe('over-limit');
    expect(verdict(0.1999, [])).toBe('within-limit');
    expect(verdict(0.2001, [])).toBe('over-limit');
  });
  it('zones grow until their free area is the rule’s own', () => {
    const [grown] = localJob([TREE], [], {
      existing: halfHard,
      rule: rule({}),
      options: { existingUse: 'regrown' },
    }).trees;
    expect(grown?.zoneRadiusM).toBeCloseTo(10 * Math.SQRT2, 9); // half of pi r^2 is pi 10^2
    const strip = [box(8, -FAR, FAR, FAR, {})]; // beyond a chord at 8 m
    const [beside] = localJob([TREE], [], {
      existing: strip,
      rule: rule({}),
      options: { existingUse: 'regrown' },
    }).trees;
    const r = beside?.zoneRadiusM!;
    expect(Math.PI * r * r * (1 - segment(8 / r))).toBeCloseTo(Math.PI * 100, 8);
    const all = localJob([TREE], [], {
      existing: [box(-FAR, -FAR, FAR, FAR, {})],
      rule: rule({}),
      options: { existingUse: 'regrown' },
    });
    expect(all.trees[0]?.zoneRadiusM).toBe(10);
    expect(all.findings.map(({ code }) => code)).toContain('regrow-unreached');
  });
  it('comes out again as features of its own', () => {
    const text = geojsonText(localJob([TREE], [east(5, {})], { existing: [box(0, 0, 1, 1, { name: 'old drive' })] }));
    expect([...text].join('')).toMatch(/"name":"old drive","rb_role":"existing","rb_id":"existing:0"/);
  });
});

describe('classes, allowance, protection', () => {
  it('Springboro OH 280.01(b): 1 ft per inch, at least 8 ft; 1.5 ft per inch for the largest', () => {
    const springboro = rule({
      zone: { radius: { perDiameter: '1 ft per in' }, atLeast: '8 ft' },
      classes: [{ name: 'largest', from: '30 in', zone: { radius: { perDiameter: '1.5 ft per in' } } }],
    });
    const { trees } = localJob(
      [6, 20, 30].map((dbh_in, i) => tree(i * 100, 0, { id: i, dbh_in })),
      [],
      { rule: springboro },
    );
    expect(trees.map((t) => Number((t.zoneRadiusM! / 0.3048).toFixed(9)))).toEqual([8, 20, 45]);
    expect(trees.map((t) => t.reasons)).toEqual([[], [], ['class-largest']]);
  });
  it('a class may have limits of its own; species are whole words from the start', () => {
    const oaks = rule({ classes: [{ name: 'oaks', species: ['Quercus'], limits: [{ share: '5%', reason: 'oak' }] }] });
    const species = ['Quercus alba', 'QUERCUS robur', 'Quercusoides', 'Acer', '× Quercus'];
    const { trees } = localJob(
      species.map((name, i) => tree(i * 1000, 0, { id: i, dbh_cm: 50, species: name })),
      species.map((_, i) => box(i * 1000 + 7, -50, i * 1000 + 50, 50, { id: `W${i}` })),
      { rule: oaks },
    );
    const over = trees.map((t) => t.reasons.includes('oak')); // a segment at 0.7 takes 9.4 %
    expect(over).toEqual([true, true, false, false, true]);
  });
  it('veterans: 15 diameters or the crown and 5 m, the larger (from memory)', () => {
    const veterans = rule({
      classes: [
        { name: 'veteran', veteran: true, zone: { radius: { max: [{ perDiameter: 15 }, { crownPlus: '5 m' }] } } },
      ],
    });
    const { trees } = localJob(
      [
        tree(0, 0, { id: 'a', dbh_cm: 100, crown_radius_m: 8, veteran: 'yes' }),
        tree(100, 0, { id: 'b', dbh_cm: 100, crown_radius_m: 12, veteran: 'yes' }),
        tree(200, 0, { id: 'c', dbh_cm: 100, crown_radius_m: 12, veteran: 'no' }),
      ],
      [],
      { rule: veterans },
    );
    expect(trees.map((t) => t.zoneRadiusM)).toEqual([15, 17, 10]);
  });
  it('Pleasanton TX 98.12(A)(12): flatwork and utilities are exempt up to 45 %', () => {
    const pleasanton = rule({ limits: [{ share: '20%' }], allowance: { kinds: ['paving', 'trench'], share: '45%' } });
    const run = (...works: Parameters<typeof localJob>[1]) => localJob([TREE], [...works], { rule: pleasanton });
    // paving beyond 0.1 R takes 43.6 %; beyond 0 it would take 50 %, 5 points over the allowance and within 20 %
    expect(run(east(1, { kind: 'paving' })).trees[0]?.verdict).toBe('within-limit');
    // with a house that takes 19.6 % on the other side: 43.6 % allowed, 19.6 % counted
    const house = box(-FAR, -FAR, -5, FAR, { id: 'H', kind: 'building' });
    expect(run(east(1, { kind: 'paving' }), house).trees[0]?.verdict).toBe('within-limit');
    // paving over all the east half: 50 % less 45 % allowed, and 19.6 %: 24.6 % is over
    expect(
      run(box(2.5, -FAR, FAR, FAR, { kind: 'paving' }), box(-FAR, -FAR, -4, FAR, { id: 'H' })).trees[0]?.verdict,
    ).toBe(
      'over-limit', // 34.25 % of paving is allowed, 25.23 % of house counts
    );
    expect(run(east(1, { kind: 'paving' })).works[0]).toMatchObject({ counted: 'partly', countedReason: 'allowance' });
  });
  it('protects by species and size, stems combined in its own way; the survey’s word goes first', () => {
    const town = rule({
      stems: { zone: 'sum', protected: 'largest-plus-half-others' },
      protected: [{ species: ['Quercus'], from: '8 in' }, { from: '26 in' }],
    });
    const { trees } = localJob(
      [
        tree(0, 0, { id: 'a', dbh_in: 8, species: 'Quercus alba' }),
        tree(100, 0, { id: 'b', dbh_in: 8, species: 'Acer' }),
        tree(200, 0, { id: 'c', stems_in: '18;16', species: 'Acer' }), // Austin TX prints 18 + 16/2 = 26 in
        tree(300, 0, { id: 'd', stems_in: '18;15.9', species: 'Acer' }),
        tree(400, 0, { id: 'e', dbh_in: 8, species: 'Quercus alba', protected: 'no' }),
        tree(500, 0, { id: 'f', dbh_in: 4, species: 'Acer', protected: 'yes' }),
      ],
      [],
      { rule: town },
    );
    expect(trees.map((t) => t.isProtected)).toEqual([true, false, true, false, false, true]);
  });
});

describe('side by side', () => {
  it('several rules: the first in the plain figures, the others beside', () => {
    const assessment = localJob([TREE], [east(5, { kind: 'trench' })], {
      rule: [builtinRule('foot-per-inch'), builtinRule('as4970-2009')],
    });
    const feature = JSON.parse([...geojsonText(assessment)].join('')).features.find(
      (f: { properties: { rb_role: string } }) => f.properties.rb_role === 'tree',
    );
    // both zones are 6 m: a segment at 5/6 takes about 4.2 %
    expect(feature.properties).toMatchObject({ rb_verdict: 'within-limit', 'rb_as4970-2009_verdict': 'within-limit' });
    expect(feature.properties['rb_as4970-2009_overlap_pct']).toBeCloseTo(100 * segment(5 / 6), 6);
    expect(feature.properties['rb_as4970-2009_reasons']).toBe('base-dia-assumed;compensation-needed');
    expect(() => localJob([TREE], [], { rule: [builtinRule('din18920'), builtinRule('din18920')] })).toThrow(
      /two rules/,
    );
  });
  it('design options: common works count in each, the others in their own', () => {
    const assessment = localJob(
      [TREE],
      [
        east(5, { kind: 'building', option: 'A' }),
        east(1, { kind: 'building', option: 'B' }),
        box(-FAR, -FAR, -5, FAR, { id: 'W', kind: 'paving' }),
      ],
      { rule: rule({ limits: [{ share: '40%' }] }) },
    );
    expect(assessment.option).toBe('A');
    expect(assessment.trees[0]?.overlapPct).toBeCloseTo(200 * segment(0.5), 9);
    const [b] = assessment.otherOptions;
    expect(b?.tree(0).overlapPct).toBeCloseTo(100 * (segment(0.5) + segment(0.1)), 9);
    expect(b?.tree(0).verdict).toBe('over-limit');
    expect(assessment.works.map((w) => w.counted)).toEqual(['true', 'false', 'true']);
    const table = [...optionTablePieces(assessment)].join('').split('\r\n');
    expect(table[0]).toBe('Tree,A: overlap (%),A: verdict,B: overlap (%),B: verdict,Changes');
    expect(table[1]).toBe('T1,39.1,within-limit,63.2,over-limit,yes');
  });
});

describe('drawn zones', () => {
  it('are measured as they are, severed ground too', () => {
    const zones = [box(-10, -5, 10, 5, { tree: 'T1' })]; // 200 m2
    const { trees } = localJob([TREE], [box(4, -FAR, 5, FAR, { id: 'cut', kind: 'trench' })], {
      zones,
      rule: rule({}),
    });
    expect(trees[0]?.zoneAreaM2).toBeCloseTo(200, 9);
    expect(trees[0]?.overlapM2).toBeCloseTo(10, 9); // 1 m x 10 m
    expect(trees[0]?.severedM2).toBeCloseTo(50, 9); // 5 m x 10 m behind it
    expect(trees[0]?.reasons).toContain('zone-drawn');
  });
  it('several are one: their union, with an L that the trunk stands outside of', () => {
    const zones = [box(10, 0, 30, 10, { tree: 'T1' }), box(10, 5, 20, 30, { tree: 'T1' })]; // 200 + 250 - 50
    const { trees } = localJob([TREE], [box(15, -FAR, FAR, 5, { kind: 'fill' })], { zones, rule: rule({}) });
    expect(trees[0]?.zoneAreaM2).toBeCloseTo(400, 9);
    expect(trees[0]?.overlapM2).toBeCloseTo(75, 9); // 15 m x 5 m
  });
});

describe('blame', () => {
  it('names the works whose removal frees most, by what they take alone', () => {
    const { trees } = localJob(
      [TREE],
      [
        east(5, { kind: 'building' }), // 19.55 %, of which the strip 5..7 is its own: 10.144 % (strip between chords)
        box(7, -FAR, FAR, FAR, { id: 'second', kind: 'paving' }), // lies over the rest: nothing of its own
        box(-FAR, -FAR, -8, FAR, { id: 'third', kind: 'fill' }), // 5.204 %, all its own
      ],
      { rule: rule({}) },
    );
    expect(trees[0]).toMatchObject({ worstWorks: 'E5' });
    expect(trees[0]?.worstWorksPct).toBeCloseTo(10.144090729, 8); // strip 0.5-0.7, closed form
  });
  it('gives ties to the first by input order, also where twins free nothing', () => {
    const twins = [box(5, -1, 6, 1, { id: 'b' }), box(5, -1, 6, 1, { id: 'a' })];
    const { trees } = localJob([TREE], twins, { rule: rule({}) });
    expect(trees[0]).toMatchObject({ worstWorks: 'b' });
    expect(trees[0]?.worstWorksPct).toBeCloseTo(0, 9);
    expect(localJob([TREE], [], { rule: rule({}) }).trees[0]?.worstWorks).toBeNull();
  });
});

describe('blame of works that are near and take nothing', () => {
  it('falls on none: works beside a drawn zone, nearer than its farthest corner', () => {
    const zones = [box(-2, -9, 2, 9, { tree: 'T1' })];
    const { trees } = localJob([TREE], [box(4, -1, 6, 1, { id: 'beside' })], { zones, rule: rule({}) });
    expect(trees[0]).toMatchObject({ overlapM2: 0, worstWorks: null, worstWorksPct: null, nearestWorks: 'beside' });
  });
});

describe('groups', () => {
  const hedge = (properties: object) => box(0, 0, 30, 2, { id: 'H1', ...properties });
  it('a hedge with a stem size: its outline and all within the radius', () => {
    const { trees } = localJob([hedge({ dbh_cm: 20 })], [box(10, 3, 20, FAR, { id: 'house' })], {
      rule: rule({ zone: { radius: { perDiameter: 12 } } }),
    });
    const r = 2.4;
    const area = 30 * 2 + 2 * (30 + 2) * r + Math.PI * r * r; // Steiner's formula for a convex outline
    expect(Math.abs(trees[0]?.zoneAreaM2! - area)).toBeLessThan(0.02); // millimetre grid
    expect(trees[0]?.overlapM2).toBeCloseTo(10 * 1.4, 2); // 10 m along, from 3 m to 4.4 m
    expect(trees[0]).toMatchObject({ severedM2: 0, marginM: null, rings: [], nearestWorks: 'house' });
    expect(trees[0]?.nearestM).toBeCloseTo(1, 9);
    expect(trees[0]?.nearestGridBearing).toBeCloseTo(0, 9);
    expect(trees[0]?.reasons).toContain('group-zone');
  });
  it('an offset from the edge goes before the rule; works in it stand at no distance', () => {
    const { trees } = localJob([hedge({ zone_radius_m: 5 })], [box(-FAR, -FAR, 1, FAR, { kind: 'fill' })], {
      rule: rule({}),
    });
    const beyond = 2 * 5 + (Math.PI * 25) / 2 + 12 * 1; // west of the edge: strip and half disc; 1 m of 2 + 2 x 5
    expect(Math.abs(trees[0]?.overlapM2! - beyond)).toBeLessThan(0.02);
    expect(trees[0]).toMatchObject({ nearestM: 0, nearestBearing: null });
    expect(trees[0]?.verdict).not.toBe('stem-in-works');
  });
  it('comes out as the polygon it was, beside single trees', () => {
    const text = [...geojsonText(localJob([TREE, hedge({ dbh_cm: 20 })], [east(50, {})]))].join('');
    const features = JSON.parse(text).features.filter(
      (f: { properties: { rb_role: string } }) => f.properties.rb_role === 'tree',
    );
    expect(features.map((f: { geometry: { type: string } }) => f.geometry.type)).toEqual(['Point', 'Polygon']);
  });
});
