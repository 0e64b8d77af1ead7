// Which trees and figures are written. In: an assessment and words: verdicts, `protected`, `field=value`; names of figures;
// out: the assessment for writers, or wrong usage. Terms: word = one condition; verdict words mean any of them, since a tree has
// one verdict, all others together; own = a property of the tree as read, asked before a computed one of the same name.
// Linear in the trees, once.

import {
  type Assessment,
  InputError,
  type ShownTrees,
  showing,
  type TreeResult,
  treeViews,
  VERDICTS,
  type Verdict,
} from '../model/index.js';
import { didYouMean } from '../text/index.js';
import { drawnColumns, isFigure, treeColumns } from './columns.js';
import { DRAWN, type GeoJSONOptions, type Plan, planOf, STRUCTURE } from './options.js';

/** Options that say what is shown. */
export type ShownOptions = Pick<GeoJSONOptions, 'only' | 'figures' | 'units' | 'prefix' | 'signal'>;

const PROTECTED = 'protected';

/** A word taken apart. */
type Condition =
  | { readonly of: 'verdict'; readonly verdict: Verdict }
  | { readonly of: 'protected' }
  | { readonly of: 'field'; readonly field: string; readonly value: string };

/**
 * Checks words without an assessment: fields are known only when the survey has been read.
 *
 * @throws InputError `only-unknown`, usage
 */
export function checkOnly(words: readonly string[]): void {
  for (const word of words) conditionOf(word);
}

function conditionOf(word: string): Condition {
  const text = word.trim();
  const verdict = VERDICTS.find((one) => one === text);
  if (verdict !== undefined) return { of: 'verdict', verdict };
  if (text === PROTECTED) return { of: 'protected' };
  const equals = text.indexOf('=');
  if (equals > 0) return { of: 'field', field: text.slice(0, equals).trim(), value: text.slice(equals + 1).trim() };
  const known = [...VERDICTS, PROTECTED];
  throw new InputError('only-unknown', `only "${text}": no verdict is called that${didYouMean(text, known)}`, {
    cure: `choose from ${known.join(', ')}, or a field with its value, such as lot=7`,
    usage: true,
  });
}

/**
 * The assessment as it is to be walked by a writer: stopped by the signal, with the trees that `only` asks for.
 *
 * @throws InputError `only-unknown`, `only-field`, `figure-unknown`, usage
 * @example
 * toStakes(shownTrees(assessment, { only: ['protected', 'over-limit'] })); // fences that hold such a tree
 */
export function shownTrees(assessment: Assessment, options: ShownOptions): Assessment {
  const { signal, only, figures } = options;
  const walked = signal === undefined ? assessment : assessment.stoppedBy(signal);
  if (figures !== undefined)
    checkFigures(assessment, planOf({ units: options.units, prefix: options.prefix }), figures);
  if (only === undefined || only.length === 0) return walked;
  return showing(walked, chosen(walked, only, options));
}

function chosen(assessment: Assessment, only: readonly string[], options: ShownOptions): Omit<ShownTrees, 'whole'> {
  const conditions = only.map(conditionOf);
  const verdicts = new Set(conditions.flatMap((one) => (one.of === 'verdict' ? [one.verdict] : [])));
  const tests = conditions.flatMap((one) => (one.of === 'verdict' ? [] : [testOf(one, assessment, options)]));
  const shown = new Uint8Array(assessment.job.trees.count);
  let count = 0;
  for (const tree of treeViews(assessment)) {
    if (verdicts.size > 0 && (tree.verdict === null || !verdicts.has(tree.verdict))) continue;
    if (!tests.every((test) => test(tree))) continue;
    shown[tree.row] = 1;
    count++;
  }
  return {
    only: [...(assessment.shown?.only ?? []), ...only.map((word) => word.trim())],
    count,
    hidden: assessment.counts.trees.in - count,
    has: (row) => shown[row] === 1,
  };
}

type Test = (tree: TreeResult) => boolean;

function testOf(one: Exclude<Condition, { of: 'verdict' }>, assessment: Assessment, options: ShownOptions): Test {
  if (one.of === 'protected') return (tree) => tree.isProtected === true;
  const { field, value } = one;
  const { layer } = assessment.job.trees;
  if (layer.fields.includes(field)) return (tree) => isSame(layer.value(tree.row, field), value);
  const plan = planOf({ units: options.units, prefix: options.prefix });
  const columns = treeColumns(assessment, plan);
  const bare = field.startsWith(plan.prefix) ? field.slice(plan.prefix.length) : field;
  const column = columns.find(({ name }) => name === bare);
  if (column !== undefined) return (tree) => isSame(column.value(tree), value);
  const known = [...layer.fields, ...columns.map(({ name }) => name)];
  throw new InputError(
    'only-field',
    `only "${field}=${value}": no tree has a field ${field}${didYouMean(field, known)}`,
    {
      cure: `fields as read: ${layer.fields.join(', ') || 'none'}; computed ones: ${columns.map(({ name }) => name).join(', ')}`,
      usage: true,
    },
  );
}

/** As people write values: numbers by what they are worth, words in any case; nothing is the empty text. */
function isSame(value: unknown, wanted: string): boolean {
  if (value === undefined || value === null) return wanted === '';
  const text = (typeof value === 'object' ? JSON.stringify(value) : String(value)).trim();
  if (text.toLowerCase() === wanted.toLowerCase()) return true;
  if (text === '' || wanted === '') return false;
  return Number(text) === Number(wanted); // words are NaN, which equals nothing
}

/** Figures by their name, with or without the unit it ends in. */
function checkFigures(assessment: Assessment, plan: Plan, figures: readonly string[]): void {
  const columns = [
    ...treeColumns(assessment, plan),
    ...DRAWN.flatMap((role) => drawnColumns(role, assessment, plan)),
  ].filter(({ name }) => !STRUCTURE.has(name));
  const known = [...new Set(columns.map(({ name }) => name))];
  for (const figure of figures) {
    if (known.some((name) => isFigure(name, figure.trim(), plan.prefix))) continue;
    throw new InputError(
      'figure-unknown',
      `figures "${figure}": no figure is called that${didYouMean(figure, known)}`,
      {
        cure: `choose from ${known.join(', ')}`,
        usage: true,
      },
    );
  }
}
