// rootberth split. In: options of the command line; out: a manifest with its folder, and what to run next on stdout.
// Terms: see docs/scale.md. Everything is done by splitJob; this file only translates.

import { type SplitOptions, splitJob } from '../node/tiles/index.js';
import { checkPlace, checkWriteOptions } from '../node/write/index.js';
import { isTable } from '../postgis/index.js';
import { type AssessFlags, jobOf } from './assess.js';
import { progressBar } from './bar.js';
import { EXIT, type Io } from './io.js';
import { usage } from './values.js';

/** Options as commander hands them over: those of `assess` that apply, and its own. */
export interface SplitFlags extends AssessFlags {
  readonly manifest?: string;
  readonly tiles?: string;
  readonly treesPerTile?: string;
}

export async function runSplit(flags: SplitFlags, io: Io): Promise<number> {
  const { manifest: path, out, units, prefix, outCrs, schedule, findings, lotTable } = flags;
  if (path === undefined) throw usage('option-missing', '--manifest is missing', 'name it: --manifest job.json');
  const files = { out, schedule, findings, lotTable };
  for (const [name, file] of Object.entries(files)) {
    if (file === '-')
      throw usage('split-stdout', `--${name} - is standard output, but the merge writes files`, 'name a file');
  }
  if (out !== undefined && !isTable(out) && !/\.(geojson|json|ndjson|geojsonl|geojsons|jsonl)$/i.test(out)) {
    const cure = 'end the name in .geojson or .ndjson, or write postgis:SCHEMA.NAME; make other formats from those';
    throw usage('format-unknown', `${out}: a split job is merged as GeoJSON or into tables`, cure);
  }
  const roles = flags.roles?.split(',').map((role) => role.trim());
  checkWriteOptions(out ?? 'x.geojson', { units, prefix, roles, outCrs });
  await checkPlace(path);
  const job = jobOf(flags);
  if (out !== undefined && isTable(out)) {
    await (await import('../postgis/index.js')).checkTables(out, job.database);
  }
  const options: SplitOptions = {
    units,
    prefix,
    roles,
    outCrs,
    files,
    tiles: numberOf('--tiles', flags.tiles),
    treesPerTile: numberOf('--trees-per-tile', flags.treesPerTile),
  };
  const say = flags.quiet === true ? () => undefined : (text: string) => io.err(text);
  const bar = await progressBar(process.stderr, flags.quiet === true);
  const onStep = (step: string): void => {
    bar.end();
    say(`${step}\n`);
  };
  const manifest = await splitJob({ ...job, onProgress: bar.show, onStep }, options, path).finally(bar.end);
  const { tiles, inputs } = manifest;
  const largest = tiles.reduce((most, { trees }) => Math.max(most, trees), 0);
  for (const { facts, read } of inputs) {
    if (read === 'whole') say(`${facts.name}: every tile reads all of it\n`);
  }
  await io.out(
    `${tiles.length} ${tiles.length === 1 ? 'tile' : 'tiles'} of up to ${largest} of ${manifest.trees} trees\n` +
      `  each of 0 to ${tiles.length - 1}: rootberth run --manifest ${path} --index N\n` +
      `  then: rootberth merge ${path}${out === undefined ? ' --out assessed.geojson' : ''}\n`,
  );
  return EXIT.done;
}

function numberOf(option: string, text: string | undefined): number | undefined {
  if (text === undefined) return undefined;
  if (/^\d{1,9}$/.test(text) && Number(text) >= 1) return Number(text);
  throw usage('number-invalid', `${option} ${text} is not a whole number of 1 or more`, `write ${option} 100`);
}
