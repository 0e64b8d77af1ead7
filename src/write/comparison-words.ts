// A comparison -> rows of words. In: a comparison, units; out: one row for each thing that is not the same, its line, the
// counts, a CSV. Terms: row = one change of one feature: a house that moved and is dug deeper has two. Rule and options come
// first, then works, what exists, trees: each in the order of the earlier file, then of the later one. Linear in the changes.

import type {
  Cause,
  ComparedCounts,
  Comparison,
  FieldChange,
  GroundChange,
  Move,
  SubmittedTree,
  TreeChange,
  WorksChange,
} from '../model/index.js';
import { printable } from '../text/index.js';
import { inert, quoted } from './csv-cell.js';
import { cell, degree, SCALES, type Units } from './numbers.js';

/** One change of one feature. */
export interface ComparisonRow {
  readonly feature: 'rule' | 'limit' | 'option' | 'works' | 'existing' | 'tree';
  readonly label: string;
  readonly change: string;
  readonly before: string;
  readonly after: string;
  readonly move: Move | null;
  readonly ground: GroundChange | null;
  readonly why: string;
}

const BLANK = { before: '', after: '', move: null, ground: null, why: '' };

/** Every change as a row of words. */
export function comparisonRows(comparison: Comparison, units: Units): ComparisonRow[] {
  const settings = comparison.settings.map(({ kind, name, before, after }): ComparisonRow => {
    return { ...BLANK, feature: kind, label: name, change: 'changed', before: before ?? '', after: after ?? '' };
  });
  const places = placeWords(comparison);
  return [
    ...settings,
    ...comparison.works.flatMap(worksRows),
    ...comparison.trees.flatMap((tree) => treeRows(tree, units, places)),
  ];
}

function worksRows({
  role,
  change,
  label,
  move,
  reshaped,
  fields,
  ground,
  before,
  after,
}: WorksChange): ComparisonRow[] {
  const row = (what: string, more: Partial<ComparisonRow>): ComparisonRow => ({
    ...BLANK,
    feature: role,
    label,
    change: what,
    ...more,
  });
  if (change !== 'changed') {
    return [row(change, { before: before?.kind ?? '', after: after?.kind ?? '', ground })];
  }
  return [
    ...(move === null ? [] : [row('moved', { move, ground })]),
    ...(reshaped ? [row('reshaped', { ground })] : []),
    ...fields.map((field) => row(field.field, fieldWords(field, 'metric'))),
  ];
}

type Places = (tree: SubmittedTree) => string;

function treeRows(tree: TreeChange, units: Units, places: Places): ComparisonRow[] {
  const { change, label, before, after, move, fields, verdict } = tree;
  const row = (what: string, more: Partial<ComparisonRow>): ComparisonRow => ({
    ...BLANK,
    feature: 'tree',
    label,
    change: what,
    ...more,
  });
  const about = (one: SubmittedTree | null): string => (one === null ? '' : aboutTree(one, units));
  if (change !== 'changed') return [row(change, { before: about(before), after: about(after) })];
  const rows = fields.map((field) => row(field.field, fieldWords(field, units)));
  if (move !== null) rows.unshift(row('moved', { move, before: places(before!), after: places(after!) }));
  if (verdict === null) return rows;
  const share = (pct: number | null): string => (pct === null ? '' : `, ${cell(pct, 1)} %`);
  const words = {
    before: `${verdict.before ?? 'none'}${share(verdict.overlapPctBefore)}`,
    after: `${verdict.after ?? 'none'}${share(verdict.overlapPctAfter)}`,
  };
  return [...rows, row('verdict', { ...words, why: whyWords(verdict.why) })];
}

function aboutTree({ dbhM, disposition, verdict }: SubmittedTree, units: Units): string {
  return [dbhM === null ? 'no diameter' : diameterWords(dbhM, units), disposition, verdict ?? 'no verdict'].join(', ');
}

/** Longitude and latitude as the files have them; eastings and northings of a local ground system. */
function placeWords({ system }: Comparison): Places {
  return ({ lon, lat }) => {
    if (lon === null || lat === null) return '';
    if (system === null) return `${degree(lon)}, ${degree(lat)}`;
    const xy = Float64Array.of(lon, lat);
    system.toOutput(xy);
    return `${cell(xy[0]!, 3)}, ${cell(xy[1]!, 3)}`;
  };
}

function fieldWords({ quantity, before, after }: FieldChange, units: Units): { before: string; after: string } {
  const words = (value: string | number | null): string => {
    if (value === null) return '';
    return quantity === 'diameter' && typeof value === 'number' ? diameterWords(value, units) : String(value);
  };
  return { before: words(before), after: words(after) };
}

/** With the decimals of the files, so that a change shows: a millionth of a metre or of an inch. */
function diameterWords(metres: number, units: Units): string {
  const { title, factor } = SCALES[units].diameterCell;
  return `${Number((metres * factor).toFixed(units === 'us' ? 6 : 4))} ${title}`;
}

const CAUSE_WORDS: Readonly<Record<Cause['code'], (of: string) => string>> = {
  'rule-changed': (of) => `${of} changed`,
  'limit-changed': (of) => `${of} changed`,
  'option-changed': (of) => `option ${of} changed`,
  'tree-moved': () => 'the tree moved',
  'diameter-changed': () => 'its diameter was measured again',
  'disposition-changed': () => 'its disposition changed',
  'field-changed': (of) => `its ${of} changed`,
  'zone-changed': () => 'its zone was drawn or set anew',
  'works-added': (of) => `works ${of} added`,
  'works-removed': (of) => `works ${of} removed`,
  'works-moved': (of) => `works ${of} moved`,
  'works-reshaped': (of) => `works ${of} reshaped`,
  'works-kind-changed': (of) => `works ${of} of another kind`,
  'works-depth-changed': (of) => `works ${of} of another depth`,
  'works-changed': (of) => `works ${of} changed`,
  'existing-changed': (of) => `existing ${of} changed`,
  'not-found': () => 'nothing in these files says why',
};

/** Why a verdict changed, in words. */
export function whyWords(why: readonly Cause[]): string {
  return why.map(({ code, of }) => CAUSE_WORDS[code](of ?? '')).join('; ');
}

/**
 * One line for each change, in stable order; none for two files that say the same.
 *
 * @example
 * comparisonLines(compared, { units: 'us' })[0]; // 'limit: 20 % -> 25 %'
 */
export function comparisonLines(
  comparison: Comparison,
  options: { readonly units?: Units | undefined } = {},
): string[] {
  const units = options.units ?? comparison.after.units;
  return comparisonRows(comparison, units).map((row) => printable(lineOf(row, units)));
}

function lineOf({ feature, label, change, before, after, move, ground, why }: ComparisonRow, units: Units): string {
  const isSetting = feature === 'rule' || feature === 'limit' || feature === 'option';
  const name = isSetting ? (feature === 'option' ? `option ${label}` : label) : `${feature} ${label}: ${change}`;
  const parts: string[] = [];
  if (move !== null) parts.push(moveWords(move, units));
  const both = before !== '' && after !== '';
  if (both || isSetting || (before !== '') !== (after !== '')) {
    const isAlone = change === 'added' || change === 'gone' || change === 'removed' || change === 'unclear';
    if (isAlone) parts.push(`(${before}${after})`);
    else if (before !== '' || after !== '') parts.push(`${before || 'none'} -> ${after || 'none'}`);
  }
  const said = parts.join(', ');
  const join = isSetting ? ': ' : ' ';
  const rest = [ground === null ? '' : groundWords(ground, units), why === '' ? '' : `because ${why}`];
  return [said === '' ? name : `${name}${join}${said}`, ...rest.filter((text) => text !== '')].join('; ');
}

/** `0.984 ft toward 45.0 deg`. */
export function moveWords({ byM, bearing }: Move, units: Units): string {
  const { factor, title } = SCALES[units].length;
  return `${cell(byM * factor, 3)} ${title} toward ${cell(bearing >= 359.95 ? 0 : bearing, 1)} deg`;
}

function groundWords({ beforeM2, afterM2, takenM2, freedM2 }: GroundChange, units: Units): string {
  const { factor, title } = SCALES[units].area;
  const area = (m2: number): string => `${cell(m2 * factor, 2)} ${title}`;
  return `ground before ${area(beforeM2)}, after ${area(afterM2)}, taken new ${area(takenM2)}, freed ${area(freedM2)}`;
}

/**
 * How the features of both files add up, and the ground of all works together; '' for two files that say the same.
 *
 * @example
 * comparisonSummary(compared); // 'trees: 120 before, 120 after: 119 matched (1 changed), 1 gone, 1 added\n...'
 */
export function comparisonSummary(
  comparison: Comparison,
  options: { readonly units?: Units | undefined } = {},
): string {
  const { settings, works, trees, counts, ground } = comparison;
  if (settings.length + works.length + trees.length === 0) return '';
  const units = options.units ?? comparison.after.units;
  const lines = (['trees', 'works', 'existing'] as const)
    .filter((role) => counts[role].before + counts[role].after > 0)
    .map((role) => `${role}: ${countWords(counts[role])}`);
  lines.push(`all works that count: ${groundWords(ground, units)}`);
  return `${lines.join('\n')}\n`;
}

/** `120 before, 121 after: 119 matched (3 changed), 1 gone, 2 added`. */
export function countWords(counts: ComparedCounts): string {
  const { before, after, matched, changed, gone, added, unclearBefore, unclearAfter } = counts;
  const unclear =
    unclearBefore + unclearAfter === 0 ? '' : `, unclear ${unclearBefore} before and ${unclearAfter} after`;
  return `${before} before, ${after} after: ${matched} matched (${changed} changed), ${gone} gone, ${added} added${unclear}`;
}

/** The changes as CSV text (RFC 4180): a heading row, then a row for each change. */
export function toComparisonTable(
  comparison: Comparison,
  options: { readonly units?: Units | undefined } = {},
): string {
  return [...comparisonTablePieces(comparison, options)].join('');
}

/** The same row by row. */
export function* comparisonTablePieces(
  comparison: Comparison,
  options: { readonly units?: Units | undefined } = {},
): Generator<string, void, undefined> {
  const units = options.units ?? comparison.after.units;
  const { length, area } = SCALES[units];
  const heads = ['Feature', 'Label', 'Change', 'Before', 'After', `Moved by (${length.title})`, 'Toward (deg)'];
  const grounds = ['Ground before', 'Ground after', 'Taken new', 'Freed'].map((head) => `${head} (${area.title})`);
  yield `${[...heads, ...grounds, 'Why'].map(quoted).join(',')}\r\n`;
  for (const row of comparisonRows(comparison, units)) {
    const { feature, label, change, before, after, move, ground, why } = row;
    const figures = [
      cell(move === null ? null : move.byM * length.factor, 3),
      cell(move === null ? null : move.bearing >= 359.95 ? 0 : move.bearing, 1),
      ...(['beforeM2', 'afterM2', 'takenM2', 'freedM2'] as const).map((key) =>
        cell(ground === null ? null : ground[key] * area.factor, 2),
      ),
    ];
    const texts = [feature, label, change, before, after].map(inert);
    yield `${[...texts, ...figures, inert(why)].map(quoted).join(',')}\r\n`;
  }
}
