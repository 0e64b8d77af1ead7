// Which labels a plan bears and their SVG. In: the drawing job, sizes of symbols; out: text elements and leaders.
// Terms: left out = a label for which there was no place; it is counted and said on the drawing, never squeezed in.
// Order: the worst trees first, then lots, then works, each in input order.

import { isGoing } from '../../model/index.js';
import { cell } from '../../write/index.js';
import { cut, esc, isolated, widthEm } from '../text.js';
import { shows } from './drawings.js';
import { type Box, boxOfPairs, meets } from './ground.js';
import { type LabelWish, Occupied, type PlacedLabel, placeLabels } from './labels.js';
import { type DrawJob, hasLabels } from './layers.js';
import { type SceneShape, shapesIn } from './scene.js';
import { mm } from './svg.js';
import { BADNESS } from './symbol-layer.js';

export interface Labels {
  readonly svg: string;
  readonly leftOut: number; // trees
  readonly boxes: readonly Box[]; // of every label placed
}

const NAME_AT_MOST = 16;
const SIZES = { full: 2.3, plain: 1.7, symbols: 0 } as const;
const CAP = 0.72; // height of capitals, em

interface Label {
  readonly wish: LabelWish;
  readonly text: string;
  readonly css: string;
}

export function placeTreeLabels(job: DrawJob, sizes: ReadonlyMap<number, number>): Labels {
  const { scene, paper, detail, assessment, drawing } = job;
  if (detail === 'symbols' || !hasLabels(job.spacing)) return { svg: '', leftOut: scene.trees.length, boxes: [] };
  const size = SIZES[detail];
  const occupied = new Occupied();
  const area = { x0: 0.5, y0: 0.5, x1: paper.window.x1 - 0.5, y1: paper.window.y1 - 0.5 };
  for (const { row, x, y } of scene.trees) {
    const r = sizes.get(row) ?? 0;
    occupied.add({ x0: paper.x(x) - r, y0: paper.y(y) - r, x1: paper.x(x) + r, y1: paper.y(y) + r });
  }
  const ordered = [...scene.trees].sort((a, b) => BADNESS[b.verdict] - BADNESS[a.verdict] || a.row - b.row);
  const trees = ordered.map((tree): Label => {
    const { key, overlapPct } = assessment.tree(tree.row);
    const name = cut(key, NAME_AT_MOST);
    const css = isGoing(tree.disposition) || drawing === 'existing' ? 'untouched' : tree.verdict;
    const isQuiet = drawing === 'existing' || drawing === 'protection' || isGoing(tree.disposition);
    const percent =
      detail === 'full' && !isQuiet && overlapPct !== null && overlapPct > 0 ? ` ${cell(overlapPct, 1)} %` : '';
    const wish = {
      x: paper.x(tree.x),
      y: paper.y(tree.y),
      clearMm: sizes.get(tree.row) ?? 0,
      widthMm: widthEm(name + percent) * size * (BOLD.has(css) ? 1.1 : 1),
      heightMm: size * CAP * 1.15,
    };
    return { wish, text: `${isolated(name)}${percent}`, css };
  });
  const placed = placeLabels(
    trees.map((label) => label.wish),
    area,
    occupied,
  );
  const areas = detail === 'full' ? areaLabels(job, occupied, area, true) : [];
  const all = [...trees.map((label, i) => ({ label, place: placed[i] ?? null })), ...areas];
  return {
    svg: svgOf(all, size),
    leftOut: placed.filter((place) => place === null).length,
    boxes: all.flatMap(({ place }) => (place === null ? [] : [place.box])),
  };
}

/** Names of lots and works, inside them where there is room. */
function areaLabels(
  job: DrawJob,
  occupied: Occupied,
  area: Box,
  withLots: boolean,
): { label: Label; place: PlacedLabel | null }[] {
  const { scene, paper, assessment } = job;
  const { lots, lotsLonLat, works, worksLonLat } = assessment.job;
  const labelled = (shapes: readonly SceneShape[], name: (row: number) => string, css: string, size: number) =>
    shapes.map((shape) => {
      const text = cut(name(shape.row), NAME_AT_MOST);
      const wish = { x: 0, y: 0, clearMm: 0, widthMm: widthEm(text) * size, heightMm: size * CAP };
      return { label: { wish, text: isolated(text), css }, place: placeInside(shape, paper, wish, area, occupied) };
    });
  const lotShapes =
    lots === null || !withLots
      ? []
      : shapesIn(scene.ground, lots.geometry, lotsLonLat, paper.shown, 0, (row) => lots.rejected.has(row));
  const worksShapes = !shows(job.drawing, 'works')
    ? []
    : shapesIn(scene.ground, works.geometry, worksLonLat, paper.shown, 0, (row) => works.rejected.has(row));
  return [
    ...labelled(lotShapes, (row) => lots?.key.at(row) ?? '', 'lot', SIZES.full * 1.15),
    ...labelled(
      worksShapes.filter((shape) => shape.closed),
      (row) => works.key.at(row) ?? '',
      'work',
      SIZES.full * 0.85,
    ),
  ];
}

/** Names of works alone, for a card. */
export function worksLabels(job: DrawJob, occupied: Occupied): string {
  return svgOf(areaLabels(job, occupied, job.paper.window, false), SIZES.full);
}

/** A place for a box inside an area: along level lines through it, the middle one first. */
function placeInside(
  shape: SceneShape,
  paper: DrawJob['paper'],
  wish: LabelWish,
  area: Box,
  occupied: Occupied,
): PlacedLabel | null {
  const rings = paper.rings(shape.rings);
  const box = boxOfPairs(rings.flat());
  if (box === null || !meets(box, area)) return null;
  for (const share of [0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8]) {
    const y = box.y0 + share * (box.y1 - box.y0);
    for (const [from, to] of spansAt(rings, y)) {
      if (to - from < wish.widthMm + 1) continue;
      for (const at of [0.5, 0.25, 0.75]) {
        const x = from + 0.5 + (to - from - 1 - wish.widthMm) * at;
        const own = {
          x0: x - 0.25,
          y0: y - wish.heightMm / 2 - 0.25,
          x1: x + wish.widthMm + 0.25,
          y1: y + wish.heightMm / 2 + 0.25,
        };
        if (own.x0 < area.x0 || own.x1 > area.x1 || own.y0 < area.y0 || own.y1 > area.y1 || !occupied.isFree(own))
          continue;
        occupied.add(own);
        return { box: own, leader: null };
      }
    }
  }
  return null;
}

/** Where a level line runs inside rings (even-odd), the widest span first. */
function spansAt(rings: readonly (readonly number[])[], y: number): [number, number][] {
  const xs: number[] = [];
  for (const ring of rings) {
    for (let i = 0; i < ring.length; i += 2) {
      const k = (i + 2) % ring.length;
      const y0 = ring[i + 1]!;
      const y1 = ring[k + 1]!;
      if (y0 > y === y1 > y) continue;
      xs.push(ring[i]! + ((ring[k]! - ring[i]!) * (y - y0)) / (y1 - y0));
    }
  }
  xs.sort((a, b) => a - b);
  const spans: [number, number][] = [];
  for (let i = 0; i + 1 < xs.length; i += 2) spans.push([xs[i]!, xs[i + 1]!]);
  return spans.sort((a, b) => b[1] - b[0] - (a[1] - a[0]));
}

/** Verdicts whose labels are bold; bold letters are a tenth wider. */
const BOLD: ReadonlySet<string> = new Set(['over-limit', 'stem-in-works']);

const STYLE_OF: Readonly<Record<string, string>> = {
  lot: ' font-style="italic" fill="#55555c"',
  work: ' fill="#44444a"',
  'over-limit': ' font-weight="bold"',
  'stem-in-works': ' font-weight="bold"',
};

function svgOf(all: readonly { label: Label; place: PlacedLabel | null }[], size: number): string {
  const leaders: string[] = [];
  const texts: string[] = [];
  const backs: Box[] = [];
  for (const { label, place } of all) {
    if (place === null) continue;
    const { box, leader } = place;
    backs.push(box);
    if (leader !== null) leaders.push(`M${mm(leader[0])},${mm(leader[1])}L${mm(leader[2])},${mm(leader[3])}`);
    const scale = label.css === 'lot' ? 1.15 : label.css === 'work' ? 0.85 : 1;
    // Anchored in the middle of its box: a font of other widths spreads both ways.
    const x = mm((box.x0 + box.x1) / 2);
    const y = mm((box.y0 + box.y1) / 2 + size * scale * CAP * 0.5);
    const more = `${STYLE_OF[label.css] ?? ''}${scale === 1 ? '' : ` font-size="${mm(size * scale)}"`}`;
    texts.push(`<text x="${x}" y="${y}"${more}>${esc(label.text)}</text>`);
  }
  const lines = leaders.length === 0 ? '' : `<path class="rb-lead" d="${leaders.join('')}"/>`;
  return `${lines}${backOf(backs)}<g class="rb-lab" font-size="${size}" text-anchor="middle">${texts.join('\n')}</g>`;
}

/** A light ground under words: round each letter a browser that prints to PDF would draw the letter's outline. */
export function backOf(boxes: readonly Box[]): string {
  const d = boxes.map(({ x0, y0, x1, y1 }) => `M${mm(x0)},${mm(y0)}h${mm(x1 - x0)}v${mm(y1 - y0)}h${mm(x0 - x1)}z`);
  return d.length === 0 ? '' : `<path class="rb-back" d="${d.join('')}"/>`;
}
