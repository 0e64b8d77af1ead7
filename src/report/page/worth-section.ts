// Worth keeping: what an arborist looks at, tree by tree. In: an assessment whose survey has any of it; out: HTML, '' without.
// Terms: see model/worth.ts and write/worth-words.ts. Trees stand in the order of the ladder, A first, those without a rung last;
// nothing is concluded. Linear in the trees.

import { sourceWords } from '../../facts/index.js';
import { AGES, type Assessment, RETENTION, type TreeResult, treeViews, type WorthField } from '../../model/index.js';
import { counted } from '../../text/index.js';
import {
  answerWords,
  categoryWords,
  missingWords,
  retentionReason,
  seeFirstWords,
  spanFor,
  spanWords,
  takenWords,
  WORTH_NOTES,
} from '../../write/index.js';
import { type Figures, NONE } from '../figures.js';
import { cut, esc } from '../text.js';
import { sourceHtml, tableHtml } from './sourced.js';

/** Fields that stand in one cell, each with its name there. */
const CELLS: readonly (readonly [heading: string, fields: readonly (readonly [WorthField, string])[]])[] = [
  [
    'Health',
    [
      ['vigour', 'vigour'],
      ['crown_density_pct', 'crown density'],
      ['dieback_pct', 'dieback'],
      ['live_buds', 'live buds'],
      ['pests', 'pests'],
    ],
  ],
  [
    'Trunk and roots',
    [
      ['sounding', 'by sounding'],
      ['cavities', 'cavities'],
      ['decay', 'decay'],
      ['fungi', 'fungi'],
      ['past_damage', 'past damage'],
      ['root_flare', 'root flare'],
      ['root_disease', 'root disease'],
      ['irremediable', 'irremediable defect'],
    ],
  ],
  [
    'Forks, lean, dead wood',
    [
      ['codominant', 'codominant stems'],
      ['included_bark', 'included bark'],
      ['lean_deg', 'lean'],
      ['dead_wood', 'dead wood'],
    ],
  ],
  ['Would strike', [['strikes', '']]],
];

const LETTERS = 400;

interface Heading {
  readonly title: string;
  cell(tree: TreeResult): string; // HTML; '' where there is nothing
}

export function worthHtml(
  assessment: Assessment,
  figures: Figures,
  most: number,
  hasCard: (row: number) => boolean,
): string {
  if (!assessment.job.trees.worth) return '';
  const { rows, blank } = rungs(assessment);
  if (rows.length === 0) return '';
  const shown = rows.slice(0, most).map((row) => assessment.tree(row));
  const columns = headings(assessment, figures).filter(({ cell }) => shown.some((tree) => cell(tree) !== ''));
  const body = shown.map((tree) => {
    const cells = columns.map(({ cell }) => `<td>${cell(tree) || NONE}</td>`);
    return `<tr><th scope="row">${nameHtml(assessment, tree, hasCard(tree.row))}</th>${cells.join('')}</tr>`;
  });
  const hidden = rows.length - body.length;
  const rest = [
    ...(hidden > 0 ? [`${counted(hidden, 'more tree')} in the inventory file.`] : []),
    ...(blank > 0 ? [`${counted(blank, 'tree')} of the survey without any of these answers.`] : []),
  ];
  const notes = `<ul class="cautions">${WORTH_NOTES.map((note) => `<li>${esc(note)}</li>`).join('\n')}</ul>`;
  const table = tableHtml('Worth keeping', ['Tree', ...columns.map(({ title }) => title)], body);
  return `${table}${rest.length === 0 ? '' : `<p>${esc(rest.join(' '))}</p>`}${sourcesHtml(shown)}${notes}`;
}

/** Rows with any answer, by their rung; how many have none. */
function rungs(assessment: Assessment): { readonly rows: readonly number[]; readonly blank: number } {
  const found: { readonly row: number; readonly rung: number }[] = [];
  let blank = 0;
  for (const tree of treeViews(assessment)) {
    const { worth, row } = tree;
    if (worth === null) blank++;
    else found.push({ row, rung: worth.category === null ? RETENTION.length : RETENTION.indexOf(worth.category) });
  }
  found.sort((a, b) => a.rung - b.rung || a.row - b.row);
  return { rows: found.map(({ row }) => row), blank };
}

function headings(assessment: Assessment, figures: Figures): Heading[] {
  return [
    {
      title: 'Category',
      cell: (tree) => {
        const why = (tree.worth?.reasons ?? []).map((code) => retentionReason(code).words);
        return `<b>${esc(categoryWords(tree))}</b><br><span class="fine">${esc(why.join('; '))}</span>`;
      },
    },
    { title: 'Remaining years', cell: (tree) => lines([answerWords(assessment, tree, 'remaining_years')]) },
    { title: 'The works take', cell: (tree) => esc(takenWords(tree, figures)) },
    { title: 'See first', cell: (tree) => lines(seeFirstWords(assessment, tree)) },
    ...CELLS.map(
      ([title, fields]): Heading => ({
        title,
        cell: (tree) =>
          lines(
            fields.map(([field, name]) => {
              const text = answerWords(assessment, tree, field);
              return text === '' || name === '' ? text : `${name}: ${text}`;
            }),
          ),
      }),
    ),
    { title: 'Age, likely span', cell: (tree) => ageHtml(assessment, tree) },
    { title: 'Not recorded', cell: (tree) => lines([missingWords(tree).join(', ')]) },
  ];
}

/** Texts that are not blank, one below the other. */
function lines(texts: readonly string[]): string {
  return texts
    .filter((text) => text !== '')
    .map((text) => `<bdi>${esc(cut(text, LETTERS))}</bdi>`)
    .join('<br>');
}

function nameHtml({ job: { trees } }: Assessment, { key, row }: TreeResult, hasCard: boolean): string {
  const name = `<bdi>${esc(cut(key, 40))}</bdi>`;
  const species = trees.species[row];
  const below = species === undefined ? '' : `<br><span class="fine"><bdi>${esc(cut(species, 60))}</bdi></span>`;
  return `${hasCard ? `<a href="#t${row}">${name}</a>` : name}${below}`;
}

function ageHtml(assessment: Assessment, tree: TreeResult): string {
  const years = answerWords(assessment, tree, 'age_years');
  const age = [AGES[assessment.job.trees.age[tree.row]!] ?? '', years].filter((text) => text !== '').join(', ');
  const entered = answerWords(assessment, tree, 'life_span');
  const span = spanFor(assessment, tree);
  const own = lines([age, entered === '' ? '' : `span as entered: ${entered}`]);
  if (span === undefined) return own;
  const published = `${esc(spanWords(span))} <span class="fine">${sourceHtml(sourceWords(span))}</span>`;
  return own === '' ? published : `${own}<br>${published}`;
}

/** Where the rungs that occur come from. */
function sourcesHtml(trees: readonly TreeResult[]): string {
  const codes = trees.flatMap(({ worth }) => worth?.reasons ?? []);
  const sources = [...new Set(codes.map((code) => retentionReason(code).source))];
  return `<p class="fine">Rungs: ${sources.map(sourceHtml).join('; ')}.</p>`;
}
