// Assessment -> the plan drawing. In: an assessment, sheet, scale, units; out: SVG in millimetres of the sheet, true to scale.
// Terms: window = where the ground is drawn; strip = legend, scale bar, north arrow and title block below it;
// bare = without the sheet's margin, for a page that has margins of its own. Up is true north.

import type { Assessment, TreeShapes, Verdict } from '../model/index.js';
import { InputError, VERDICTS } from '../model/index.js';
import { counted } from '../text/index.js';
import { shownWords } from '../write/index.js';
import { drawLegend, drawLines, drawNorth, drawScaleBar, legendOf, legendSize, northWords } from './furniture.js';
import type { Box } from './ground.js';
import { placeTreeLabels } from './labelling.js';
import { type Detail, type DrawJob, detailOf, hasLabels, type Key, LAYERS, spacingMm } from './layers.js';
import { NOT_A_VERDICT, type PlanOptions, TITLE, unitsOf } from './options.js';
import { DRAWING_CSS } from './palette.js';
import { Paper } from './paper.js';
import { type Scene, sceneOf } from './scene.js';
import { fits, fittingScale, type Scale, type Sheet, scaleNamed, sheetsNamed } from './sheet.js';
import { mm } from './svg.js';
import { drawSymbols } from './symbol-layer.js';
import { esc } from './text.js';

/** A drawing and what a page needs to know of it. */
export interface PlanDrawing {
  readonly svg: string;
  readonly sheet: Sheet;
  readonly scale: Scale;
  readonly detail: Detail;
  /** Trees without a label because there is no room; all of them where they stand too near to each other. */
  readonly labelsLeftOut: number;
  readonly offSheet: readonly string[]; // trees that lie too far away to be drawn
}

const MARGIN_MM = 10;
/** Kept free round a bare drawing, so that its frame is not a page's very edge, which printing cuts. */
const EDGE_MM = 0.5;
const PAD_MM = 2.5;
const BLOCK_MM = 24; // height of scale bar, north arrow and title

/** Draws the plan; null when no tree has a position. */
export function drawPlan(assessment: Assessment, options: PlanOptions, bare: boolean): PlanDrawing | null {
  const scene = sceneOf(assessment);
  if (scene === null) return null;
  const detail = detailOf(scene.trees.length);
  const entries = expectedLegend(assessment, scene, detail);
  const { sheet, scale, window, strip } = layoutOf(scene, options, entries.length, bare);
  const paper = new Paper(scene.extent, scale.ratio, window.x1 - window.x0, window.y1 - window.y0);
  const spacing = spacingMm(scene.trees, paper);
  const job: DrawJob = { assessment, scene, paper, detail, spacing, shapes: cached(assessment) };
  const drawn = LAYERS.map((layer) => layer.draw(job));
  const symbols = drawSymbols(job);
  const labels = placeTreeLabels(job, symbols.sizes);
  const keys = new Set(drawn.flatMap((layer) => layer.keys));
  const legend = legendOf(keys, verdictsOf(scene), new Set(scene.trees.map((tree) => tree.disposition)));
  const frame: Frame = {
    assessment,
    scene,
    options,
    sheet,
    scale,
    window,
    strip,
    paper,
    bare,
    labelsLeftOut: labels.leftOut,
    labelled: hasLabels(spacing) && detail !== 'symbols',
  };
  const ground = `${drawn.map((layer) => layer.svg).join('\n')}\n${symbols.svg}\n${labels.svg}`;
  return {
    svg: assembled(frame, ground, symbols.defs, legend),
    sheet,
    scale,
    detail,
    labelsLeftOut: labels.leftOut,
    offSheet: scene.astray.map((row) => assessment.tree(row).key),
  };
}

interface Frame {
  readonly assessment: Assessment;
  readonly scene: Scene;
  readonly options: PlanOptions;
  readonly sheet: Sheet;
  readonly scale: Scale;
  readonly window: Box;
  readonly strip: Box;
  readonly paper: Paper;
  readonly bare: boolean;
  readonly labelsLeftOut: number;
  readonly labelled: boolean;
}

/** The sheet that lies as fits best, its window and its strip. A scale that is asked for must fit. */
function layoutOf(
  scene: Scene,
  options: PlanOptions,
  entries: number,
  bare: boolean,
): Pick<Frame, 'sheet' | 'scale' | 'window' | 'strip'> {
  const units = unitsOf(options);
  const asked = options.scale === undefined ? null : scaleNamed(options.scale);
  const { x0, y0, x1, y1 } = scene.extent;
  const ground = { widthM: x1 - x0, heightM: y1 - y0 };
  const laid = sheetsNamed(options.sheet ?? (units === 'us' ? 'tabloid' : 'A3')).map((sheet) => {
    const margin = bare ? EDGE_MM : MARGIN_MM;
    const width = sheet.widthMm - 2 * MARGIN_MM - (bare ? 2 * EDGE_MM : 0);
    const height = sheet.heightMm - 2 * MARGIN_MM - (bare ? 2 * EDGE_MM : 0);
    const stripMm = PAD_MM * 3 + legendSize(entries, width - 2 * PAD_MM).heightMm + BLOCK_MM;
    const window = { x0: margin, y0: margin, x1: margin + width, y1: margin + height - stripMm };
    const strip = { x0: margin, y0: window.y1, x1: margin + width, y1: margin + height };
    const room = { widthMm: width, heightMm: window.y1 - window.y0 };
    return { sheet, window, strip, room, scale: fittingScale(ground, room, units) };
  });
  const best = laid.reduce((a, b) => (b.scale.ratio < a.scale.ratio ? b : a));
  if (asked === null) return best;
  const fitting = laid.find(({ room }) => fits(asked, ground, room));
  if (fitting === undefined) {
    const message = `at ${asked.label} the site does not fit on ${best.sheet.name}`;
    throw new InputError('scale-too-large', message, {
      cure: `leave --scale out (${best.scale.label} fits), or choose a larger sheet with --sheet`,
      usage: true,
    });
  }
  return { ...fitting, scale: asked };
}

/** The most that the legend can hold, known before anything is drawn. */
function expectedLegend(assessment: Assessment, scene: Scene, detail: Detail): readonly unknown[] {
  const keys = new Set<Key>(
    detail === 'symbols' ? [] : ['zone', 'overlap', 'severed', 'crown', 'fence', 'gate', 'ground'],
  );
  if (assessment.rule.rings.length > 0 && detail !== 'symbols') keys.add('ring');
  if (assessment.job.lots !== null) keys.add('lot');
  for (const { kind, counted } of assessment.eachWorks())
    keys.add(counted === 'false' ? `works:${kind}:off` : `works:${kind}`);
  if (assessment.inputs.some(({ role }) => role === 'existing')) keys.add('existing');
  return legendOf(keys, verdictsOf(scene), new Set(scene.trees.map((tree) => tree.disposition)));
}

function verdictsOf(scene: Scene): Verdict[] {
  const seen = new Set(scene.trees.map((tree) => tree.verdict));
  return VERDICTS.filter((verdict) => seen.has(verdict));
}

/** Shapes of the trees asked for last: several layers ask for the same one. */
function cached(assessment: Assessment): (row: number) => TreeShapes {
  const held = new Map<number, TreeShapes>();
  return (row) => {
    const known = held.get(row);
    if (known !== undefined) return known;
    const shapes = assessment.shapes(row);
    held.set(row, shapes);
    return shapes;
  };
}

function assembled(frame: Frame, ground: string, symbolDefs: string, legend: ReturnType<typeof legendOf>): string {
  const { sheet, window, strip, paper, options, bare, assessment, scale } = frame;
  const margin = bare ? MARGIN_MM : 0;
  const width = sheet.widthMm - 2 * margin;
  const height = sheet.heightMm - 2 * margin;
  const inner = strip.x1 - strip.x0 - 2 * PAD_MM;
  const legendMm = legendSize(legend.length, inner).heightMm;
  const blockY = strip.y1 - PAD_MM - BLOCK_MM;
  const { trees } = assessment.counts;
  const title = options.title ?? TITLE;
  // In a page the page's own style sheet serves; a file of its own carries it.
  const about = `${title}: ${counted(assessment.shown?.count ?? trees.in, 'tree')}, ${scale.label} on ${sheet.name}`;
  const own = bare ? '' : `<style>${DRAWING_CSS}</style>`;
  const stamp = options.stamp === undefined ? '' : stampUnder(options.stamp, paper.window);
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" class="rb-draw" width="${mm(width)}mm" height="${mm(height)}mm" viewBox="0 0 ${mm(width)} ${mm(height)}" role="img" aria-label="${esc(about)}">`,
    `<title>${esc(about)}</title>${own}<defs>${symbolDefs}</defs>`,
    `<rect width="${mm(width)}" height="${mm(height)}" fill="#ffffff"/>`,
    `<svg x="${mm(window.x0)}" y="${mm(window.y0)}" width="${mm(window.x1 - window.x0)}" height="${mm(window.y1 - window.y0)}" viewBox="0 0 ${mm(paper.window.x1)} ${mm(paper.window.y1)}">`,
    stamp,
    ground,
    '</svg>',
    `<path class="rb-frame" d="M${mm(window.x0)},${mm(window.y0)}H${mm(window.x1)}V${mm(strip.y1)}H${mm(window.x0)}zM${mm(window.x0)},${mm(window.y1)}H${mm(window.x1)}"/>`,
    `<g transform="translate(${mm(strip.x0 + PAD_MM)} ${mm(strip.y0 + PAD_MM)})">${drawLegend(legend, inner)}</g>`,
    legendMm === 0
      ? ''
      : `<path d="M${mm(strip.x0)},${mm(blockY - PAD_MM / 2)}H${mm(strip.x1)}" stroke="#1b1b1f" stroke-width=".15"/>`,
    `<g transform="translate(${mm(strip.x0 + PAD_MM)} ${mm(blockY)})">${block(frame, inner)}</g>`,
    '</svg>\n',
  ].join('\n');
}

/** Scale bar, north arrow, title. */
function block(frame: Frame, widthMm: number): string {
  const { paper, options, sheet, scale, assessment, scene } = frame;
  const units = unitsOf(options);
  const transform = assessment.job.treeTransform;
  const local = transform?.crs.kind === 'local';
  const grid = gridNorthOf(frame);
  const barMm = Math.min(70, widthMm * 0.34);
  const textX = barMm + 18;
  const notes = [
    `${scale.label} on ${sheet.name} (${mm(sheet.widthMm)} x ${mm(sheet.heightMm)} mm) when printed at 100 %.`,
    `${northWords(grid, transform?.crs.code ?? 'the survey', local)}. Lengths are true on the ground of the map's plane.`,
    ...labelWords(frame),
    ...(frame.assessment.shown === undefined ? [] : [shownWords(frame.assessment)]),
    ...(scene.astray.length === 0 ? [] : [`Trees that lie too far away to be drawn: ${scene.astray.length}.`]),
  ];
  const lines = [
    { text: options.title ?? TITLE, size: 4.2, bold: true },
    ...(options.stamp === undefined ? [] : [{ text: options.stamp.toUpperCase(), size: 3, bold: true }]),
    { text: `Rule: ${assessment.rule.title} (${assessment.rule.id})`, size: 2.6 },
    { text: notes.join(' '), size: 2.2 },
    { text: `${NOT_A_VERDICT} rootberth ${assessment.version}`, size: 2.2 },
  ];
  return (
    `<g transform="translate(1 1)">${drawScaleBar(paper.perMetre, units, barMm)}</g>` +
    `<text x="1" y="21.5" font-size="3" font-weight="bold">${esc(scale.label)}</text>` +
    `<g transform="translate(${mm(barMm + 8)} 3)">${drawNorth(grid, !local)}</g>` +
    `<g transform="translate(${mm(textX)} 0)">${drawLines(lines, widthMm - textX, BLOCK_MM)}</g>`
  );
}

/** What became of the labels. */
function labelWords({ labelsLeftOut, labelled }: Frame): string[] {
  if (!labelled)
    return ['Trees stand too near to each other for labels at this scale: see the schedule, or take a larger sheet.'];
  return labelsLeftOut === 0
    ? []
    : [`Trees without a label because there is no room: ${labelsLeftOut}; see the schedule.`];
}

/** Degrees from true north to the survey's grid north at the middle of the drawing; null where it is not projected. */
function gridNorthOf({ assessment, scene }: Frame): number | null {
  const transform = assessment.job.treeTransform;
  const tree = scene.trees[0];
  if (transform?.crs.kind !== 'projected' || tree === undefined) return null;
  const { treeLonLat } = assessment.job;
  return transform.convergence(treeLonLat[tree.row * 2]!, treeLonLat[tree.row * 2 + 1]!);
}

/** Words across the ground, below all that is drawn: what lies on them keeps its colour. */
function stampUnder(words: string, { x0, y0, x1, y1 }: Box): string {
  const size = Math.min((x1 - x0) / Math.max(words.length * 0.75, 1), 26);
  const x = mm((x0 + x1) / 2);
  const y = mm((y0 + y1) / 2);
  return `<text x="${x}" y="${y}" font-size="${mm(size)}" font-weight="bold" text-anchor="middle" fill-opacity=".13" transform="rotate(-20 ${x} ${y})">${esc(words.toUpperCase())}</text>`;
}
