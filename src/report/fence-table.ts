// The fences in figures. In: an assessment; out: HTML or '' where no fence is laid out.
// Terms: as in model/ (FencePlan); along works = where the fence has to stand inside a zone.

import type { Assessment } from '../model/index.js';
import { counted, listOf } from '../text/index.js';
import { shownFences } from '../write/index.js';
import { type Figures, NONE } from './figures.js';
import { hasFences } from './layers.js';
import { cut, esc } from './text.js';

const FENCES_AT_MOST = 300;
const TREES_AT_MOST = 12;

export function fencesHtml(assessment: Assessment, figures: Figures): string {
  if (!hasFences(assessment) || assessment.fences.fences.length === 0) return '';
  const { workingSpaceM, postSpacingM } = assessment.fences;
  const shown = shownFences(assessment);
  const numbered = assessment.fences.fences.map((fence, i) => ({ fence, number: i + 1 }));
  const kept = numbered.filter((_, i) => shown.fence(i));
  const fences = kept.map(({ fence }) => fence);
  const gates = assessment.fences.gates.filter((_, i) => shown.gate(i));
  const groundProtection = assessment.fences.groundProtection.filter((_, i) => shown.ground(i));
  if (fences.length === 0) return '';
  const hasLots = assessment.job.lots !== null;
  const sum = (values: readonly number[]): number => values.reduce((a, b) => a + b, 0);
  const rows = kept.slice(0, FENCES_AT_MOST).map(({ fence, number }) => {
    const listed = fence.trees.length > 0 ? fence.trees : fence.zoneTrees;
    const names = listOf(listed, TREES_AT_MOST, (row) => `<bdi>${esc(cut(assessment.tree(row).key, 24))}</bdi>`);
    const ground = fence.trees.length > 0 || listed.length === 0 ? '' : 'no trunk; roots of ';
    const cells = [
      figures.length(fence.lengthM, false),
      figures.length(fence.alongWorksM, false),
      ...(hasLots ? [figures.length(fence.outsideLotsM, false)] : []),
      figures.area(fence.areaM2, false),
      String(fence.posts),
      String(fence.gates),
    ];
    return `<tr><th scope="row">${number}</th><td>${ground}${names === '' ? NONE : names}</td>${cells.map((text) => `<td class="n">${text}</td>`).join('')}</tr>`;
  });
  const protectedM2 = sum(groundProtection.map(({ areaM2 }) => areaM2));
  const heads = [
    `Length ${figures.lengthUnit}`,
    `Along works ${figures.lengthUnit}`,
    ...(hasLots ? [`Outside the lots ${figures.lengthUnit}`] : []),
    `Encloses ${figures.areaUnit}`,
    'Posts',
    'Gates',
  ];
  const rest = fences.length - rows.length;
  return [
    `<p>${counted(fences.length, 'fence')}, ${figures.length(sum(fences.map(({ lengthM }) => lengthM)))} in all, ${counted(gates.length, 'gate')}; `,
    `working space ${figures.length(workingSpaceM)}, posts at most ${figures.length(postSpacingM)} apart. `,
    `Ground to be protected outside them: ${figures.area(protectedM2)}. Put them up before any machine arrives and leave them until final sign-off.</p>`,
    '<div class="wide" tabindex="0" role="region" aria-label="Fences"><table><thead><tr><th scope="col">Fence</th><th scope="col">Trees inside</th>',
    `${heads.map((head) => `<th scope="col" class="n">${head}</th>`).join('')}</tr></thead><tbody>${rows.join('\n')}</tbody></table></div>`,
    rest > 0 ? `<p>${counted(rest, 'more fence')}: the output file has them all.</p>` : '',
  ].join('');
}
