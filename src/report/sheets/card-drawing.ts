// The drawing of one tree's card. In: an assessment and a tree; out: SVG to scale: zone, rings, works, what is taken and
// cut off, the line to the nearest works with its figure. Terms: as in plan.ts; up is true north.

import { pairAt } from '../../geometry/index.js';
import type { Assessment, TreeResult } from '../../model/index.js';
import type { Units } from '../../write/index.js';
import { drawScaleBar } from '../drawing/furniture.js';
import { Ground, grown } from '../drawing/ground.js';
import { backOf, worksLabels } from '../drawing/labelling.js';
import { Occupied, placeLabels } from '../drawing/labels.js';
import { type DrawJob, LAYERS, nearestLine } from '../drawing/layers.js';
import { markOf } from '../drawing/palette.js';
import { Paper } from '../drawing/paper.js';
import type { Scene, SceneTree } from '../drawing/scene.js';
import { spreadOf, spreadSvg } from '../drawing/spread.js';
import { circlePath, mm } from '../drawing/svg.js';
import { symbol } from '../drawing/symbols.js';
import type { Figures } from '../figures.js';
import { nearestWords } from '../page/words.js';
import { cut, esc, isolated, widthEm } from '../text.js';
import { fittingScale, type Scale } from './sheet.js';

const SIDE_MM = 84;
const FOOT_MM = 21;
/** Ground shown on every side of a tree without a zone. */
const AROUND_M = 6;

export interface CardDrawing {
  readonly svg: string;
  readonly scale: Scale;
}

/** Draws the tree's surroundings; null for a tree without a position. */
export function drawCard(assessment: Assessment, tree: TreeResult, figures: Figures, units: Units): CardDrawing | null {
  const { job } = assessment;
  const lon = job.treeLonLat[tree.row * 2]!;
  const lat = job.treeLonLat[tree.row * 2 + 1]!;
  const radiusM = tree.zoneRadiusM ?? 0;
  if (!Number.isFinite(lon) || !Number.isFinite(lat)) return null;
  const ground = Ground.at(assessment, lon, lat);
  const [x, y] = pairAt(ground.metres(Float64Array.of(lon, lat)));
  const trunk = job.zones.trunkRadiusM[tree.row] ?? Number.NaN;
  const drawn: SceneTree = {
    row: tree.row,
    x,
    y,
    radiusM,
    trunkM: Number.isFinite(trunk) ? trunk : 0,
    verdict: markOf(tree.verdict),
    disposition: tree.disposition,
    isProtected: tree.isProtected === true,
    category: null,
    touched: true,
    spread: spreadOf(assessment, tree),
  };
  const extent = grown({ x0: x, y0: y, x1: x, y1: y }, tree.zoneRadiusM === null ? AROUND_M : radiusM * 1.12);
  const size = extent.x1 - extent.x0;
  const scale = fittingScale({ widthM: size, heightM: size }, { widthMm: SIDE_MM, heightMm: SIDE_MM }, units);
  const paper = new Paper(extent, scale.ratio, SIDE_MM, SIDE_MM);
  const scene: Scene = { ground, trees: [drawn], astray: [], extent };
  const shapes = assessment.shapes(tree.row);
  const drawJob: DrawJob = {
    assessment,
    scene,
    paper,
    detail: 'full',
    spacing: 100,
    drawing: 'all',
    shapes: () => shapes,
  };
  const layers = LAYERS.map((layer) => layer.draw(drawJob).svg).join('');
  const trunkMm = Math.max(drawn.trunkM * paper.perMetre, 1.4);
  const svg = [
    `<svg class="rb-draw rb-card" width="${SIDE_MM}mm" viewBox="0 0 ${SIDE_MM} ${SIDE_MM + FOOT_MM}" role="img" aria-label="${esc(`Tree ${cut(tree.key, 80)} at ${scale.label}`)}">`,
    `<rect width="${SIDE_MM}" height="${SIDE_MM + FOOT_MM}" fill="#ffffff"/>`,
    `<svg width="${SIDE_MM}" height="${SIDE_MM}" viewBox="0 0 ${SIDE_MM} ${SIDE_MM}">${layers}`,
    labelled(drawJob, tree, drawn, trunkMm, figures),
    '</svg>',
    `<path class="rb-frame" d="M.2,.2h${SIDE_MM - 0.4}v${SIDE_MM + FOOT_MM - 0.4}h${0.4 - SIDE_MM}zM0,${SIDE_MM}h${SIDE_MM}"/>`,
    `<g transform="translate(2 ${SIDE_MM + 1})">${drawScaleBar(paper.perMetre, units, 56)}</g>`,
    `<text x="${SIDE_MM - 2}" y="${SIDE_MM + 5}" font-size="3" text-anchor="end">${esc(scale.label)}</text>`,
    `<text x="${SIDE_MM - 2}" y="${SIDE_MM + 9}" font-size="2.5" text-anchor="end">${job.treeTransform?.crs.kind === 'local' ? 'up: grid north' : 'up: true north'}</text>`,
    '</svg>',
  ].join('');
  return { svg, scale };
}

/** The trunk, the line to the nearest works and its figure, names of the works. */
function labelled(job: DrawJob, tree: TreeResult, drawn: SceneTree, trunkMm: number, figures: Figures): string {
  const { paper } = job;
  const cx = paper.x(drawn.x);
  const cy = paper.y(drawn.y);
  const occupied = new Occupied();
  occupied.add({ x0: cx - trunkMm, y0: cy - trunkMm, x1: cx + trunkMm, y1: cy + trunkMm });
  const bearing = tree.nearestBearing ?? tree.nearestGridBearing;
  let line = '';
  let text = '';
  let back = '';
  if (tree.nearestM !== null && tree.nearestM > 0 && bearing !== null && bearing !== undefined) {
    const dx = tree.nearestM * Math.sin((bearing * Math.PI) / 180);
    const dy = tree.nearestM * Math.cos((bearing * Math.PI) / 180);
    line = nearestLine(paper, drawn, dx, dy);
    const end = { x: paper.x(drawn.x + dx), y: paper.y(drawn.y + dy) };
    if (end.x > 0 && end.y > 0 && end.x < paper.window.x1 && end.y < paper.window.y1) {
      line += `<path d="${circlePath(end.x, end.y, 0.6)}" fill="#1b1b1f"/>`;
    }
    const words = nearestWords(tree, figures);
    const wish = {
      x: (cx + end.x) / 2,
      y: (cy + end.y) / 2,
      clearMm: 0.8,
      widthMm: widthEm(words) * 2.8,
      heightMm: 2.5,
    };
    const [place] = placeLabels([wish], paper.window, occupied);
    if (place) {
      const { box } = place;
      back = backOf([box]);
      text = `<text x="${mm((box.x0 + box.x1) / 2)}" y="${mm((box.y0 + box.y1) / 2 + 1)}" font-size="2.8" font-weight="bold">${esc(isolated(words))}</text>`;
    }
  }
  const sign = symbol(markOf(tree.verdict), tree.disposition, cx, cy, trunkMm) + spreadSvg(drawn, paper);
  return `${line}${sign}${worksLabels(job, occupied)}${back}<g class="rb-lab" text-anchor="middle">${text}</g>`;
}
