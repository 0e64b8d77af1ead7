// Colours and line widths of drawings and maps: the one owner. In: nothing; out: tables per kind, verdict and role.
// Terms: ink = the colour of lines and hatch, ground = the tint under them. Widths and dashes are millimetres on paper.
// The palette is our own: tints step in luminance, hues part along blue-yellow, so that it holds for eyes that do not part red
// from green and on grey paper. tests/report/palette.test.ts simulates both. Hatches are the drawing's (report/palette.ts).

import type { Verdict, WorksKind } from '../model/index.js';

export const INK = '#1b1b1f';

/** A filled area. */
export interface Tone {
  readonly title: string;
  readonly ground: string;
  readonly ink: string;
}

/** Each kind of works. */
export const KIND_TONES: Readonly<Record<WorksKind, Tone>> = {
  building: { title: 'Building', ground: '#91a4b4', ink: '#2c3947' },
  paving: { title: 'Paving', ground: '#f9f6f0', ink: '#7d7666' },
  excavation: { title: 'Excavation', ground: '#c0a181', ink: '#6a3d12' },
  trench: { title: 'Trench', ground: '#6caef5', ink: '#123a80' },
  fill: { title: 'Fill', ground: '#e3de6b', ink: '#6b6100' },
  compaction: { title: 'Compaction', ground: '#e9b8ee', ink: '#6d2f5f' },
  bore: { title: 'Bore', ground: '#a2cfc9', ink: '#0d5f5a' },
};

/** Surface or structure that stands today. */
export const EXISTING_TONE: Tone = { title: 'Existing surface or structure', ground: '#e7e7e7', ink: '#9a9a9a' };

/** Ground between a fence and the works, to be covered. */
export const GROUND_TONE: Tone = {
  title: 'Ground to be protected outside the fence',
  ground: '#ffffff',
  ink: '#5a5a5a',
};

/** What the works take, and what they cut off: laid over the works, so without a ground of full strength. */
export const TAKEN_TONES: Readonly<Record<'overlap' | 'severed', Tone>> = {
  overlap: { title: 'Overlap: zone taken by works', ground: '#f59804', ink: '#5c2e00' },
  severed: { title: 'Severed: zone cut off behind works', ground: '#7772c4', ink: '#3b1a75' },
};

/** How strong the ground of what is taken is. */
export const TAKEN_OPACITY = 0.72;

/** What a tree is marked by: its verdict, or that there is none because no works were given. */
export type Mark = Verdict | 'none';

export function markOf(verdict: Verdict | null): Mark {
  return verdict ?? 'none';
}

/** Verdicts: from light to dark as they get worse, straw to violet to black. */
export const VERDICT_STYLES: Readonly<Record<Mark, { readonly title: string; readonly fill: string }>> = {
  untouched: { title: 'Untouched', fill: '#fdf3c4' },
  'within-limit': { title: 'Within the limit', fill: '#d8a93a' },
  'over-limit': { title: 'Over the limit', fill: '#8a4fb5' },
  'stem-in-works': { title: 'Stem in the works', fill: '#1d0b33' },
  'not-assessed': { title: 'Not assessed', fill: '#ffffff' },
  none: { title: 'No works given: zone only', fill: '#ffffff' },
};

/** Colours of the categories of BS 5837:2012, table 2, as remembered: not held against the standard, and said so on the sheet. */
export const CATEGORY_COLOURS = { A: '#00a000', B: '#1446c8', C: '#8a8a8a', U: '#c81e1e' } as const;

/** Lines: width in mm, dashes in mm. */
export const LINE_STYLES = {
  lot: { title: 'Lot', ink: '#55555c', width: 0.25, dash: '3.6 .8 .5 .8' },
  zone: { title: 'Root protection zone', ink: '#0b4a4f', width: 0.35, dash: '' },
  ring: { title: 'Ring of the rule', ink: '#0b4a4f', width: 0.22, dash: '1.4 .8' },
  crown: { title: 'Crown', ink: '#6b7a2a', width: 0.22, dash: '' }, // broken: PATTERNS
  fence: { title: 'Protection fence', ink: '#000000', width: 0.4, dash: '' }, // broken: PATTERNS
  gate: { title: 'Gate', ink: '#000000', width: 0.8, dash: '.25 .45' },
  nearest: { title: 'Nearest works', ink: '#1b1b1f', width: 0.3, dash: '' },
} as const;

/** Strokes and gaps in turn of lines that a drawing breaks by their path, mm: those of which there are many. */
export const PATTERNS: Readonly<Record<'fence' | 'crown', readonly number[]>> = {
  fence: [2.2, 0.6, 0.4, 0.6],
  crown: [0.3, 0.9],
};
