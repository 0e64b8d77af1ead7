// rootberth run. In: a manifest and numbers of tiles, or lines on standard input that name them; out: their results in the
// manifest's folder, a line a tile on stdout (NDJSON for lines). Terms: see docs/scale.md and docs/engines.md.
// Everything is done by runTile and runLines; this file only translates.

import { InputError } from '../model/index.js';
import { type RunLinesOptions, readManifest, runLines, runTile } from '../node/tiles/index.js';
import { inputErrorText } from './digest.js';
import { EXIT, type Io } from './io.js';
import { manifestMissing, manifestOf } from './manifest-values.js';
import { checkNeeds } from './needs.js';
import type { Flags } from './table/index.js';
import { type AllTakers, take } from './table/take.js';
import { usage } from './values.js';

const TAKERS: AllTakers<'run'> = {
  tiles: {
    manifest: (manifest) => ({ manifest }),
    index: (index) => ({ index }),
    stdin: (stdin) => ({ stdin }),
    again: (again) => ({ again }),
    database: (database) => ({ database }),
  },
};

/** Runs tiles; the manifest stands alone or behind --manifest. */
export async function runRun(file: string | undefined, flags: Flags<'run'>, io: Io): Promise<number> {
  checkNeeds('run', (attribute) => Object.hasOwn(flags, attribute));
  const { index, stdin, again, database, ...named } = take<'run', 'tiles'>(flags, TAKERS.tiles);
  const manifest = manifestOf(file, named.manifest);
  if (stdin === true) return runStdin({ manifest, again, database }, io);
  if (manifest === undefined) throw manifestMissing('run');
  if (index === undefined) {
    const cure = 'say which tile: --index 0, or 0-9,12, or all; or --stdin for a tile a line on standard input';
    throw usage('option-missing', '--index is missing', cure);
  }
  const { tiles } = await readManifest(manifest);
  const asked = tilesOf(index, tiles.length);
  let failed = 0;
  for (const tile of asked) {
    try {
      const { record, isOld } = await runTile(manifest, tile, { again, database });
      const { trees, sha256 } = record;
      await io.out(
        `tile ${tile}: ${trees.in} trees, ${record.over} to be kept over their limit, ${sha256.slice(0, 12)}${isOld ? ' (done before)' : ''}\n`,
      );
    } catch (error) {
      // One bad tile of several does not keep the others waiting; what would be the same for all ends the run.
      if (asked.length === 1 || !(error instanceof InputError) || isOfAll(error)) throw error;
      failed++;
      io.err(`tile ${tile}: ${inputErrorText(error, io.colour.err)}`);
    }
  }
  if (asked.length === 0) io.err(`no tile for --index ${index}: there are ${tiles.length}\n`);
  if (failed > 0) io.err(`${failed} of ${asked.length} tiles failed\n`);
  return failed > 0 ? EXIT.unusableInput : EXIT.done;
}

/** Whether every other tile would fail in the same way. */
function isOfAll({ usage, code }: InputError): boolean {
  return usage || code === 'version-differs' || code === 'output-unwritable';
}

async function runStdin(options: RunLinesOptions, io: Io): Promise<number> {
  let failed = 0;
  let lines = 0;
  for await (const result of runLines(io.in ?? process.stdin, options)) {
    lines++;
    if ('error' in result) failed++;
    await io.out(`${JSON.stringify(result)}\n`); // resolves when the reader has room for more
  }
  if (failed > 0) io.err(`${failed} of ${lines} lines failed\n`);
  return failed > 0 ? EXIT.unusableInput : EXIT.done;
}

/** `3`, `0-9`, `0-3,7`, `3-last:100` (every hundredth from 3 on), `all`. */
function tilesOf(text: string, count: number): number[] {
  const parts = text === 'all' ? ['0-last'] : text.split(',');
  return parts.flatMap((part) => {
    const [, from, to = from, by = '1'] = /^(\d{1,9})(?:-(\d{1,9}|last)(?::(\d{1,9}))?)?$/.exec(part.trim()) ?? [];
    const isOpen = to === 'last';
    const [first, last, step] = [Number(from), isOpen ? count - 1 : Number(to), Number(by)];
    if (!(step >= 1) || !(first <= last || isOpen)) {
      throw usage('index-invalid', `--index ${text} names no tiles`, 'write --index 3, 0-9,12, 3-last:100 or all');
    }
    return Array.from({ length: Math.max(0, Math.floor((last - first) / step) + 1) }, (_, i) => first + i * step);
  });
}
