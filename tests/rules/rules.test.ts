// Rules: the built-in ones, and rule files good and broken.
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { InputError } from '../../src/model/findings.js';
import { REASONS } from '../../src/model/reasons.js';
import { builtinRule, parseRule, parseRuleText, ruleFindings, ruleIds, withLimit } from '../../src/rules/index.js';
import { ratioOf, shareOf } from '../../src/rules/quantities.js';
import { setKinds } from '../support/rule-sets.js';

const GOOD = {
  id: 'a-town',
  title: 'A town',
  source: 'Code 12.3',
  stems: { zone: 'sum' },
  zone: { radius: { perDiameter: '1 ft per in' } },
  limits: [{ share: '20%' }],
};

function caught(run: () => unknown): InputError {
  try {
    run();
  } catch (error) {
    if (error instanceof InputError) return error;
    throw error;
  }
  throw new Error('nothing was refused');
}

/** The lines of the problems of GOOD with some keys replaced. */
function problems(change: object): readonly string[] {
  const error = caught(() => parseRule({ ...GOOD, ...change }, 'town.json'));
  expect(error.code).toBe('rule-invalid');
  expect(error.usage).toBe(false);
  expect(error.layer).toBe('town.json');
  const [head, ...lines] = error.message.split('\n  ');
  expect(head).toBe(`rule file town.json has ${lines.length === 1 ? '1 problem' : `${lines.length} problems`}`);
  return lines;
}

describe('built-in rules', () => {
  it('are these, the default first', () => {
    expect(ruleIds()).toEqual(['foot-per-inch', 'tolerance-age', 'bs5837-2012', 'as4970-2009', 'din18920']);
  });

  it.each(ruleIds())('%s reads back from its own JSON unchanged', (id) => {
    const rule = builtinRule(id);
    expect(parseRuleText(JSON.stringify(rule), 'copy.json')).toEqual(rule);
  });

  it.each(ruleIds())('%s has a source, notes, words for every verdict, and reasons that are explained', (id) => {
    const rule = builtinRule(id);
    expect(rule.source.length).toBeGreaterThan(20);
    expect(rule.notes.length).toBeGreaterThan(0);
    expect(Object.keys(rule.consequences).sort()).toEqual(
      ['not-assessed', 'over-limit', 'stem-in-works', 'untouched', 'within-limit'].sort(),
    );
    const reasons = [...rule.limits, ...rule.rings.flatMap((r) => r.limits)].map((l) => l.reason);
    for (const reason of [...reasons, ...(rule.withinReason ? [rule.withinReason] : [])]) {
      expect(Object.keys(REASONS)).toContain(reason);
    }
    expect(ruleFindings(rule).map((f) => f.message)).toEqual(rule.notes);
  });

  it('says that a superseded edition is superseded and that a table is from memory', () => {
    expect(builtinRule('as4970-2009').notes.join()).toContain('Superseded');
    expect(builtinRule('tolerance-age').notes.join()).toContain('from memory');
    expect(builtinRule('bs5837-2012').notes.join()).toContain('can justify an exception');
  });

  it('refuses an unknown id as wrong usage and names the nearest', () => {
    const error = caught(() => builtinRule('foot-per-inches'));
    expect(error).toMatchObject({
      code: 'rule-unknown',
      usage: true,
      message: 'there is no rule "foot-per-inches", did you mean foot-per-inch?',
    });
    expect(error.cure).toContain('din18920');
    expect(caught(() => builtinRule('constructor')).message).toBe('there is no rule "constructor"');
  });
});

describe('a rule file', () => {
  it('gets defaults for what it leaves out and keeps lengths as written', () => {
    expect(parseRule({ ...GOOD, zone: { ...GOOD.zone, atLeast: '8 ft' } }, 'town.json')).toEqual({
      ...GOOD,
      zone: { radius: { perDiameter: '1 ft per in' }, atLeast: '8 ft' },
      limits: [{ share: 0.2 }],
      notes: [],
      rings: [],
      judge: 'overlap',
      cuts: ['building', 'excavation', 'trench', { kind: 'paving', deeperThan: '0.15 m' }],
      tolerance: 0.001,
      consequences: {},
    });
  });

  it.each([
    ['a bare percent', { limits: [{ share: 20 }] }, 'limits[0].share: found 20, expected a share: write "20%" or 0.2'],
    [
      'a share over the whole',
      { limits: [{ share: '120%' }] },
      'limits[0].share: found "120%", expected a share from 0 to 1: write "20%" or 0.2',
    ],
    [
      'a length without a unit',
      { zone: { radius: { length: '15' } } },
      'zone.radius.length: found "15", expected a length with its unit: write "15 ft" or "15 m"',
    ],
    [
      'a length as a number, deep down',
      { zone: { radius: { max: [{ perDiameter: 12 }, { sum: [{ length: 6 }] }] } } },
      'zone.radius.max[1].sum[0].length: found 6, expected a length with its unit: write "6 ft" or "6 m"',
    ],
    [
      'feet per inch without saying so',
      { zone: { radius: { perDiameter: 1.5 } } },
      'zone.radius.perDiameter: found 1.5, expected radius per diameter in the same unit, 2 or more: write "1.5 ft per in" if you mean feet per inch, otherwise "1.5 m per m"',
    ],
    [
      'a ratio that is none',
      { zone: { radius: { perDiameter: '1.5 feet' } } },
      'zone.radius.perDiameter: found "1.5 feet", expected radius per diameter: write "1.5 ft per in" or a number in the same unit, 18',
    ],
    [
      'a mistyped key',
      { zone: { radius: { perDiameter: 12 }, atleast: '8 ft' } },
      'zone.atleast: unknown key, expected radius, from, atLeast, atMost, did you mean atLeast?',
    ],
    [
      'a key nobody knows',
      { colour: 'green' },
      'colour: unknown key, expected id, title, source, notes, stems, zone, zonesByForm, rings, limits, judge, cuts, tolerance, consequences, withinReason, exempt, allowance, classes, protected: leave it out',
    ],
    [
      'a mistyped term',
      { zone: { radius: { perDiametre: 12 } } },
      'zone.radius: found {"perDiametre":12}, expected a term: its key is one of perDiameter, length, crownPlus, perHeight, perDiameterBy, byDiameter, power, max, min, sum, did you mean perDiameter?',
    ],
    [
      'two terms in one',
      { zone: { radius: { length: '15 ft', crownPlus: '5 ft' } } },
      'zone.radius: found {"length":"15 ft","crownPlus":"5 ft"}, expected one term, not length and crownPlus in one: put each in its own {} inside "max", "min" or "sum"',
    ],
    [
      'no term at all',
      { zone: { radius: 12 } },
      'zone.radius: found 12, expected a term: write {"perDiameter": "1 ft per in"}, {"length": "15 ft"} or another of docs/rules.md',
    ],
    [
      'a missing key',
      { zone: {} },
      'zone.radius: found nothing, expected this key: write a term, {"perDiameter": "1 ft per in"} or {"length": "15 ft"}',
    ],
    [
      'stems by an unknown way',
      { stems: { zone: 'sums' } },
      'stems.zone: found "sums", expected one of root-of-squares, sum, two-largest, largest-plus-half-others, largest-plus-average-others, mean-root-n, bs5837: use one of these words, did you mean sum?',
    ],
    [
      'an unknown kind',
      { limits: [{ share: 0, kinds: ['trenches'] }] },
      'limits[0].kinds[0]: found "trenches", expected one of building, paving, excavation, trench, fill, compaction, bore: use one of these words, did you mean trench?',
    ],
    [
      'a limit by depth under another name',
      { limits: [{ share: '20%', minDepth: '4 in' }] },
      'limits[0].minDepth: unknown key, expected share, of, kinds, deeperThan, reason, tolerance: leave it out',
    ],
    [
      'a depth for bores, which do less harm the deeper they go',
      { limits: [{ share: '20%', kinds: ['bore'], deeperThan: '4 in' }] },
      'limits[0]: found {"share":"20%","kinds":["bore"],"deeperThan":"4 in"}, expected kinds of works that do more harm the deeper they go: leave deeperThan out; exempt bores by depth',
    ],
    [
      'an exemption of everything',
      { exempt: [{ kinds: ['fill'] }] },
      'exempt[0]: found {"kinds":["fill"]}, expected what exempts them: add "upTo": "1 in", "atLeast": "24 in" or "noDig": true',
    ],
    [
      'no limit anywhere',
      { limits: [] },
      'limits: found [], expected at least one limit, here or in a ring: write [{"share": "20%"}]',
    ],
    [
      'bounds the wrong way round',
      { zone: { radius: { perDiameter: 12 }, atLeast: '15 m', atMost: '8 ft' } },
      'zone: found {"radius":{"perDiameter":12},"atLeast":"15 m","atMost":"8..., expected atLeast no larger than atMost: swap them',
    ],
    [
      'a table out of order',
      {
        zone: {
          radius: {
            byDiameter: [
              { upTo: null, radius: '3 m' },
              { upTo: '9 cm', radius: '1 m' },
            ],
            rounding: 'none',
          },
        },
      },
      'zone.radius.byDiameter: found [{"upTo":null,"radius":"3 m"},{"upTo":"9 cm","radius":"1 ..., expected rows from the smallest diameter up: sort them by upTo; null only in the last',
    ],
    [
      'a table without its rounding',
      { zone: { radius: { byDiameter: [{ upTo: null, radius: '3 m' }] } } },
      'zone.radius.rounding: found nothing, expected this key: write how the diameter is rounded before it is looked up: "none", "up-cm" or "nearest-cm"',
    ],
    [
      'a ring name that can be no property',
      { rings: [{ name: 'No cut', radius: { perDiameter: 3 }, limits: [{ share: 0 }] }] },
      'rings[0].name: found "No cut", expected a short name: use lower-case letters, digits and hyphens, "no-cut"',
    ],
    [
      'a ring that follows the crown',
      { rings: [{ name: 'half', radius: { crownPlus: '1 m', shape: 'quarters' } }] },
      'rings[0]: found {"name":"half","radius":{"crownPlus":"1 m","shape":"quart..., expected a round ring: leave "shape" out: only the zone can follow the crown',
    ],
    [
      'a tolerance that is a limit',
      { tolerance: 0.1 },
      'tolerance: found 0.1, expected a share of at most 5%: write "0.1%" or 0.001',
    ],
    ['an empty title', { title: ' ' }, 'title: found " ", expected text: write a line to call the rule by'],
    [
      'a built-in id over other content',
      { id: 'foot-per-inch' },
      'id: found "foot-per-inch", expected an id of its own: that one is built in and differs; write "my-foot-per-inch"',
    ],
  ])('is refused for %s', (_case, change, ...lines) => {
    expect(problems(change)).toEqual(lines);
  });

  it('is refused with every problem at once, in the order of the language', () => {
    const lines = problems({ title: 7, zone: { radius: { length: '15' }, from: 'edge' }, limits: [{ share: 20 }] });
    expect(lines.map((line) => line.slice(0, line.indexOf(':')))).toEqual([
      'title',
      'zone.radius.length',
      'zone.from',
      'limits[0].share',
    ]);
  });

  it.each([
    ['no object', [], 'the rule: found [], expected an object: write {...} with id, title, source'],
    ['null', null, 'the rule: found null, expected an object'],
  ])('is refused when it is %s', (_case, json, text) => {
    expect(caught(() => parseRule(json, 'town.json')).message).toContain(text);
  });

  it('is refused when it is not JSON, and read when it has a byte order mark', () => {
    const error = caught(() => parseRuleText('{"id": "x",}', 'town.json'));
    expect(error.message).toMatch(/^rule file town\.json has 1 problem\n {2}the rule: not JSON \(/);
    expect(parseRuleText(`\uFEFF${JSON.stringify(GOOD)}`, 'town.json').id).toBe('a-town');
  });

  it('is refused, and does not run out of stack, when terms go ever deeper', () => {
    let radius: object = { length: '1 m' };
    for (let i = 0; i < 20_000; i++) radius = { max: [radius] };
    expect(problems({ zone: { radius } })).toEqual([
      'the rule: found more than 32 levels, expected fewer: put terms side by side in one max, min or sum',
    ]);
  });
});

describe('shares and ratios', () => {
  it('reads a share only where it is clear', () => {
    const read = [
      '20%',
      ' 7.5 % ',
      '0.2',
      '.2',
      '0',
      0,
      0.2,
      1,
      '100%',
      '1',
      '20',
      20,
      '-5%',
      '101%',
      '',
      null,
      Number.NaN,
    ];
    expect(read.map(shareOf)).toEqual([...[0.2, 0.075, 0.2, 0.2, 0, 0, 0.2, 1, 1], ...new Array(8).fill(undefined)]);
  });
  it('reads a ratio as number or as length per length', () => {
    const read = [12, '1 ft per in', '1.25 feet per inch', '0.5 m per 45 mm', '6 cm per cm', '1 ft', 0, '0 ft per in'];
    expect(read.map(ratioOf)).toEqual([12, 12, 15, 11.1111111111, 6, undefined, undefined, undefined]);
  });
});

describe('withLimit', () => {
  it('replaces the overall limit and nothing else', () => {
    const rule = builtinRule('foot-per-inch');
    const changed = withLimit(rule, 0.3);
    expect(changed).toEqual({ ...rule, limits: [{ share: 0.3, reason: 'over-zone-limit' }] });
    expect(rule.limits[0]?.share).toBe(0.2);
  });
  it('adds one to a rule that has limits by kind only', () => {
    const rule = builtinRule('bs5837-2012');
    expect(withLimit(rule, 0.1).limits).toEqual([{ share: 0.1, reason: 'over-zone-limit' }, ...rule.limits]);
  });
  it.each([20, -0.1, Number.NaN])('refuses %d as wrong usage', (share) => {
    expect(caught(() => withLimit(builtinRule('din18920'), share))).toMatchObject({
      code: 'limit-invalid',
      usage: true,
      cure: 'give the limit as 20% or 0.2',
    });
  });
});

describe('ruleAreas', () => {
  it('asks for unions only where a rule needs them', () => {
    expect(ruleIds().map((id) => setKinds(builtinRule(id)))).toEqual([
      [['building', 'excavation', 'trench']],
      [['building', 'excavation', 'trench']],
      [['building', 'excavation', 'trench', 'fill', 'compaction'], ['paving']],
      [['building', 'excavation', 'trench']],
      [],
    ]);
  });
  it('knows a set whatever its order, and never asks for all kinds', () => {
    const rule = parseRule(
      {
        ...GOOD,
        rings: [{ name: 'half', radius: { perDiameter: 6 }, limits: [{ share: 0, kinds: ['fill'] }] }],
        limits: [
          { share: 0, kinds: ['trench', 'building'] },
          { share: 0, kinds: ['building', 'trench', 'trench'] },
          { share: 0.1, kinds: ['paving'] },
          { share: 0.2, kinds: ['building', 'paving', 'excavation', 'trench', 'fill', 'compaction', 'bore'] },
        ],
      },
      'town.json',
    );
    expect(setKinds(rule)).toEqual([['fill'], ['building', 'trench'], ['paving']]);
  });
});

describe('docs/rules.md', () => {
  const page = readFileSync(new URL('../../docs/rules.md', import.meta.url), 'utf8');
  it('shows a rule file that is one', () => {
    const example = /```json\n([\s\S]*?)```/.exec(page)?.[1] ?? '';
    const rule = parseRuleText(example, 'docs/rules.md');
    expect(rule.limits.map((l) => l.share)).toEqual([0.25, 0.1]);
    expect(setKinds(rule)).toEqual([
      ['excavation', 'trench', 'fill'],
      ['building', 'paving'],
    ]);
  });
  it('names every rule and explains every reason', () => {
    for (const id of ruleIds()) expect(page).toContain(`| \`${id}\``);
    for (const [code, sentence] of Object.entries(REASONS)) expect(page).toContain(`| \`${code}\` | ${sentence} |`);
  });
});
