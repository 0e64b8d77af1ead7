// One tree's reckoning, step by step. In: an assessment and a tree; out: lines of text that can be followed by hand.
// Terms: own, sole as in PieceFigure. Every figure is the assessment's own; where a formula is written out with its numbers,
// the result beside it is what was used. More decimals than are accurate: so that sums can be added up again.

import { diameterLines } from './explain/diameter.js';
import { cutLines, limitLines, nearestLines, verdictLines } from './explain/figures.js';
import { Page } from './explain/page.js';
import { takenLines, worksLines } from './explain/works.js';
import { classLines, ringLines, zoneLines } from './explain/zone.js';
import type { Assessment, TreeReckoning, TreeResult } from './types.js';
import type { Units } from './write/numbers.js';

export interface ExplainOptions {
  readonly units?: Units | undefined;
}

/** What every section is written from. */
export interface Explained {
  readonly assessment: Assessment;
  readonly tree: TreeResult;
  readonly reckoning: TreeReckoning;
}

/**
 * How one tree's figures and verdict come about under the first rule and the first design option.
 *
 * @param row the tree's place in its layer, from 0
 * @returns lines without line ends; a tree that is not assessed has a few that say why
 * @throws RangeError when there is no such row
 * @example
 * explain(assessment, 8, { units: 'us' }).join('\n');
 */
export function explain(assessment: Assessment, row: number, options: ExplainOptions = {}): string[] {
  const { count } = assessment.job.trees;
  if (!(Number.isInteger(row) && row >= 0 && row < count)) {
    throw new RangeError(`there is no tree ${row}: rows count from 0 to ${count - 1}`);
  }
  const page = new Page(options.units ?? 'metric');
  const tree = assessment.tree(row);
  const { rule, option, job } = assessment;
  const species = job.trees.species[row];
  page.plain(`Tree ${tree.key} (trees:${row})${species === undefined ? '' : `, ${species}`}`);
  page.plain(`Rule ${rule.id}: ${rule.title}${option === undefined ? '' : `; design option ${option}`}`);
  const reckoning = assessment.reckoning(row);
  if (reckoning === null) {
    page.section('Verdict');
    verdictLines(page, tree);
    return page.lines;
  }
  const explained: Explained = { assessment, tree, reckoning };
  const sections: readonly (readonly [title: string, write: (page: Page, explained: Explained) => void])[] = [
    ['Diameter', diameterLines],
    ['Class', classLines],
    ['Zone', zoneLines],
    ['Works in the zone', worksLines],
    ['What they take together', takenLines],
    ['What is cut off', cutLines],
    ['Rings', ringLines],
    ['Limits', limitLines],
    ['Nearest works', nearestLines],
    ['Verdict', (on) => verdictLines(on, tree)],
  ];
  for (const [title, write] of sections) {
    page.section(title);
    write(page, explained);
  }
  page.plain('');
  page.plain(
    'Digits are not accuracy, and a percent of area is not stability: a qualified arborist and the local code decide.',
  );
  return page.lines;
}
