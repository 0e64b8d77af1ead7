// Field notes -> positions, or a Layer by role. In: the bytes of a CSV, or the rows of a sheet; out: what notes/ makes of its cells. Terms: see notes/.

import { InputError, type Layer } from '../model/index.js';
import { computeNotes, type FieldNotes, notesLayer } from '../notes/index.js';
import { delimiterOf, parsed } from './csv.js';
import { isNotes, namesNotes } from './notes-head.js';
import type { ReadOptions } from './options.js';
import { type Cell, cellValue } from './table.js';
import { decodeText } from './text.js';

/**
 * Computes field notes: one measurement a row, in the columns of docs/field-notes.md. Adjusted positions, the residual of each
 * reading, standard errors and error ellipses, readings that are probably wrong.
 *
 * @param options `notes` says which north bearings count from, and how outlines are closed
 * @returns lengths in metres, angles in radians; `at` in the coordinates of the file
 * @throws InputError `notes-columns`, `notes-empty`, `notes-large`, `notes-mixed`, `notes-north`, `notes-axis`, `notes-orientation`, `csv-quote`
 * @example
 * const text = 'point,from,distance_ft,base,side\nB,A,40,,\nT1,A,30,A>B,left\nT1,B,50,A>B,left\n';
 * readNotes(new TextEncoder().encode(text), { name: 'notes.csv' }).points[2].at; // [0, 30]
 */
export function readNotes(bytes: Uint8Array, options: Pick<ReadOptions, 'name' | 'notes'>): FieldNotes {
  const { text: whole, findings } = decodeText(bytes, options.name);
  if (!isNotes(whole.slice(0, 4096))) {
    throw new InputError(
      'notes-columns',
      `${options.name} has no heading of field notes: a column point, and one of from, base, backsight_*, foresight_*`,
      {
        layer: options.name,
        cure: 'name the columns as docs/field-notes.md has them: point,from,distance_ft,base,along_ft,offset_ft,side',
      },
    );
  }
  const stated = /^sep=(.)[ \t]*(?:\r\n|\n|\r)/i.exec(whole);
  const text = stated === null ? whole : whole.slice(stated[0].length);
  const delimiter = stated?.[1] ?? delimiterOf(text);
  const records = parsed(text, delimiter, options.name);
  const decimalComma = delimiter === ';';
  const computed = computeNotes(
    {
      name: options.name,
      records,
      firstRow: stated === null ? 1 : 2,
      decimalComma,
      value: (cell) => cellValue(cell, decimalComma),
    },
    options.notes,
  );
  return { ...computed, findings: [...findings, ...computed.findings] };
}

/** Field notes in the rows of a sheet, heading first; null where the heading is another. */
export function notesInRows(
  rows: readonly (readonly Cell[])[],
  { name, notes }: Pick<ReadOptions, 'name' | 'notes'>,
): FieldNotes | null {
  const records = rows.map((cells) => cells.map((cell) => (cell === null ? '' : String(cell))));
  const heading = records.find((cells) => cells.some((cell) => cell.trim() !== ''));
  if (heading === undefined || !namesNotes(heading)) return null;
  return computeNotes(
    { name, records, firstRow: 1, decimalComma: false, value: (cell) => cellValue(cell, false) },
    notes,
  );
}

/** The part of field notes that a role asks for. */
export function readNotesLayer(bytes: Uint8Array, options: ReadOptions): Layer {
  return notesLayer(readNotes(bytes, options), options.role, options.sha256 ?? null);
}
