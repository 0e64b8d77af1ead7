// Hatches of our drawings, and their style sheet. In: the colours of style/; out: tables per kind and role, CSS.
// Terms: ink, ground = see style/colours.ts, which owns every colour; hatches differ, so that areas part without any.

import type { WorksKind } from '../../model/index.js';
import {
  EXISTING_TONE,
  GROUND_TONE,
  INK,
  KIND_TONES,
  LINE_STYLES,
  TAKEN_OPACITY,
  TAKEN_TONES,
  type Tone,
} from '../../style/index.js';
import { type Hatch, type HatchLines, hatchPath } from './hatch.js';

export { CATEGORY_COLOURS, INK, LINE_STYLES, type Mark, markOf, PATTERNS, VERDICT_STYLES } from '../../style/index.js';

interface Hatched extends Tone {
  readonly hatch: Hatch; // drawn in the ink
}

const UP: readonly [number, number] = [1, -1];
const DOWN: readonly [number, number] = [1, 1];
const ACROSS: readonly [number, number] = [1, 0];
const UPRIGHT: readonly [number, number] = [0, 1];

const lines = (along: readonly [number, number], step: number, first: number = 0): HatchLines => ({
  along,
  step,
  first,
});

/** Marks in rows, those of every other row moved by half a period. */
function staggered(along: readonly [number, number], row: number, on: number, period: number): readonly HatchLines[] {
  return [
    { along, step: 2 * row, first: row / 2, dash: [on, period, period / 4] },
    { along, step: 2 * row, first: (row * 3) / 2, dash: [on, period, (period * 3) / 4] },
  ];
}

/** Each kind of works: a tint and a hatch of its own. */
export const KIND_STYLES: Readonly<Record<WorksKind, Hatched>> = {
  building: {
    ...KIND_TONES.building,
    hatch: { width: 0.22, families: [lines(UP, 1.7)] },
  },
  paving: {
    ...KIND_TONES.paving,
    hatch: { width: 0.4, families: staggered(ACROSS, 1.2, 0, 2.4) },
  },
  excavation: {
    ...KIND_TONES.excavation,
    hatch: { width: 0.18, families: [lines(UP, 1.9), lines(DOWN, 1.9)] },
  },
  trench: {
    ...KIND_TONES.trench,
    hatch: { width: 0.3, families: [lines(UPRIGHT, 1.2)] },
  },
  fill: {
    ...KIND_TONES.fill,
    hatch: { width: 0.2, families: staggered(UPRIGHT, 1.2, 1.1, 2.2) },
  },
  compaction: {
    ...KIND_TONES.compaction,
    hatch: { width: 0.28, families: staggered(ACROSS, 0.8, 1.2, 2) },
  },
  bore: {
    ...KIND_TONES.bore,
    hatch: { width: 0.22, families: [lines([2, -5], 1.1)] },
  },
};

/** Rows of short strokes, one in each square of a lattice. */
const inSquares = (along: readonly [number, number], size: number, on: number): HatchLines => ({
  along,
  step: size,
  first: along === UPRIGHT ? -size / 2 : size / 2,
  dash: [on, size, (size - on) / 2],
});

/** Ground that two surfaces show as filled or cut: signs of plus and minus. */
export const GRADE_STYLES: Readonly<Record<GradeArea, Hatched>> = {
  'grade-fill': {
    ...KIND_TONES.fill,
    title: 'Filled between the surfaces given',
    hatch: { width: 0.22, families: [inSquares(ACROSS, 3.2, 1.3), inSquares(UPRIGHT, 3.2, 1.3)] },
  },
  'grade-cut': {
    ...KIND_TONES.excavation,
    title: 'Cut between the surfaces given',
    hatch: { width: 0.26, families: [inSquares(ACROSS, 3.2, 1.6)] },
  },
};

/** Surface or structure that stands today. */
export const EXISTING_STYLE: Hatched = {
  ...EXISTING_TONE,
  hatch: { width: 0.15, families: [lines(ACROSS, 3)] },
};

/** Ground between a fence and the works, to be covered. */
export const GROUND_STYLE: Hatched = {
  ...GROUND_TONE,
  hatch: {
    width: 0.16,
    families: [
      { along: ACROSS, step: 2, first: 1, dash: [1, 2, 0.5] },
      { along: UPRIGHT, step: 2, first: -1, dash: [1, 2, 0.5] },
    ],
  },
};

/** What the works take, and what they cut off: laid over the works, so without a ground of full strength. */
export const TAKEN_STYLES: Readonly<Record<'overlap' | 'severed', Hatched>> = {
  overlap: {
    ...TAKEN_TONES.overlap,
    hatch: { width: 0.2, families: [lines(DOWN, 1.3)] },
  },
  severed: {
    ...TAKEN_TONES.severed,
    hatch: { width: 0.64, families: staggered(ACROSS, 1.3, 0, 2.6) },
  },
};

export type GradeArea = 'grade-fill' | 'grade-cut';
export type AreaName = WorksKind | GradeArea | 'existing' | 'ground' | 'overlap' | 'severed';
const AREAS: Readonly<Record<AreaName, Hatched>> = {
  ...KIND_STYLES,
  ...GRADE_STYLES,
  existing: EXISTING_STYLE,
  ground: GROUND_STYLE,
  ...TAKEN_STYLES,
};

/** The hatch of an area as an element to lay over it; '' where nothing of it shows. */
export function hatchOf(name: AreaName, shapes: readonly (readonly (readonly number[])[])[]): string {
  const d = shapes.map((rings) => hatchPath(rings, AREAS[name].hatch)).join('');
  return d === '' ? '' : `<path class="rb-h-${name}" d="${d}"/>`;
}

const lineRule = (name: keyof typeof LINE_STYLES): string => {
  const { ink, width, dash } = LINE_STYLES[name];
  const dashes = dash === '' ? '' : `;stroke-dasharray:${dash}`;
  return `.rb-${name}{fill:none;stroke:${ink};stroke-width:${width}${dashes}}`;
};

/** Style sheet of a drawing; its classes all begin with rb-. */
export const DRAWING_CSS: string = [
  '.rb-draw text{font-family:Arial,Helvetica,"Liberation Sans",sans-serif;fill:#1b1b1f}',
  ...(Object.keys(LINE_STYLES) as (keyof typeof LINE_STYLES)[]).map(lineRule),
  ...(Object.keys(KIND_STYLES) as WorksKind[]).map(
    (kind) => `.rb-${kind}{fill:${KIND_STYLES[kind].ground};stroke:${KIND_STYLES[kind].ink};stroke-width:.25}`,
  ),
  ...(Object.keys(GRADE_STYLES) as GradeArea[]).map(
    (name) =>
      `.rb-${name}{fill:${GRADE_STYLES[name].ground};fill-opacity:.45;stroke:${GRADE_STYLES[name].ink};stroke-width:.3}`,
  ),
  `.rb-existing{fill:${EXISTING_STYLE.ground};stroke:${EXISTING_STYLE.ink};stroke-width:.18}`,
  `.rb-ground{fill:${GROUND_STYLE.ground};fill-opacity:.4;stroke:none;fill-rule:evenodd}`,
  '.rb-off{fill:none;stroke-dasharray:1 .7}',
  ...(['overlap', 'severed'] as const).map(
    (name) =>
      `.rb-${name}{fill:${TAKEN_STYLES[name].ground};fill-opacity:${String(TAKEN_OPACITY).replace(/^0/, '')};stroke:${TAKEN_STYLES[name].ink};stroke-width:.2;fill-rule:evenodd}`,
  ),
  ...Object.entries(AREAS).map(
    ([name, { ink, hatch }]) =>
      `.rb-h-${name}{fill:none;stroke:${ink};stroke-width:${hatch.width}${hatch.families.some(({ dash }) => dash?.[0] === 0) ? ';stroke-linecap:round' : ''}}`,
  ),
  '.rb-works path,.rb-works{fill-rule:evenodd}',
  `.rb-sym{stroke:${INK};stroke-width:.2}`,
  '.rb-lead{stroke:#1b1b1f;stroke-width:.12;fill:none}',
  '.rb-back{fill:#fff;fill-opacity:.8}',
  '.rb-frame{fill:none;stroke:#1b1b1f;stroke-width:.35}',
].join('\n');
