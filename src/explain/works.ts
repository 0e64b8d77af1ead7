// Works in the zone. In: an assessed tree; out: each piece with what it takes, and how they come together.
// Terms: alone = as if the others were not there; last = what no other piece covers.

import { WORKS_KINDS } from '../model/index.js';
import type { Explained, Page } from './page.js';

export function worksLines(page: Page, { assessment: { job }, reckoning }: Explained): void {
  const { works } = job;
  if (reckoning.pieces.length === 0) {
    page.note('none reach it');
    return;
  }
  page.step('', 'takes alone', 'takes last');
  for (const { works: row, whyNot, cuts, ownM2, soleM2 } of reckoning.pieces) {
    const depth = works.depthM[row]!;
    const width = works.widthM[row]!;
    const overdig = works.overdigM[row]!;
    const words = [
      WORKS_KINDS[works.kind[row]!]!,
      Number.isNaN(depth) ? 'depth not given' : `${page.length(depth)} deep`,
      ...(width > 0 ? [`${page.length(width)} wide`] : []),
      ...(overdig > 0 ? [`${page.length(overdig)} of working space`] : []),
      whyNot === null ? (cuts ? 'counts, cuts' : 'counts') : `does not count (${whyNot})`,
    ];
    page.step(
      `${works.key.at(row) ?? row}: ${words.join(', ')}`,
      page.area(ownM2),
      whyNot === null ? page.area(soleM2) : '-',
    );
  }
}

export function takenLines(page: Page, { tree, reckoning }: Explained): void {
  const counted = reckoning.pieces.filter(({ whyNot }) => whyNot === null);
  const union = tree.overlapM2 ?? 0;
  const own = counted.reduce((sum, { ownM2 }) => sum + ownM2, 0);
  const sole = counted.reduce((sum, { soleM2 }) => sum + soleM2, 0);
  page.step('the pieces that count, each alone, added up', page.area(own));
  page.step('minus ground under several of them, which was counted more than once', page.area(own - union));
  page.step('taken together (overlap)', page.area(union), page.percent(tree.overlapPct ?? 0));
  if (counted.length > 1) {
    page.step('of it under one piece only: what each takes last, added up', page.area(sole));
    page.step('of it under two or more', page.area(union - sole));
  }
  for (const [kind, area] of Object.entries(tree.overlapByKindM2 ?? {})) {
    if (area > 0) page.step(`of it under ${kind}, also where other works lie there`, page.area(area));
  }
  if (tree.existingM2 !== null) {
    page.step('hard today', page.area(tree.existingM2), page.percent(tree.existingPct ?? 0));
  }
  if (tree.worstWorks !== null && union > 0) {
    page.step(
      `${tree.worstWorks} would free the most if left out: percentage points`,
      page.percent(tree.worstWorksPct ?? 0),
    );
  }
}
