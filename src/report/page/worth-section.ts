// Worth keeping: what an arborist looks at, tree by tree. In: an assessment whose survey has any of it; out: HTML, '' without.
// Terms: see model/worth.ts and write/worth-words.ts. Trees stand in the order of the ladder, A first, those without a rung last;
// nothing is concluded. Linear in the trees.

import { sourceWords } from '../../facts/index.js';
import { type Assessment, RETENTION, type TreeResult, treeViews, type WorthField } from '../../model/index.js';
import { counted } from '../../text/index.js';
import {
  answerWords,
  categoryWords,
  missingWords,
  retentionReason,
  seeFirstWords,
  spanFor,
  spanWords,
  WORTH_NOTES,
  WORTH_TITLES,
} from '../../write/index.js';
import { type Figures, NONE } from '../figures.js';
import { cut, esc } from '../text.js';
import { sourceHtml, tableHtml } from './sourced.js';

/** Fields that stand in one cell. */
const CELLS: readonly (readonly [heading: string, fields: readonly WorthField[]])[] = [
  ['Health', ['vigour', 'crown_density_pct', 'dieback_pct', 'live_buds', 'pests']],
  ['Trunk', ['sounding', 'cavities', 'decay', 'fungi', 'past_damage']],
  ['Roots', ['root_flare', 'root_disease']],
  ['Forks, lean, dead wood', ['codominant', 'included_bark', 'lean_deg', 'dead_wood', 'irremediable']],
  ['Would strike', ['strikes']],
];

const LETTERS = 160;

export function worthHtml(
  assessment: Assessment,
  figures: Figures,
  most: number,
  hasCard: (row: number) => boolean,
): string {
  if (!assessment.job.trees.worth) return '';
  const { rows, blank } = rungs(assessment);
  if (rows.length === 0) return '';
  const heads = [
    'Tree',
    'Category',
    'Why',
    'Remaining years',
    'The works take',
    'See first',
    ...CELLS.map(([heading]) => heading),
    'Age, likely span',
    'Not recorded',
  ];
  const body = rows.slice(0, most).map((row) => rowHtml(assessment, assessment.tree(row), figures, hasCard(row)));
  const hidden = rows.length - body.length;
  const rest = [
    ...(hidden > 0 ? [`${counted(hidden, 'more tree')} in the inventory file.`] : []),
    ...(blank > 0 ? [`${counted(blank, 'tree')} of the survey without any of these answers.`] : []),
  ];
  const notes = `<ul class="cautions">${WORTH_NOTES.map((note) => `<li>${esc(note)}</li>`).join('\n')}</ul>`;
  return `${tableHtml('Worth keeping', heads, body)}${rest.length === 0 ? '' : `<p>${esc(rest.join(' '))}</p>`}${sourcesHtml(assessment, rows)}${notes}`;
}

/** Rows with any answer, by their rung; how many have none. */
function rungs(assessment: Assessment): { readonly rows: readonly number[]; readonly blank: number } {
  const found: { readonly row: number; readonly rung: number }[] = [];
  let blank = 0;
  for (const tree of treeViews(assessment)) {
    const { worth, row } = tree;
    if (worth === null) continue;
    if (!hasAnswer(assessment, row)) blank++;
    else found.push({ row, rung: worth.category === null ? RETENTION.length : RETENTION.indexOf(worth.category) });
  }
  found.sort((a, b) => a.rung - b.rung || a.row - b.row);
  return { rows: found.map(({ row }) => row), blank };
}

function hasAnswer({ job: { trees } }: Assessment, row: number): boolean {
  return (Object.keys(WORTH_TITLES) as WorthField[]).some((field) => trees.text(row, field) !== undefined);
}

function rowHtml(assessment: Assessment, tree: TreeResult, figures: Figures, hasCard: boolean): string {
  const { worth, row } = tree;
  const key = `<bdi>${esc(cut(tree.key, 40))}</bdi>`;
  const species = assessment.job.trees.species[row];
  const name = `${hasCard ? `<a href="#t${row}">${key}</a>` : key}${species === undefined ? '' : `<br><span class="fine"><bdi>${esc(cut(species, 60))}</bdi></span>`}`;
  const list = (items: readonly string[]): string =>
    items.length === 0 ? NONE : items.map((item) => `<bdi>${esc(cut(item, LETTERS))}</bdi>`).join('<br>');
  const cells = [
    categoryWords(tree) === '' ? 'open' : `<b>${esc(categoryWords(tree))}</b>`,
    list((worth?.reasons ?? []).map((code) => retentionReason(code).words)),
    list([answerWords(assessment, tree, 'remaining_years')].filter((text) => text !== '')),
    esc(takenWords(tree, figures)),
    list(seeFirstWords(assessment, tree)),
    ...CELLS.map(([, fields]) =>
      list(
        fields.flatMap((field) => {
          const text = answerWords(assessment, tree, field);
          return text === '' ? [] : [fields.length === 1 ? text : `${WORTH_TITLES[field]}: ${text}`];
        }),
      ),
    ),
    ageHtml(assessment, tree, list),
    list(missingWords(tree).length === 0 ? [] : [missingWords(tree).join(', ')]),
  ];
  return `<tr><th scope="row">${name}</th>${cells.map((cell) => `<td>${cell}</td>`).join('')}</tr>`;
}

/** Works and years stand side by side; no figure is made of both. */
export function takenWords({ overlapPct, affectedPct }: TreeResult, figures: Figures): string {
  if (overlapPct === null) return NONE;
  const cut =
    affectedPct === null || affectedPct === overlapPct ? '' : `, ${figures.percent(affectedPct)} with what is cut off`;
  return `${figures.percent(overlapPct)} of the zone${cut}`;
}

function ageHtml(assessment: Assessment, tree: TreeResult, list: (items: readonly string[]) => string): string {
  const age = answerWords(assessment, tree, 'age_years');
  const entered = answerWords(assessment, tree, 'life_span');
  const span = spanFor(assessment, tree);
  const own = [
    ...(age === '' ? [] : [`age ${age}`]),
    ...(entered === '' ? [] : [`likely span, as entered: ${entered}`]),
  ];
  if (span === undefined) return list(own);
  const published = `${esc(spanWords(span))} <span class="fine">${sourceHtml(sourceWords(span))}</span>`;
  return own.length === 0 ? published : `${list(own)}<br>${published}`;
}

/** Where the rungs that occur come from. */
function sourcesHtml(assessment: Assessment, rows: readonly number[]): string {
  const sources = new Set<string>();
  for (const row of rows)
    for (const code of assessment.tree(row).worth?.reasons ?? []) sources.add(retentionReason(code).source);
  return `<p class="fine">Rungs: ${[...sources].map((source) => sourceHtml(source)).join('; ')}.</p>`;
}
