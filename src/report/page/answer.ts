// The answer on the first page. In: an assessment, figures, a siting where one was found; out: HTML: which trees to be kept are
// over their limit, by how much, what takes most, the smallest remedy known; counts; trees not assessed; three cautions.
// Terms: worst first = by the share of the zone that counts, whatever the verdict; remedy = what would bring a tree to its limit.

import {
  type Assessment,
  everyTreeView,
  hasWorks,
  isGoing,
  isOver,
  type LimitFigure,
  type Siting,
  type TreeResult,
  treeViews,
  VERDICTS,
} from '../../model/index.js';
import { counted, listOf } from '../../text/index.js';
import { cautionsOf, sitingWords, type Units, wayOf } from '../../write/index.js';
import { hasFences } from '../drawing/layers.js';
import { type Mark, markOf, VERDICT_STYLES } from '../drawing/palette.js';
import { type Figures, NONE } from '../figures.js';
import type { ReportOptions } from '../options.js';
import { capital, cut, esc } from '../text.js';
import { judgedPct } from './card-order.js';
import { piecesOf } from './pieces.js';
import { reasonWords } from './words.js';

/** Trees that get a sentence of their own on the first page; the others have a card or a row. */
const SENTENCES_AT_MOST = 8;
const NAMES_AT_MOST = 12;
/** The cautions of the first page, the first three of these that apply. */
const FIRST_PAGE: readonly string[] = ['informs', 'ring-cut', 'stability', 'services'];
const CAUTIONS_AT_MOST = 3;

export function answerHtml(assessment: Assessment, options: ReportOptions, figures: Figures, units: Units): string {
  const unmeasured: TreeResult[] = [];
  for (const tree of treeViews(assessment))
    if (tree.verdict === 'not-assessed') unmeasured.push(assessment.tree(tree.row));
  return [
    `<div class="answer">${overLimitsHtml(assessment, options, figures, units)}</div>`,
    countsHtml(assessment),
    unmeasuredHtml(assessment, unmeasured),
    cautionLines(assessment, options),
  ].join('\n');
}

/** The sentences alone: which trees to be kept are over their limits, worst first, why and what would help. */
export function overLimitsHtml(assessment: Assessment, options: ReportOptions, figures: Figures, units: Units): string {
  const kept: TreeResult[] = [];
  for (const tree of treeViews(assessment))
    if (isOver(tree.verdict) && !isGoing(tree.disposition)) kept.push(assessment.tree(tree.row));
  kept.sort((a, b) => judgedPct(assessment, b) - judgedPct(assessment, a) || a.row - b.row);
  return sitedHtml(options.siting, units) + overHtml(assessment, kept, options, figures, units);
}

function sitedHtml(siting: Siting | undefined, units: Units): string {
  const [best] = siting?.sitings ?? [];
  if (siting === undefined || best === undefined) return '';
  const names = siting.moved.map((row) => name(siting.before.job.works.key.at(row) ?? '')).join(', ');
  return `<p>${names}, moved, ${esc(sitingWords(siting, best, units))}.</p>`;
}

function overHtml(
  assessment: Assessment,
  kept: readonly TreeResult[],
  { siting }: ReportOptions,
  figures: Figures,
  units: Units,
): string {
  if (!hasWorks(assessment.job.works)) return '<p><b>No works were given: zones only, no tree was judged.</b></p>';
  if (kept.length === 0) return '<p><b>No tree to be kept is over its limit.</b></p>';
  const lines = kept
    .slice(0, SENTENCES_AT_MOST)
    .map((tree) => `<li>${sentence(assessment, tree, siting, figures, units)}</li>`);
  const rest = kept.length - lines.length;
  const more = rest === 0 ? '' : `<p>${counted(rest, 'more tree')} to be kept, less far over: see the inventory.</p>`;
  const head = kept.length === 1 ? 'One tree to be kept is' : `${kept.length} trees to be kept are`;
  return `<p><b>${head} over ${kept.length === 1 ? 'its limit' : 'their limits'}</b>, worst first:</p><ol>${lines.join('\n')}</ol>${more}`;
}

/** "T109 (Oregon white oak): 22.8 % of its zone is taken, limit 20 %. House B-08 takes most. ..." */
function sentence(
  assessment: Assessment,
  tree: TreeResult,
  siting: Siting | undefined,
  figures: Figures,
  units: Units,
): string {
  const species = assessment.job.trees.text(tree.row, 'common_name') ?? assessment.job.trees.species[tree.row];
  const who = `<b>${name(tree.key)}</b>${species === undefined ? '' : ` (<bdi>${esc(cut(species, 40))}</bdi>)`}`;
  const [most] = piecesOf(assessment, tree) ?? [];
  const parts = [`${who}: ${takenWords(assessment, tree, figures)}`];
  if (tree.verdict === 'stem-in-works') parts.push('The works must leave its trunk, or it can’t be kept.');
  else if (most !== undefined)
    parts.push(`${capital(most.kind)} ${name(most.key)} takes most, ${figures.percent(most.pct)}.`);
  const remedy = remedyWords(tree, siting, figures, units);
  return `${parts.join(' ')}${remedy === '' ? '' : ` ${remedy}`}`;
}

function takenWords(assessment: Assessment, tree: TreeResult, figures: Figures): string {
  const share = tree.overlapPct === null ? '' : `, ${figures.percent(tree.overlapPct)} of its zone is taken`;
  if (tree.verdict === 'stem-in-works') {
    const where = tree.nearestWorks === null ? 'the works' : name(tree.nearestWorks);
    return `its trunk stands in ${where}${share}.`;
  }
  const broken = (assessment.reckoning(tree.row)?.limits ?? []).filter(
    ({ isBroken, limit }) => isBroken && limit !== null,
  );
  const [worst] = broken.sort((a, b) => b.takenM2 / b.mostM2 - a.takenM2 / a.mostM2);
  if (worst === undefined) return `${figures.percent(judgedPct(assessment, tree))} of its zone is taken.`;
  return `${limitWords(assessment, worst, figures)}.`;
}

/** "22.8 % of its zone is taken, limit 20 %"; of a limit on kinds, on a ring or on ground without paving, what it is on. */
function limitWords(assessment: Assessment, { ring, limit, takenM2, wholeM2 }: LimitFigure, figures: Figures): string {
  const taken = wholeM2 > 0 ? (100 * takenM2) / wholeM2 : 0;
  const title = ring === null ? undefined : assessment.rule.rings.find((one) => one.name === ring)?.title;
  const ground = ring === null ? 'its zone' : `its ${(title ?? `ring ${ring}`).toLowerCase()}`;
  const where = limit?.of === 'unsurfaced' ? `the ground without paving of ${ground}` : ground;
  const by = limit?.kinds === undefined ? 'is taken' : `is taken by ${limit.kinds.join(', ')}`;
  const verb = assessment.rule.judge === 'affected' && ring === null ? 'is taken or cut off' : by;
  const most =
    limit === null || limit.share === 0 ? 'nothing may be' : `limit ${Number((limit.share * 100).toFixed(2))} %`;
  return `${figures.percent(taken)} of ${where} ${verb}, ${most}`;
}

/** The margin, and the place that a siting found for the works, where that brings this tree within its limit. */
function remedyWords(tree: TreeResult, siting: Siting | undefined, figures: Figures, units: Units): string {
  const ways: string[] = [];
  if (tree.marginM !== null && tree.marginM < 0)
    ways.push(`all works must retreat ${figures.length(-tree.marginM)} on every side`);
  const [best] = siting?.sitings ?? [];
  if (siting !== undefined && best !== undefined && siting.trees.includes(tree.row) && !best.over.includes(tree.row)) {
    const moved = siting.moved.map((row) => name(siting.before.job.works.key.at(row) ?? '')).join(', ');
    ways.push(`${moved} must move ${esc(wayOf(best, units))}`);
  }
  return ways.length === 0 ? '' : `${capital(ways.join(', or '))}.`;
}

/** Verdicts of trees to be kept, and of those to be removed or moved; without works, how many have a zone. */
function countsHtml(assessment: Assessment): string {
  const marks: readonly Mark[] = hasWorks(assessment.job.works) ? VERDICTS : ['none', 'not-assessed'];
  const none = (): Map<Mark, number> => new Map(marks.map((mark) => [mark, 0]));
  const [staying, going] = [none(), none()];
  for (const { verdict, disposition } of everyTreeView(assessment)) {
    const counts = isGoing(disposition) ? going : staying;
    const mark = markOf(verdict);
    counts.set(mark, (counts.get(mark) ?? 0) + 1);
  }
  const sum = (counts: ReadonlyMap<Mark, number>): number => [...counts.values()].reduce((all, one) => all + one, 0);
  const line = (title: string, counts: ReadonlyMap<Mark, number>): string =>
    `<tr><th scope="row">${title}</th>${marks.map((mark) => `<td class="n">${counts.get(mark) ?? 0}</td>`).join('')}<td class="n">${sum(counts)}</td></tr>`;
  const heads = marks.map(
    (mark) => `<th scope="col" class="n"><span class="v v-${mark}">${VERDICT_STYLES[mark].title}</span></th>`,
  );
  const rows = [line('To be kept', staying), ...(sum(going) === 0 ? [] : [line('To be removed or moved', going)])];
  return `<div class="wide" tabindex="0" role="region" aria-label="Counts"><table class="tally"><thead><tr><th scope="col">Trees</th>${heads.join('')}<th scope="col" class="n">All</th></tr></thead><tbody>${rows.join('')}</tbody></table></div>`;
}

function unmeasuredHtml(assessment: Assessment, trees: readonly TreeResult[]): string {
  if (trees.length === 0) return '';
  const why = (tree: TreeResult): string => {
    const [first] = tree.reasons;
    return first === undefined ? NONE : reasonWords(first, assessment).replace(/\.$/, '');
  };
  const names = listOf(trees, NAMES_AT_MOST, (tree) => `${name(tree.key)} (${esc(why(tree))})`);
  return `<p><b>Not assessed</b>: ${names}.</p>`;
}

function cautionLines(assessment: Assessment, options: ReportOptions): string {
  const all = cautionsOf(assessment, { stamp: options.stamp, fenced: hasFences(assessment) });
  const first = FIRST_PAGE.flatMap((code) => all.find((one) => one.code === code) ?? []).slice(0, CAUTIONS_AT_MOST);
  return `<ul class="cautions first">${first.map(({ text }) => `<li>${esc(text)}</li>`).join('')}</ul>`;
}

function name(text: string): string {
  return `<bdi>${esc(cut(text, 40))}</bdi>`;
}
