// rootberth run. In: a manifest and numbers of tiles; out: their results in the manifest's folder, a line a tile on stdout.
// Terms: see docs/scale.md. Everything is done by runTile; this file only translates.

import { readManifest } from '../node/split/manifest.js';
import { runTile } from '../node/split/run-tile.js';
import { EXIT, type Io } from './io.js';
import { usage } from './values.js';

export interface RunFlags {
  readonly manifest?: string;
  readonly index?: string;
  readonly again?: boolean;
}

export async function runRun({ manifest, index, again }: RunFlags, io: Io): Promise<number> {
  if (manifest === undefined) throw usage('option-missing', '--manifest is missing', 'name it: --manifest job.json');
  if (index === undefined)
    throw usage('option-missing', '--index is missing', 'say which tile: --index 0, or 0-9,12, or all');
  const tiles = index === 'all' ? (await readManifest(manifest)).tiles.map((_, tile) => tile) : tilesOf(index);
  for (const tile of tiles) {
    const { record, isOld } = await runTile(manifest, tile, { again });
    const { trees, sha256 } = record;
    await io.out(
      `tile ${tile}: ${trees.in} trees, ${record.over} over their limit, ${sha256.slice(0, 12)}${isOld ? ' (done before)' : ''}\n`,
    );
  }
  return EXIT.done;
}

/** `3`, `0-9`, `0-3,7`; `all` is none of these. */
function tilesOf(text: string): number[] {
  return text.split(',').flatMap((part) => {
    const [, from, to = from] = /^(\d{1,9})(?:-(\d{1,9}))?$/.exec(part.trim()) ?? [];
    const [first, last] = [Number(from), Number(to)];
    if (!(first <= last)) throw usage('index-invalid', `--index ${text} names no tiles`, 'write --index 3, or 0-9,12');
    return Array.from({ length: last - first + 1 }, (_, i) => first + i);
  });
}
