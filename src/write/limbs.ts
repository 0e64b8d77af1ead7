// Assessment -> limb schedule. In: an assessment with a limb list, and units; out: CSV (RFC 4180), one row a limb in the
// list's order. Terms: see model/ (LimbResult). A limb list is not a cutting instruction.

import { type Assessment, isShown, type LimbResult } from '../model/index.js';
import { inert, quoted } from './csv-cell.js';
import { cell, degree, SCALES, type Units } from './numbers.js';

interface Column {
  readonly title: string;
  readonly text: (limb: LimbResult) => string;
}

/**
 * The limb schedule as CSV text; a job without limbs gives the heading alone.
 *
 * @example
 * toLimbSchedule(assessment, { units: 'us' }).split('\r\n')[0]; // 'Limb,Tree,Bearing (deg from true north),...'
 */
export function toLimbSchedule(assessment: Assessment, options: { readonly units?: Units | undefined } = {}): string {
  return [...limbPieces(assessment, options)].join('');
}

/** The same row by row. */
export function* limbPieces(
  assessment: Assessment,
  options: { readonly units?: Units | undefined } = {},
): Generator<string> {
  const columns = columnsOf(assessment, options.units ?? 'metric');
  yield `${columns.map((c) => quoted(c.title)).join(',')}\r\n`;
  for (const limb of assessment.limbs) {
    if (limb.treeRow === null ? assessment.shown !== undefined : !isShown(assessment, limb.treeRow)) continue;
    yield `${columns.map((c) => quoted(c.text(limb))).join(',')}\r\n`;
  }
}

function columnsOf(assessment: Assessment, units: Units): Column[] {
  const { length, diameterCell } = SCALES[units];
  const local = assessment.job.treeTransform?.crs.kind === 'local';
  const by = (value: number | null, factor: number): number | null => (value === null ? null : value * factor);
  const text = (title: string, value: (limb: LimbResult) => string): Column => ({
    title,
    text: (l) => inert(value(l)),
  });
  const number = (title: string, decimals: number, value: (limb: LimbResult) => number | null): Column => ({
    title,
    text: (limb) => cell(value(limb), decimals),
  });
  const lengths = (title: string, value: (limb: LimbResult) => number | null): Column =>
    number(`${title} (${length.title})`, 2, (limb) => by(value(limb), length.factor));
  const place = (axis: 0 | 1): Column => ({
    title: axis === 0 ? 'End longitude' : 'End latitude',
    text: ({ line }) => (line === null ? '' : String(degree(line[1]?.[axis] ?? Number.NaN))),
  });
  return [
    text('Limb', (l) => l.key),
    text('Tree', (l) => l.tree),
    number(`Bearing (deg from ${local ? 'grid' : 'true'} north)`, 1, (l) => northed(l.bearing)),
    number('Bearing as read (deg)', 1, (l) => l.statedBearing),
    text('Read from', (l) => (l.reference === null ? '' : `${l.reference} north`)),
    number(`Diameter at cut (${diameterCell.title})`, 1, (l) => by(l.diameterM, diameterCell.factor)),
    lengths('Height', (l) => l.heightM),
    lengths('Length', (l) => l.lengthM),
    text('In the way', (l) => (l.conflict === null ? 'not known' : l.conflict ? 'yes' : 'no')),
    text('Of works', (l) => l.works ?? ''),
    lengths('Meets at from trunk centre', (l) => l.meetsAtM),
    number('Live crown (%)', 1, (l) => by(l.share, 100)),
    number('Live crown of tree, limbs in the way (%)', 1, (l) => by(l.treeShare, 100)),
    ...(local ? [] : [place(0), place(1)]),
    text('Reasons', (l) => l.reasons.join('; ')),
  ];
}

/** A bearing that rounds up to 360 is north. */
function northed(bearing: number | null): number | null {
  return bearing !== null && bearing.toFixed(1) === '360.0' ? 0 : bearing;
}
