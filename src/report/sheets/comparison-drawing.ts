// Two submissions side by side. In: a comparison and the ground to show; out: SVG in millimetres: the plan before and the plan
// after, on the same ground at the same scale, with legend and scale bar. Terms: mark = a broken circle round a tree that is
// not the same in both, or a thick outline of works that are not; the arrow leads from where something stood to where it is.
// The signs, hatches and colours are those of the plan (palette.ts, symbols.ts).

import {
  type Comparison,
  type LonLatPolygons,
  type Submission,
  type SubmittedTree,
  type SubmittedWorks,
  VERDICTS,
  type WorksKind,
} from '../../model/index.js';
import type { Units } from '../../write/index.js';
import { drawLegend, drawScaleBar, legendOf, legendSize } from '../drawing/furniture.js';
import { type Box, boxOfPairs, Ground, grown, holds, mainBox, united } from '../drawing/ground.js';
import { backOf } from '../drawing/labelling.js';
import { type LabelWish, Occupied, placeLabels } from '../drawing/labels.js';
import { detailOf } from '../drawing/layers.js';
import { DRAWING_CSS, hatchOf, INK } from '../drawing/palette.js';
import { Paper } from '../drawing/paper.js';
import { circlePath, mm, ringsPath } from '../drawing/svg.js';
import { NO_SIGNS } from '../drawing/symbol-layer.js';
import { dotSymbol, symbol, symbolMm } from '../drawing/symbols.js';
import { cut, esc, isolated, widthEm } from '../text.js';
import { fittingScale, type Scale } from './sheet.js';

const SIDE_MM = 128;
/** The window is as high as what it shows, within these. */
const HIGH_MM = { least: 60, most: 150 };
const GAP_MM = 4;
const HEAD_MM = 9;
const BAR_MM = 20;
const LABEL_MM = 2.2;
/** Letters of a name on the drawing at most. */
const NAME_AT_MOST = 14;
/** Kinds of works from the bottom up, as the plan has them. */
const ORDER: readonly WorksKind[] = ['paving', 'compaction', 'fill', 'excavation', 'building', 'trench', 'bore'];

/** The plane of a comparison's drawings, and what there is on it. */
export interface ComparedGround {
  readonly ground: Ground;
  readonly all: Box;
  readonly changed: Box | null;
}

/** Null where nothing has a position. */
export function comparedGround(comparison: Comparison): ComparedGround | null {
  const { before, after } = comparison;
  const places = [...before.trees, ...after.trees].flatMap(({ lon, lat }) =>
    lon === null || lat === null ? [] : [lon, lat],
  );
  const shapes = [...before.works, ...after.works].map(({ shape }) => shape);
  const first = places.length > 0 ? ([places[0]!, places[1]!] as const) : shapes.flat()[0]?.[0]?.[0];
  if (first === undefined) return null;
  const frame = comparison.frameAt(first[0], first[1]);
  const ground = new Ground(frame, frame.convergenceAt(first[0], first[1]));
  const xy = ground.metres(Float64Array.from(places));
  const kept = mainBox(xy);
  let all: Box | null = null;
  for (const tree of [...before.trees, ...after.trees]) {
    const box = treeBox(tree, ground);
    if (box !== null && (kept === null || holds(kept, (box.x0 + box.x1) / 2, (box.y0 + box.y1) / 2)))
      all = united(all, box);
  }
  for (const shape of shapes) {
    const box = boxOfPairs(ground.rings(shape).flat());
    if (box !== null && (kept === null || holds(kept, box.x0, box.y0))) all = united(all, box);
  }
  if (all === null) return null;
  return { ground, all: wider(all), changed: changedBox(comparison, ground) };
}

function wider(box: Box): Box {
  return grown(box, 0.02 * Math.max(box.x1 - box.x0, box.y1 - box.y0) + 0.5);
}

function treeBox({ lon, lat, zoneRadiusM }: SubmittedTree, ground: Ground): Box | null {
  if (lon === null || lat === null) return null;
  const [x = 0, y = 0] = ground.metres(Float64Array.of(lon, lat));
  return grown({ x0: x, y0: y, x1: x, y1: y }, zoneRadiusM ?? 1);
}

function changedBox({ trees, works }: Comparison, ground: Ground): Box | null {
  let box: Box | null = null;
  for (const { before, after } of trees) {
    for (const tree of [before, after]) if (tree !== null) box = united(box, treeBox(tree, ground));
  }
  for (const { before, after } of works) {
    for (const one of [before, after]) box = united(box, boxOfPairs(ground.rings(one?.shape ?? []).flat()));
  }
  return box === null ? null : wider(box);
}

export interface ComparedDrawing {
  readonly svg: string;
  readonly scale: Scale;
}

/** Both plans on one piece of ground. */
export function drawCompared(comparison: Comparison, ground: Ground, extent: Box, units: Units): ComparedDrawing {
  const size = { widthM: extent.x1 - extent.x0, heightM: extent.y1 - extent.y0 };
  const scale = fittingScale(size, { widthMm: SIDE_MM, heightMm: HIGH_MM.most }, units);
  const needed = Math.ceil((size.heightM * 1000) / scale.ratio);
  const high = Math.min(Math.max(needed, HIGH_MM.least), HIGH_MM.most);
  const paper = new Paper(extent, scale.ratio, SIDE_MM, high);
  const sides = (['before', 'after'] as const).map((side) => sideOf(comparison, side, ground, paper));
  const shown = sides.flatMap(({ trees }) => trees);
  const verdicts = VERDICTS.filter((verdict) => shown.some((tree) => tree.verdict === verdict));
  const keys = new Set(sides.flatMap((side) => side.keys));
  const legend = legendOf(keys, verdicts, new Set(shown.map(({ disposition }) => disposition)), NO_SIGNS);
  const width = SIDE_MM * 2 + GAP_MM;
  const legendMm = legendSize(legend.length, width).heightMm;
  const height = HEAD_MM + high + BAR_MM + legendMm + 4;
  const windows = sides.map(({ svg, head }, i) => {
    const x = i * (SIDE_MM + GAP_MM);
    return (
      `<text x="${x + 1}" y="${HEAD_MM - 3}" font-size="4" font-weight="bold">${esc(head)}</text>` +
      `<svg x="${x}" y="${HEAD_MM}" width="${SIDE_MM}" height="${high}" viewBox="0 0 ${SIDE_MM} ${high}">${svg}</svg>` +
      `<path class="rb-frame" d="M${x + 0.2},${HEAD_MM + 0.2}h${SIDE_MM - 0.4}v${high - 0.4}h${0.4 - SIDE_MM}z"/>`
    );
  });
  const up = comparison.system === null ? 'up: true north' : 'up: grid north';
  const note = `${scale.label}, ${up}. Broken circles and thick outlines: not the same in both.`;
  const about = `The plan before and the plan after, side by side at ${scale.label}`;
  const svg = [
    `<svg xmlns="http://www.w3.org/2000/svg" class="rb-draw" width="${width}mm" height="${mm(height)}mm" viewBox="0 0 ${width} ${mm(height)}" role="img" aria-label="${esc(about)}">`,
    `<style>${DRAWING_CSS}</style>`,
    `<rect width="${width}" height="${mm(height)}" fill="#ffffff"/>`,
    ...windows,
    `<g transform="translate(1 ${HEAD_MM + high + 3})">${drawScaleBar(paper.perMetre, units, 70)}</g>`,
    `<text x="84" y="${HEAD_MM + high + 7}" font-size="2.8">${esc(note)}</text>`,
    `<g transform="translate(1 ${HEAD_MM + high + BAR_MM + 1})">${drawLegend(legend, width - 2)}</g>`,
    '</svg>\n',
  ].join('\n');
  return { svg, scale };
}

interface PlacedTree extends SubmittedTree {
  readonly x: number; // millimetres of the window
  readonly y: number;
  readonly sizeMm: number;
  readonly isChanged: boolean;
}

interface Side {
  readonly svg: string;
  readonly head: string;
  readonly keys: readonly string[];
  readonly trees: readonly PlacedTree[];
}

function sideOf(comparison: Comparison, side: 'before' | 'after', ground: Ground, paper: Paper): Side {
  const file = comparison[side];
  const keys: string[] = [];
  const draw = new SideLayers(file, ground, paper, keys);
  const isFull = detailOf(file.trees.length) !== 'symbols';
  const trees = placedTrees(comparison, side, ground, paper, isFull);
  const parts = [draw.lots(), draw.existing(), draw.works()];
  if (isFull) parts.push(draw.zones(trees), draw.taken('overlap'), draw.taken('severed'));
  parts.push(marksOfWorks(comparison, side, draw));
  parts.push(
    trees.map((tree) => signOf(tree, isFull)).join(''),
    trees
      .filter((tree) => tree.isChanged)
      .map(markOf)
      .join(''),
  );
  if (side === 'after') parts.push(arrows(comparison, ground, paper));
  parts.push(labels(trees, paper.window));
  const stamp = file.stamp === null ? '' : ` (${file.stamp})`;
  const head = `${side === 'before' ? 'Before' : 'After'}: ${cut(file.name, 44)}${stamp}`;
  return { svg: parts.join('\n'), head, keys, trees };
}

/** Layers of one side under the trees. */
class SideLayers {
  readonly #file: Submission;
  readonly #ground: Ground;
  readonly #paper: Paper;
  readonly #keys: string[];

  constructor(file: Submission, ground: Ground, paper: Paper, keys: string[]) {
    [this.#file, this.#ground, this.#paper, this.#keys] = [file, ground, paper, keys];
  }

  rings(shape: LonLatPolygons): number[][] {
    return this.#paper.shownRings(this.#ground.rings(shape));
  }

  #path(css: string, key: string, shapes: readonly number[][][], hatch: string): string {
    const d = shapes.map(ringsPath).join('');
    if (d === '') return '';
    this.#keys.push(key);
    return `<path class="rb-${css}" d="${d}"/>${hatch}`;
  }

  lots(): string {
    return this.#path(
      'lot',
      'lot',
      this.#file.lots.map((shape) => this.rings(shape)),
      '',
    );
  }

  existing(): string {
    const shapes = this.#file.existing.filter(({ counted }) => counted).map(({ shape }) => this.rings(shape));
    return this.#path('existing', 'existing', shapes, hatchOf('existing', shapes));
  }

  works(): string {
    const drawn = ORDER.flatMap((kind) => {
      const of = this.#file.works.filter((one) => one.kind === kind);
      const shapes = (counted: boolean) =>
        of.filter((one) => one.counted === counted).map(({ shape }) => this.rings(shape));
      const there = shapes(true);
      return [
        this.#path(`${kind} rb-off`, `works:${kind}:off`, shapes(false), ''),
        this.#path(kind, `works:${kind}`, there, hatchOf(kind, there)),
      ];
    });
    return `<g class="rb-works">${drawn.join('')}</g>`;
  }

  zones(trees: readonly PlacedTree[]): string {
    const parts = trees.flatMap(({ row, x, y, zoneRadiusM, touched }) => {
      const drawn = this.#file.zones.get(row);
      const light = touched ? '' : ' stroke-opacity=".6"';
      if (drawn !== undefined) return [`<path d="${ringsPath(this.rings(drawn))}"${light}/>`];
      if (zoneRadiusM === null) return [];
      return [`<path d="${circlePath(x, y, zoneRadiusM * this.#paper.perMetre)}"${light}/>`];
    });
    if (parts.length === 0) return '';
    this.#keys.push('zone');
    return `<g class="rb-zone">${parts.join('')}</g>`;
  }

  taken(role: 'overlap' | 'severed'): string {
    const file = role === 'overlap' ? this.#file.overlaps : this.#file.severed;
    const shapes = [...file.values()].map((shape) => this.rings(shape));
    return this.#path(role, role, shapes, hatchOf(role, shapes));
  }
}

function placedTrees(
  comparison: Comparison,
  side: 'before' | 'after',
  ground: Ground,
  paper: Paper,
  isFull: boolean,
): PlacedTree[] {
  const changed = new Set(comparison.trees.map((one) => one[side]?.row));
  return comparison[side].trees.flatMap((tree): PlacedTree[] => {
    if (tree.lon === null || tree.lat === null) return [];
    const [east = 0, north = 0] = ground.metres(Float64Array.of(tree.lon, tree.lat));
    if (!holds(grown(paper.shown, tree.zoneRadiusM ?? 0), east, north)) return [];
    const trunkM = (tree.dbhM ?? 0) / 2;
    const sizeMm = isFull ? Math.max(symbolMm(trunkM, tree.touched), trunkM * paper.perMetre) : 0.5;
    return [{ ...tree, x: paper.x(east), y: paper.y(north), sizeMm, isChanged: changed.has(tree.row) }];
  });
}

function signOf({ verdict, disposition, x, y, sizeMm }: PlacedTree, isFull: boolean): string {
  const sign = verdict ?? 'not-assessed';
  return isFull ? symbol(sign, disposition, x, y, sizeMm) : dotSymbol(sign, x, y, sizeMm);
}

function markOf({ x, y, sizeMm }: PlacedTree): string {
  const d = circlePath(x, y, sizeMm + 1.4);
  return `<path d="${d}" fill="none" stroke="#ffffff" stroke-width="1.1"/><path d="${d}" fill="none" stroke="${INK}" stroke-width=".5" stroke-dasharray="1 .6"/>`;
}

/** Thick outlines: of works as they stand on this side. */
function marksOfWorks({ works }: Comparison, side: 'before' | 'after', draw: SideLayers): string {
  const shapes = works.flatMap((change) => {
    const one: SubmittedWorks | null = change[side];
    return one === null ? [] : [draw.rings(one.shape)];
  });
  const d = shapes.map(ringsPath).join('');
  return d === ''
    ? ''
    : `<path d="${d}" fill="none" stroke="#ffffff" stroke-width="1.3"/><path d="${d}" fill="none" stroke="${INK}" stroke-width=".7"/>`;
}

/** From where a tree stood to where it stands, where that is long enough to be seen. */
function arrows({ trees }: Comparison, ground: Ground, paper: Paper): string {
  return trees
    .filter(({ move }) => move !== null)
    .map(({ before, after }) => {
      const xy = ground.metres(Float64Array.of(before!.lon!, before!.lat!, after!.lon!, after!.lat!));
      const [x0, y0, x1, y1] = [paper.x(xy[0]!), paper.y(xy[1]!), paper.x(xy[2]!), paper.y(xy[3]!)];
      const length = Math.hypot(x1 - x0, y1 - y0);
      if (length < 1.5) return '';
      const [ux, uy] = [(x1 - x0) / length, (y1 - y0) / length];
      const [bx, by] = [x1 - ux * 1.8, y1 - uy * 1.8];
      return (
        `<path d="M${mm(x0)},${mm(y0)}L${mm(bx)},${mm(by)}" stroke="${INK}" stroke-width=".4"/>` +
        `<path d="M${mm(x1)},${mm(y1)}L${mm(bx - uy * 0.8)},${mm(by + ux * 0.8)} ${mm(bx + uy * 0.8)},${mm(by - ux * 0.8)}z" fill="${INK}"/>`
      );
    })
    .join('');
}

/** Names of the trees that are not the same; of the others too where there are few. */
function labels(trees: readonly PlacedTree[], sheet: Box): string {
  const window = grown(sheet, -1);
  const shown = trees.filter(({ x, y }) => holds(window, x, y));
  const occupied = new Occupied();
  for (const { x, y, sizeMm: r } of shown) occupied.add({ x0: x - r, y0: y - r, x1: x + r, y1: y + r });
  const named =
    shown.length <= NAMES_AT_MOST
      ? byChange(shown)
      : byChange(shown)
          .filter((tree) => tree.isChanged)
          .slice(0, 4 * NAMES_AT_MOST);
  const wishes = named.map((tree): LabelWish => {
    const width = widthEm(cut(tree.label, NAME_AT_MOST)) * LABEL_MM * (tree.isChanged ? 1.1 : 1);
    return {
      x: tree.x,
      y: tree.y,
      clearMm: tree.sizeMm + (tree.isChanged ? 1.8 : 0),
      widthMm: width,
      heightMm: LABEL_MM * 0.85,
    };
  });
  const placed = placeLabels(wishes, window, occupied);
  const texts = placed.flatMap((place, i) => {
    if (place === null) return [];
    const { box } = place;
    const bold = named[i]!.isChanged ? ' font-weight="bold"' : '';
    return [
      `<text x="${mm((box.x0 + box.x1) / 2)}" y="${mm((box.y0 + box.y1) / 2 + LABEL_MM * 0.36)}"${bold}>${esc(isolated(cut(named[i]!.label, NAME_AT_MOST)))}</text>`,
    ];
  });
  const leaders = placed.flatMap((place) => {
    if (place === null || place.leader === null) return [];
    const [x0, y0, x1, y1] = place.leader;
    return [`M${mm(x0)},${mm(y0)}L${mm(x1)},${mm(y1)}`];
  });
  const lead = leaders.length === 0 ? '' : `<path class="rb-lead" d="${leaders.join('')}"/>`;
  const boxes = placed.flatMap((place) => (place === null ? [] : [place.box]));
  return `${lead}${backOf(boxes)}<g class="rb-lab" font-size="${LABEL_MM}" text-anchor="middle">${texts.join('')}</g>`;
}

function byChange(trees: readonly PlacedTree[]): PlacedTree[] {
  return [...trees].sort((a, b) => Number(b.isChanged) - Number(a.isChanged) || a.row - b.row);
}

/** More names than these would hide what they speak of. */
const NAMES_AT_MOST = 60;
