// A rule as data -> a rule in words. In: a rule; out: sentences. Terms: see model/rule.ts.
// Every sentence says what is in the data and nothing else; what it does not know, it names.

import type { Cut, Limit, RadiusFormula, RadiusTerm, Rule, StemCombination, TreeTest } from '../../model/index.js';
import { capital } from '../text.js';

const STEMS: Readonly<Record<StemCombination, string>> = {
  'root-of-squares': 'the root of the sum of their squares',
  sum: 'their sum',
  'two-largest': 'the two largest together',
  'largest-plus-half-others': 'the largest and half of the others',
  'largest-plus-average-others': 'the largest and the average of the others',
  'mean-root-n': 'their mean times the root of their number',
  bs5837: 'the root of the sum of squares up to five stems, the mean times the root of their number above',
};

/** The rule in sentences: zone, stems, rings, limits, what cuts. */
export function ruleWords(rule: Rule): string[] {
  const all = [`The zone’s radius is ${formulaWords(rule.zone)}.`];
  for (const [form, formula] of Object.entries(rule.zonesByForm ?? {})) {
    all.push(`For trees of the form ${form} it is ${formulaWords(formula)}.`);
  }
  all.push(`Several stems count as one of ${STEMS[rule.stems.zone] ?? rule.stems.zone}.`);
  for (const ring of rule.rings) {
    const not =
      ring.notForForms === undefined || ring.notForForms.length === 0
        ? ''
        : ` Trees of the form ${ring.notForForms.join(', ')} have none.`;
    all.push(
      `${ring.title ?? `Ring ${ring.name}`}: its radius is ${formulaWords(ring)}. ${limitsWords(ring.limits, 'the ring')}${not}`,
    );
  }
  all.push(limitsWords(rule.limits, 'the zone'));
  if (rule.allowance !== undefined) {
    const { kinds, share } = rule.allowance;
    all.push(
      `Up to ${percent(share)} of the zone, ground that only ${kinds.join(', ')} take is not counted against the limit on all works.`,
    );
  }
  for (const one of rule.classes ?? []) {
    const zone = one.zone === undefined ? '' : ` the zone’s radius is ${formulaWords(one.zone)};`;
    const limits = one.limits === undefined ? '' : ` ${limitsWords(one.limits, 'the zone')}`;
    all.push(`Class ${one.name} (${testWords(one)}):${zone}${limits}`.replace(/;$/, '.'));
  }
  if (rule.protected !== undefined) all.push(`Protected: ${rule.protected.map(testWords).join('; or ')}.`);
  for (const { kinds, deeperThan, atLeast, upTo, noDig } of rule.exempt ?? []) {
    const depth = deeperThan === undefined ? '' : ` deeper than ${deeperThan}`;
    const least = atLeast === undefined ? '' : ` ${atLeast} deep or more`;
    const most = upTo === undefined ? '' : ` up to ${upTo} deep`;
    all.push(
      `Not counted: ${kinds.join(', ')}${depth}${least}${most}${noDig === true ? ' built without digging' : ''}.`,
    );
  }
  all.push(
    rule.judge === 'affected'
      ? 'The verdict is on what is taken and what is cut off together.'
      : 'The verdict is on what is taken; what is cut off behind works is shown beside it and does not change the verdict.',
  );
  all.push(
    rule.cuts.length === 0
      ? 'No kind of works cuts roots off.'
      : `Kinds that cut roots off, so that what lies behind them is severed: ${rule.cuts.map(cutWords).join(', ')}.`,
  );
  all.push(
    `A limit counts as broken when it is passed by more than ${percent(rule.tolerance)} of the zone, so that a sliver does not change a verdict.`,
  );
  return all;
}

function cutWords(cut: Cut): string {
  return typeof cut === 'string' ? cut : `${cut.kind} deeper than ${cut.deeperThan}`;
}

function testWords({ species, forms, from, below, veteran }: TreeTest): string {
  const words = [
    species === undefined ? '' : species.join(' or '),
    forms === undefined ? '' : `of the form ${forms.join(' or ')}`,
    from === undefined ? '' : `${from} in diameter or more`,
    below === undefined ? '' : `less than ${below} in diameter`,
    veteran === undefined ? '' : veteran ? 'veteran trees' : 'not veteran',
  ].filter((one) => one !== '');
  return words.length === 0 ? 'every tree' : words.join(', ');
}

function limitsWords(limits: readonly Limit[], of: string): string {
  if (limits.length === 0) return `No limit is set for ${of}.`;
  return limits
    .map(({ share, kinds, of: base, deeperThan }) => {
      const named = kinds === undefined ? 'Works' : capital(kinds.join(', '));
      const what = deeperThan === undefined ? named : `${named} deeper than ${deeperThan}`;
      const ground = base === 'unsurfaced' ? `the part of ${of} that is not surfaced today` : of;
      return share === 0
        ? `${what} may take nothing of ${ground}.`
        : `${what} may take at most ${percent(share)} of ${ground}.`;
    })
    .join(' ');
}

function formulaWords({ radius, from, atLeast, atMost }: RadiusFormula): string {
  const bounds = [
    atLeast === undefined ? '' : `at least ${atLeast}`,
    atMost === undefined ? '' : `at most ${atMost}`,
  ].filter((one) => one !== '');
  const face = from === 'face' ? ', measured from the trunk’s face' : '';
  return `${termWords(radius)}${bounds.length === 0 ? '' : `, ${bounds.join(' and ')}`}${face}`;
}

function termWords(term: RadiusTerm): string {
  const listed = (terms: readonly RadiusTerm[]): string => terms.map(termWords).join('; ');
  const diameter = (of: string | undefined): string =>
    of === 'base' ? 'the diameter above the root buttress' : 'the trunk’s diameter';
  if ('perDiameter' in term) {
    return typeof term.perDiameter === 'number'
      ? `${term.perDiameter} times ${diameter(term.of)}${term.perDiameter === 12 ? ' (1 ft per inch)' : ''}`
      : `${term.perDiameter} of ${diameter(term.of)}`;
  }
  if ('length' in term) return term.length;
  if ('crownPlus' in term)
    return `the crown’s radius and ${term.crownPlus}${term.shape === 'quarters' ? ', following the crown’s shape' : ''}`;
  if ('perHeight' in term) return `${percent(term.perHeight)} of the tree’s height`;
  if ('perDiameterBy' in term) return `a rate by tolerance and age: ${tableWords(term.table)}`;
  if ('byDiameter' in term) {
    const rows = term.byDiameter.map(({ upTo, radius }) =>
      upTo === null ? `${radius} above` : `${radius} up to a diameter of ${upTo}`,
    );
    return `by a table of diameters (${rows.join('; ')})`;
  }
  if ('power' in term) {
    const { factor, scale, exponent, of } = term.power;
    return `${factor} x (D x ${scale})^${exponent} m, D being ${diameter(of)} in metres`;
  }
  if ('max' in term) return `the largest of: ${listed(term.max)}`;
  if ('min' in term) return `the smallest of: ${listed(term.min)}`;
  if ('sum' in term) return `the sum of: ${listed(term.sum)}`;
  return 'a formula that the rule’s data states';
}

function tableWords(table: Readonly<Record<string, Readonly<Record<string, number | string>>>>): string {
  return Object.entries(table)
    .map(
      ([tolerance, ages]) =>
        `${tolerance} (${Object.entries(ages)
          .map(([age, rate]) => `${age} ${typeof rate === 'number' ? `${rate} diameters` : rate}`)
          .join(', ')})`,
    )
    .join('; ');
}

/** 0.2 -> '20 %', 0.001 -> '0.1 %'. */
function percent(share: number): string {
  return `${Number((share * 100).toFixed(4))} %`;
}
