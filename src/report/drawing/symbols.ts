// Tree symbols. In: a verdict, a disposition, a place and a size; out: SVG. Our own signs, distinct without colour.
// Terms: size = radius in mm, by the trunk's diameter; a trunk that is larger on paper than its symbol is drawn true.

import type { Disposition } from '../../model/index.js';
import { type Mark, VERDICT_STYLES } from './palette.js';
import { circlePath, mm } from './svg.js';

/** Radius of a symbol, mm: from 0.8 for a whip to 2 for a trunk of 1.5 m. */
export function symbolMm(trunkRadiusM: number, touched: boolean): number {
  const grown = 0.8 + 1.2 * Math.min(Math.sqrt(Math.max(2 * trunkRadiusM, 0) / 1.5), 1);
  return touched ? grown * 1.15 : grown;
}

/** What is drawn on a disc of radius 1, per verdict; lines are thin against the disc. */
const MARKS: Readonly<Record<Mark, (r: number) => string>> = {
  // open ring with a centre
  untouched: (r) => disc(r, VERDICT_STYLES.untouched.fill) + dot(0.22 * r),
  // lower half filled
  'within-limit': (r) =>
    disc(r, '#ffffff') +
    `<path class="rb-sym" d="M${mm(-r)},0a${mm(r)},${mm(r)} 0 0 0 ${mm(2 * r)},0z" fill="${VERDICT_STYLES['within-limit'].fill}"/>`,
  // full, with a light bar
  'over-limit': (r) =>
    disc(r, VERDICT_STYLES['over-limit'].fill) +
    `<path d="M${mm(-0.55 * r)},0h${mm(1.1 * r)}" stroke="#ffffff" stroke-width="${mm(0.36 * r)}"/>`,
  // a dark square on its tip, with a light cross
  'stem-in-works': (r) => {
    const s = 1.2 * r;
    const c = 0.42 * r;
    return (
      `<path class="rb-sym" d="M0,${mm(-s)}L${mm(s)},0 0,${mm(s)} ${mm(-s)},0z" fill="${VERDICT_STYLES['stem-in-works'].fill}"/>` +
      `<path d="M${mm(-c)},${mm(-c)}L${mm(c)},${mm(c)}M${mm(-c)},${mm(c)}L${mm(c)},${mm(-c)}" stroke="#ffffff" stroke-width="${mm(0.26 * r)}"/>`
    );
  },
  // an open ring: a tree, and nothing that was judged
  none: (r) => disc(r, VERDICT_STYLES.none.fill),
  // a broken ring: nothing can be said
  'not-assessed': (r) =>
    `<path class="rb-sym" d="${circlePath(0, 0, r)}" fill="#ffffff" stroke-dasharray="${mm(0.5 * r)} ${mm(0.4 * r)}"/>` +
    `<path d="M${mm(-0.4 * r)},0h${mm(0.8 * r)}" stroke="#1b1b1f" stroke-width=".2"/>`,
};

/** What a disposition other than keep adds: a stroke through the symbol, or an arrow off it. */
const DISPOSITION_MARKS: Readonly<Record<Disposition, ((r: number) => string) | null>> = {
  keep: null,
  unknown: (r) => `<text x="${mm(1.1 * r)}" y="${mm(-1.1 * r)}" font-size="${mm(2 * r)}" fill="#1b1b1f">?</text>`,
  remove: (r) =>
    `<path d="M${mm(-1.5 * r)},${mm(1.5 * r)}L${mm(1.5 * r)},${mm(-1.5 * r)}" stroke="#ffffff" stroke-width=".7"/>` +
    `<path d="M${mm(-1.5 * r)},${mm(1.5 * r)}L${mm(1.5 * r)},${mm(-1.5 * r)}" stroke="#1b1b1f" stroke-width=".3"/>`,
  transplant: (r) =>
    `<path d="M0,${mm(-r)}V${mm(-2.1 * r)}M${mm(-0.4 * r)},${mm(-1.6 * r)}L0,${mm(-2.1 * r)} ${mm(0.4 * r)},${mm(-1.6 * r)}" fill="none" stroke="#1b1b1f" stroke-width=".25"/>`,
};

/** One symbol at a place, mm. */
export function symbol(verdict: Mark, disposition: Disposition, x: number, y: number, r: number): string {
  const extra = DISPOSITION_MARKS[disposition]?.(r) ?? '';
  return `<g transform="translate(${mm(x)} ${mm(y)})">${MARKS[verdict](r)}${extra}</g>`;
}

/** What a whole city is drawn with: a dot in the verdict's colour. */
export function dotSymbol(verdict: Mark, x: number, y: number, r: number): string {
  return `<circle cx="${mm(x)}" cy="${mm(y)}" r="${mm(r)}" fill="${VERDICT_STYLES[verdict].fill}"/>`;
}

function disc(r: number, fill: string): string {
  return `<path class="rb-sym" d="${circlePath(0, 0, r)}" fill="${fill}"/>`;
}

function dot(r: number): string {
  return `<path d="${circlePath(0, 0, r)}" fill="#1b1b1f"/>`;
}
