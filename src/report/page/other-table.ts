// Design options and further rules side by side. In: an assessment; out: HTML, '' where there is only one variant.
// Terms: reckoning = the same trees under another rule or with another option's works; turned = a tree whose verdict
// differs between two of them.

import type { Assessment, OtherReckoning } from '../../model/index.js';
import { VERDICTS } from '../../model/index.js';
import { markOf, VERDICT_STYLES } from '../drawing/palette.js';
import type { Figures } from '../figures.js';
import { cut, esc } from '../text.js';

type Reckoned = Pick<OtherReckoning, 'rule' | 'option' | 'counts' | 'tree'>;

const TURNED_AT_MOST = 300;

export function otherHtml(assessment: Assessment, figures: Figures): string {
  const { option, otherOptions, otherRules } = assessment;
  if (otherOptions.length + otherRules.length === 0) return '';
  const own: Reckoned = {
    rule: assessment.rule,
    option,
    counts: assessment.counts.verdicts,
    tree: (row) => assessment.tree(row),
  };
  const all = [own, ...otherOptions, ...otherRules];
  const names = all.map((one) => nameOf(one, otherOptions.length > 0, otherRules.length > 0));
  const heads = VERDICTS.map((verdict) => `<th scope="col" class="n">${VERDICT_STYLES[verdict].title}</th>`).join('');
  const rows = all.map(
    ({ counts }, i) =>
      `<tr><th scope="row">${names[i]}</th>${VERDICTS.map((verdict) => `<td class="n">${counts[verdict]}</td>`).join('')}</tr>`,
  );
  return (
    wide('Counts', `<tr><th scope="col">Design and rule</th>${heads}</tr>`, rows) +
    turnedHtml(assessment, all, names, figures)
  );
}

/** Trees whose verdict is not the same everywhere. */
function turnedHtml(
  assessment: Assessment,
  all: readonly Reckoned[],
  names: readonly string[],
  figures: Figures,
): string {
  const rows: string[] = [];
  let turned = 0;
  for (let row = 0; row < assessment.counts.trees.in; row++) {
    const results = all.map((one) => one.tree(row));
    if (results.every(({ verdict }) => verdict === results[0]?.verdict)) continue;
    turned++;
    if (rows.length >= TURNED_AT_MOST) continue;
    const cells = results.map(
      ({ verdict, overlapPct }) =>
        `<td><span class="v v-${markOf(verdict)}">${VERDICT_STYLES[markOf(verdict)].title}</span> ${figures.percent(overlapPct)}</td>`,
    );
    rows.push(`<tr><th scope="row"><bdi>${esc(cut(results[0]?.key ?? '', 40))}</bdi></th>${cells.join('')}</tr>`);
  }
  if (turned === 0) return '<p>No tree changes its verdict.</p>';
  const heads = names.map((name) => `<th scope="col">${name}</th>`).join('');
  const rest =
    turned > rows.length ? `<p>The first ${rows.length} of ${turned} trees that change their verdict.</p>` : '';
  return `<h3>Trees that change their verdict</h3>${wide('Trees that change their verdict', `<tr><th scope="col">Tree</th>${heads}</tr>`, rows)}${rest}`;
}

function nameOf({ option, rule }: Reckoned, withOption: boolean, withRule: boolean): string {
  const parts = [
    ...(withOption ? [`option <bdi>${esc(cut(option ?? 'without a name', 40))}</bdi>`] : []),
    ...(withRule ? [`rule <bdi>${esc(cut(rule.title, 60))}</bdi>`] : []),
  ];
  return parts.join(', ');
}

function wide(label: string, head: string, rows: readonly string[]): string {
  return `<div class="wide" tabindex="0" role="region" aria-label="${label}"><table><thead>${head}</thead><tbody>${rows.join('\n')}</tbody></table></div>`;
}
