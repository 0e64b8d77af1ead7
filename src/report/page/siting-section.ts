// A siting in the report. In: a siting, figures, options; out: HTML: what was found, the best place drawn beside the works as
// drawn, the trees for which it makes a difference. Terms: see docs/siting.md.

import type { PlacedFootprint, Siting, Verdict } from '../../model/index.js';
import { counted } from '../../text/index.js';
import type { Units } from '../../write/index.js';
import { sitingWords } from '../../write/index.js';
import { markOf, VERDICT_STYLES } from '../drawing/palette.js';
import type { Figures } from '../figures.js';
import type { PlanOptions } from '../options.js';
import { changed, drawSiting, nameOf } from '../sheets/siting-drawing.js';
import { cut, esc } from '../text.js';

const ROWS_AT_MOST = 60;

const STATUS: Readonly<Record<Siting['status'], string>> = {
  'in-place': 'As drawn, it puts no tree to be kept over its limits.',
  sited: 'Sited as below, it puts no tree to be kept over its limits. This report is of the works as sited.',
  trade: 'No place was found at which it puts no tree to be kept over its limits. This report is of the best trade.',
  'no-room': 'It fits at none of the places tried. This report is of the works as drawn.',
};

export function sitingHtml(siting: Siting, figures: Figures, units: Units, options: PlanOptions): string {
  const { moved, before, sitings } = siting;
  const names = moved.map((row) => `<bdi>${esc(cut(before.job.works.key.at(row) ?? '', 40))}</bdi>`).join(', ');
  const [best] = sitings;
  const parts = [`<p>Moves together: ${names}. ${STATUS[siting.status]}</p>`];
  if (best !== undefined) {
    const drawing = drawSiting(siting, best.rank, options, false);
    if (drawing !== null) {
      parts.push(`<div class="sheet" tabindex="0" role="region" aria-label="Before and after">${drawing.svg}</div>`);
    }
    parts.push(placesHtml(siting, figures, units), changesHtml(siting, best, figures));
  }
  if (siting.findings.length > 0) {
    parts.push(
      `<ul class="cautions">${siting.findings.map(({ message }) => `<li>${esc(message)}</li>`).join('')}</ul>`,
    );
  }
  parts.push(
    '<p class="fine">Only the area of zones counts here. Access, drainage, ground, neighbours and codes are not considered, apart from the setbacks given. A surveyor, an arborist and the local code decide where it stands.</p>',
  );
  return parts.join('\n');
}

function placesHtml(siting: Siting, figures: Figures, units: Units): string {
  const rows = siting.sitings.map((place) => {
    const { rank, eastM, northM, turnDeg, mirrored, travelM, over } = place;
    const cells = [
      String(rank),
      figures.length(eastM, false),
      figures.length(northM, false),
      `${turnDeg.toFixed(1)}°`,
      mirrored ? 'yes' : 'no',
      figures.length(travelM, false),
      String(over.length),
    ];
    return `<tr>${cells.map((cell) => `<td>${cell}</td>`).join('')}<td><bdi>${esc(sitingWords(siting, place, units))}</bdi></td></tr>`;
  });
  const unit = figures.lengthUnit;
  const heads = [
    'Siting',
    `East (${unit})`,
    `North (${unit})`,
    'Turn clockwise',
    'Mirrored',
    `Travel of corners (${unit})`,
    'Kept trees over',
    'Move and result',
  ];
  return wide('Sitings', heads, rows);
}

function changesHtml(siting: Siting, place: PlacedFootprint, figures: Figures): string {
  const trees = changed(siting, place);
  if (trees.length === 0) return '<p>No tree’s figures change.</p>';
  const verdict = (of: Verdict | null): string =>
    `<span class="v v-${markOf(of)}">${VERDICT_STYLES[markOf(of)].title}</span>`;
  const rows = trees.slice(0, ROWS_AT_MOST).map((tree) => {
    const after = place.after.tree(tree.row);
    return `<tr><td><bdi>${esc(nameOf(tree))}</bdi></td><td>${figures.percent(tree.overlapPct)}</td><td>${verdict(tree.verdict)}</td><td>${figures.percent(after.overlapPct)}</td><td>${verdict(after.verdict)}</td></tr>`;
  });
  const rest = trees.length - rows.length;
  const note =
    rest > 0 ? `<p class="fine">And ${counted(rest, 'more tree')}: the table of the siting has them all.</p>` : '';
  const heads = [
    'Tree',
    'Overlap as drawn',
    'Verdict as drawn',
    `Overlap at siting ${place.rank}`,
    `Verdict at siting ${place.rank}`,
  ];
  return `<h3>Trees for which it makes a difference</h3>${wide('Trees before and after', heads, rows)}${note}`;
}

function wide(label: string, heads: readonly string[], rows: readonly string[]): string {
  const head = heads.map((title) => `<th scope="col">${esc(title)}</th>`).join('');
  return `<div class="wide" tabindex="0" role="region" aria-label="${label}"><table><thead><tr>${head}</tr></thead><tbody>${rows.join('\n')}</tbody></table></div>`;
}
