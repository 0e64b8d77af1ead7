// Rows of a table of points -> features. In: cells of one row after the other (CSV text, or a sheet's own values);
// out: points in a LayerBuilder, every column a property.
// Terms: row = a row as a spreadsheet counts it; decimal comma = "1,5" is one and a half.

import type { LayerBuilder } from '../model/index.js';
import { finding } from '../model/index.js';
import type { CoordinateColumns } from './csv-columns.js';

/** Text from a file, or a value with the type that a workbook gives it. */
export type Cell = string | number | boolean | null;

/** Characters of a cell that a message shows. */
const LONGEST_SHOWN = 80;

/** Adds a row as a point; without coordinates it becomes a feature without geometry, with a finding. */
export function addRow(
  cells: readonly (Cell | undefined)[],
  row: number,
  names: readonly string[],
  columns: CoordinateColumns,
  decimalComma: boolean,
  into: LayerBuilder,
): void {
  const properties: Record<string, unknown> = {};
  for (let i = 0; i < names.length; i++) properties[names[i]!] = cellValue(cells[i] ?? '', decimalComma);
  if (columns.x === -1)
    into.begin('none'); // no coordinates are needed
  else addPoint(cells, row, names, columns, decimalComma, into);
  into.end(properties);
}

/** The geometry of a row: begins the feature; the caller ends it. */
export function addPoint(
  cells: readonly (Cell | undefined)[],
  row: number,
  names: readonly string[],
  columns: CoordinateColumns,
  decimalComma: boolean,
  into: LayerBuilder,
): void {
  const path = (column: number): string => `row ${row}, column "${names[column]}"`;
  const x = numberIn(cells[columns.x], decimalComma);
  const y = numberIn(cells[columns.y], decimalComma);
  if (x === undefined && y === undefined) {
    into.begin('none');
    into.findings.push(
      finding(
        'geometry-null',
        { layer: into.name, feature: into.count, path: path(columns.x) },
        `row ${row} has no coordinates`,
        'fill in its coordinates, or delete the row',
      ),
    );
  } else if (x === undefined || y === undefined || Number.isNaN(x) || Number.isNaN(y)) {
    into.begin('broken');
    const bad = x === undefined || Number.isNaN(x) ? columns.x : columns.y;
    const held = cells[bad] ?? '';
    const blank = String(held).trim() === '';
    into.abandon(
      path(bad),
      `${path(bad)} ${blank ? 'is blank' : `holds ${JSON.stringify(shown(held))}, which is not a number`}`,
      `write a plain number there, without unit or thousands mark${decimalComma ? '' : ', with a point for decimals'}`,
    );
  } else {
    const z = columns.z === -1 ? undefined : numberIn(cells[columns.z], decimalComma);
    into.begin('point');
    into.part();
    into.ring();
    into.vertex(x, y, z);
    if (z !== undefined && Number.isNaN(z)) {
      into.findings.push(
        finding(
          'number-unreadable',
          { layer: into.name, feature: into.count, path: path(columns.z) },
          `${path(columns.z)} holds ${JSON.stringify(shown(cells[columns.z] ?? ''))}, which is not a number; the height was left out`,
          'write a plain number there, or clear the cell',
        ),
      );
    }
  }
}

function shown(cell: Cell): Cell {
  if (typeof cell !== 'string') return cell;
  const text = cell.trim();
  return text.length > LONGEST_SHOWN ? `${text.slice(0, LONGEST_SHOWN)}...` : text;
}

/**
 * Whether commas in the coordinate columns of a file that is not separated by semicolons are decimal marks: there are some,
 * no coordinate has a point, and not all have three digits behind the comma (those would be thousands, or either).
 */
export function hasDecimalCommas(records: readonly (readonly Cell[])[], columns: CoordinateColumns): boolean {
  let commas = 0;
  let clear = 0;
  for (const cells of records) {
    for (const column of [columns.x, columns.y]) {
      const cell = cells[column];
      if (typeof cell !== 'string') continue;
      if (cell.includes('.')) return false;
      const match = /^\s*[+-]?\d+,(\d+)\s*$/.exec(cell);
      if (match === null) continue;
      commas++;
      if (match[1]?.length !== 3) clear++;
    }
  }
  return commas > 0 && clear > 0;
}

// Digits in one group only: with two groups, refusing a hundred thousand digits would take quadratic time.
const NUMBER = /^[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d+)?$/;

/** A cell as a number: undefined when blank, NaN when it is none. */
export function numberIn(cell: Cell | undefined, decimalComma: boolean): number | undefined {
  if (cell === undefined || cell === null) return undefined;
  if (typeof cell === 'number') return Number.isFinite(cell) ? cell : Number.NaN;
  if (typeof cell === 'boolean') return Number.NaN;
  const text = cell.trim();
  if (text === '') return undefined;
  const plain = decimalComma ? text.replace(',', '.') : text;
  const value = NUMBER.test(plain) ? Number(plain) : Number.NaN;
  return Number.isFinite(value) ? value : Number.NaN;
}

/** A cell as a property: null, a number that writes back as the same text (15 digits at most), or the text itself. */
export function cellValue(cell: Cell, decimalComma: boolean): string | number | boolean | null {
  if (typeof cell !== 'string') return cell;
  const text = cell.trim();
  if (text === '') return null;
  if (!isCanonical(text, decimalComma ? COMMA : POINT)) return cell;
  const value = Number(decimalComma ? text.replace(',', '.') : text);
  // Below a millionth the number would be written with an exponent, and "-0" without its sign.
  return Math.abs(value) >= 1e-6 || text === '0' ? value : cell;
}

const POINT = 0x2e;
const COMMA = 0x2c;
const MINUS = 0x2d;
const ZERO = 0x30;

/**
 * Whether a text is written as a number would be: digits, one decimal mark inside, no needless zero in front or behind
 * it, 15 digits at most. (A point is accepted beside the comma: "12.5" in a file with semicolons.)
 */
function isCanonical(text: string, mark: number): boolean {
  const start = text.charCodeAt(0) === MINUS ? 1 : 0;
  const { length } = text;
  if (length === start || length - start > 16) return false;
  let markAt = -1;
  for (let i = start; i < length; i++) {
    const c = text.charCodeAt(i);
    if (c >= ZERO && c <= ZERO + 9) continue;
    if ((c !== mark && c !== POINT) || markAt !== -1) return false;
    markAt = i;
  }
  if (markAt === -1) return length - start <= 15 && (text.charCodeAt(start) !== ZERO || length - start === 1);
  if (markAt === start || markAt === length - 1 || text.charCodeAt(length - 1) === ZERO) return false;
  return text.charCodeAt(start) !== ZERO || markAt === start + 1;
}
