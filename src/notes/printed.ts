// Computed field notes as text. In: FieldNotes; out: tables of positions and readings, and what is to be said of them all.
// Terms: see result.ts; check = the share of a reading that the others check. Linear in points and readings.

import { METRES_PER } from '../model/index.js';
import { counted, printable } from '../text/index.js';
import { levelSums, levelTables } from './printed-levels.js';
import type { CheckedReading, FieldNotes, PlacedPoint } from './result.js';
import { angleWords, isAngular, shownUnit } from './words.js';

/** Positions, readings and the sum of it, as one text. Lengths are in the notes' own unit: feet or metres. */
export function notesText(notes: FieldNotes): string {
  const levels = levelTables(notes).map(({ title, rows }) => [title, ...columns(rows, new Set([0, 1]))]);
  const hasPlaces = notes.readings.length > 0 || notes.points.some(({ at }) => at !== null);
  const places = hasPlaces ? [pointTable(notes), readingTable(notes)] : [];
  return [...places, ...levels, sums(notes, hasPlaces)].map((part) => printed(part)).join('\n');
}

/** Control characters of names must not steer a terminal. */
function printed(lines: readonly string[]): string {
  return lines.map((line) => `${printable(line).trimEnd()}\n`).join('');
}

/** Cells in columns: the first to the left, numbers to the right. */
function columns(rows: readonly (readonly string[])[], left: ReadonlySet<number>): string[] {
  const widths = rows[0]!.map((_, i) => Math.max(...rows.map((row) => (row[i] ?? '').length)));
  return rows.map((row) =>
    row.map((text, i) => (left.has(i) ? text.padEnd(widths[i]!) : text.padStart(widths[i]!))).join('  '),
  );
}

function pointTable(notes: FieldNotes): string[] {
  const unit = shownUnit(notes);
  const scale = METRES_PER[unit];
  const digits = unit === 'm' ? 3 : 2;
  const size = (metres: number): string => (Number.isFinite(metres) ? (metres / scale).toFixed(digits) : '');
  const [east, north] = notes.system === 'degrees' ? ['lon', 'lat'] : ['easting', 'northing'];
  const head = ['point', east, north, '± E', '± N', 'ellipse', '', 'azimuth', '95 %'];
  const row = ({ name, at, spread, accuracyM, known }: PlacedPoint): string[] => {
    const place = at === null ? ['not placed', ''] : at.map((v) => v.toFixed(notes.system === 'degrees' ? 8 : digits));
    const label = known === null ? name : `${name} (known)`;
    if (spread === null) return [label, ...place, '', '', '', '', '', size(accuracyM)];
    const { eastM, northM, majorM, minorM, azimuthDeg } = spread;
    return [label, ...place, ...[eastM, northM, majorM, minorM].map(size), azimuthDeg.toFixed(0), size(accuracyM)];
  };
  const title =
    notes.system === 'local'
      ? `Positions in ${unit}, from the first stake along the first line (no known point is given)`
      : `Positions${notes.system === 'plane' ? ` in ${notes.unit}` : ''}; accuracies in ${unit}`;
  return [
    `${title}; ± and ellipse are one standard error`,
    ...columns([head, ...notes.points.filter(isAsked).map(row)], new Set([0])),
  ];
}

/** Points of levels alone have no place, and none is missed. */
function isAsked({ isNoted, at }: PlacedPoint): boolean {
  return isNoted || at !== null;
}

function readingTable(notes: FieldNotes): string[] {
  const unit = shownUnit(notes);
  const residual = ({ reading, residual: v, isOut }: CheckedReading): string => {
    if (isOut) return 'left out';
    if (Number.isNaN(v)) return 'not used';
    return isAngular(reading) ? angleWords(v) : `${(v / METRES_PER[unit]).toFixed(unit === 'm' ? 3 : 2)} ${unit}`;
  };
  const used = notes.readings.filter(
    ({ reading: { kind } }) => notes.system !== 'local' || (kind !== 'east' && kind !== 'north'),
  );
  const rows = used.map((one) => {
    const isUsed = !one.isOut && !Number.isNaN(one.residual);
    const w = Number.isNaN(one.standardised) ? '' : one.standardised.toFixed(1);
    return [`${one.reading.row}`, one.words, residual(one), isUsed ? `${Math.round(one.redundancy * 100)} %` : '', w];
  });
  const head = ['row', 'reading', 'residual', 'check', 'in std. errors'];
  return [
    'Readings; residual: adjusted less measured; check: how much of it the other readings check',
    ...columns([head, ...rows], new Set([1])),
  ];
}

const NO_BOUNDARY =
  'A tape survey is no boundary survey: a licensed surveyor sets lot lines and what is built to them.';

function sums(notes: FieldNotes, hasPlaces: boolean): string[] {
  const { degrees, variance, enlarged, scale, points } = notes;
  if (!hasPlaces) return [...levelSums(notes), NO_BOUNDARY];
  const out = [
    `${counted(points.filter(({ at }) => at !== null).length, 'point')} placed, ${counted(degrees, 'reading')} too many`,
  ];
  if (degrees > 0) {
    const words =
      enlarged > 1
        ? `more than chance explains; standard errors were enlarged ${enlarged.toFixed(1)} times`
        : 'as assumed, or better';
    out.push(`Reference variance ${variance.toFixed(2)} (1 is as assumed): ${words}`);
  } else out.push('Nothing is measured more often than needed: no slip would show');
  if (scale !== null)
    out.push(`Tapes over known points: ${scale.value.toFixed(5)}, give or take ${scale.sigma.toFixed(5)}`);
  out.push(...levelSums(notes), NO_BOUNDARY);
  return out;
}
