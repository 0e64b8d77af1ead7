// Words that the tables of words do not know. In: the layers of a role, the mapping of its columns; out: each word with how many
// features hold it and what it can mean. Terms: meaning = as `--value` takes it, `{ 'disposition.TBR': 'remove' }`.
// No browser here. A check of the layers: linear in their features.

import { checkTrees, checkWorks, type UnknownWord } from '../../check/index.js';
import { InputError, type Layer, type LengthUnit, type WorksKind } from '../../model/index.js';
import type { Mapping } from './columns.js';

export interface WordRow {
  /** As `--value` takes it: `disposition.TBR`, `works.kind.Sanitary lateral`. */
  readonly key: string;
  readonly word: string;
  readonly column: string;
  readonly count: number;
  readonly values: readonly string[];
}

interface Read {
  readonly layer: Layer;
  readonly kind?: WorksKind;
}

/** The words of a survey and its works that need a meaning, most frequent first. What is mapped already stays in the list. */
export function wordRows(
  trees: Layer | null,
  works: readonly Read[],
  fields: Mapping,
  dbhUnit: LengthUnit | '' = '',
): WordRow[] {
  const options = { fields, ...(dbhUnit === '' ? {} : { dbhUnit }) };
  const words = [
    ...(trees === null ? [] : wordsOr(() => checkTrees(trees, { ...options, diameter: 'optional' }).words)),
    ...(works.length === 0 ? [] : wordsOr(() => checkWorks(works, options).words)),
  ];
  const rows = new Map<string, WordRow>();
  for (const { option, word, source, count, values } of words) {
    // A word without a letter or figure can't be mapped.
    if (!/[\p{L}\p{N}+*?!]/u.test(word)) continue;
    const key = `${option}.${word}`;
    const before = rows.get(key);
    rows.set(key, { key, word, column: source, count: count + (before?.count ?? 0), values });
  }
  return [...rows.values()].sort((a, b) => b.count - a.count);
}

/** A layer that can't be read as it is has no words yet: what is wrong with it is said elsewhere. */
function wordsOr(read: () => readonly UnknownWord[]): readonly UnknownWord[] {
  try {
    return read();
  } catch (error) {
    if (error instanceof InputError) return [];
    throw error;
  }
}

/** The meanings with one chosen anew; '' takes it away. */
export function withMeaning(values: Mapping, key: string, value: string): Mapping {
  const { [key]: _, ...others } = values;
  return value === '' ? others : { ...others, [key]: value };
}
