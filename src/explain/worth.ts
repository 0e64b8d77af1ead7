// How the retention category was reached, and published figures beside a tree. In: a tree whose survey says what an arborist looks at; out: answers, years, the rung
// and what keeps it open, each with its source. Terms: see model/worth.ts. It never concludes.

import type { Assessment, TreeResult, WorthField } from '../model/index.js';
import { fieldTitle, publishedLines, retentionReason, WORTH_TITLES } from '../write/index.js';
import type { Explained, Page } from './page.js';

export function worthLines(page: Page, { assessment: { job }, tree }: Explained): void {
  const { worth, row, overlapPct } = tree;
  if (worth === null) return;
  const { trees } = job;
  for (const field of Object.keys(WORTH_TITLES) as WorthField[]) {
    const text = trees.text(row, field);
    if (text !== undefined) page.note(`${WORTH_TITLES[field]}: ${text}`);
  }
  const years = trees.text(row, 'remaining_years');
  page.note(
    `remaining years as entered: ${years ?? 'none'}${years === undefined ? '' : `, read as ${yearsWords(worth.years)}`}`,
  );
  for (const code of worth.reasons) {
    const { words, source } = retentionReason(code);
    page.note(`- ${code}: ${words} (${source})`);
  }
  page.note(`reckoned category: ${worth.reckoned ?? 'open'}`);
  if (worth.stated !== null) {
    const same = worth.stated === worth.reckoned;
    page.note(`the survey’s own: ${worth.stated}${same ? '' : ', which stands'}`);
  }
  page.note(`category: ${worth.category ?? 'open'}`);
  if (worth.missing.length > 0) page.note(`without an answer: ${worth.missing.map(fieldTitle).join(', ')}`);
  if (overlapPct !== null) page.step('beside it, not in it: the works take, of the zone', page.percent(overlapPct));
  page.note('the arborist judges quality as well, and signs');
}

function yearsWords(years: { readonly from: number | null; readonly to: number | null } | null): string {
  if (years === null) return 'no figure';
  const { from, to } = years;
  if (from === null) return `not over ${to}`;
  if (to === null) return `at least ${from}`;
  return from === to ? String(from) : `${from} to ${to}`;
}

/** Published figures, each with its source; they change nothing above. */
export function publishedNotes(page: Page, assessment: Assessment, tree: TreeResult): void {
  page.section('Published figures beside it');
  for (const { name, values } of publishedLines(assessment, tree, page)) {
    page.note(`${name}:`);
    for (const [value, source] of values) page.note(`- ${value} (${source})`);
  }
}
