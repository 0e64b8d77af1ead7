// The front of notes/: what other rooms may import of it. Field notes: in: the cells of a notebook; out: positions with their
// accuracy, what each reading is off, and layers by role. Terms: see types.ts.

import { type NoteTable, readNotebook } from './notebook.js';
import type { FieldNotes } from './result.js';
import { solveNotes } from './solve.js';
import type { NotesOptions } from './types.js';

export { notesLayer } from './layer.js';
export type { NoteTable } from './notebook.js';
export { notesText } from './printed.js';
export type { CheckedReading, FieldNotes, PlacedPoint } from './result.js';
export { notesSketch } from './sketch.js';
export type { NotesOptions } from './types.js';

/** A notebook from its cells to positions; see `readNotes` for the same from bytes. */
export function computeNotes(table: NoteTable, options: NotesOptions = {}): FieldNotes {
  return solveNotes(readNotebook(table, options), options);
}
