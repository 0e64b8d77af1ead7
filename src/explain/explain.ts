// One tree's figures and verdict, step by step. In: an assessment and a tree; out: lines of text that can be followed by hand.
// Terms: own, sole as in PieceFigure. Every figure is the assessment's own; where a formula is written out with its numbers,
// the result beside it is what was used. It prints more decimals than are accurate, so that sums can be checked.

import type { Assessment, OtherReckoning, TreeReckoning, TreeResult } from '../model/index.js';
import type { Units } from '../write/index.js';
import { crownLines } from './crown.js';
import { diameterLines } from './diameter.js';
import { cutLines, limitLines, nearestLines, verdictLines } from './figures.js';
import { type Explained, Page } from './page.js';
import { takenLines, worksLines } from './works.js';
import { publishedNotes, worthLines } from './worth.js';
import { classLines, ringLines, zoneLines } from './zone.js';

export interface ExplainOptions {
  readonly units?: Units | undefined;
}

type Section = readonly [title: string, write: (page: Page, explained: Explained) => void];

const SECTIONS: readonly Section[] = [
  ['Diameter', diameterLines],
  ['Class', classLines],
  ['Zone', zoneLines],
  ['Works in the zone', worksLines],
  ['What they take together', takenLines],
  ['What is cut off', cutLines],
  ['Rings', ringLines],
  ['Limits', limitLines],
  ['Nearest works', nearestLines],
];
const OF_THE_ZONE: readonly Section[] = SECTIONS.filter(([title]) => /^(?:Diameter|Class|Zone|Rings)$/.test(title));
const NO_RECKONING: TreeReckoning = { pieces: [], limits: [] };
const CROWN: Section = ['Crown and buildings', crownLines];
const WORTH: Section = ['Worth keeping', worthLines];
const VERDICT: Section = ['Verdict', (page, { tree }) => verdictLines(page, tree)];

/**
 * Explains one tree's figures and verdict under the first rule and the first design option, its crown against
 * buildings, and then the same under each further rule and design.
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
  const units = options.units ?? 'metric';
  const page = new Page(units);
  const tree = assessment.tree(row);
  const species = assessment.job.trees.species[row];
  page.plain(`Tree ${tree.key} (trees:${row})${species === undefined ? '' : `, ${species}`}`);
  page.plain(ruleWords(assessment));
  write(page, assessment, tree, assessment.reckoning(row), [
    ...(tree.crown === null ? [] : [CROWN]),
    ...(tree.worth === null ? [] : [WORTH]),
  ]);
  publishedNotes(page, assessment, tree);
  const lines = [...page.lines];
  for (const other of [...assessment.otherRules, ...assessment.otherOptions]) {
    const own = new Page(units);
    own.plain('');
    own.plain(ruleWords(other));
    write(own, seenBy(assessment, other), other.tree(row), other.reckoning(row), []);
    lines.push(...own.lines);
  }
  lines.push(
    '',
    'Digits are not accuracy, and a percent of area is not stability: a qualified arborist and the local code decide.',
  );
  return lines;
}

function ruleWords({ rule, option }: Pick<Assessment, 'rule' | 'option'>): string {
  return `Rule ${rule.id}: ${rule.title}${option === undefined ? '' : `; design option ${option}`}`;
}

/** What another rule or design option sees of the job. */
function seenBy(
  { job, options }: Assessment,
  { rule, option, zones, zoneShapes }: OtherReckoning,
): Explained['assessment'] {
  return { rule, option, options, job: { ...job, zones, zoneShapes } };
}

function write(
  page: Page,
  assessment: Explained['assessment'],
  tree: TreeResult,
  reckoning: TreeReckoning | null,
  more: readonly Section[],
): void {
  if (tree.verdict === null) {
    // No works were given: only the zone is explained, in the usual way.
    for (const [title, lines] of [...OF_THE_ZONE, ...more]) {
      page.section(title);
      lines(page, { assessment, tree, reckoning: NO_RECKONING });
    }
  }
  if (reckoning === null) {
    page.section('Verdict');
    verdictLines(page, tree);
    return;
  }
  for (const [title, lines] of [...SECTIONS, ...more, VERDICT]) {
    page.section(title);
    lines(page, { assessment, tree, reckoning });
  }
}
