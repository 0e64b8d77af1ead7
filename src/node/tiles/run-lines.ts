// Tiles named line by line -> a line with the result of each. In: NDJSON in pieces, as a pipe hands it on; out: one result
// a line. A line that can't be read and a tile that fails are reported with number and cause; the lines after them are still
// run.
// Terms: line = a tile's number, or an object with `index` and, where lines come from several jobs, `manifest`.

import { relative } from 'node:path';
import * as v from 'valibot';
import type { Verdict } from '../../model/index.js';
import { InputError, verdictCounts, verdictNumbered } from '../../model/index.js';
import { dataPath, type TileRecord } from './results.js';
import { type RunTileOptions, runTile } from './run-tile.js';

/** The result of one line. The members come in this order. Such a line is far shorter than a pipe takes at once. */
export type LineResult = LineDone | LineFailed;

export interface LineDone {
  readonly line: number; // counted from 1
  readonly index: number;
  /** The tile's data file, as seen from the folder the program runs in. */
  readonly file: string;
  readonly sha256: string; // of that file
  readonly bytes: number;
  readonly trees: TileRecord['trees'];
  readonly verdicts: Readonly<Record<Verdict, number>>;
  /** Trees to be kept that are over their limit, or in the works, under any of the rules. */
  readonly over: number;
  /** It was done before: nothing was measured. */
  readonly before: boolean;
}

export interface LineFailed {
  readonly line: number;
  readonly index: number | null; // null where the line names none
  readonly error: { readonly code: string; readonly message: string; readonly cure: string };
}

export interface RunLinesOptions extends Pick<RunTileOptions, 'again' | 'signal' | 'database'> {
  /** The manifest for lines that name none. */
  readonly manifest?: string | undefined;
}

/** A longer line cannot name a tile; it is skipped without being held. */
const MOST_BYTES = 1 << 16;
/** Of a message: the whole line stays below the 4,096 bytes that a pipe takes at once (POSIX PIPE_BUF of Linux). */
const MOST_WORDS = 300;

const index = v.pipe(v.number(), v.integer(), v.minValue(0), v.maxValue(999_999_999));
const schema = v.union([index, v.object({ index, manifest: v.optional(v.string()) })]);

/**
 * Runs the tile of every line, one after another. Nothing is read ahead: the next line is asked for when the result before it
 * has been taken. Empty lines are skipped.
 *
 * @returns a generator of results, one for each line, in their order; it throws nothing but defects
 * @example
 * for await (const one of runLines(process.stdin, { manifest: 'job.json' })) console.log(JSON.stringify(one));
 */
export async function* runLines(
  input: AsyncIterable<Uint8Array | string>,
  options: RunLinesOptions = {},
): AsyncGenerator<LineResult, void, undefined> {
  let line = 0;
  for await (const text of linesIn(input)) {
    line++;
    if (text !== null && text.trim() === '') continue;
    yield await resultOf(line, text, options);
  }
}

async function resultOf(line: number, text: string | null, options: RunLinesOptions): Promise<LineResult> {
  let index: number | null = null;
  try {
    const asked = parsed(text);
    index = asked.index;
    const manifest = asked.manifest ?? options.manifest;
    if (manifest === undefined) throw noManifest();
    const { record, isOld } = await runTile(manifest, index, options);
    const { trees, sha256, bytes, over } = record;
    const file = relative('', dataPath(manifest, index));
    return {
      line,
      index,
      file,
      sha256,
      bytes,
      trees,
      verdicts: verdictCounts(record.verdicts, (digit) => verdictNumbered(Number(digit))),
      over,
      before: isOld,
    };
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    const { code, message, cure } = error;
    return { line, index, error: { code, message: short(message), cure: short(cure) } };
  }
}

function parsed(text: string | null): { readonly index: number; readonly manifest?: string | undefined } {
  if (text === null) throw unreadable(`is longer than ${MOST_BYTES} bytes`);
  let json: unknown;
  try {
    json = JSON.parse(text);
  } catch {
    throw unreadable('is not JSON');
  }
  const checked = v.safeParse(schema, json);
  if (!checked.success) throw unreadable('names no tile');
  return typeof checked.output === 'number' ? { index: checked.output } : checked.output;
}

function unreadable(what: string): InputError {
  return new InputError('line-unreadable', `the line ${what}`, {
    cure: 'write a tile a line, counted from 0: 3, or {"index":3}',
  });
}

function noManifest(): InputError {
  return new InputError('line-unreadable', 'the line names no manifest, and no manifest is given for all lines', {
    cure: 'name it for all lines with --manifest job.json, or in each: {"manifest":"job.json","index":3}',
  });
}

function short(words: string): string {
  return words.length <= MOST_WORDS ? words : `${words.slice(0, MOST_WORDS)} ...`;
}

/** Lines without their ends; null for one that is too long. */
async function* linesIn(input: AsyncIterable<Uint8Array | string>): AsyncGenerator<string | null, void, undefined> {
  let held: Uint8Array[] = [];
  let size = 0;
  const taken = (): string | null => {
    const text =
      size > MOST_BYTES
        ? null
        : Buffer.concat(held)
            .toString('utf8')
            .replace(/^\uFEFF/, '');
    held = [];
    size = 0;
    return text;
  };
  const hold = (bytes: Uint8Array): void => {
    size += bytes.length;
    if (size <= MOST_BYTES) held.push(bytes);
    else held = [];
  };
  for await (const piece of input) {
    const bytes = typeof piece === 'string' ? Buffer.from(piece) : piece;
    let from = 0;
    for (let to = bytes.indexOf(0x0a); to >= 0; to = bytes.indexOf(0x0a, from)) {
      hold(bytes.subarray(from, to));
      from = to + 1;
      yield taken();
    }
    if (from < bytes.length) hold(bytes.subarray(from));
  }
  if (size > 0) yield taken();
}
