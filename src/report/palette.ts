// Colours, hatches and line styles of our drawings. In: nothing; out: tables per kind, verdict and role, CSS.
// Terms: ink = the colour of lines and hatch, ground = the tint under them.
// The palette is our own: tints step in luminance, hues part along blue-yellow, hatches differ, so that it holds for eyes
// that do not part red from green and on grey paper. tests/report/palette.test.ts simulates both.

import type { Verdict, WorksKind } from '../model/index.js';
import { type Hatch, type HatchLines, hatchPath } from './hatch.js';

export const INK = '#1b1b1f';

interface Hatched {
  readonly title: string;
  readonly ground: string;
  readonly ink: string;
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
    title: 'Building',
    ground: '#91a4b4',
    ink: '#2c3947',
    hatch: { width: 0.22, families: [lines(UP, 1.7)] },
  },
  paving: {
    title: 'Paving',
    ground: '#f9f6f0',
    ink: '#7d7666',
    hatch: { width: 0.4, families: staggered(ACROSS, 1.2, 0, 2.4) },
  },
  excavation: {
    title: 'Excavation',
    ground: '#c0a181',
    ink: '#6a3d12',
    hatch: { width: 0.18, families: [lines(UP, 1.9), lines(DOWN, 1.9)] },
  },
  trench: {
    title: 'Trench',
    ground: '#6caef5',
    ink: '#123a80',
    hatch: { width: 0.3, families: [lines(UPRIGHT, 1.2)] },
  },
  fill: {
    title: 'Fill',
    ground: '#e3de6b',
    ink: '#6b6100',
    hatch: { width: 0.2, families: staggered(UPRIGHT, 1.2, 1.1, 2.2) },
  },
  compaction: {
    title: 'Compaction',
    ground: '#e9b8ee',
    ink: '#6d2f5f',
    hatch: { width: 0.28, families: staggered(ACROSS, 0.8, 1.2, 2) },
  },
  bore: {
    title: 'Bore',
    ground: '#a2cfc9',
    ink: '#0d5f5a',
    hatch: { width: 0.22, families: [lines([2, -5], 1.1)] },
  },
};

/** Surface or structure that stands today. */
export const EXISTING_STYLE: Hatched = {
  title: 'Existing surface or structure',
  ground: '#e7e7e7',
  ink: '#9a9a9a',
  hatch: { width: 0.15, families: [lines(ACROSS, 3)] },
};

/** Ground between a fence and the works, to be covered. */
export const GROUND_STYLE: Hatched = {
  title: 'Ground to be protected outside the fence',
  ground: '#ffffff',
  ink: '#5a5a5a',
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
    title: 'Overlap: zone taken by works',
    ground: '#f59804',
    ink: '#5c2e00',
    hatch: { width: 0.2, families: [lines(DOWN, 1.3)] },
  },
  severed: {
    title: 'Severed: zone cut off behind works',
    ground: '#7772c4',
    ink: '#3b1a75',
    hatch: { width: 0.64, families: staggered(ACROSS, 1.3, 0, 2.6) },
  },
};

/** What a tree is marked by: its verdict, or that there is none because no works were given. */
export type Mark = Verdict | 'none';

export function markOf(verdict: Verdict | null): Mark {
  return verdict ?? 'none';
}

/** Verdicts: from light to dark as they get worse, straw to violet to black; each has a symbol of its own (symbols.ts). */
export const VERDICT_STYLES: Readonly<Record<Mark, { readonly title: string; readonly fill: string }>> = {
  untouched: { title: 'Untouched', fill: '#fdf3c4' },
  'within-limit': { title: 'Within the limit', fill: '#d8a93a' },
  'over-limit': { title: 'Over the limit', fill: '#8a4fb5' },
  'stem-in-works': { title: 'Stem in the works', fill: '#1d0b33' },
  'not-assessed': { title: 'Not assessed', fill: '#ffffff' },
  none: { title: 'No works given: zone only', fill: '#ffffff' },
};

/** Lines: width in mm, dashes in mm. */
/** Colours of the categories of BS 5837:2012, table 2, as remembered: not held against the standard, and said so on the sheet. */
export const CATEGORY_COLOURS = { A: '#00a000', B: '#1446c8', C: '#8a8a8a', U: '#c81e1e' } as const;

export const LINE_STYLES = {
  lot: { title: 'Lot', ink: '#55555c', width: 0.25, dash: '3.6 .8 .5 .8' },
  zone: { title: 'Root protection zone', ink: '#0b4a4f', width: 0.35, dash: '' },
  ring: { title: 'Ring of the rule', ink: '#0b4a4f', width: 0.22, dash: '1.4 .8' },
  crown: { title: 'Crown', ink: '#6b7a2a', width: 0.22, dash: '' }, // broken: PATTERNS
  fence: { title: 'Protection fence', ink: '#000000', width: 0.4, dash: '' }, // broken: PATTERNS
  gate: { title: 'Gate', ink: '#000000', width: 0.8, dash: '.25 .45' },
  nearest: { title: 'Nearest works', ink: '#1b1b1f', width: 0.3, dash: '' },
} as const;

/** Strokes and gaps in turn of lines that are broken by their path (dashes.ts), mm: those of which there are many. */
export const PATTERNS: Readonly<Record<'fence' | 'crown', readonly number[]>> = {
  fence: [2.2, 0.6, 0.4, 0.6],
  crown: [0.3, 0.9],
};

export type AreaName = WorksKind | 'existing' | 'ground' | 'overlap' | 'severed';
const AREAS: Readonly<Record<AreaName, Hatched>> = {
  ...KIND_STYLES,
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
  `.rb-existing{fill:${EXISTING_STYLE.ground};stroke:${EXISTING_STYLE.ink};stroke-width:.18}`,
  `.rb-ground{fill:${GROUND_STYLE.ground};fill-opacity:.4;stroke:none;fill-rule:evenodd}`,
  '.rb-off{fill:none;stroke-dasharray:1 .7}',
  ...(['overlap', 'severed'] as const).map(
    (name) =>
      `.rb-${name}{fill:${TAKEN_STYLES[name].ground};fill-opacity:.72;stroke:${TAKEN_STYLES[name].ink};stroke-width:.2;fill-rule:evenodd}`,
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
