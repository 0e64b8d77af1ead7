// Survey point file -> Layer of points. In: header-less lines such as 12,680000.5,7650000.25,312.4,OAK 24"; the order
// of the columns as letters; a code map. Out: one feature a line, with what its description says as properties.
// Terms: letters P N E Z D = point, northing, easting, elevation, description; code = first word of a description.

import type { Layer } from '../model/index.js';
import { InputError, LayerBuilder } from '../model/index.js';
import { CodeMap } from './code-map.js';
import { delimiterOf, isBlankLine, parsed } from './csv.js';
import { withExtras } from './extras.js';
import type { ReadOptions } from './options.js';
import { addPoint, cellValue, hasDecimalCommas } from './table.js';
import { decodeText } from './text.js';

const NAMES = { P: 'point', N: 'northing', E: 'easting', Z: 'elevation', D: 'description' } as const;
type Letter = keyof typeof NAMES;

/** The order of the columns when `columns` is letters of P N E Z D, each at most once, with N and E; else undefined. */
export function pointColumns(columns: readonly string[] | undefined): readonly Letter[] | undefined {
  const letters = columns?.map((name) => name.trim().toUpperCase()) ?? [];
  const valid = letters.every((letter) => Object.hasOwn(NAMES, letter)) && new Set(letters).size === letters.length;
  return valid && letters.includes('N') && letters.includes('E') ? (letters as Letter[]) : undefined;
}

/**
 * Reads a survey point file. A description that is the last column keeps the delimiters in it. The point's name becomes
 * the feature's id. Points whose code is not in the map are kept and set aside (`code-unmapped`).
 *
 * @throws InputError `points-columns` when `columns` gives no order, `csv-quote`, `file-too-large`
 * @example
 * const bytes = new TextEncoder().encode('1,680000,7650000,312,OAK 24"\n');
 * readPoints(bytes, { name: 'shots.txt', columns: ['P', 'N', 'E', 'Z', 'D'], codes: { OAK: 'Quercus' } });
 */
export function readPoints(bytes: Uint8Array, options: ReadOptions): Layer {
  const order = pointColumns(options.columns);
  if (order === undefined) {
    throw new InputError('points-columns', `${options.name}: nothing says the order of its columns`, {
      layer: options.name,
      cure: 'write it with the letters P N E Z D (point, northing, easting, elevation, description): --columns P,N,E,Z,D',
    });
  }
  const into = new LayerBuilder(options.name, 'points');
  const { text, findings } = decodeText(bytes, options.name);
  into.findings.push(...findings);
  const { records, delimiter } = recordsOf(text, order, options.name);
  const at = (letter: Letter): number => order.indexOf(letter);
  const columns = { x: at('E'), y: at('N'), z: at('Z'), degrees: false };
  const names = order.map((letter) => NAMES[letter]);
  const decimalComma = delimiter === ';' || (delimiter !== ',' && hasDecimalCommas(records, columns));
  const codes = new CodeMap(into, options.codes, decimalComma);
  for (let r = 0; r < records.length; r++) {
    const cells = records[r]!;
    if (isBlankLine(cells)) continue;
    addPoint(cells, r + 1, names, columns, decimalComma, into);
    const properties: Record<string, unknown> = {};
    names.forEach((name, i) => {
      properties[name] = cellValue(cells[i] ?? '', decimalComma);
    });
    for (let i = names.length; i < cells.length; i++)
      properties[`column${i + 1}`] = cellValue(cells[i] ?? '', decimalComma);
    if (at('D') !== -1) codes.describe(cells[at('D')] ?? '', properties, 'properties.description', `row ${r + 1}`);
    const id = properties.point;
    into.end(properties, typeof id === 'string' || typeof id === 'number' ? id : undefined);
  }
  codes.report();
  const layer = into.finish({ crs: null, sha256: options.sha256 ?? null });
  return withExtras(layer, { setAside: codes.rows });
}

/** Records with as many cells as there are letters; further cells belong to the description, if it comes last. */
function recordsOf(
  text: string,
  order: readonly Letter[],
  layer: string,
): { readonly records: string[][]; readonly delimiter: string } {
  const head = text.slice(0, 65_536);
  const marked = /[,;\t]/.test(head.replace(/"[^"]*"/g, ''));
  const delimiter = marked && !spacesPartFirst(head, order) ? delimiterOf(text) : ' ';
  const last = order.at(-1) === 'D' ? order.length - 1 : -1;
  // A quote within a line is an inch mark; one right behind a delimiter opens a quoted cell.
  const quoted = delimiter !== ' ' && new RegExp(`(?:^|${delimiter})"`, 'm').test(text);
  const records = quoted
    ? parsed(text, delimiter, layer)
    : text.split(/\r\n|\n|\r/).map((line) => (delimiter === ' ' ? line.trim().split(/\s+/) : line.split(delimiter)));
  if (last !== -1) {
    for (const cells of records) {
      if (cells.length > order.length) cells.splice(last, cells.length, cells.slice(last).join(delimiter));
    }
  }
  return { records, delimiter };
}

/** Lines separated by spaces may hold commas in their descriptions: 12 680000 7650000 312 MAPLE 12,9,7 IN. */
function spacesPartFirst(head: string, order: readonly Letter[]): boolean {
  const lines = head.split(/\r\n|\n|\r/, 10).filter((line) => line.trim() !== '');
  const before = order.filter((letter) => letter !== 'D').length;
  return lines.every((line) => {
    const words = line.trim().split(/ +/);
    const numbers = words.slice(0, before);
    return words.length >= before && numbers.every((word) => !/[,;\t]/.test(word) || /^\d+,\d+$/.test(word));
  });
}
