// rootberth split. In: options of the command line; out: a manifest with its folder, and what to run next on stdout.
// Terms: see docs/scale.md. Everything is done by splitJob; this file only translates.

import { type SplitOptions, splitJob } from '../node/tiles/index.js';
import { checkPlace, checkWriteOptions } from '../node/write/index.js';
import { isTable } from '../postgis/index.js';
import { progressBar } from './bar.js';
import { EXIT, type Io } from './io.js';
import { JOB_FILE } from './job-file.js';
import { JOB, jobOf } from './job-settings.js';
import type { Flags } from './table/index.js';
import { type AllTakers, take } from './table/take.js';
import { rolesOf, usage, wholeOf } from './values.js';

const TAKERS: AllTakers<'split'> = {
  job: JOB,
  jobFile: JOB_FILE,
  tiles: { manifest: (manifest) => ({ manifest }) },
  split: {
    tiles: (tiles) => ({ tiles: wholeOf('--tiles', tiles, MOST_DIGITS, 100) }),
    treesPerTile: (trees) => ({ treesPerTile: wholeOf('--trees-per-tile', trees, MOST_DIGITS, 100) }),
  },
  write: {
    units: (units) => ({ units }),
    prefix: (prefix) => ({ prefix }),
    roles: (roles) => ({ roles: rolesOf(roles) }),
    outCrs: (outCrs) => ({ outCrs }),
  },
  file: {
    out: (out) => ({ out }),
    schedule: (schedule) => ({ schedule }),
    findings: (findings) => ({ findings }),
    lotTable: (lotTable) => ({ lotTable }),
  },
  run: { quiet: (quiet) => ({ quiet }) },
};

/** Of a number of tiles or trees: safe as an array's length. */
const MOST_DIGITS = 9;

export async function runSplit(flags: Flags<'split'>, io: Io): Promise<number> {
  const { manifest: path } = take<'split', 'tiles'>(flags, TAKERS.tiles);
  if (path === undefined) throw usage('option-missing', '--manifest is missing', 'name it: --manifest job.json');
  const files = take<'split', 'file'>(flags, TAKERS.file);
  const { out } = files;
  for (const [name, file] of Object.entries(files)) {
    if (file === '-')
      throw usage('split-stdout', `--${name} - is standard output, but the merge writes files`, 'name a file');
  }
  if (out !== undefined && !isTable(out) && !/\.(geojson|json|ndjson|geojsonl|geojsons|jsonl)$/i.test(out)) {
    const cure = 'end the name in .geojson or .ndjson, or write postgis:SCHEMA.NAME; make other formats from those';
    throw usage('format-unknown', `${out}: a split job is merged as GeoJSON or into tables`, cure);
  }
  const { units, prefix, roles, outCrs } = take<'split', 'write'>(flags, TAKERS.write);
  const writing = { units, prefix, roles, outCrs };
  checkWriteOptions(out ?? 'x.geojson', writing);
  await checkPlace(path);
  const job = jobOf(flags);
  if (out !== undefined && isTable(out)) {
    await (await import('../postgis/index.js')).checkTables(out, job.database);
  }
  const options: SplitOptions = { ...writing, files, ...take<'split', 'split'>(flags, TAKERS.split) };
  const { quiet = false } = take<'split', 'run'>(flags, TAKERS.run);
  const say = quiet ? () => undefined : (text: string) => io.err(text);
  const bar = await progressBar(process.stderr, quiet);
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
      `  each of 0 to ${tiles.length - 1}: rootberth run ${path} --index N\n` +
      `  then: rootberth merge ${path}${out === undefined ? ' --out assessed.geojson' : ''}\n`,
  );
  return EXIT.done;
}
