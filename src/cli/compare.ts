// rootberth compare. In: two outputs of assess; out: one line for each change on stdout, files, findings and counts on stderr.
// Terms: see docs/compare.md. Everything is done by compareAssessed and the writers; this file only translates.

import '../node/crs.js';

import { compareAssessed } from '../compare/index.js';
import type { Comparison } from '../model/index.js';
import { readAssessed } from '../node/index.js';
import { checkWriteOptions } from '../node/write/index.js';
import { toComparisonReport } from '../report/index.js';
import { comparisonLines, comparisonSummary, comparisonTablePieces, comparisonText } from '../write/index.js';
import { clash } from './clashes.js';
import { digest } from './digest.js';
import { EXIT, type Io } from './io.js';
import { checkNeeds } from './needs.js';
import { checkPlaces, stdoutTaker, writeText } from './outputs.js';
import type { Flags, Sinks } from './table/index.js';
import { type AllTakers, take } from './table/take.js';
import { usage } from './values.js';

const TAKERS: AllTakers<'compare'> = {
  file: {
    out: (out) => ({ out }),
    report: (report) => ({ report }),
  },
  write: {
    units: (units) => ({ units }),
    prefix: (prefix) => ({ prefix }),
  },
  report: { title: (title) => ({ title }) },
  run: { quiet: (quiet) => ({ quiet }) },
};

type Pieces = (comparison: Comparison, options: Pick<Sinks['write'], 'units' | 'prefix'>) => Generator<string, void>;

export async function runCompare(before: string, after: string, flags: Flags<'compare'>, io: Io): Promise<number> {
  checkNeeds('compare', (attribute) => flags[attribute as keyof typeof flags] !== undefined);
  const { out, report } = take<'compare', 'file'>(flags, TAKERS.file);
  const { units, prefix } = take<'compare', 'write'>(flags, TAKERS.write);
  const { quiet } = take<'compare', 'run'>(flags, TAKERS.run);
  const pieces = out === undefined ? undefined : piecesFor(out);
  if (before === '-' && after === '-') {
    throw usage('stdin-twice', 'BEFORE and AFTER both ask for standard input', 'give one of them a file');
  }
  const taken = stdoutTaker(flags) !== undefined;
  const outputs = Object.entries({ '--out': out, '--report': report }).flatMap(([by, path]) =>
    path === undefined ? [] : [[by, path] as const],
  );
  checkWriteOptions('-', { prefix, units }); // a prefix that can't be one: before any file is read
  clash(Object.entries({ BEFORE: before, AFTER: after }), outputs);
  await checkPlaces(flags);
  const options = { prefix, units };
  const stdin = { stdin: io.in };
  const comparison = compareAssessed(await readAssessed(before, stdin), await readAssessed(after, stdin), options);
  const say = quiet === true ? () => undefined : (text: string) => io.err(text);
  const written = async (path: string, text: Generator<string, void>): Promise<void> => {
    await writeText(path, text, io);
    if (path !== '-') say(`wrote ${path}\n`);
  };
  if (out !== undefined) await written(out, pieces!(comparison, options));
  if (report !== undefined) {
    const { title } = take<'compare', 'report'>(flags, TAKERS.report);
    await written(report, one(toComparisonReport(comparison, { units, title })));
  }
  say(digest(comparison.findings, io.colour.err));
  const lines = comparisonLines(comparison, { units }).map((line) => `${line}\n`);
  say(comparisonSummary(comparison, { units }));
  if (taken) for (const line of lines) say(line);
  else if (lines.length > 0) await io.out(lines.join(''));
  return EXIT.done;
}

/** What --out asks for by its ending; - is GeoJSON. */
function piecesFor(out: string): Pieces {
  if (/\.csv$/i.test(out)) return comparisonTablePieces;
  if (out === '-' || /\.(geo)?json$/i.test(out)) return comparisonText;
  const cure = 'end the name in .csv for a table, in .geojson for a map; --report F.html is the report';
  throw usage('format-unknown', `${out}: a comparison is written as CSV or GeoJSON`, cure);
}

function* one(text: string): Generator<string, void> {
  yield text;
}
