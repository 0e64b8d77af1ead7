// The fences in figures. In: an assessment, how far posts and signs may be apart; out: counts and HTML.
// Terms: as in model/ (FencePlan); along works = where the fence has to stand inside a zone. Linear in the fences' corners.

import type { Assessment, Fence } from '../../model/index.js';
import { counted, listOf } from '../../text/index.js';
import { shownFences } from '../../write/index.js';
import { type Figures, NONE } from '../figures.js';
import { cut, esc } from '../text.js';

const FENCES_AT_MOST = 300;
const GATES_AT_MOST = 100;
const TREES_AT_MOST = 12;
const NAMES_AT_MOST = 4;
/** Corners come back from degrees to less than a millimetre: an edge of just two bays is not three. */
const ROUNDING_M = 0.001;

/** Most between two posts, and between two signs, metres. */
export interface Spacings {
  readonly postM: number;
  readonly signM: number;
}

export interface FenceCounts {
  readonly posts: number;
  readonly signs: number;
}

/** Posts and signs along one fence: a post at every corner and between; signs along each closed line, one at least. */
export function countsAlong(assessment: Assessment, fence: Fence, { postM, signM }: Spacings): FenceCounts {
  let posts = 0;
  let signs = 0;
  for (const ring of fence.shape.flat()) {
    const [lon, lat] = ring[0]!;
    const xy = Float64Array.from(ring.flat());
    assessment.job.frameAt(lon, lat).toFrame(xy, xy);
    let lengthM = 0;
    for (let i = 2; i < xy.length; i += 2) {
      const edgeM = Math.hypot(xy[i]! - xy[i - 2]!, xy[i + 1]! - xy[i - 1]!);
      lengthM += edgeM;
      posts += Math.max(1, Math.ceil((edgeM - ROUNDING_M) / postM));
    }
    signs += Math.max(1, Math.ceil((lengthM - ROUNDING_M) / signM));
  }
  // Counted already, from corners that were never degrees, where the spacing is that of the plan.
  const isPlanned = Math.abs(assessment.fences.postSpacingM - postM) < 1e-9;
  return { posts: isPlanned ? fence.posts : posts, signs };
}

const sum = (values: readonly number[]): number => values.reduce((a, b) => a + b, 0);

/** The fences of a job and their gates, as far as they are shown; `spacings` as its sheet has them. */
export function fencesHtml(assessment: Assessment, figures: Figures, spacings: Spacings): string {
  const { workingSpaceM } = assessment.fences;
  const shown = shownFences(assessment);
  const numbered = assessment.fences.fences.map((fence, i) => ({ fence, number: i + 1 }));
  const kept = numbered.filter((_, i) => shown.fence(i));
  const fences = kept.map(({ fence }) => fence);
  const gates = assessment.fences.gates.filter((_, i) => shown.gate(i));
  if (fences.length === 0) return '';
  const hasLots = assessment.job.lots !== null;
  const counts = fences.map((fence) => countsAlong(assessment, fence, spacings));
  const rows = kept.slice(0, FENCES_AT_MOST).map(({ fence, number }, i) => {
    const listed = fence.trees.length > 0 ? fence.trees : fence.zoneTrees;
    const names = listOf(listed, TREES_AT_MOST, (row) => `<bdi>${esc(cut(assessment.tree(row).key, 24))}</bdi>`);
    const ground = fence.trees.length > 0 || listed.length === 0 ? '' : 'no trunk; roots of ';
    const cells = [
      figures.length(fence.lengthM, false),
      figures.length(fence.alongWorksM, false),
      ...(hasLots ? [figures.length(fence.outsideLotsM, false)] : []),
      figures.area(fence.areaM2, false),
      String(counts[i]!.posts),
      String(counts[i]!.signs),
      String(fence.gates),
    ];
    return `<tr><th scope="row">${number}</th><td>${ground}${names === '' ? NONE : names}</td>${cells.map((text) => `<td class="n">${text}</td>`).join('')}</tr>`;
  });
  const heads = [
    `Length ${figures.lengthUnit}`,
    `Along works ${figures.lengthUnit}`,
    ...(hasLots ? [`Outside the lots ${figures.lengthUnit}`] : []),
    `Encloses ${figures.areaUnit}`,
    'Posts',
    'Signs',
    'Gates',
  ];
  const rest = fences.length - rows.length;
  return [
    `<p>${counted(fences.length, 'fence')}, ${figures.length(sum(fences.map(({ lengthM }) => lengthM)))} in all, `,
    `${counted(sum(counts.map(({ posts }) => posts)), 'post')}, ${counted(sum(counts.map(({ signs }) => signs)), 'sign')}, ${counted(gates.length, 'gate')}; `,
    `working space ${figures.length(workingSpaceM)}, posts at most ${figures.length(spacings.postM)} and signs at most ${figures.length(spacings.signM)} apart. `,
    'Put them up before any machine arrives and leave them until final sign-off.</p>',
    '<div class="wide" tabindex="0" role="region" aria-label="Fences"><table><thead><tr><th scope="col">Fence</th><th scope="col">Trees inside</th>',
    `${heads.map((head) => `<th scope="col" class="n">${head}</th>`).join('')}</tr></thead><tbody>${rows.join('\n')}</tbody></table></div>`,
    rest > 0 ? `<p>${counted(rest, 'more fence')}: the output file has them all.</p>` : '',
    gatesHtml(assessment, figures, shown.gate),
  ].join('');
}

function gatesHtml(assessment: Assessment, figures: Figures, isShown: (gate: number) => boolean): string {
  const gates = assessment.fences.gates.map((gate, i) => ({ ...gate, number: i + 1 })).filter((_, i) => isShown(i));
  if (gates.length === 0) return '';
  const items = gates.slice(0, GATES_AT_MOST).map(({ fences, works, lengthM, number }) => {
    const of = fences.length === 0 ? '' : ` of fence ${fences.map((n) => n + 1).join(' and ')}`;
    const ways = worksNames(assessment, works);
    return `Gate ${number}${of}: ${figures.length(lengthM)}${ways === '' ? '' : `, ${ways}`}`;
  });
  return `<p>Gates, as wide as the works that enter there:</p>${manyHtml(items, gates.length, 'gate')}`;
}

/** Many short items in columns, as HTML; `all` counts those that are left out, too. */
export function manyHtml(items: readonly string[], all: number, noun: string): string {
  const rest = all - items.length;
  const more = rest > 0 ? `<p>${counted(rest, `more ${noun}`)}: the output file has them all.</p>` : '';
  return `<ul class="pf-many">${items.map((item) => `<li>${item}</li>`).join('\n')}</ul>${more}`;
}

/** Names of works, a few of them, as HTML. */
export function worksNames({ job }: Assessment, rows: readonly number[]): string {
  return listOf(rows, NAMES_AT_MOST, (row) => `<bdi>${esc(cut(job.works.key.at(row) ?? '', 24))}</bdi>`);
}
