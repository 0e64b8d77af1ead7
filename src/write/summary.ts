// Assessment -> short table for a terminal. In: an assessment, units, whether to colour; out: lines of plain text.
// Terms: going = to be felled or moved: listed after the trees to be kept; worst first = stem in the works, then the
// largest percent that the rule judges by, ties in input order.

import type { Assessment, Counts, TreeResult, Verdict } from '../model/index.js';
import { everyTreeView, hasWorks, isGoing, isOver, isShown, VERDICTS } from '../model/index.js';
import { printable } from '../text/index.js';
import { cell, SCALES, type Units } from './numbers.js';
import { CAUTIONS } from './provenance.js';
import { shownWords } from './shown-words.js';

export interface SummaryOptions {
  readonly units?: Units | undefined;
  /** ANSI colours; default false. */
  readonly colour?: boolean | undefined;
}

const LISTED_AT_MOST = 15;
const SGR: Readonly<Record<Verdict, string>> = {
  untouched: '32',
  'within-limit': '32',
  'over-limit': '31',
  'stem-in-works': '31;1',
  'not-assessed': '33',
};

/**
 * Counts of each verdict, the trees over their limit (at most 15, worst first), and the limits of the figures.
 *
 * @example
 * process.stdout.write(summaryTable(assessment, { units: 'us', colour: true }));
 */
export function summaryTable(assessment: Assessment, options: SummaryOptions = {}): string {
  const paint = (text: string, verdict: Verdict | null): string =>
    options.colour === true && verdict !== null ? `\u001b[${SGR[verdict]}m${text}\u001b[0m` : text;
  const { trees, works, verdicts } = assessment.counts;
  if (!hasWorks(assessment.job.works)) return zonesOnly(assessment);
  const lines = [`Rule: ${printable(assessment.rule.title)} (${assessment.rule.id})`];
  lines.push(`Trees: ${trees.in} read, ${trees.assessed} assessed, ${trees.notAssessed} not assessed`);
  lines.push(
    `Works: ${works.in} read, ${works.counted} counted, ${works.notCounted} not counted, ${works.rejected} rejected`,
    '',
  );
  for (const verdict of VERDICTS) {
    lines.push(`  ${paint(verdict.padEnd(14), verdict)} ${String(verdicts[verdict]).padStart(7)}`);
  }
  const some = shownWords(assessment);
  if (some !== '') lines.push('', printable(some));
  lines.push('', ...worstTable(assessment, SCALES[options.units ?? 'metric'], paint), ...ringLines(assessment));
  return `${[...lines, ...CAUTIONS].join('\n')}\n`;
}

/** The lines for a job without works, in place of verdicts. */
export function zonesOnlyWords({ trees }: Counts): readonly string[] {
  return [
    `Trees: ${trees.in} read, ${trees.assessed} with a zone, ${trees.notAssessed} without`,
    'Works: none given, so there are zones but no verdicts. Give the proposed works with --works F when there is a design.',
  ];
}

/** Before there is a design, nothing was judged, so nothing may look approved. */
function zonesOnly(assessment: Assessment): string {
  const rule = `Rule: ${printable(assessment.rule.title)} (${assessment.rule.id})`;
  const lines = [rule, ...zonesOnlyWords(assessment.counts), ''];
  return `${[...lines, ...CAUTIONS].join('\n')}\n`;
}

function worstTable(
  assessment: Assessment,
  scales: (typeof SCALES)[Units],
  paint: (text: string, verdict: Verdict | null) => string,
): string[] {
  const judged = (t: TreeResult): number => (assessment.rule.judge === 'affected' ? t.affectedPct : t.overlapPct) ?? 0;
  // Only listed trees are worked out in full: a city may have tens of thousands over their limit.
  const over: { readonly row: number; readonly going: number; readonly stem: number; readonly percent: number }[] = [];
  for (const t of everyTreeView(assessment)) {
    if (!isOver(t.verdict)) continue;
    const going = isGoing(t.disposition) ? 1 : 0;
    over.push({ row: t.row, going, stem: t.verdict === 'stem-in-works' ? 1 : 0, percent: judged(t) });
  }
  if (over.length === 0) return ['No tree is over its limit.', ''];
  over.sort((a, b) => a.going - b.going || b.stem - a.stem || b.percent - a.percent || a.row - b.row);
  const listed = over.filter(({ row }) => isShown(assessment, row)); // all are counted
  const worst = listed.slice(0, LISTED_AT_MOST).map(({ row }) => assessment.tree(row));
  const going = over.reduce((sum, one) => sum + one.going, 0);
  const words = overWords(over.length - going, going);
  if (listed.length === 0) return [words, '  none of them is shown', ''];
  const { length, diameterCell } = scales;
  const rows = worst.map((t) => ({
    verdict: t.verdict,
    cells: [
      short(t.key, 16),
      short(assessment.job.trees.species[t.row] ?? '', 24),
      t.disposition,
      cell(t.dbhM === null ? null : t.dbhM * diameterCell.factor, 1),
      cell(t.zoneRadiusM === null ? null : t.zoneRadiusM * length.factor, 2),
      cell(t.overlapPct, 1),
      cell(t.severedPct, 1),
      t.verdict ?? '',
      short(t.reasons.join(';'), 40),
    ],
  }));
  const titles = [
    'tree',
    'species',
    'plan',
    `dbh ${diameterCell.title}`,
    `radius ${length.title}`,
    'overlap %',
    'severed %',
    'verdict',
    'reasons',
  ];
  const widths = titles.map((title, c) => Math.max(title.length, ...rows.map((r) => r.cells[c]!.length)));
  const numeric = (c: number): boolean => c >= 3 && c <= 6;
  const pad = (text: string, c: number): string => (numeric(c) ? text.padStart(widths[c]!) : text.padEnd(widths[c]!));
  const out = [`${words}, worst first`, `  ${titles.map(pad).join('  ')}`.trimEnd()];
  for (const { verdict, cells } of rows) {
    out.push(
      `  ${cells.map((text, c) => (c === 7 ? paint(pad(text, c), verdict) : pad(text, c))).join('  ')}`.trimEnd(),
    );
  }
  if (listed.length > LISTED_AT_MOST)
    out.push(`  and ${listed.length - LISTED_AT_MOST} more: see the schedule or the file`);
  return [...out, ''];
}

/**
 * Trees over their limit, those to be kept first.
 *
 * @example
 * overWords(13, 10); // 'Over their limit: 13 to be kept, 10 to be removed or moved'
 */
export function overWords(kept: number, going: number): string {
  return `Over their limit: ${kept} to be kept, ${going} to be removed or moved`;
}

/** A cut inside a ring (no-cut, structural) is reported separately, whatever the verdict. */
function ringLines(assessment: Assessment): string[] {
  const lines = assessment.rule.rings.flatMap(({ name }) => {
    let cut = 0;
    for (const t of everyTreeView(assessment))
      if (t.rings.some((ring) => ring.name === name && (ring.overlapPct ?? 0) > 0)) cut++;
    return cut === 0 ? [] : [`Works inside the ring "${name}": ${cut} of the trees, whatever the verdict.`];
  });
  return lines.length === 0 ? [] : [...lines, ''];
}

function short(text: string, width: number): string {
  const clean = printable(text);
  return clean.length <= width ? clean : `${clean.slice(0, width - 3)}...`;
}
