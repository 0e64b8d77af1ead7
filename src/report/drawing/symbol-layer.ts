// The tree symbols of a plan. In: trees, paper, detail; out: SVG that shares one definition per sign and size.
// Terms: sizes = radius of each tree's symbol, mm, so that labels keep clear of it.
// Better trees are drawn first, so that a bad one is never hidden. A city's dots share cells of a millimetre: the worst shows.

import { VERDICTS } from '../../model/index.js';
import type { DrawJob } from './layers.js';
import { CATEGORY_COLOURS, INK, type Mark } from './palette.js';
import type { Paper } from './paper.js';
import type { Category, SceneTree } from './scene.js';
import { spreadSvg } from './spread.js';
import { mm } from './svg.js';
import { dotSymbol, symbol, symbolMm } from './symbols.js';

export interface SymbolLayer {
  readonly svg: string;
  readonly defs: string;
  readonly sizes: ReadonlyMap<number, number>; // by row
  readonly keys: Signs; // what was drawn round signs, for the legend
}

/** Rings round the signs of trees. */
export interface Signs {
  readonly protected: boolean;
  readonly categories: readonly Category[];
  /** Whether a tree may stand elsewhere, with another verdict. */
  readonly spread: boolean;
}

/** Drawings that ring no sign. */
export const NO_SIGNS: Signs = { protected: false, categories: [], spread: false };

const CATEGORIES: readonly Category[] = ['A', 'B', 'C', 'U'];

/** Below this mean distance on paper symbols shrink, down to the share after it. */
const CROWDED_MM = 7;
const LEAST_SHRINK = 0.3;
/** A trunk in the works whose size is not known is as bad as a thick one: its sign is never that of a whip. */
const UNKNOWN_TRUNK_M = 0.25;
const DOT_MM = 0.55;
const DOT_CELL_MM = 0.9;
/** How bad a verdict is, for the order of drawing and of labels; not assessed comes before untouched. */
export const BADNESS: Readonly<Record<Mark, number>> = {
  none: 0,
  untouched: 0,
  'not-assessed': 1,
  'within-limit': 2,
  'over-limit': 3,
  'stem-in-works': 4,
};

export function drawSymbols({ scene: { trees }, paper, detail, spacing, drawing }: DrawJob): SymbolLayer {
  const sizes = new Map<number, number>();
  const ordered = [...trees].sort((a, b) => BADNESS[a.verdict] - BADNESS[b.verdict] || a.row - b.row);
  if (detail === 'symbols') return dots(ordered, paper);
  const defs = new Map<string, string>();
  const uses: string[] = [];
  const rings: string[] = [];
  const spreads: string[] = [];
  // Where trees stand near to each other on paper, signs shrink so that they hide each other less.
  const shrink = Math.min(Math.max(spacing / CROWDED_MM, LEAST_SHRINK), 1);
  for (const tree of ordered) {
    const isUnknown = tree.verdict === 'stem-in-works' && tree.trunkM === 0;
    const nominal = symbolMm(isUnknown ? UNKNOWN_TRUNK_M : tree.trunkM, tree.touched) * shrink;
    // steps of a tenth of a millimetre: few definitions serve many trees
    const size = Math.round(Math.max(nominal, tree.trunkM * paper.perMetre) * 10) / 10;
    sizes.set(tree.row, size);
    // Existing conditions say nothing of works.
    const verdict = drawing === 'existing' ? 'untouched' : tree.verdict;
    const id = `rbs-${verdict === 'none' ? VERDICTS.length : VERDICTS.indexOf(verdict)}${tree.disposition[0]}${Math.round(size * 10)}`;
    if (!defs.has(id)) defs.set(id, `<g id="${id}">${symbol(verdict, tree.disposition, 0, 0, size)}</g>`);
    rings.push(ringsRound(tree, paper, size));
    if (drawing !== 'existing') spreads.push(spreadSvg(tree, paper));
    uses.push(`<use href="#${id}" x="${mm(paper.x(tree.x))}" y="${mm(paper.y(tree.y))}"/>`);
  }
  return {
    svg: `<g class="rb-signs">${rings.join('')}</g><g class="rb-trees">${uses.join('')}</g>${spreads.join('')}`,
    defs: [...defs.values()].join(''),
    sizes,
    keys: signsOf(trees),
  };
}

function dots(ordered: readonly SceneTree[], paper: Paper): SymbolLayer {
  const cells = new Map<number, SceneTree>();
  const columns = Math.ceil(paper.window.x1 / DOT_CELL_MM) + 2;
  for (const tree of ordered) {
    const column = Math.floor(paper.x(tree.x) / DOT_CELL_MM) + 1;
    const row = Math.floor(paper.y(tree.y) / DOT_CELL_MM) + 1;
    cells.set(row * columns + column, tree); // the worse comes later
  }
  const kept = [...cells.values()].sort((a, b) => BADNESS[a.verdict] - BADNESS[b.verdict] || a.row - b.row);
  const svg = kept.map((tree) => dotSymbol(tree.verdict, paper.x(tree.x), paper.y(tree.y), DOT_MM)).join('');
  return {
    svg: `<g class="rb-dots">${svg}</g>`,
    defs: '',
    sizes: new Map(),
    keys: NO_SIGNS,
  };
}

/** A ring for a protected tree, and one in the colour of its category. */
function ringsRound({ x, y, isProtected, category }: SceneTree, paper: Paper, size: number): string {
  const ring = (r: number, stroke: string, width: number): string =>
    `<circle cx="${mm(paper.x(x))}" cy="${mm(paper.y(y))}" r="${mm(r)}" fill="none" stroke="${stroke}" stroke-width="${width}"/>`;
  return (
    (category === null ? '' : ring(size + 0.45, CATEGORY_COLOURS[category], 0.7)) +
    (isProtected ? ring(size + (category === null ? 0.5 : 1.05), INK, 0.25) : '')
  );
}

/** What the legend has to explain of the rings. */
export function signsOf(trees: readonly SceneTree[]): Signs {
  const seen = new Set(trees.map(({ category }) => category));
  return {
    protected: trees.some((tree) => tree.isProtected),
    categories: CATEGORIES.filter((category) => seen.has(category)),
    spread: trees.some(({ spread }) => spread !== null),
  };
}
