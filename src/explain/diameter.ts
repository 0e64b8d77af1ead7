// The diameter used. In: an assessed tree; out: how its stems were combined, with the numbers. Terms: see StemCombination.

import type { StemCombination } from '../model/index.js';
import type { Explained, Page } from './page.js';

type Written = (stems: readonly string[]) => string;

const plus = (stems: readonly string[]): string => stems.join(' + ');
const rootOfSquares: Written = (stems) => `root of the sum of squares: sqrt(${stems.map((d) => `${d}^2`).join(' + ')})`;
const meanRootN: Written = (stems) =>
  `mean x root of their number: (${plus(stems)}) / ${stems.length} x sqrt(${stems.length})`;

/** Each from the largest stem down. */
const WRITTEN: Readonly<Record<StemCombination, Written>> = {
  'root-of-squares': rootOfSquares,
  sum: (stems) => `sum: ${plus(stems)}`,
  'two-largest': (stems) => `the two largest: ${plus(stems.slice(0, 2))}`,
  'largest-plus-half-others': ([first = '', ...others]) =>
    `largest and half of the others: ${first} + (${plus(others)}) / 2`,
  'largest-plus-average-others': ([first = '', ...others]) =>
    `largest and average of the others: ${first} + (${plus(others)}) / ${others.length}`,
  'mean-root-n': meanRootN,
  bs5837: (stems) => (stems.length <= 5 ? rootOfSquares(stems) : meanRootN(stems)),
};

export function diameterLines(page: Page, { assessment: { job, rule }, tree }: Explained): void {
  const stems = job.trees.stemsM.get(tree.row) ?? [];
  const { dbhM } = tree;
  if (dbhM === null) {
    page.note('none is given: the trunk is treated as a point');
    return;
  }
  const value = (metres: number): string => page.diameter(metres).split(' ')[0]!;
  if (stems.length > 1) {
    const sorted = stems.toSorted((a, b) => b - a).map(value);
    page.step(`${stems.length} stems, ${WRITTEN[rule.stems.zone](sorted)}`, page.diameter(dbhM));
  } else
    page.step(
      stems.length === 1 ? 'the one stem that is listed' : 'as surveyed (dbh, or girth / pi)',
      page.diameter(dbhM),
    );
  page.step('half of it, from the trunk’s centre to its face', page.length(dbhM / 2));
}
