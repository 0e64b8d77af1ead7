// The tree schedule as an HTML table. In: an assessment, figures; out: HTML, worst trees first, sortable when scripts run.
// Terms: see figures.ts. A million trees have no place on a page: past `most` the CSV schedule has the rest.

import type { Assessment, TreeResult } from '../model/index.js';
import { treeViews, verdictNumber } from '../model/index.js';
import { verdictHtml } from './card.js';
import { type Figures, NONE } from './figures.js';
import { markOf } from './palette.js';
import { BADNESS } from './symbol-layer.js';
import { cut, esc } from './text.js';

interface Column {
  readonly title: string;
  readonly number: boolean;
  readonly css?: string;
  cell(tree: TreeResult): string; // HTML
  /** What the column sorts by where its text does not do. */
  order?(tree: TreeResult): number;
}

/** Rows of the worst trees, worst first: stem, then over the limit by percent, then the rest in input order. */
export function worstFirst(assessment: Assessment, most: number): number[] {
  const judged = (t: TreeResult): number => (assessment.rule.judge === 'affected' ? t.affectedPct : t.overlapPct) ?? 0;
  const rows: { readonly row: number; readonly bad: number; readonly pct: number }[] = [];
  for (const tree of treeViews(assessment))
    rows.push({ row: tree.row, bad: BADNESS[markOf(tree.verdict)], pct: judged(tree) });
  rows.sort((a, b) => b.bad - a.bad || b.pct - a.pct || a.row - b.row);
  return rows.slice(0, most).map(({ row }) => row);
}

export function scheduleHtml(
  assessment: Assessment,
  figures: Figures,
  rows: readonly number[],
  hasCard: (row: number) => boolean,
): string {
  const columns = columnsOf(assessment, figures, hasCard);
  const head = columns
    .map(
      ({ title, number, css }) =>
        `<th scope="col"${number ? ' class="n"' : css === undefined ? '' : ` class="${css}"`}>${esc(title)}</th>`,
    )
    .join('');
  const body = rows.map((row) => {
    const tree = assessment.tree(row);
    const cells = columns.map(({ cell, number, order }) => {
      const by = order === undefined ? '' : ` data-v="${order(tree)}"`;
      return `<td${number ? ' class="n"' : ''}${by}>${cell(tree)}</td>`;
    });
    return `<tr>${cells.join('')}</tr>`;
  });
  return `<div class="wide" tabindex="0" role="region" aria-label="Tree schedule"><table class="sched" id="schedule"><thead><tr>${head}</tr></thead>\n<tbody>\n${body.join('\n')}\n</tbody></table></div>`;
}

function columnsOf(assessment: Assessment, figures: Figures, hasCard: (row: number) => boolean): Column[] {
  const { species } = assessment.job.trees;
  const hasLots = assessment.job.lots !== null;
  const hasRemoved = assessment.job.trees.disposition.some((code) => code !== 0);
  const text = (title: string, value: (tree: TreeResult) => string | null | undefined): Column => ({
    title,
    number: false,
    cell: (tree) => {
      const own = value(tree);
      return own === null || own === undefined || own === '' ? NONE : `<bdi>${esc(cut(own, 60))}</bdi>`;
    },
  });
  const number = (title: string, cell: (tree: TreeResult) => string): Column => ({ title, number: true, cell });
  return [
    {
      title: 'Tree',
      number: false,
      cell: (tree) => {
        const name = `<bdi>${esc(cut(tree.key, 40))}</bdi>`;
        return hasCard(tree.row) ? `<a href="#t${tree.row}">${name}</a>` : name;
      },
    },
    text('Species', (tree) => species[tree.row]),
    ...(hasRemoved ? [text('Plan', (tree) => tree.disposition)] : []),
    number(`DBH ${figures.diameterUnit}`, (tree) => figures.diameter(tree.dbhM, false)),
    number(`Zone radius ${figures.lengthUnit}`, (tree) => figures.length(tree.zoneRadiusM, false)),
    number('Overlap %', (tree) => figures.percent(tree.overlapPct, false)),
    number('Severed %', (tree) => figures.percent(tree.severedPct, false)),
    ...assessment.rule.rings.map(({ name }) =>
      number(`Ring ${name} %`, (tree) =>
        figures.percent(tree.rings.find((ring) => ring.name === name)?.overlapPct ?? null, false),
      ),
    ),
    number(`Nearest works ${figures.lengthUnit}`, (tree) => figures.length(tree.nearestM, false)),
    number('Bearing', (tree) => figures.degrees(tree.nearestBearing ?? tree.nearestGridBearing)),
    text('Works nearest', (tree) => tree.nearestWorks),
    {
      title: 'Verdict',
      number: false,
      cell: verdictHtml,
      order: (tree) => verdictNumber(tree.verdict),
    },
    {
      title: 'Reasons',
      number: false,
      css: 'why-col',
      cell: (tree) => (tree.reasons.length === 0 ? NONE : `<bdi>${esc(cut(tree.reasons.join('; '), 200))}</bdi>`),
    },
    ...(hasLots ? [text('Lot', (tree) => tree.lot)] : []),
  ];
}
