// The report on one page. In: an assessment and options; out: HTML. Terms: see options.ts.
// Reads like the report itself, as printed: title, cautions, plan, cards, lots, options, schedule, rule, findings, provenance.
// On a screen the plan stands before the cautions (page.ts): on paper a page of its own, lying or upright as its sheet does.

import type { Finding } from '../model/index.js';
import { type Assessment, everyTreeView, isGoing, isOver, isShown } from '../model/index.js';
import { counted } from '../text/index.js';
import { overWords } from '../write/index.js';
import { cardHtml } from './card.js';
import { fencesHtml } from './fence-table.js';
import { figuresIn } from './figures.js';
import { hasFences } from './layers.js';
import { lotsHtml } from './lot-table.js';
import { CARDS_AT_MOST, type ReportOptions, ROWS_AT_MOST, TITLE, unitsOf } from './options.js';
import { otherHtml } from './other-table.js';
import { pageHtml } from './page.js';
import { drawPlan, type PlanDrawing } from './plan.js';
import { scheduleHtml, worstFirst } from './schedule-table.js';
import { cautionsHtml, findingsHtml, headHtml, provenanceHtml, ruleHtml, section } from './sections.js';
import { shadeHtml } from './shade-section.js';
import { sitingHtml } from './siting-section.js';
import { esc } from './text.js';

export function reportPage(assessment: Assessment, options: ReportOptions): string {
  const units = unitsOf(options);
  const figures = figuresIn(units);
  const title = options.title ?? TITLE;
  const rows = worstFirst(assessment, options.rows ?? ROWS_AT_MOST);
  const over = assessment.counts.verdicts['over-limit'] + assessment.counts.verdicts['stem-in-works'];
  const most = options.cards ?? CARDS_AT_MOST;
  const worst = over > rows.length && most > rows.length ? worstFirst(assessment, over) : rows;
  const carded = worst.slice(0, Math.min(over, most)).filter((row) => isOver(assessment.tree(row).verdict));
  const withCard = new Set(carded);
  const cards = carded.map((row) => cardHtml(assessment, assessment.tree(row), figures, units));
  const parts = [
    headHtml(assessment, options, title, figures),
    section('cautions', 'Cautions', cautionsHtml(assessment, options)),
    options.siting === undefined
      ? ''
      : section('siting', 'Before and after', sitingHtml(options.siting, figures, units, options)),
    planSection(assessment, options),
    section('cards', 'Trees over their limit', cardsHtml(assessment, cards, over)),
    section('options', 'Design options and rules side by side', otherHtml(assessment, figures)),
    section('fences', 'Protection fences', fencesHtml(assessment, figures)),
    section('lots', 'Lots', lotsHtml(assessment, figures)),
    section('shade', 'Sun and shade of the proposed buildings', shadeHtml(assessment, options.shade, figures)),
    section(
      'trees',
      'Tree schedule',
      `${rowsWords(assessment, rows.length)}${scheduleHtml(assessment, figures, rows, (row) => withCard.has(row))}`,
    ),
    section('rule', 'Rule', ruleHtml(assessment)),
    section('findings', 'Findings', findingsHtml(assessment, lateFindings(assessment, options))),
    section('provenance', 'Provenance', provenanceHtml(assessment)),
  ];
  return pageHtml(
    options.stamp === undefined ? title : `${title} (${options.stamp})`,
    `<main>\n${parts.filter((part) => part !== '').join('\n')}\n</main>`,
  );
}

/** The plan at the size of the sheet less its margins: on that sheet, printed with margins of 10 mm, it is true to scale. */
function planSection(assessment: Assessment, options: ReportOptions): string {
  const drawing = drawPlan(assessment, options, true);
  if (drawing === null)
    return section(
      'plan',
      'Plan',
      `<p>There is nothing to draw: no tree${assessment.shown === undefined ? '' : ' that is shown'} has a position.</p>`,
      'plan',
    );
  const lies = drawing.sheet.widthMm > drawing.sheet.heightMm;
  return section('plan', 'Plan', planHtml(drawing), lies ? 'plan lies' : 'plan');
}

function planHtml(drawing: PlanDrawing): string {
  const { offSheet, sheet, scale } = drawing;
  const astray =
    offSheet.length === 0
      ? ''
      : `<p>Too far away to be drawn: ${esc(offSheet.slice(0, 20).join(', '))}${offSheet.length > 20 ? ', ...' : ''}.</p>`;
  return `<div class="sheet" tabindex="0" role="region" aria-label="Plan drawing">${drawing.svg}</div><p class="fine">${esc(scale.label)} when printed on ${esc(sheet.name)} at 100 % with margins of 10 mm; on a screen or another sheet go by the scale bar.</p>${astray}`;
}

function cardsHtml(assessment: Assessment, cards: readonly string[], over: number): string {
  if (over === 0) return '<p>No tree is over its limit.</p>';
  let going = 0;
  for (const { verdict, disposition } of everyTreeView(assessment))
    if (isOver(verdict) && isGoing(disposition)) going++;
  const words = `<p>${overWords(over - going, going)}.</p>`;
  const rest = shownOver(assessment, over) - cards.length;
  const note =
    rest === 0
      ? ''
      : `<p>Cards for the ${cards.length} worst of ${counted(rest + cards.length, 'tree')}; ${rest} more in the schedule (--cards all makes a card for each).</p>`;
  return `${words}${note}<div class="cards">\n${cards.join('\n')}\n</div>`;
}

/** Trees over their limit that are shown. */
function shownOver(assessment: Assessment, over: number): number {
  if (assessment.shown === undefined) return over;
  let count = 0;
  for (const { row, verdict } of everyTreeView(assessment)) if (isOver(verdict) && isShown(assessment, row)) count++;
  return count;
}

/** Findings of laying out fences belong to the findings, unless a writer has listed them already. */
function lateFindings(assessment: Assessment, { more = [] }: ReportOptions): readonly Finding[] {
  if (!hasFences(assessment)) return more;
  const told = new Set(more.map(({ code, message }) => `${code} ${message}`));
  return [...more, ...assessment.fences.findings.filter(({ code, message }) => !told.has(`${code} ${message}`))];
}

function rowsWords({ counts, shown: some }: Assessment, shown: number): string {
  const all = some?.count ?? counts.trees.in;
  const sorted = 'Worst first; a click on a heading sorts.';
  return `<p class="fine">${shown === all ? sorted : `${sorted} The ${shown} worst of ${all} trees: the CSV schedule has them all.`}</p>`;
}
