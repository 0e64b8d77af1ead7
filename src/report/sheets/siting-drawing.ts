// Before and after, side by side. In: a siting and one of its places; out: SVG in millimetres: the works as drawn and as
// sited, on the same ground at the same scale, with legend and scale bar. Terms: as in plan.ts; other = the outline of the
// works at the other place, as a broken line; the arrow leads from the footprint's reference as drawn to where it goes.

import { pairAt } from '../../geometry/index.js';
import type { Assessment, PlacedFootprint, Siting, TreeResult, TreeShapes } from '../../model/index.js';
import { VERDICTS } from '../../model/index.js';
import { drawLegend, drawScaleBar, legendOf, legendSize } from '../drawing/furniture.js';
import { type Box, boxOfPairs, Ground, grown, holds, united } from '../drawing/ground.js';
import { placeTreeLabels } from '../drawing/labelling.js';
import { type DrawJob, type Drawn, LAYERS, spacingMm } from '../drawing/layers.js';
import { DRAWING_CSS, INK } from '../drawing/palette.js';
import { Paper } from '../drawing/paper.js';
import { type SceneTree, sceneOf } from '../drawing/scene.js';
import { mm, ringsPath } from '../drawing/svg.js';
import { NO_SIGNS } from '../drawing/symbol-layer.js';
import { symbol, symbolMm } from '../drawing/symbols.js';
import { type PlanOptions, unitsOf } from '../options.js';
import { cut, esc } from '../text.js';
import { fittingScale, type Scale } from './sheet.js';

const SIDE_MM = 128;
const HIGH_MM = 128;
const GAP_MM = 4;
const HEAD_MM = 9;
const BAR_MM = 20;
/** What a drawing of two places shows; crowns and fences would hide what moves. */
const SHOWN: ReadonlySet<string> = new Set(['lot', 'existing', 'works', 'zone', 'ring', 'overlap', 'severed']);

export interface SitingDrawing {
  readonly svg: string;
  readonly scale: Scale;
}

/** Draws a place beside the works as drawn; null where nothing was found. `own`: with its style sheet, as a file of its own. */
export function drawSiting(siting: Siting, rank: number, options: PlanOptions, own: boolean): SitingDrawing | null {
  const place = siting.sitings.find((one) => one.rank === rank);
  if (place === undefined) return null;
  const units = unitsOf(options);
  const [lon, lat] = siting.reference;
  const ground = Ground.at(siting.before, lon, lat);
  const home = outlinesOf(siting.before, siting.moved, ground);
  const there = outlinesOf(place.after, siting.moved, ground);
  const extent = extentOf(siting, place, ground, [...home, ...there]);
  const size = { widthM: extent.x1 - extent.x0, heightM: extent.y1 - extent.y0 };
  const scale = fittingScale(size, { widthMm: SIDE_MM, heightMm: HIGH_MM }, units);
  const paper = new Paper(extent, scale.ratio, SIDE_MM, HIGH_MM);
  const arrow = arrowOf(home, there, paper);
  const sides = [
    sideOf(siting, siting.before, ground, paper, extent, there, arrow),
    sideOf(siting, place.after, ground, paper, extent, home, ''),
  ];
  const keys = new Set(sides.flatMap(({ keys }) => keys));
  const trees = sides.flatMap((side) => side.trees);
  const verdicts = VERDICTS.filter((verdict) => trees.some((tree) => tree.verdict === verdict));
  const legend = legendOf(keys, verdicts, new Set(trees.map(({ disposition }) => disposition)), NO_SIGNS);
  const width = SIDE_MM * 2 + GAP_MM;
  const legendMm = legendSize(legend.length, width).heightMm;
  const height = HEAD_MM + HIGH_MM + BAR_MM + legendMm + 4;
  const heads = ['As drawn', `Siting ${place.rank}`];
  const stamp = options.stamp === undefined ? '' : ` (${options.stamp})`;
  const windows = sides.map(({ svg }, i) => {
    const x = i * (SIDE_MM + GAP_MM);
    return (
      `<text x="${x + 1}" y="${HEAD_MM - 3}" font-size="4" font-weight="bold">${esc(`${heads[i]}${stamp}`)}</text>` +
      `<svg x="${x}" y="${HEAD_MM}" width="${SIDE_MM}" height="${HIGH_MM}" viewBox="0 0 ${SIDE_MM} ${HIGH_MM}">${svg}</svg>` +
      `<path class="rb-frame" d="M${x + 0.2},${HEAD_MM + 0.2}h${SIDE_MM - 0.4}v${HIGH_MM - 0.4}h${0.4 - SIDE_MM}z"/>`
    );
  });
  const about = `The works as drawn and at siting ${place.rank}, side by side at ${scale.label}`;
  const head = own ? `<title>${esc(about)}</title><style>${DRAWING_CSS}</style>` : '';
  const up = siting.before.job.treeTransform?.crs.kind === 'local' ? 'up: grid north' : 'up: true north';
  const dotted = siting.buildable.length === 0 ? '' : ' Dotted: the ground to build on.';
  const note = `${scale.label}, ${up}. Broken outline: the works at the other place.${dotted}`;
  const svg = [
    `<svg xmlns="http://www.w3.org/2000/svg" class="rb-draw" width="${width}mm" height="${mm(height)}mm" viewBox="0 0 ${width} ${mm(height)}" role="img" aria-label="${esc(about)}">`,
    head,
    `<rect width="${width}" height="${mm(height)}" fill="#ffffff"/>`,
    ...windows,
    `<g transform="translate(1 ${HEAD_MM + HIGH_MM + 3})">${drawScaleBar(paper.perMetre, units, 70)}</g>`,
    `<text x="84" y="${HEAD_MM + HIGH_MM + 7}" font-size="2.8">${esc(note)}</text>`,
    `<g transform="translate(1 ${HEAD_MM + HIGH_MM + BAR_MM + 1})">${drawLegend(legend, width - 2)}</g>`,
    '</svg>\n',
  ].join('\n');
  return { svg, scale };
}

interface Side {
  readonly svg: string;
  readonly keys: readonly string[];
  readonly trees: readonly SceneTree[];
}

function sideOf(
  siting: Siting,
  assessment: Assessment,
  ground: Ground,
  paper: Paper,
  extent: Box,
  other: readonly (readonly number[])[],
  arrow: string,
): Side {
  const all = sceneOf(assessment)?.trees ?? [];
  const trees = all.flatMap((tree): SceneTree[] => {
    const at = (column: Float64Array): Float64Array => column.slice(tree.row * 2, tree.row * 2 + 2);
    const [x, y] = pairAt(ground.metres(at(assessment.job.treeLonLat)));
    return holds(paper.shown, x, y) || holds(grown(paper.shown, tree.radiusM), x, y) ? [{ ...tree, x, y }] : [];
  });
  const shown = trees.filter(({ x, y }) => holds(paper.shown, x, y));
  const held = new Map<number, TreeShapes>();
  const job: DrawJob = {
    drawing: 'all',
    assessment,
    scene: { ground, trees, astray: [], extent },
    paper,
    detail: 'full',
    spacing: Math.max(spacingMm(shown, paper), 12),
    shapes(row) {
      const shapes = held.get(row) ?? assessment.shapes(row);
      held.set(row, shapes);
      return shapes;
    },
  };
  const drawn: Drawn[] = LAYERS.filter(({ role }) => SHOWN.has(role)).map((layer) => layer.draw(job));
  const sizes = new Map<number, number>();
  const signs = shown.map((tree) => {
    const size = Math.max(symbolMm(tree.trunkM, tree.touched), tree.trunkM * paper.perMetre);
    sizes.set(tree.row, size);
    return symbol(tree.verdict, tree.disposition, paper.x(tree.x), paper.y(tree.y), size);
  });
  const labels = placeTreeLabels({ ...job, scene: { ...job.scene, trees: shown } }, sizes);
  const line = (rings: readonly (readonly number[])[], dash: string, stroke: number): string =>
    `<path d="${ringsPath(paper.shownRings(rings))}" fill="none" stroke="${INK}" stroke-width="${stroke}" stroke-dasharray="${dash}"/>`;
  const buildable = siting.buildable.length === 0 ? '' : line(ground.rings(siting.buildable), '.6 .9', 0.3);
  return {
    svg: `${drawn.map(({ svg }) => svg).join('\n')}${buildable}${line(other, '2 1', 0.5)}${arrow}${signs.join('')}${labels.svg}`,
    keys: drawn.flatMap(({ keys }) => keys),
    trees: shown,
  };
}

/** Outlines of the works that move, as they were measured. */
function outlinesOf(assessment: Assessment, rows: readonly number[], ground: Ground): number[][] {
  return rows.flatMap((row) => ground.rings(assessment.measured(row)));
}

/** The works at both places, and the zones of the trees for which it makes a difference. */
function extentOf(siting: Siting, place: PlacedFootprint, ground: Ground, rings: readonly (readonly number[])[]): Box {
  let box = boxOfPairs(rings.flat())!;
  for (const tree of changed(siting, place)) {
    const { treeLonLat, zones } = siting.before.job;
    const [x, y] = pairAt(ground.metres(treeLonLat.slice(tree.row * 2, tree.row * 2 + 2)));
    box = united(box, grown({ x0: x, y0: y, x1: x, y1: y }, zones.radiusM[tree.row]!))!;
  }
  return grown(box, 0.04 * Math.max(box.x1 - box.x0, box.y1 - box.y0));
}

/** Trees whose figures change between the works as drawn and a place; the worst change first. */
export function changed(siting: Siting, place: PlacedFootprint): TreeResult[] {
  const by = (row: number): number =>
    Math.abs((place.after.tree(row).overlapPct ?? 0) - (siting.before.tree(row).overlapPct ?? 0));
  return siting.trees
    .filter((row) => by(row) > 0.05 || siting.before.tree(row).verdict !== place.after.tree(row).verdict)
    .sort((a, b) => by(b) - by(a) || a - b)
    .map((row) => siting.before.tree(row));
}

/** From the middle of one set of corners to that of the other. */
function arrowOf(from: readonly (readonly number[])[], to: readonly (readonly number[])[], paper: Paper): string {
  const middle = (rings: readonly (readonly number[])[]): readonly [number, number] => {
    const flat = rings.flat();
    const sum = (first: number): number =>
      flat.reduce((total, v, i) => (i % 2 === first ? total + v : total), 0) / (flat.length / 2);
    return [paper.x(sum(0)), paper.y(sum(1))];
  };
  const [[x0, y0], [x1, y1]] = [middle(from), middle(to)];
  const length = Math.hypot(x1 - x0, y1 - y0);
  if (length < 1.5) return '';
  const [ux, uy] = [(x1 - x0) / length, (y1 - y0) / length];
  const [bx, by] = [x1 - ux * 2.2, y1 - uy * 2.2];
  return (
    `<path d="M${mm(x0)},${mm(y0)}L${mm(bx)},${mm(by)}" stroke="#ffffff" stroke-width="1.4"/>` +
    `<path d="M${mm(x0)},${mm(y0)}L${mm(bx)},${mm(by)}" stroke="${INK}" stroke-width=".6"/>` +
    `<path d="M${mm(x1)},${mm(y1)}L${mm(bx - uy * 1.1)},${mm(by + ux * 1.1)} ${mm(bx + uy * 1.1)},${mm(by - ux * 1.1)}z" fill="${INK}" stroke="#ffffff" stroke-width=".2"/>`
  );
}

/** The name of a tree, short enough for a table. */
export function nameOf(tree: TreeResult): string {
  return cut(tree.key, 40);
}
