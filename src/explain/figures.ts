// What is cut off, limits, nearest works, verdict. In: an assessed tree; out: each figure with what it is made of.

import type { LimitFigure, TreeResult } from '../model/index.js';
import { REASONS } from '../model/index.js';
import { cell } from '../write/index.js';
import type { Explained } from './page.js';
import { type Page, shareText } from './page.js';

export function cutLines(page: Page, { assessment: { rule }, tree }: Explained): void {
  page.step(
    'behind works that cut, as seen from the trunk, beyond the overlap',
    page.area(tree.severedM2 ?? 0),
    page.percent(tree.severedPct ?? 0),
  );
  const standsIn = tree.verdict === 'stem-in-works';
  const sum = `${page.percent(tree.overlapPct ?? 0)} + ${page.percent(tree.severedPct ?? 0)}`;
  page.step(standsIn ? 'affected: works stand on the trunk' : `affected = ${sum}`, page.percent(tree.affectedPct ?? 0));
  page.note(
    rule.judge === 'affected'
      ? 'the rule compares its limits on all works with both together'
      : 'advisory: the rule compares its limits with the overlap only',
  );
}

export function limitLines(page: Page, { reckoning: { limits }, tree: { marginM } }: Explained): void {
  if (limits.length === 0) page.note('the rule sets none');
  for (const figure of limits) {
    const { takenM2, allowanceM2, wholeM2, mostM2, isBroken, reason } = figure;
    page.note(`${limitWords(figure)}: ${isBroken ? `BROKEN (${reason})` : 'kept'}`);
    if (allowanceM2 > 0) page.step('  not counted, because of the rule’s allowance', page.area(allowanceM2));
    page.step('  counted against it', page.area(takenM2), page.percent(wholeM2 > 0 ? (takenM2 / wholeM2) * 100 : 0));
    page.step(
      `  broken above${figure.limit?.share === 0 || figure.limit === null ? ' (the tolerance: a sliver does not count)' : ''}`,
      page.area(mostM2),
    );
    page.step('  of', page.area(wholeM2));
  }
  if (marginM !== null) {
    const way = marginM < 0 ? 'all works would have to retreat by' : 'all works could come nearer by';
    page.step(`until a limit is just met, ${way}`, page.length(Math.abs(marginM)));
  }
}

function limitWords({ ring, limit }: LimitFigure): string {
  const where = ring === null ? 'the zone' : `the ring ${ring}`;
  if (limit === null) return `works that cut, none of ${where} (shown whatever the verdict)`;
  const kinds = limit.kinds === undefined ? 'all works' : limit.kinds.join(', ');
  const depth = limit.deeperThan === undefined ? '' : ` deeper than ${limit.deeperThan}`;
  const ground = limit.of === 'unsurfaced' ? `the part of ${where} that is not hard today` : where;
  return `${kinds}${depth}, ${limit.share === 0 ? 'none' : `at most ${shareText(limit.share)}`} of ${ground}`;
}

export function nearestLines(page: Page, { tree, assessment: { job } }: Explained): void {
  const { nearestM, nearestFaceM, nearestBearing, nearestGridBearing, convergence, nearestWorks } = tree;
  if (nearestM === null) {
    page.note('none within 1000 m');
    return;
  }
  page.step(`${nearestWorks ?? 'works'}, from the trunk’s centre`, page.length(nearestM));
  page.step('from its face: less half the diameter, not below 0', page.length(nearestFaceM ?? 0));
  if (nearestM === 0) page.note('the trunk’s centre stands in the works: there is no bearing');
  if (nearestBearing !== null) page.step('bearing, clockwise from true north', `${cell(nearestBearing, 3)} deg`);
  if (nearestGridBearing === null) return;
  if (convergence === null)
    page.step(`bearing, clockwise from the north of ${job.trees.layer.name}`, `${cell(nearestGridBearing, 3)} deg`);
  else
    page.step(
      `from grid north: less the convergence of ${cell(convergence, 3)} deg`,
      `${cell(nearestGridBearing, 3)} deg`,
    );
}

export function verdictLines(page: Page, { verdict, consequence, reasons, verdictHolds }: TreeResult): void {
  page.note(`${verdict}: ${consequence}`);
  if (verdictHolds !== null) {
    page.note(
      `the survey’s accuracy ${verdictHolds ? 'does not change it' : 'could change it: measure again before you rely on it'}`,
    );
  }
  const known: Readonly<Record<string, string>> = REASONS;
  for (const code of reasons) {
    const own = code.startsWith('class-')
      ? 'The class of the tree in the rule.'
      : 'A code of the rule or of the findings.';
    page.note(`- ${code}: ${(Object.hasOwn(known, code) ? known[code] : undefined) ?? own}`);
  }
}
