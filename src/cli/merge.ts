// rootberth merge. In: a manifest whose tiles are done; out: the files of the job, counts on stdout, findings on stderr;
// or the tiles that are not done yet.
// Terms: see docs/scale.md. Everything is done by mergeTiles; this file only translates.

import { dirname, join } from 'node:path';
import { VERDICTS } from '../model/index.js';
import { mergeTiles, missingTiles, readManifest } from '../node/tiles/index.js';
import { isTable } from '../postgis/index.js';
import { CAUTIONS, zonesOnlyWords } from '../write/index.js';
import { checkClashes } from './clashes.js';
import { ending } from './digest.js';
import { EXIT, type Io } from './io.js';
import { manifestMissing, manifestOf } from './manifest-values.js';
import { checkPlaces } from './outputs.js';
import type { Flags, Sinks } from './table/index.js';
import { type AllTakers, take } from './table/take.js';

const TAKERS: AllTakers<'merge'> = {
  tiles: {
    manifest: (manifest) => ({ manifest }),
    missing: (missing) => ({ missing }),
    database: (database) => ({ database }),
  },
  file: {
    out: (out) => ({ out }),
    schedule: (schedule) => ({ schedule }),
    findings: (findings) => ({ findings }),
    lotTable: (lotTable) => ({ lotTable }),
  },
  run: {
    failOn: (failOn) => ({ failOn }),
    quiet: (quiet) => ({ quiet }),
  },
};

/** Merges a job, or lists what is missing; the manifest stands alone or behind --manifest. */
export async function runMerge(file: string | undefined, flags: Flags<'merge'>, io: Io): Promise<number> {
  const { missing, database, ...named } = take<'merge', 'tiles'>(flags, TAKERS.tiles);
  const { quiet, failOn } = take<'merge', 'run'>(flags, TAKERS.run);
  const manifest = manifestOf(file, named.manifest);
  if (manifest === undefined) throw manifestMissing('merge');
  if (missing === true) {
    for (const tile of await missingTiles(manifest)) await io.out(`${tile}\n`);
    return EXIT.done;
  }
  const files = take<'merge', 'file'>(flags, TAKERS.file);
  const { findings } = files;
  await checkFiles(manifest, files);
  await checkPlaces(files);
  const merged = await mergeTiles(manifest, files, { database });
  const say = quiet === true ? () => undefined : (text: string) => io.err(text);
  for (const written of merged.files) say(`wrote ${written}\n`);
  const { trees, verdicts } = merged.counts;
  const judged = [
    `Trees: ${trees.in} read, ${trees.assessed} assessed, ${trees.notAssessed} not assessed`,
    ...VERDICTS.map((verdict) => `  ${verdict.padEnd(14)} ${String(verdicts[verdict]).padStart(7)}`),
  ];
  const lines = [...(merged.hasWorks ? judged : zonesOnlyWords(merged.counts)), ...CAUTIONS];
  await io.out(`${lines.join('\n')}\n`);
  await io.flush?.();
  say(ending(merged.findings, { colour: io.colour.err, file: findings }));
  return failOn === 'over-limit' && merged.over > 0 ? EXIT.failOn : EXIT.done;
}

/** Outputs, those of the split too, must not be the manifest, what the job reads, or one another. */
async function checkFiles(manifest: string, files: Partial<Sinks['file']>): Promise<void> {
  const { inputs, written } = await readManifest(manifest);
  const beside = (path: string): string => (isTable(path) ? path : join(dirname(manifest), path));
  const planned = Object.entries(written.files).flatMap(([name, path]) =>
    path === undefined ? [] : [[name, beside(path)]],
  );
  const read = inputs.map(({ path }) => ['the job', beside(path)] as const);
  checkClashes('merge', { ...Object.fromEntries(planned), ...files }, [['--manifest', manifest], ...read]);
}
