// Text in pieces -> a file that is replaced only when complete. In: a path and a generator of text; out: its return value.
// Terms: temporary = a file beside the target that takes its name when all is written.

import { constants } from 'node:fs';
import { access, type FileHandle, mkdir, open, realpath, rename, rm, stat, unlink } from 'node:fs/promises';
import { basename, dirname, join } from 'node:path';
import { InputError } from '../../model/index.js';
import { isTable } from '../../postgis/index.js';
import { forget, remember } from '../temporaries/index.js';

/** Characters collected before a write: enough to be fast, few enough to hold in memory. */
const CHUNK = 1 << 17;

let serial = 0;

/**
 * Writes pieces of text (UTF-8) to a path. A slow disk slows the generator down. On failure, and on Ctrl-C, the
 * temporary file is removed and an older file of that name stays as it was.
 *
 * @returns what the generator returns
 * @throws InputError `output-unwritable`
 * @example
 * await writePieces('out.geojson', geojsonText(assessment));
 */
export async function writePieces<R>(path: string, pieces: Generator<string | Uint8Array, R, undefined>): Promise<R> {
  const target = await existing(path);
  if (target === 'special') return guarded(path, () => direct(path, pieces));
  return replaced(path, target, async (temporary) => {
    const handle = await guarded(path, () => open(temporary, 'wx'));
    try {
      return await drain(pieces, (chunk) => guarded(path, () => append(handle, chunk)));
    } finally {
      await handle.close();
    }
  });
}

/**
 * The same for formats that are not text: `write` makes the file under the temporary name it is given; a file of that name
 * takes the target's place when it is done. A pipe or a device can't take such a file.
 *
 * @returns what `write` returns
 * @throws InputError `output-unwritable`
 */
export async function writeWhole<R>(path: string, write: (temporary: string) => Promise<R>): Promise<R> {
  const target = await existing(path);
  if (target === 'special') throw unwritable(path, 'this format needs a file, not a pipe', 'name a file');
  return replaced(path, target, (temporary) => guarded(path, () => write(temporary)));
}

/** Hands out a scratch folder beside the target, removed with what is in it when `use` is done, and on Ctrl-C. */
export async function withScratchFolder<R>(path: string, use: (folder: string) => Promise<R>): Promise<R> {
  const folder = temporaryOf(path);
  remember(folder);
  try {
    await guarded(path, () => mkdir(folder));
    return await use(folder);
  } finally {
    await rm(folder, { recursive: true, force: true });
    forget(folder);
  }
}

function temporaryOf(target: string): string {
  return join(dirname(target), `.${basename(target)}.${process.pid}-${serial++}.tmp`);
}

async function replaced<R>(path: string, target: string, write: (temporary: string) => Promise<R>): Promise<R> {
  const temporary = temporaryOf(target);
  remember(temporary);
  try {
    const result = await write(temporary);
    await guarded(path, () => rename(temporary, target));
    return result;
  } catch (error) {
    await unlink(temporary).catch(() => undefined);
    throw error;
  } finally {
    forget(temporary);
  }
}

/**
 * Hands on the pieces in chunks, one after another; returns what the generator returns. While the disk takes a chunk the
 * next is made, so at most two are held.
 */
export async function drain<R, T extends string | Uint8Array>(
  pieces: Generator<T, R, undefined>,
  write: (chunk: T) => Promise<unknown>,
): Promise<R> {
  let held = '';
  let under: Promise<unknown> = Promise.resolve(); // the write under way
  const hand = async (chunk: T): Promise<void> => {
    await under;
    under = write(chunk);
    under.catch(() => undefined); // the caller that awaits it gets the error
  };
  try {
    for (;;) {
      const step = pieces.next();
      const piece = step.done ? undefined : step.value;
      if (typeof piece === 'string') held += piece;
      // bytes come in large pieces already
      if (held !== '' && (typeof piece !== 'string' || held.length >= CHUNK)) {
        await hand(held as T);
        held = '';
      }
      if (piece !== undefined && typeof piece !== 'string') await hand(piece);
      if (step.done) {
        await under;
        return step.value;
      }
    }
  } finally {
    await under.catch(() => undefined); // the file must not be closed during a write
  }
}

/** Writes all of a chunk at the file's end. */
async function append(handle: FileHandle, chunk: string | Uint8Array): Promise<void> {
  if (typeof chunk === 'string') return handle.appendFile(chunk);
  for (let at = 0; at < chunk.length; ) at += (await handle.write(chunk, at, chunk.length - at)).bytesWritten;
}

/**
 * Whether a file could be written there, as far as can be known beforehand: a wrong folder should not waste
 * the work before the writing. A name that ends with / is a folder that will be made.
 *
 * @throws InputError `output-unwritable`
 */
export async function checkPlace(path: string): Promise<void> {
  if (path === '-' || isTable(path)) return; // tables are checked by their writer
  if (/[\\/]$/.test(path)) return guarded(path, () => checkFolder(path));
  if ((await existing(path)) === 'special') return;
  await guarded(path, () => access(dirname(path), constants.W_OK));
}

/** An existing folder, or the nearest existing one above, in which it will be made. */
async function checkFolder(path: string): Promise<void> {
  const made = await stat(path).catch(() => null);
  const above = dirname(path);
  if (made === null && above !== path) return checkFolder(above);
  await access(path, constants.W_OK);
}

/** Where the new file goes: a link is followed to its target; 'special' for a pipe or a device, written as it is. */
async function existing(path: string): Promise<string> {
  try {
    const about = await stat(path);
    if (about.isDirectory())
      throw unwritable(path, 'it is a folder', 'name a file in it, or end it with / for one file per role');
    return about.isFile() ? await realpath(path) : 'special';
  } catch (error) {
    if (error instanceof InputError) throw error;
    return path;
  }
}

async function direct<R>(path: string, pieces: Generator<string | Uint8Array, R, undefined>): Promise<R> {
  const handle: FileHandle = await open(path, 'w');
  try {
    return await drain(pieces, (chunk) => append(handle, chunk));
  } finally {
    await handle.close();
  }
}

/** System error -> words and cure. */
const SYSTEM_ERRORS: Readonly<Record<string, readonly [problem: string, cure: string]>> = {
  ENOENT: ['its folder does not exist', 'make the folder first, or write to another folder'],
  ENOTDIR: ['its folder is a file', 'write to another folder'],
  EACCES: ['you have no permission to write there', 'write to a folder of your own'],
  EPERM: ['you have no permission to write there', 'write to a folder of your own'],
  EROFS: ['the disk is read-only', 'write to another disk'],
  ENOSPC: ['the disk is full', 'free some space, or write fewer roles with --roles'],
  ENAMETOOLONG: ['its name is too long', 'choose a shorter one'],
};

/** Turns a refusal of the system into an InputError; leaves errors of the generator alone. */
export async function guarded<T>(path: string, act: () => Promise<T>): Promise<T> {
  try {
    return await act();
  } catch (error) {
    const code = error instanceof Error && 'code' in error && 'syscall' in error ? String(error.code) : undefined;
    if (code === undefined) throw error;
    const [problem, cure] = SYSTEM_ERRORS[code] ?? [`the system reports ${code}`, 'write to another place'];
    throw unwritable(path, problem, cure);
  }
}

function unwritable(path: string, problem: string, cure: string): InputError {
  return new InputError('output-unwritable', `${path} can't be written: ${problem}`, { path, cure });
}
