// Assessment -> the plan drawing. In: an assessment, sheet, scale, units; out: SVG in millimetres of the sheet, true to scale.
// Terms: window = where the ground is drawn; strip = legend, scale bar, north arrow and title block below it;
// bare = without the sheet's margin, for a page that has margins of its own. Up is true north.

import type { Assessment, TreeShapes } from '../../model/index.js';
import { InputError, isGoing, isOver, VERDICTS } from '../../model/index.js';
import { counted } from '../../text/index.js';
import { shownWords } from '../../write/index.js';
import { DRAWINGS, type Drawing, shows } from '../drawing/drawings.js';
import { drawLegend, legendOf, legendSize } from '../drawing/furniture.js';
import { type Box, united } from '../drawing/ground.js';
import { placeTreeLabels } from '../drawing/labelling.js';
import { type Detail, type DrawJob, detailOf, hasLabels, type Key, LAYERS, spacingMm } from '../drawing/layers.js';
import { DRAWING_CSS, type Mark } from '../drawing/palette.js';
import { Paper } from '../drawing/paper.js';
import { type Scene, type SceneTree, sceneOf } from '../drawing/scene.js';
import { mm } from '../drawing/svg.js';
import { drawSymbols, signsOf } from '../drawing/symbol-layer.js';
import { type PlanOptions, titleOf, unitsOf } from '../options.js';
import { esc } from '../text.js';
import { fits, fittingScale, type Scale, type Sheet, scaleNamed, sheetsNamed } from './sheet.js';
import { blockMm, drawBlock, type SheetPlace, type TitleBlock } from './title-block.js';

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

/** One sheet of a drawing: what it shows, and which ground of the site. */
export interface SheetView {
  readonly drawing: Drawing;
  /** The ground in the middle of the sheet; null: all of it. */
  readonly shown: Box | null;
  readonly place: SheetPlace | null;
  /** What lies over the ground: match lines. */
  over(paper: Paper): string;
}

export const WHOLE: SheetView = { drawing: 'all', shown: null, place: null, over: () => '' };

/** Draws the plan; null when no tree has a position. */
export function drawPlan(
  assessment: Assessment,
  options: PlanOptions,
  bare: boolean,
  view: SheetView = WHOLE,
): PlanDrawing | null {
  const all = sceneOf(assessment);
  return all === null ? null : drawScene(assessment, all, options, bare, view);
}

/** The same of a scene that is made already: sheets of one drawing share it. */
export function drawScene(
  assessment: Assessment,
  all: Scene,
  options: PlanOptions,
  bare: boolean,
  view: SheetView,
): PlanDrawing {
  const scene = view.shown === null ? all : { ...all, trees: all.trees.filter((tree) => reaches(tree, view.shown!)) };
  const detail = detailOf(all.trees.length);
  const entries = expectedLegend(assessment, all, detail);
  const { sheet, scale, window, strip } = layoutOf(all, options, entries.length, bare, view.shown !== null);
  const paper = new Paper(view.shown ?? scene.extent, scale.ratio, window.x1 - window.x0, window.y1 - window.y0);
  const spacing = spacingMm(all.trees, paper);
  const { drawing } = view;
  const job: DrawJob = { assessment, scene, paper, detail, spacing, drawing, shapes: cached(assessment) };
  const drawn = LAYERS.filter(({ role }) => shows(drawing, role)).map((layer) => layer.draw(job));
  const symbols = drawSymbols(job);
  const labels = placeTreeLabels(job, symbols.sizes);
  const keys = new Set(drawn.flatMap((layer) => layer.keys));
  const legend = legendOf(
    keys,
    verdictsOf(scene),
    new Set(scene.trees.map((tree) => tree.disposition)),
    symbols.keys,
    drawing === 'existing',
  );
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
    view,
    focus: focusOf(scene, paper),
    labelsLeftOut: labels.leftOut,
    labelled: hasLabels(spacing) && detail !== 'symbols',
  };
  const ground = `${drawn.map((layer) => layer.svg).join('\n')}\n${symbols.svg}\n${view.over(paper)}\n${labels.svg}`;
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
  readonly view: SheetView;
  /** Where the trees that matter stand, on the window. */
  readonly focus: Box | null;
  readonly labelsLeftOut: number;
  readonly labelled: boolean;
}

/**
 * The sheet that lies as fits best, its window and its strip. A scale that is asked for must fit; on a page, which shows the
 * whole site on one sheet, one that does not is for the sheets of the plan.
 */
function layoutOf(
  scene: Scene,
  options: PlanOptions,
  entries: number,
  bare: boolean,
  isCut: boolean,
): Pick<Frame, 'sheet' | 'scale' | 'window' | 'strip'> {
  const asked = options.scale === undefined ? null : scaleNamed(options.scale);
  const ground = groundOf(scene);
  const laid = laidOut(scene, options, entries, bare);
  const best = laid.reduce((a, b) => (b.scale.ratio < a.scale.ratio ? b : a));
  if (asked === null) return best;
  if (isCut) return { ...laid[0]!, scale: asked };
  const fitting = laid.find(({ room }) => fits(asked, ground, room));
  if (fitting === undefined && bare) return best;
  if (fitting === undefined) {
    const message = `at ${asked.label} the site does not fit on ${best.sheet.name}`;
    throw new InputError('scale-too-large', message, {
      cure: `leave --scale out (${best.scale.label} fits), or choose a larger sheet with --sheet`,
      usage: true,
    });
  }
  return { ...fitting, scale: asked };
}

function groundOf({ extent: { x0, y0, x1, y1 } }: Scene): { readonly widthM: number; readonly heightM: number } {
  return { widthM: x1 - x0, heightM: y1 - y0 };
}

/** Each way the sheet may lie: its window, its strip, and the largest scale at which everything fits. */
function laidOut(scene: Scene, options: PlanOptions, entries: number, bare: boolean) {
  const units = unitsOf(options);
  const ground = groundOf(scene);
  return sheetsNamed(options.sheet ?? (units === 'us' ? 'tabloid' : 'A3')).map((sheet) => {
    const margin = bare ? EDGE_MM : MARGIN_MM;
    const width = sheet.widthMm - 2 * MARGIN_MM - (bare ? 2 * EDGE_MM : 0);
    const height = sheet.heightMm - 2 * MARGIN_MM - (bare ? 2 * EDGE_MM : 0);
    const stripMm = PAD_MM * 3 + legendSize(entries, width - 2 * PAD_MM).heightMm + blockMm(options.packet);
    const window = { x0: margin, y0: margin, x1: margin + width, y1: margin + height - stripMm };
    const strip = { x0: margin, y0: window.y1, x1: margin + width, y1: margin + height };
    const room = { widthMm: width, heightMm: window.y1 - window.y0 };
    return { sheet, window, strip, room, scale: fittingScale(ground, room, units) };
  });
}

/** Room for the ground on each way a sheet may lie, mm: the first is the one a site is cut for. */
export function roomFor(
  assessment: Assessment,
  scene: Scene,
  options: PlanOptions,
): readonly { readonly widthMm: number; readonly heightMm: number }[] {
  const entries = expectedLegend(assessment, scene, detailOf(scene.trees.length));
  return laidOut(scene, options, entries.length, false).map(({ room }) => room);
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
  return legendOf(keys, verdictsOf(scene), new Set(scene.trees.map((tree) => tree.disposition)), signsOf(scene.trees));
}

function verdictsOf(scene: Scene): Mark[] {
  const seen = new Set(scene.trees.map((tree) => tree.verdict));
  return [...VERDICTS, 'none' as const].filter((mark) => seen.has(mark));
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
  const blockY = strip.y1 - PAD_MM - blockMm(options.packet);
  const { trees } = assessment.counts;
  const title = titleOf(assessment, options);
  // In a page the page's own style sheet serves; a file of its own carries it.
  const about = `${title}: ${counted(assessment.shown?.count ?? trees.in, 'tree')}, ${scale.label} on ${sheet.name}`;
  const own = bare ? '' : `<style>${DRAWING_CSS}</style>`;
  const stamp = options.stamp === undefined ? '' : stampUnder(options.stamp, paper.window);
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" class="rb-draw" width="${mm(width)}mm" height="${mm(height)}mm" viewBox="0 0 ${mm(width)} ${mm(height)}" role="img" aria-label="${esc(about)}">`,
    `<title>${esc(about)}</title>${own}<defs>${symbolDefs}</defs>`,
    `<rect width="${mm(width)}" height="${mm(height)}" fill="#ffffff"/>`,
    `<svg x="${mm(window.x0)}" y="${mm(window.y0)}" width="${mm(window.x1 - window.x0)}" height="${mm(window.y1 - window.y0)}" viewBox="0 0 ${mm(paper.window.x1)} ${mm(paper.window.y1)}"${focusAttribute(frame)}>`,
    stamp,
    ground,
    '</svg>',
    `<path class="rb-frame" d="M${mm(window.x0)},${mm(window.y0)}H${mm(window.x1)}V${mm(strip.y1)}H${mm(window.x0)}zM${mm(window.x0)},${mm(window.y1)}H${mm(window.x1)}"/>`,
    `<g transform="translate(${mm(strip.x0 + PAD_MM)} ${mm(strip.y0 + PAD_MM)})">${drawLegend(legend, inner)}</g>`,
    legendMm === 0
      ? ''
      : `<path d="M${mm(strip.x0)},${mm(blockY - PAD_MM / 2)}H${mm(strip.x1)}" stroke="#1b1b1f" stroke-width=".15"/>`,
    `<g transform="translate(${mm(strip.x0 + PAD_MM)} ${mm(blockY)})">${drawBlock(titleBlock(frame), inner)}</g>`,
    '</svg>\n',
  ].join('\n');
}

function titleBlock(frame: Frame): TitleBlock {
  const { assessment, options, paper, sheet, scale, scene, view } = frame;
  return {
    assessment,
    title: titleOf(assessment, options),
    subtitle: view.drawing === 'all' ? '' : DRAWINGS[view.drawing].title,
    stamp: options.stamp,
    packet: options.packet,
    units: unitsOf(options),
    paper,
    sheet,
    scale,
    gridNorth: gridNorthOf(frame),
    notes: [
      ...labelWords(frame),
      ...(assessment.shown === undefined ? [] : [shownWords(assessment)]),
      ...(scene.astray.length === 0 ? [] : [`Trees that lie too far away to be drawn: ${scene.astray.length}.`]),
    ],
    place: view.place,
  };
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

/** Whether a tree's sign or zone comes into a box. */
function reaches({ x, y, radiusM }: SceneTree, { x0, y0, x1, y1 }: Box): boolean {
  return x + radiusM >= x0 && x - radiusM <= x1 && y + radiusM >= y0 && y - radiusM <= y1;
}

/** The part of the window that holds the trees over their limit that are to be kept, of the window's own shape. */
function focusOf(scene: Scene, paper: Paper): Box | null {
  let box: Box | null = null;
  for (const { x, y, radiusM, verdict, disposition } of scene.trees) {
    if (verdict === 'none' || !isOver(verdict) || isGoing(disposition)) continue;
    const r = radiusM * paper.perMetre;
    const own = { x0: paper.x(x) - r, y0: paper.y(y) - r, x1: paper.x(x) + r, y1: paper.y(y) + r };
    box = united(box, own);
  }
  return box;
}

/** A narrow screen opens on it: the page's script makes it the view box, and gives the whole back on a press. */
function focusAttribute({ focus, bare, paper: { window } }: Frame): string {
  if (!bare || focus === null) return '';
  const wide = Math.max((focus.x1 - focus.x0) / window.x1, (focus.y1 - focus.y0) / window.y1, 0.25) * 1.1;
  if (wide >= 0.8) return '';
  const [w, h] = [window.x1 * wide, window.y1 * wide];
  const x = Math.min(Math.max((focus.x0 + focus.x1) / 2 - w / 2, 0), window.x1 - w);
  const y = Math.min(Math.max((focus.y0 + focus.y1) / 2 - h / 2, 0), window.y1 - h);
  return ` class="rb-ground-view" data-focus="${mm(x)} ${mm(y)} ${mm(w)} ${mm(h)}"`;
}
