// Design options side by side. In: an assessment of works with options; out: CSV: a row per tree with its percent and
// verdict under each option, then totals. Terms: changes = the verdict is not the same under all options.

import { type Assessment, everyTreeView, isShown, treeView, VERDICTS } from '../model/index.js';
import { inert, quoted } from './csv-cell.js';
import { cell, SCALES, type Units } from './numbers.js';

/**
 * The table of options as CSV text, row by row: comma, CRLF, a heading, every tree in input order, then how many trees
 * have each verdict, and the overlap of all trees together, under each option.
 *
 * @example
 * [...optionTablePieces(assessment, { units: 'us' })].join('').split('\r\n')[0]; // 'Tree,A: overlap (%),A: verdict,...'
 */
export function* optionTablePieces(
  assessment: Assessment,
  { units = 'metric' }: { readonly units?: Units | undefined } = {},
): Generator<string> {
  const others = assessment.otherOptions;
  const options = [
    { name: assessment.option ?? 'the plan', counts: assessment.counts.verdicts },
    ...others.map(({ option, counts }) => ({ name: option ?? '', counts })),
  ];
  const line = (cells: readonly string[]): string => `${cells.map(quoted).join(',')}\r\n`;
  const { area } = SCALES[units];
  yield line([
    'Tree',
    ...options.flatMap(({ name }) => [`${inert(name)}: overlap (%)`, `${inert(name)}: verdict`]),
    'Changes',
  ]);
  const sums = options.map(() => 0);
  for (const main of everyTreeView(assessment)) {
    const trees = [main, ...others.map((other) => treeView(other, main.row))];
    trees.forEach((tree, i) => {
      sums[i] = sums[i]! + (tree.overlapM2 ?? 0);
    });
    if (!isShown(assessment, main.row)) continue; // the sums below are of all trees
    const changes = trees.some(({ verdict }) => verdict !== main.verdict);
    yield line([
      inert(main.key),
      ...trees.flatMap((t) => [cell(t.overlapPct, 1), t.verdict ?? '']),
      changes ? 'yes' : 'no',
    ]);
  }
  for (const verdict of VERDICTS) {
    yield line([`Trees ${verdict}`, ...options.flatMap(({ counts }) => ['', String(counts[verdict])]), '']);
  }
  yield line([`Overlap of all (${area.title})`, ...sums.flatMap((sum) => ['', cell(sum * area.factor, 2)]), '']);
}
