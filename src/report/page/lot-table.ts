// Per-lot table, where the job has lots. In: an assessment; out: HTML or ''.
// Terms: as in model/; reaching in = trees that stand elsewhere and whose zone comes onto the lot.

import type { Assessment, GroundGrade, LotFigures } from '../../model/index.js';
import { LOT_GRADES, lotGrade } from '../../write/index.js';
import type { Figures } from '../figures.js';
import { cut, esc } from '../text.js';

interface Column {
  readonly title: string;
  cell(lot: LotFigures, grade: GroundGrade | null): string;
}

/** Trees of each lot as the assessment counts them, then the trees on no lot and all together. */
export function lotsHtml(assessment: Assessment, figures: Figures): string {
  const { lots, totals } = assessment;
  if (lots.length === 0) return '';
  const columns = [
    ...columnsOf(totals.all, figures),
    ...(assessment.grades === undefined ? [] : gradeColumns(figures)),
  ];
  const heads = columns.map(({ title }) => `<th scope="col" class="n">${esc(title)}</th>`).join('');
  const line = (name: string, lot: LotFigures, grade: GroundGrade | null): string =>
    `<tr><th scope="row">${name}</th>${columns.map(({ cell }) => `<td class="n">${esc(cell(lot, grade))}</td>`).join('')}</tr>`;
  const rows = lots
    .filter(({ accepted }) => accepted)
    .map(({ key, row, figures: own }) => line(`<bdi>${esc(cut(key, 40))}</bdi>`, own, lotGrade(assessment, row)));
  const none = totals.offLots.trees > 0 ? [line('on no lot', totals.offLots, null)] : [];
  const foot = `<tfoot>${line('all', totals.all, assessment.grades?.total ?? null)}</tfoot>`;
  return (
    '<div class="wide" tabindex="0" role="region" aria-label="Lots"><table class="lots"><thead><tr><th scope="col">Lot</th>' +
    `${heads}</tr></thead><tbody>${[...rows, ...none].join('\n')}</tbody>${foot}</table></div>`
  );
}

/** Cut and fill, where surfaces were given; the last line is all ground that both reach. */
function gradeColumns(figures: Figures): Column[] {
  return LOT_GRADES.map(({ title, of, value }) => {
    const shown = (grade: GroundGrade | null, unit: boolean): string =>
      figures[of](grade === null ? null : value(grade), unit);
    return {
      title: `${title} ${of === 'area' ? figures.areaUnit : figures.volumeUnit}`,
      cell: (_, grade) => shown(grade, false),
    };
  });
}

/** What replaces lost trees is shown where a mitigation table was given. */
function columnsOf(all: LotFigures, figures: Figures): Column[] {
  const count = (title: string, pick: (lot: LotFigures) => number | null): Column => ({
    title,
    cell: (lot) => String(pick(lot) ?? '–'),
  });
  const diameter = (title: string, pick: (lot: LotFigures) => number | null): Column => ({
    title: `${title} ${figures.diameterUnit}`,
    cell: (lot) => figures.diameter(pick(lot), false),
  });
  const columns = [
    count('Trees', (lot) => lot.trees),
    count('On a lot line', (lot) => lot.onLine),
    count('Reaching in', (lot) => lot.reachingIn),
    count('Kept', (lot) => lot.kept),
    count('Removed', (lot) => lot.removed),
    count('Transplanted', (lot) => lot.transplanted),
    ...(all.dispositionUnknown > 0 ? [count('Kept for want of a known word', (lot) => lot.dispositionUnknown)] : []),
    count('Protected', (lot) => lot.protected),
    ...(all.protectedUnknown > 0 ? [count('Protected or not: unknown', (lot) => lot.protectedUnknown)] : []),
    count('Kept, over the limit', (lot) => lot.overLimit),
    count('Kept, stem in the works', (lot) => lot.stemInWorks),
    count('Removed or moved: over the limit', (lot) => lot.goingOver),
    count('Not assessed', (lot) => lot.notAssessed),
    diameter('Diameters kept', (lot) => lot.keptDbhM),
    diameter('Diameters removed', (lot) => lot.removedDbhM),
  ];
  if (all.replacement === null) return columns;
  return [
    ...columns,
    diameter('Diameter to plant', (lot) => lot.replacement?.requiredDbhM ?? null),
    { title: 'Trees to plant', cell: (lot) => String(lot.replacement?.requiredTrees ?? '–') },
  ];
}
