// A line for a shell -> its words. In: text with words in single quotes where needed; out: the words. Terms: none.

/** Splits what `shellWord` joins. */
export function shellWords(line: string): string[] {
  return [...line.matchAll(/(?:[^\s']+|'[^']*')+/g)].map(([word]) => word.replaceAll(/'([^']*)'/g, '$1'));
}
