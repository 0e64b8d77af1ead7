// Single letters for what is planned for a tree: whether the file's own words settle what one means. In: a layer, the sources
// of the field, its words; out: the letters that are settled. Terms: letter = a sign that stands for different things in
// different offices (R: remove, retain, relocate), so that no table maps it; written out = a word of more than a letter.
// Cost: a look at every row of the column.

import { DISPOSITIONS, type Layer } from '../model/index.js';
import type { SourceField } from './fields.js';
import { readText } from './values.js';
import { type FieldWords, wordKey } from './words/index.js';

export interface SettledLetter {
  readonly letter: string; // as written
  readonly code: number; // what it stands for
  readonly source: string;
  readonly first: number; // row
  readonly count: number;
  /** Words of the file that begin with it, as written. */
  readonly words: readonly string[];
}

interface Written {
  readonly shown: string;
  readonly source: string;
  readonly first: number;
  count: number;
}

/** A column with more different values than this is not a list of a few words. It settles nothing. */
const MOST_WORDS = 200;

/**
 * A letter is settled only where three things hold: the file writes out a word that begins with it; every such word
 * is known, and all have one meaning; and another meaning is written out too. In `Remove, R, Keep, K`, R is not `Retain`,
 * since trees that stay are `Keep`. With `Remove, R` alone it could be either, so the user is asked.
 */
export function settledLetters(
  layer: Layer,
  sources: readonly SourceField[] | undefined,
  { words, asked }: FieldWords,
): readonly SettledLetter[] {
  const found = valuesOf(layer, sources ?? []);
  if (found === null) return [];
  const codeOf = (key: string): number => (Object.hasOwn(words, key) ? words[key]! : -1);
  const written = [...found.keys()].filter((key) => key.length > 1);
  return [...found].flatMap(([key, { shown, ...place }]) => {
    if (key.length !== 1 || !asked.has(key) || codeOf(key) >= 0) return [];
    const own = written.filter((word) => word.startsWith(key));
    const [code = -1, ...others] = new Set(own.map(codeOf));
    const isOne = others.length === 0 && code >= 0 && DISPOSITIONS[code] !== 'unknown';
    const isContrasted = written.some((word) => codeOf(word) >= 0 && codeOf(word) !== code);
    if (!isOne || !isContrasted) return [];
    return [{ letter: shown, code, ...place, words: own.map((word) => found.get(word)!.shown) }];
  });
}

/** Different values of the columns by their key; null where there are too many. */
function valuesOf(layer: Layer, sources: readonly SourceField[]): Map<string, Written> | null {
  const found = new Map<string, Written>();
  for (const { name } of sources) {
    for (let row = 0; row < layer.count; row++) {
      const text = readText(layer.value(row, name));
      if (text === undefined) continue;
      const key = wordKey(text);
      const known = found.get(key);
      if (known !== undefined) known.count++;
      else if (found.size >= MOST_WORDS) return null;
      else found.set(key, { shown: text.trim(), source: name, first: row, count: 1 });
    }
  }
  return found;
}
