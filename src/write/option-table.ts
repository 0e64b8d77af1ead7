// Design options side by side. In: an assessment of works with options; out: CSV: a row per tree with its percent and
// verdict under each option, then totals. Terms: changes = the verdict is not the same under all options.

import { type Assessment, type TreeResult, VERDICTS, type Verdict } from '../types.js';
import { inert, quoted } from './csv-cell.js';
import { cell, SCALES, type Units } from './numbers.js';

interface Option {
  readonly name: string;
  readonly counts: Readonly<Record<Verdict, number>>;
  see(row: number): TreeResult;
}

/** The options in order of first mention; one, the plan as it is, where works have none. */
export function optionsOf(assessment: Assessment): readonly Option[] {
  const main: Option = {
    name: assessment.option ?? 'the plan',
    counts: assessment.counts.verdicts,
    see: (row) => assessment.tree(row),
  };
  const others = assessment.otherOptions.map(
    ({ option, counts, see }): Option => ({ name: option ?? '', counts, see }),
  );
  return [main, ...others];
}

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
  const options = optionsOf(assessment);
  const line = (cells: readonly string[]): string => `${cells.map(quoted).join(',')}\r\n`;
  const { area } = SCALES[units];
  yield line([
    'Tree',
    ...options.flatMap(({ name }) => [`${inert(name)}: overlap (%)`, `${inert(name)}: verdict`]),
    'Changes',
  ]);
  const sums = options.map(() => 0);
  for (let row = 0; row < assessment.counts.trees.in; row++) {
    const trees = options.map((option) => option.see(row));
    trees.forEach((tree, i) => {
      sums[i] = (sums[i] as number) + (tree.overlapM2 ?? 0);
    });
    const changes = trees.some(({ verdict }) => verdict !== trees[0]?.verdict);
    const key = trees[0]?.key ?? '';
    yield line([inert(key), ...trees.flatMap((t) => [cell(t.overlapPct, 1), t.verdict]), changes ? 'yes' : 'no']);
  }
  for (const verdict of VERDICTS) {
    yield line([`Trees ${verdict}`, ...options.flatMap(({ counts }) => ['', String(counts[verdict])]), '']);
  }
  yield line([`Overlap of all (${area.title})`, ...sums.flatMap((sum) => ['', cell(sum * area.factor, 2)]), '']);
}
