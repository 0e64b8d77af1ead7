// rootberth merge. In: a manifest whose tiles are done; out: the files of the job, counts on stdout, findings on stderr;
// or the tiles that are not done yet.
// Terms: see docs/scale.md. Everything is done by mergeTiles; this file only translates.

import { VERDICTS } from '../model/index.js';
import { mergeTiles, missingTiles } from '../node/tiles/index.js';
import { CAUTIONS } from '../write/index.js';
import { digest } from './digest.js';
import { EXIT, type Io } from './io.js';
import { checkPlaces } from './outputs.js';

export interface MergeFlags {
  readonly out?: string;
  readonly schedule?: string;
  readonly findings?: string;
  readonly lotTable?: string;
  readonly failOn?: 'over-limit';
  readonly quiet?: boolean;
  readonly missing?: boolean;
  readonly database?: string;
}

export async function runMerge(manifest: string, flags: MergeFlags, io: Io): Promise<number> {
  if (flags.missing === true) {
    for (const tile of await missingTiles(manifest)) await io.out(`${tile}\n`);
    return EXIT.done;
  }
  const { out, schedule, findings, lotTable, database } = flags;
  await checkPlaces({ ...(out && { out }), ...(schedule && { schedule }), ...(findings && { findings }) });
  const merged = await mergeTiles(manifest, { out, schedule, findings, lotTable }, { database });
  const say = flags.quiet === true ? () => undefined : (text: string) => io.err(text);
  for (const file of merged.files) say(`wrote ${file}\n`);
  say(digest(merged.findings, io.colour.err));
  const { trees, verdicts } = merged.counts;
  const lines = [
    `Trees: ${trees.in} read, ${trees.assessed} assessed, ${trees.notAssessed} not assessed`,
    ...VERDICTS.map((verdict) => `  ${verdict.padEnd(14)} ${String(verdicts[verdict]).padStart(7)}`),
    ...CAUTIONS,
  ];
  await io.out(`${lines.join('\n')}\n`);
  return flags.failOn === 'over-limit' && merged.over > 0 ? EXIT.failOn : EXIT.done;
}
