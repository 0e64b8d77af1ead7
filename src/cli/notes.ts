// rootberth notes. In: a file of field notes; out: positions, residuals and accuracies on stdout, a sketch, findings on stderr, exit
// code. Terms: see notes/. This file only translates.

import '../node/crs.js';

import { readNotesFile } from '../node/read/index.js';
import { notesSketch, notesText } from '../notes/index.js';
import { clash } from './clashes.js';
import { digest } from './digest.js';
import { EXIT, type Io } from './io.js';
import { notesTold } from './note-values.js';
import { checkPlaces, stdoutTaker, writeText } from './outputs.js';
import type { Flags } from './table/index.js';
import { type AllTakers, take } from './table/take.js';

type NotesFlags = Flags<'notes'>;

const readTaker = (_: unknown, flags: NotesFlags) => ({ read: { trees: notesTold(flags) } });

const TAKERS: AllTakers<'notes'> = {
  job: { noteNorth: readTaker, noteDeclination: readTaker, noteClosing: readTaker, crs: (crs) => ({ crs }) },
  file: { sketch: (sketch) => ({ sketch }) },
};

export async function runNotes(path: string, flags: NotesFlags, io: Io): Promise<number> {
  const { crs, read } = take<'notes', 'job'>(flags, TAKERS.job);
  const { sketch } = take<'notes', 'file'>(flags, TAKERS.file);
  clash([['FILE', path]], sketch === undefined ? [] : [['--sketch', sketch]]);
  await checkPlaces(flags);
  const notes = await readNotesFile(path, { crs, ...read?.trees, ...(io.in === undefined ? {} : { stdin: io.in }) });
  const text = notesText(notes);
  if (stdoutTaker(flags) === undefined) await io.out(text);
  else io.err(text);
  if (sketch !== undefined) {
    await writeText(sketch, whole(notesSketch(notes)), io);
    if (sketch !== '-') io.err(`wrote ${sketch}\n`);
  }
  io.err(digest(notes.findings, io.colour.err));
  // A notebook of which something has no place can't be used as it is.
  return notes.findings.some(({ severity }) => severity === 'error') ? EXIT.unusableInput : EXIT.done;
}

function* whole(text: string): Generator<string, void, undefined> {
  yield text;
}
