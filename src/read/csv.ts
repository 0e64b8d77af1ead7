// CSV and TSV -> Layer of points. In: bytes; out: one feature per row, all columns as properties.
// Terms: row = a row as a spreadsheet counts it (the header is row 1); delimiter = comma, semicolon or tab.
// With semicolons a comma is a decimal mark. Quoting follows RFC 4180, and a stray quote (12" oak) is kept as text.

import { parse } from 'csv-parse/browser/esm/sync';
import { finding, InputError } from '../findings.js';
import { LayerBuilder } from '../layer.js';
import type { Layer } from '../types.js';
import { type CoordinateColumns, coordinateColumns } from './csv-columns.js';
import { uniqueNames } from './names.js';
import type { ReadOptions } from './options.js';
import { decodeText } from './text.js';

/**
 * Reads a table of points. Blank cells are null; a cell becomes a number only when the number writes back as the same
 * text ("12.5", not "012" or "12.50"), so that tags and codes keep their letters.
 *
 * @throws InputError `csv-coordinates`, `csv-column`, `csv-quote` (a quote that is never closed), `file-too-large`
 * @example
 * readCsv(new TextEncoder().encode('tag,x,y\nT1,7650000,680000\n'), { name: 'trees.csv' }).count; // 1
 */
export function readCsv(bytes: Uint8Array, options: ReadOptions): Layer {
  const into = new LayerBuilder(options.name, 'csv');
  const { text, findings } = decodeText(bytes, options.name);
  into.findings.push(...findings);
  const delimiter = delimiterOf(text);
  const records = parsed(text, delimiter, options.name);
  const first = records.findIndex((cells) => !isBlankLine(cells));
  const head = records[first] ?? [];
  const width = records.reduce((most, cells) => Math.max(most, cells.length), 0);
  const given = options.noHeader === true ? (options.columns ?? []) : head;
  const names = uniqueNames(Array.from({ length: width }, (_, i) => given[i] ?? ''));
  const columns = coordinateColumns(names, options);
  const decimalComma = delimiter === ';';
  for (let r = options.noHeader === true ? 0 : first + 1; r < records.length; r++) {
    const cells = records[r] as readonly string[];
    if (!isBlankLine(cells)) addRow(cells, r + 1, names, columns, decimalComma, into);
  }
  return into.finish({
    crs: columns.degrees ? { from: 'file', text: 'OGC:CRS84' } : null,
    sha256: options.sha256 ?? null,
  });
}

/** An empty line is no row; a row of empty cells is one. */
function isBlankLine(cells: readonly string[]): boolean {
  return cells.length === 0 || (cells.length === 1 && (cells[0] as string).trim() === '');
}

/** Records and their cells; without a single quote in the file, splitting gives the same and is several times faster. */
function parsed(text: string, delimiter: string, layer: string): string[][] {
  if (!text.includes('"')) return text.split(/\r\n|\n|\r/).map((line) => line.split(delimiter));
  try {
    // Bytes, not text: its browser build turns text into bytes slowly.
    return parse(new TextEncoder().encode(text), {
      delimiter,
      record_delimiter: ['\r\n', '\n', '\r'],
      relax_column_count: true,
      relax_quotes: true,
    });
  } catch (error) {
    const line = lineOf(error);
    throw new InputError('csv-quote', `${layer} can't be read as a table${line}: ${messageOf(error)}`, {
      layer,
      cure: 'look for a quote (") that is opened and not closed, near that line or after it',
    });
  }
}

function messageOf(error: unknown): string {
  return error instanceof Error ? error.message : String(error);
}

function lineOf(error: unknown): string {
  const lines = typeof error === 'object' && error !== null && 'lines' in error ? error.lines : undefined;
  return typeof lines === 'number' ? `, line ${lines}` : '';
}

/** In order of preference where counts are equal: "1,5;2,5" is two numbers with decimal commas. */
const DELIMITERS = ['\t', ';', ','] as const;

/** The delimiter that stands equally often in each of the first lines; else the most frequent of the first line. */
export function delimiterOf(text: string): string {
  const lines = text
    .slice(0, 65_536)
    .split(/\r\n|\n|\r/, 11)
    .slice(0, 10)
    .filter((line) => line.trim() !== '');
  const counts = DELIMITERS.map((mark) => lines.map((line) => countOutsideQuotes(line, mark)));
  const steady = counts.map((list) => (list.every((n) => n === list[0]) ? (list[0] ?? 0) : 0));
  const ofFirst = counts.map((list) => list[0] ?? 0);
  const score = steady.some((n) => n > 0) ? steady : ofFirst;
  const most = Math.max(...score);
  return most === 0 ? ',' : (DELIMITERS[score.indexOf(most)] as string);
}

function countOutsideQuotes(line: string, mark: string): number {
  let count = 0;
  let quoted = false;
  for (const c of line) {
    if (c === '"') quoted = !quoted;
    else if (c === mark && !quoted) count++;
  }
  return count;
}

function addRow(
  cells: readonly string[],
  row: number,
  names: readonly string[],
  columns: CoordinateColumns,
  decimalComma: boolean,
  into: LayerBuilder,
): void {
  const properties: Record<string, unknown> = {};
  for (let i = 0; i < names.length; i++) properties[names[i] as string] = cellValue(cells[i] ?? '', decimalComma);
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
    const held = (cells[bad] ?? '').trim();
    into.abandon(
      path(bad),
      `${path(bad)} ${held === '' ? 'is blank' : `holds ${JSON.stringify(held)}, which is no number`}`,
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
          `${path(columns.z)} holds ${JSON.stringify(cells[columns.z])}, which is no number; the height was left out`,
          'write a plain number there, or clear the cell',
        ),
      );
    }
  }
  into.end(properties);
}

const NUMBER = /^[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?$/;

/** A cell as a number: undefined when blank, NaN when it is none. */
function numberIn(cell: string | undefined, decimalComma: boolean): number | undefined {
  const text = cell?.trim() ?? '';
  if (text === '') return undefined;
  const plain = decimalComma ? text.replace(',', '.') : text;
  const value = NUMBER.test(plain) ? Number(plain) : Number.NaN;
  return Number.isFinite(value) ? value : Number.NaN;
}

/** A cell as a property: null, a number that writes back as the same text (15 digits at most), or the text itself. */
function cellValue(cell: string, decimalComma: boolean): string | number | null {
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
