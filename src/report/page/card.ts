// The card of one tree over its limit. In: an assessment, a tree, units; out: HTML: drawing, what takes the zone by kind and
// by piece, what is cut off, rings, nearest works, margin, reasons. Terms: see figures.ts.

import type { Assessment, TreeResult } from '../../model/index.js';
import { WORKS_KINDS } from '../../model/index.js';
import { factLines, type Units } from '../../write/index.js';
import { KIND_STYLES, markOf, VERDICT_STYLES } from '../drawing/palette.js';
import { compass, type Figures } from '../figures.js';
import { drawCard } from '../sheets/card-drawing.js';
import { cut, esc } from '../text.js';
import { gradeRows } from './grade-rows.js';
import { piecesOf } from './pieces.js';
import { sourceHtml } from './sourced.js';
import { nearestWords, reasonWords } from './words.js';

const PIECES_AT_MOST = 8;

/** A figure that a later step of the assessment adds to a tree; it may be missing. */
interface Later {
  readonly marginM?: number | null;
}

export function cardHtml(assessment: Assessment, tree: TreeResult, figures: Figures, units: Units): string {
  const drawing = drawCard(assessment, tree, figures, units);
  const species = assessment.job.trees.species[tree.row];
  const reasons = tree.reasons.map((code) => `<li>${esc(reasonWords(code, assessment))}</li>`);
  return [
    `<article class="card" id="t${tree.row}">`,
    `<h3><bdi>${esc(cut(tree.key, 80))}</bdi>${species === undefined ? '' : ` <span class="sp"><bdi>${esc(cut(species, 80))}</bdi></span>`}</h3>`,
    `<p class="v v-${markOf(tree.verdict)}">${VERDICT_STYLES[markOf(tree.verdict)].title}</p>`,
    drawing === null ? '<p>No drawing: the tree has no position.</p>' : `<figure>${drawing.svg}</figure>`,
    `<table class="kv"><tbody>${rowsOf(assessment, tree, figures).map(rowHtml).join('')}</tbody></table>`,
    takenHtml(assessment, tree, figures),
    factsHtml(assessment, tree, figures),
    reasons.length === 0 ? '' : `<ul class="why">${reasons.join('')}</ul>`,
    tree.consequence === '' ? '' : `<p class="cons">${esc(tree.consequence)}</p>`,
    '</article>',
  ].join('\n');
}

type CardRow = readonly [name: string, value: string];

function rowHtml([name, value]: CardRow): string {
  return `<tr><th scope="row">${esc(name)}</th><td>${value}</td></tr>`;
}

function rowsOf(assessment: Assessment, tree: TreeResult, figures: Figures): CardRow[] {
  const { crown, worstWorks, worstWorksPct, existingPct } = tree;
  const { marginM } = tree as TreeResult & Later;
  const accuracy = assessment.job.trees.accuracyM?.[tree.row] ?? Number.NaN;
  const rows: CardRow[] = [
    ['Diameter', figures.diameter(tree.dbhM)],
    ['Zone', `${figures.length(tree.zoneRadiusM)} radius, ${figures.area(tree.zoneAreaM2)}`],
    ['Overlap', `<b>${figures.percent(tree.overlapPct)}</b>, ${figures.area(tree.overlapM2)}`],
    ['Severed', `${figures.percent(tree.severedPct)}, ${figures.area(tree.severedM2)}`],
    ['Affected', figures.percent(tree.affectedPct)],
  ];
  for (const ring of tree.rings) {
    const title = assessment.rule.rings.find(({ name }) => name === ring.name)?.title ?? ring.name;
    rows.push([title, `${figures.percent(ring.overlapPct)} of a radius of ${figures.length(ring.radiusM)}`]);
  }
  rows.push([
    'Nearest works',
    `${esc(nearestWords(tree, figures))}${tree.nearestWorks === null ? '' : `: <bdi>${esc(cut(tree.nearestWorks, 40))}</bdi>`}`,
  ]);
  if (tree.nearestFaceM !== null) rows.push(['From the trunk’s face', figures.length(tree.nearestFaceM)]);
  if (marginM !== undefined && marginM !== null) {
    const words =
      marginM >= 0 ? 'room left: works may come this much nearer' : 'works must retreat this far on every side';
    rows.push(['Margin', `${figures.length(Math.abs(marginM))} (${words})`]);
  }
  if (worstWorks !== null) {
    const by = worstWorksPct === null ? '' : `, ${figures.percent(worstWorksPct)} that nothing else takes`;
    rows.push(['Helps most to move', `<bdi>${esc(cut(worstWorks, 40))}</bdi>${by}`]);
  }
  if (crown !== null && (crown.overlapM2 ?? 0) > 0) {
    const lift = crown.liftM === null ? '' : `, or its base lifted by ${figures.length(crown.liftM)}`;
    const arc =
      crown.arcFrom === null || crown.arcTo === null
        ? ''
        : crown.arcTo - crown.arcFrom >= 360
          ? ', all round'
          : ` between ${figures.degrees(crown.arcFrom)} (${compass(crown.arcFrom)}) and ${figures.degrees(crown.arcTo)} (${compass(crown.arcTo)})`;
    rows.push(['Crown in conflict', `${figures.percent(crown.overlapPct)} of the crown${arc}${lift}`]);
  }
  if (existingPct !== null && existingPct > 0) rows.push(['Hard today', `${figures.percent(existingPct)} of the zone`]);
  rows.push(...gradeRows(assessment, tree, figures));
  if (tree.lot !== null) rows.push(['Lot', `<bdi>${esc(cut(tree.lot, 40))}</bdi>`]);
  rows.push(['Position surveyed to', Number.isFinite(accuracy) ? `± ${figures.length(accuracy)}` : 'not stated']);
  if (tree.verdictHolds !== null) {
    rows.push(['Within the accuracy', tree.verdictHolds ? 'the verdict holds' : 'the verdict may not hold']);
  }
  return rows;
}

/** Tables by kind and by piece. */
function takenHtml(assessment: Assessment, tree: TreeResult, figures: Figures): string {
  const { overlapByKindM2, zoneAreaM2 } = tree;
  if (overlapByKindM2 === null || zoneAreaM2 === null) return '';
  const share = (area: number): string => figures.percent((100 * area) / zoneAreaM2, false);
  const line = (name: string, area: number): string =>
    `<tr><th scope="row">${name}</th><td>${figures.area(area, false)}</td><td>${share(area)}</td></tr>`;
  const kinds = WORKS_KINDS.filter((kind) => (overlapByKindM2[kind] ?? 0) > 0).map((kind) =>
    line(KIND_STYLES[kind].title, overlapByKindM2[kind]),
  );
  const pieces = piecesOf(assessment, tree);
  const first = (pieces ?? [])
    .slice(0, PIECES_AT_MOST)
    .map((piece) => line(`<bdi>${esc(cut(piece.key, 40))}</bdi> (${piece.kind})`, piece.areaM2));
  const rest = (pieces?.length ?? 0) - first.length;
  const more = rest > 0 ? `<tr><td colspan="3">and ${rest} more</td></tr>` : '';
  if (kinds.length === 0 && first.length === 0) return '';
  const head = (name: string): string =>
    `<tr><th scope="col">${name}</th><th scope="col">${figures.areaUnit}</th><th scope="col">% of zone</th></tr>`;
  const table = (name: string, rows: readonly string[]): string =>
    rows.length === 0 ? '' : `<table class="took"><thead>${head(name)}</thead><tbody>${rows.join('')}</tbody></table>`;
  const note =
    (pieces?.length ?? 0) > 1 || kinds.length > 1
      ? '<p class="fine">Each by itself: where they lie on each other the rows add up to more than the overlap.</p>'
      : '';
  return (
    table('Taken by kind', kinds) +
    table(
      'Taken by piece',
      [...first, more].filter((row) => row !== ''),
    ) +
    note
  );
}

/** A paragraph a line: values with their sources; a source that several values share stands once, behind the last. */
function factsHtml(assessment: Assessment, tree: TreeResult, figures: Figures): string {
  const lines = factLines(assessment, tree, figures).map(({ name, values }) => {
    const parts = values.map(([value, source], i) => {
      const isLast = values[i + 1]?.[1] !== source;
      const own = isLast ? ` <span class="fine">(${sourceHtml(source)})</span>` : '';
      return `<bdi>${esc(cut(value, 400))}</bdi>${own}`;
    });
    return `<p><b>${esc(name)}:</b> ${parts.join('; ')}</p>`;
  });
  return lines.length === 0 ? '' : `<div class="facts">${lines.join('\n')}</div>`;
}
