// --explain. In: an assessment and a tree as a person names it; out: its figures step by step on standard output.
// Terms: a tree is named by its id or tag, or as trees:17, its place in the file counted from 0.

import { explain } from '../explain/index.js';
import type { Assessment } from '../model/index.js';
import { didYouMean } from '../text/index.js';
import type { Units } from '../write/index.js';
import type { Io } from './io.js';
import { usage } from './values.js';

/** Prints the trees asked for, one after another. */
export async function printExplained(
  assessment: Assessment,
  names: readonly string[],
  units: Units | undefined,
  io: Io,
): Promise<void> {
  const rows = names.flatMap((name) => rowsNamed(assessment, name));
  for (const [i, row] of rows.entries()) {
    await io.out(`${i === 0 ? '' : '\n\n'}${explain(assessment, row, { units }).join('\n')}\n`);
  }
}

/** Every row of that name: an id may stand twice in a survey. */
function rowsNamed({ job: { trees } }: Assessment, name: string): readonly number[] {
  const place = /^trees:(\d+)$/.exec(name);
  if (place !== null && Number(place[1]) < trees.count) return [Number(place[1])];
  const every = Array.from({ length: trees.count }, (_, row) => row);
  const named = every.filter((row) => trees.key.at(row) === name);
  if (named.length > 0) return named;
  const tagged = every.filter((row) => String(trees.layer.value(row, 'tag') ?? '') === name);
  if (tagged.length > 0) return tagged;
  const keys = every.slice(0, 10_000).map((row) => trees.key.at(row) ?? '');
  throw usage(
    'tree-unknown',
    `--explain ${name}: no tree of ${trees.layer.name} has that id or tag${didYouMean(name, keys)}`,
    'give an id or a tag of the survey, or trees:17 for its eighteenth row',
  );
}
