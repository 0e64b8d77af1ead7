// Where a tree may really stand. In: an assessment, a tree's row; out: the ellipse (or circle) of its position, and its SVG.
// Terms: spread = the place within which a point lies in 95 of 100 cases; it is shown where the verdict may not hold in it.

import type { Assessment, TreeResult } from '../../model/index.js';
import { INK } from './palette.js';
import type { Paper } from './paper.js';
import { mm } from './svg.js';

export interface Spread {
  readonly majorM: number;
  readonly minorM: number;
  readonly azimuthDeg: number; // of the longer axis, clockwise from the plan's upward axis
}

/** Properties that field notes give their trees beside `accuracy_m`, which is the longer half axis. */
const MINOR = 'accuracy_minor_m';
const AZIMUTH = 'accuracy_azimuth_deg';

/** The spread of a tree whose verdict could be another one within it; null for all others. */
export function spreadOf({ job }: Assessment, { row, verdictHolds }: TreeResult): Spread | null {
  const majorM = job.trees.accuracyM?.[row] ?? Number.NaN;
  if (!(majorM > 0) || verdictHolds !== false) return null;
  const [minorM, azimuthDeg] = [MINOR, AZIMUTH].map((field) => job.trees.layer.value(row, field));
  const isEllipse = typeof minorM === 'number' && typeof azimuthDeg === 'number' && minorM <= majorM;
  return isEllipse ? { majorM, minorM, azimuthDeg } : { majorM, minorM: majorM, azimuthDeg: 0 };
}

interface Placed {
  readonly x: number;
  readonly y: number;
  readonly spread: Spread | null;
}

export function spreadSvg({ x, y, spread }: Placed, paper: Paper): string {
  if (spread === null) return '';
  const { majorM, minorM, azimuthDeg } = spread;
  // The longer axis lies upwards and is turned clockwise, as SVG turns.
  const turn = azimuthDeg === 0 ? '' : ` rotate(${mm(azimuthDeg)})`;
  return `<ellipse rx="${mm(minorM * paper.perMetre)}" ry="${mm(majorM * paper.perMetre)}" transform="translate(${mm(paper.x(x))},${mm(paper.y(y))})${turn}" fill="none" stroke="${INK}" stroke-width="0.3" stroke-dasharray="0.9 0.5"/>`;
}
