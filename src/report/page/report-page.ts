// The report on one page. In: an assessment and options; out: HTML. Terms: see options.ts; part = a piece of the report that can
// be had alone. Printed: the answer on page one, the plan on a sheet of its own, cards, inventory, removals, lots, fences, shade,
// what is signed, and an appendix, the only part that names fields and commands.

import { type Assessment, type Finding, hasWorks } from '../../model/index.js';
import { counted } from '../../text/index.js';
import type { CautionPart, Units } from '../../write/index.js';
import { hasFences } from '../drawing/layers.js';
import { type Figures, figuresIn } from '../figures.js';
import { CARDS_AT_MOST, PARTS, type Part, type ReportOptions, ROWS_AT_MOST, titleOf, unitsOf } from '../options.js';
import { drawPlan, type PlanDrawing } from '../sheets/plan.js';
import { esc } from '../text.js';
import { answerHtml } from './answer.js';
import { cardHtml } from './card.js';
import { cardRows } from './card-order.js';
import { inventoryHtml, worstFirst } from './inventory-table.js';
import { lotsHtml } from './lot-table.js';
import { otherHtml } from './other-table.js';
import { pageHtml } from './page.js';
import { protectionHtml } from './protection-sheet.js';
import { removalsHtml } from './removal-table.js';
import {
  aboutHtml,
  appended,
  cautionsHtml,
  countsRows,
  findingsHtml,
  headHtml,
  provenanceHtml,
  ruleHtml,
  section,
} from './sections.js';
import { shadeHtml } from './shade-section.js';
import { signoffHtml } from './signoff.js';
import { sitingHtml } from './siting-section.js';
import { worthHtml } from './worth-section.js';

/** What every part is made of. */
interface Job {
  readonly assessment: Assessment;
  readonly options: ReportOptions;
  readonly figures: Figures;
  readonly units: Units;
  /** Rows of the trees that have a card. */
  readonly carded: readonly number[];
  /** Trees that could have one. */
  readonly over: number;
}

export function reportPage(assessment: Assessment, options: ReportOptions): string {
  const units = unitsOf(options);
  const title = titleOf(assessment, options);
  const asked = new Set<Part>(options.parts ?? PARTS);
  const cards = cardRows(assessment);
  const job: Job = {
    assessment,
    options,
    figures: figuresIn(units),
    units,
    carded: asked.has('cards') ? cards.slice(0, options.cards ?? CARDS_AT_MOST) : [],
    over: cards.length,
  };
  const shown = PARTS.filter((part) => asked.has(part)).map((part) => ({ part, html: MADE[part](job) }));
  const told = new Set(shown.flatMap(({ part, html }) => (html === '' ? [] : (CAUTIONS_WITH[part] ?? []))));
  const left = new Set(ALL_CAUTIONS.filter((part) => !told.has(part)));
  const appendix = shown.filter(({ part }) => part === 'appendix');
  const parts = [
    headHtml(options, title),
    ...shown.filter(({ part }) => part !== 'appendix').map(({ html }) => html),
    section('cautions', 'Cautions', cautionsHtml(assessment, options, left)),
    ...appendix.map(({ html }) => html),
  ];
  return pageHtml(
    options.stamp === undefined ? title : `${title} (${options.stamp})`,
    `<main>\n${parts.filter((part) => part !== '').join('\n')}\n</main>`,
  );
}

const ALL_CAUTIONS: readonly CautionPart[] = ['figures', 'trees', 'removal', 'protection'];

/** Cautions that stand at the end of a part; all others stand together, before the appendix. */
const CAUTIONS_WITH: Readonly<Partial<Record<Part, readonly CautionPart[]>>> = {
  cards: ['trees'],
  removals: ['removal'],
  protection: ['protection'],
};

function closing({ assessment, options }: Job, part: Part): string {
  return cautionsHtml(assessment, options, new Set(CAUTIONS_WITH[part] ?? []));
}

/** Every part's HTML; '' where there is nothing to show. */
const MADE: Readonly<Record<Part, (job: Job) => string>> = {
  answer: ({ assessment, options, figures, units }) =>
    section(
      'answer',
      'The answer',
      answerHtml(assessment, options, figures, units) + aboutHtml(assessment, options, figures),
    ),
  siting: ({ options, figures, units }) =>
    options.siting === undefined
      ? ''
      : section('siting', 'Before and after', sitingHtml(options.siting, figures, units, options)),
  plan: ({ assessment, options }) => planSection(assessment, options),
  cards: (job) =>
    section('cards', 'Trees that a change of the design can help', withEnd(cardsHtml(job), closing(job, 'cards'))),
  worth: ({ assessment, options, figures, carded }) => {
    const withCard = new Set(carded);
    const body = worthHtml(assessment, figures, options.rows ?? ROWS_AT_MOST, (row) => withCard.has(row));
    return section('worth', 'Worth keeping', body, 'across');
  },
  inventory: ({ assessment, units, options, carded }) => {
    const rows = worstFirst(assessment, options.rows ?? ROWS_AT_MOST);
    const withCard = new Set(carded);
    return section(
      'trees',
      'Tree inventory',
      `${rowsWords(assessment, rows.length)}${inventoryHtml(assessment, units, rows, (row) => withCard.has(row))}`,
      'across',
    );
  },
  removals: (job) =>
    section(
      'removals',
      'Removal and replacement',
      withEnd(removalsHtml(job.assessment, job.units), closing(job, 'removals')),
      'across',
    ),
  lots: ({ assessment, figures }) => section('lots', 'Lots', lotsHtml(assessment, figures)),
  designs: ({ assessment, figures }) =>
    section('options', 'Design options and rules side by side', otherHtml(assessment, figures)),
  protection: ({ assessment, options }) =>
    section('protection', 'Protection sheet', protectionHtml(assessment, options), 'protect'),
  shade: ({ assessment, options, figures }) =>
    section('shade', 'Sun and shade of the proposed buildings', shadeHtml(assessment, options.shade, figures)),
  signoff: ({ options }) => section('signoff', 'Sign-off', signoffHtml(options.packet), 'own-page'),
  appendix: ({ assessment, options }) =>
    section(
      'appendix',
      'Appendix',
      [
        appended('rule', 'Rule', ruleHtml(assessment)),
        appended('findings', 'Findings', findingsHtml(assessment, lateFindings(assessment, options))),
        appended('provenance', 'Provenance', countsRows(assessment) + provenanceHtml(assessment)),
      ].join('\n'),
    ),
};

/** A part with its cautions behind it; nothing where there is no part. */
function withEnd(body: string, end: string): string {
  return body === '' ? '' : `${body}${end}`;
}

/** The plan at the size of the sheet less its margins: on that sheet, printed with margins of 10 mm, it is true to scale. */
function planSection(assessment: Assessment, options: ReportOptions): string {
  const drawing = drawPlan(assessment, { ...options, sheet: options.reportSheet ?? options.sheet }, true);
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

function cardsHtml({ assessment, figures, units, carded, over }: Job): string {
  if (over === 0) return '';
  const rest = over - carded.length;
  const note =
    rest === 0
      ? ''
      : `<p>Cards for ${carded.length} of the ${counted(over, 'tree')} to be kept that are over their limit; the other ${rest} stand in the inventory, worst first.</p>`;
  const cards = carded.map((row) => cardHtml(assessment, assessment.tree(row), figures, units));
  return `${note}<div class="cards">\n${cards.join('\n')}\n</div>`;
}

/** Findings of fences and of margins belong to the findings, unless a writer has listed them already. */
function lateFindings(assessment: Assessment, { more = [] }: ReportOptions): readonly Finding[] {
  const told = new Set(more.map(({ code, message }) => `${code} ${message}`));
  const late = [...(hasFences(assessment) ? assessment.fences.findings : []), ...assessment.marginFindings];
  return [...more, ...late.filter(({ code, message }) => !told.has(`${code} ${message}`))];
}

function rowsWords({ counts, job, shown: some }: Assessment, shown: number): string {
  const all = some?.count ?? counts.trees.in;
  const sorted = hasWorks(job.works) ? 'Worst first; a click on a heading sorts.' : 'A click on a heading sorts.';
  return `<p class="fine">${shown === all ? sorted : `${sorted} The ${shown} worst of ${all} trees: the inventory file has them all.`}</p>`;
}
