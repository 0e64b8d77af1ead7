// The report of a comparison. In: a comparison and options; out: one HTML page: what was compared, both plans side by side, rule
// and options, works, trees, cautions, findings. Terms: see docs/compare.md; the page and its furniture are the report's own.

import type { Comparison } from '../../model/index.js';
import { counted } from '../../text/index.js';
import { CAUTIONS, type ComparisonRow, comparisonRows, countWords, moveWords, type Units } from '../../write/index.js';
import { type Figures, figuresIn, NONE } from '../figures.js';
import { type PlanOptions, ROWS_AT_MOST, unitsOf } from '../options.js';
import { comparedGround, drawCompared } from '../sheets/comparison-drawing.js';
import { cut, esc } from '../text.js';
import { pageHtml } from './page.js';
import { findingsHtml, section } from './sections.js';

/** Options of `toComparisonReport`. Units default to those of the later file. */
export type ComparisonReportOptions = Pick<PlanOptions, 'units' | 'title'>;

/** A closer look is drawn where what changed is at most this share of the site's width. */
const CLOSER_SHARE = 0.6;

/**
 * The report as one HTML file that loads nothing from anywhere and prints. The same bytes every time.
 *
 * @throws InputError (usage) `units-unknown`
 * @example
 * toComparisonReport(compared, { title: 'Second submission' }).includes('<h1>Second submission</h1>'); // true
 */
export function toComparisonReport(comparison: Comparison, options: ComparisonReportOptions = {}): string {
  const units = unitsOf({ units: options.units ?? comparison.after.units });
  const figures = figuresIn(units);
  const title = options.title ?? 'What changed between two submissions';
  const rows = comparisonRows(comparison, units);
  const of = (...features: ComparisonRow['feature'][]) => rows.filter(({ feature }) => features.includes(feature));
  const same = (text: string): string => (text === '' ? '<p>Nothing changed.</p>' : text);
  const parts = [
    headHtml(comparison, title, figures),
    section(
      'cautions',
      'Cautions',
      `<ul class="cautions">${CAUTIONS.map((text) => `<li>${esc(text)}</li>`).join('')}</ul>`,
    ),
    section('plan', 'Before and after', plansHtml(comparison, units), 'plan lies'),
    section('settings', 'Rule, limits and options', same(plainTable('Settings', of('rule', 'limit', 'option')))),
    section('works', 'Works and what exists', same(worksTable(of('works', 'existing'), figures, units))),
    section('trees', 'Trees', same(treeTable(of('tree'), units))),
    section('findings', 'Findings', findingsHtml({ findings: [] }, comparison.findings)),
  ];
  return pageHtml(title, `<main>\n${parts.filter((part) => part !== '').join('\n')}\n</main>`);
}

function headHtml({ before, after, counts, ground }: Comparison, title: string, figures: Figures): string {
  const stamp = after.stamp ?? before.stamp;
  const file = ({ name, rule }: Comparison['before']): string =>
    `<bdi>${esc(name)}</bdi>${rule === null ? '' : `, rule ${esc(rule)}`}`;
  const rows: readonly (readonly [string, string])[] = [
    ['Before', file(before)],
    ['After', file(after)],
    ['Trees', esc(countWords(counts.trees))],
    ['Works', esc(countWords(counts.works))],
    ...(counts.existing.before + counts.existing.after > 0
      ? ([['Existing', esc(countWords(counts.existing))]] as const)
      : []),
    [
      'Ground of all works',
      `${figures.area(ground.beforeM2)} before, ${figures.area(ground.afterM2)} after; taken new ${figures.area(ground.takenM2)}, freed ${figures.area(ground.freedM2)}`,
    ],
  ];
  const { trees, works } = counts;
  const tiles: readonly (readonly [number, string])[] = [
    [trees.added, 'trees added'],
    [trees.gone, 'trees gone'],
    [trees.changed, 'trees changed'],
    ...(trees.unclearBefore + trees.unclearAfter > 0
      ? ([[trees.unclearBefore + trees.unclearAfter, 'trees unclear']] as const)
      : []),
    [works.added + works.gone + works.changed, 'works added, removed or changed'],
  ];
  return [
    '<header class="head">',
    stamp === null ? '' : `<p class="stamp">${esc(stamp)}</p>`,
    `<h1>${esc(title)}</h1>`,
    '<p>These figures inform a decision; a qualified arborist and the local code make it. A verdict is never an approval.</p>',
    `<dl>${rows.map(([name, value]) => `<dt>${name}</dt><dd>${value}</dd>`).join('')}</dl>`,
    `</header>\n<ul class="counts" aria-label="Counts">${tiles.map(([n, words]) => `<li><b>${n}</b>${words}</li>`).join('')}</ul>`,
  ].join('\n');
}

/** The whole site; and what changed, closer, where it is a small part of it. */
function plansHtml(comparison: Comparison, units: Units): string {
  const there = comparedGround(comparison);
  if (there === null) return '<p>There is nothing to draw: no tree has a position.</p>';
  const { ground, all, changed } = there;
  const sheet = (svg: string, label: string): string =>
    `<div class="sheet" tabindex="0" role="region" aria-label="${label}">${svg}</div>`;
  const parts = [sheet(drawCompared(comparison, ground, all, units).svg, 'Plans side by side')];
  const width = (box: typeof all): number => Math.max(box.x1 - box.x0, box.y1 - box.y0);
  if (changed !== null && width(changed) < CLOSER_SHARE * width(all)) {
    parts.push(
      '<h3>What changed, closer</h3>',
      sheet(drawCompared(comparison, ground, changed, units).svg, 'What changed'),
    );
  }
  return parts.join('\n');
}

function plainTable(label: string, rows: readonly ComparisonRow[]): string {
  return table(
    label,
    ['What', 'Before', 'After'],
    rows.map(({ label: name, before, after }) => [text(name), text(before), text(after)]),
  );
}

function worksTable(rows: readonly ComparisonRow[], figures: Figures, units: Units): string {
  const heads = ['Layer', 'Works', 'Change', 'Before', 'After', 'Move'];
  const grounds = ['Ground before', 'after', 'taken new', 'freed'].map((head) => `${head} (${figures.areaUnit})`);
  return table(
    'Works',
    [...heads, ...grounds],
    rows.map(({ feature, label, change, before, after, move, ground }) => [
      text(feature),
      text(label),
      text(change),
      text(before),
      text(after),
      move === null ? NONE : esc(moveWords(move, units)),
      ...(['beforeM2', 'afterM2', 'takenM2', 'freedM2'] as const).map((key) =>
        figures.area(ground?.[key] ?? null, false),
      ),
    ]),
  );
}

function treeTable(rows: readonly ComparisonRow[], units: Units): string {
  return table(
    'Trees',
    ['Tree', 'Change', 'Before', 'After', 'Move', 'Because'],
    rows.map(({ label, change, before, after, move, why }) => [
      text(label),
      text(change),
      text(before),
      text(after),
      move === null ? NONE : esc(moveWords(move, units)),
      text(why),
    ]),
  );
}

/** Text of a source in a cell of its own. */
function text(words: string): string {
  return words === '' ? NONE : `<bdi>${esc(cut(words, 200))}</bdi>`;
}

/** '' for no rows. Cells are HTML already. */
function table(label: string, heads: readonly string[], rows: readonly (readonly string[])[]): string {
  if (rows.length === 0) return '';
  const shown = rows.slice(0, ROWS_AT_MOST);
  const lines = shown.map((cells) => `<tr>${cells.map((one) => `<td>${one}</td>`).join('')}</tr>`);
  const left = rows.length - shown.length;
  const rest = left === 0 ? '' : `<p>${counted(left, 'more row')}: the CSV has them all.</p>`;
  const head = heads.map((one) => `<th scope="col">${esc(one)}</th>`).join('');
  return `<div class="wide" tabindex="0" role="region" aria-label="${label}"><table><thead><tr>${head}</tr></thead><tbody>${lines.join('\n')}</tbody></table></div>${rest}`;
}
